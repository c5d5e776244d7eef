"""Logic outputs and two-state resistors, by hand arithmetic."""

from __future__ import annotations

import math

import pytest

from xref.errors import DataError
from xref.physics.logic_input import family_thresholds, own_thresholds
from xref.physics.logic_output import LogicOutput, logic_point
from xref.physics.two_state import two_state_point

OPEN = LogicOutput(kind="open-collector", low_when_lit=True, threshold_max=10e-3, threshold_typ=4e-3, iol=16e-3)


def test_open_collector_levels() -> None:
    """Low is VOL, high is the pull-up less its leakage and the input's current (Ohm's law)."""
    point = logic_point(OPEN, family_thresholds("74LS14"), supply=5.0, forward_current=20e-3, load=10e3, dark=0.01)

    assert point.bright_v == 0.4
    assert point.dark_v == pytest.approx(5.0 - 10e3 * (100e-6 + 20e-6))
    assert point.sink_current == pytest.approx(4.6 / 10e3 + 0.4e-3)
    assert point.bright_reserve == pytest.approx(2.0)
    assert point.dark_reserve == pytest.approx(4e-3 * 0.8 / 2 / 0.2e-3)
    assert point.ok


@pytest.mark.parametrize("low_when_lit", [True, False])
def test_sense(low_when_lit: bool) -> None:
    """The sense says which state is low."""
    output = LogicOutput(kind="totem-pole", low_when_lit=low_when_lit, threshold_max=10e-3, voh_min=4.2)

    point = logic_point(output, family_thresholds("74HC14"), supply=5.0, forward_current=15e-3)

    assert (point.bright_v < point.dark_v) == low_when_lit
    assert point.dark_reserve == math.inf


def test_built_in_pull_up_joins_the_boards() -> None:
    """A built-in 10 k and 10 k on the board make 5 k (sink (5 - 0.4) V / 5 k)."""
    output = LogicOutput(kind="pull-up", low_when_lit=True, threshold_max=10e-3, pull_up=10e3)

    point = logic_point(output, own_thresholds(0.8, 2.0), supply=5.0, forward_current=20e-3, load=10e3)

    assert point.sink_current == pytest.approx(4.6 / 5e3)


def test_too_heavy_a_pull_up_says_so() -> None:
    """A pull-up that asks more than the printed sink current is marked."""
    point = logic_point(OPEN, family_thresholds("74HC14"), supply=5.0, forward_current=20e-3, load=220.0)

    assert not point.valid
    assert not point.ok
    assert point.why == "the output must sink 20.9 mA; printed are 16 mA"


def test_weak_emitter_is_not_ok() -> None:
    """Below the largest threshold current the lit state is not certain."""
    point = logic_point(OPEN, family_thresholds("74HC14"), supply=5.0, forward_current=9e-3, load=10e3)

    assert point.bright_reserve == pytest.approx(0.9)
    assert not point.ok


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: LogicOutput(kind="tube", low_when_lit=True, threshold_max=1e-2),
            "no logic output 'tube'; known: open-collector, pull-up, totem-pole",
        ),
        (
            lambda: logic_point(OPEN, own_thresholds(0.8, 2.0), supply=5.0, forward_current=1e-2),
            "an open-collector output needs a pull-up resistor on the board",
        ),
        (
            lambda: logic_point(
                LogicOutput(kind="pull-up", low_when_lit=True, threshold_max=1e-2),
                own_thresholds(0.8, 2.0),
                supply=5.0,
                forward_current=1e-2,
            ),
            "a pull-up output needs the value of its resistor",
        ),
    ],
)
def test_output_errors(call: object, message: str) -> None:
    """Wrong input is named in one line."""
    with pytest.raises(DataError) as error:
        call()  # type: ignore[operator]

    assert str(error.value) == message


def test_light_dependent_cell_to_ground() -> None:
    """A cell of 1 k lit and 100 k dark under 10 k from 5 V: levels and drifts by the divider."""
    point = two_state_point(1e3, 100e3, own_thresholds(0.8, 3.5), supply=5.0, load=10e3)

    assert point.lit_is == "low"
    assert point.lit_v == pytest.approx(5 / 11)
    assert point.dark_v == pytest.approx(5 * 100 / 110)
    assert point.lit_reserve == pytest.approx(0.8 * 10e3 / 4.2 / 1e3)
    assert point.dark_reserve == pytest.approx(100e3 / (3.5 * 10e3 / 1.5))
    assert point.ok


def test_cell_to_the_supply() -> None:
    """The same cell above the load: lit is high."""
    point = two_state_point(1e3, 100e3, own_thresholds(0.8, 3.5), supply=5.0, load=10e3, side="emitter")

    assert point.lit_is == "high"
    assert point.lit_v == pytest.approx(5 * 10 / 11)
    assert point.dark_v == pytest.approx(5 * 10 / 110)


@pytest.mark.parametrize("side", ["collector", "emitter"])
@pytest.mark.parametrize(("lit", "dark"), [(500.0, 50e3), (1350.0, 7e3), (100.0, 1e6), (4.4e3, 1e9)])
@pytest.mark.parametrize("current", [0.0, 20e-6])
def test_drift_by_the_reserve_sits_on_the_threshold(side: str, lit: float, dark: float, current: float) -> None:
    """Each resistance moved by its reserve puts its level on the threshold."""
    levels = own_thresholds(1.0, 3.0, current_low=current, current_high=current)
    point = two_state_point(lit, dark, levels, supply=5.0, load=4700.0, side=side)

    edge = two_state_point(
        lit * point.lit_reserve, dark / point.dark_reserve, levels, supply=5.0, load=4700.0, side=side
    )

    wanted = (1.0, 3.0) if side == "collector" else (3.0, 1.0)
    assert (edge.lit_v, edge.dark_v) == pytest.approx(wanted, rel=1e-9)


def test_open_circuit_that_is_not_enough() -> None:
    """A leaky input that keeps the node low even at an open circuit: dark reserve 0."""
    point = two_state_point(1e3, math.inf, own_thresholds(0.8, 3.5, current_high=1e-3), supply=5.0, load=10e3)

    assert point.dark_reserve == 0.0
    assert not point.ok
