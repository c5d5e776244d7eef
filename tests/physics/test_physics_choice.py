"""Choosing a load or an emitter resistor: complete search against hand-made conditions."""

from __future__ import annotations

from dataclasses import replace

import pytest

from xref.errors import NoSolution
from xref.physics.choice import best, emitter_choices, load_choices
from xref.physics.corners import Ranges
from xref.physics.detector import Detector
from xref.physics.emitter import fit_diode
from xref.physics.logic_input import family_thresholds, own_thresholds
from xref.physics.operating import EmitterCircuit, GivenLight, Receiver, Setup, Transfer

PART = Transfer(low=0.5e-3, typical=1e-3, high=2.1e-3, if_ref=10e-3, bright=0.5, dark=0.02)
BOARD = Setup(
    emitter=EmitterCircuit(diode=fit_diode([(60e-3, 1.25)]), supply=5.0, resistor=220.0, current_max=40e-3),
    transfer=PART,
    receiver=Receiver(detector=Detector(), supply=5.0, load=1e3, input=family_thresholds("74HC14")),
)


def test_best_load_is_the_best_of_all() -> None:
    """No standard value has more reserve, and with it both levels hold."""
    choices = load_choices(BOARD)

    chosen = best(choices)

    assert chosen.reserve == max(c.reserve for c in choices)
    assert chosen.report.ok


def test_best_load_by_hand() -> None:
    """With exact parts the best load lets light fall and rise by the same factor: R near the geometric middle.

    Light 1 mA bright, 0.1 mA dark, 5 V, thresholds 1 and 4 V: reserves R*1mA/4V and 1V/(R*0.1mA) meet at 6.3 kohm.
    """
    setup = Setup(
        light=GivenLight(low=1e-3, typical=1e-3, high=1e-3, dark=0.1e-3),
        receiver=Receiver(detector=Detector(dark_25c=1e-12), supply=5.0, load=1e3, input=own_thresholds(1.0, 4.0)),
    )
    still = Ranges(supply=0, emitter_resistor=0, load=0, temp_low_c=25, temp_high_c=25, age_low=1, vf_band=0)

    assert best(load_choices(setup, still, series="E24")).value == 6200


def test_emitter_resistors_respect_the_limit() -> None:
    """No choice exceeds the limit in any corner, and the preferred old value is kept when it is enough."""
    choices = emitter_choices(BOARD)

    assert choices
    assert all(c.report.forward_current is not None and c.report.forward_current[1] <= 40e-3 for c in choices)
    near = Setup(emitter=BOARD.emitter, transfer=replace(PART, bright=3.0), receiver=BOARD.receiver)
    loaded = replace(near, receiver=replace(near.receiver, load=22e3))
    tried = emitter_choices(loaded)
    good = [c.value for c in tried if c.reserve >= 1]
    assert best(tried, enough=1.0, prefer=220.0).value == min(good, key=lambda v: max(v / 220, 220 / v))


def test_nothing_is_enough() -> None:
    """Where no value keeps both levels, the message names the best and what limits it."""
    weak = Transfer(low=1e-6, typical=2e-6, high=50e-6, if_ref=10e-3, dark=0.5)
    board = Setup(emitter=BOARD.emitter, transfer=weak, receiver=BOARD.receiver)

    with pytest.raises(NoSolution) as error:
        best(load_choices(board))

    assert str(error.value).startswith("no value keeps both levels; the best, ")


def test_a_lone_detector_has_no_emitter() -> None:
    """Asked for an emitter resistor where there is none, the answer says so."""
    board = Setup(light=GivenLight(low=1e-4, typical=1e-4, high=1e-4), receiver=BOARD.receiver)

    with pytest.raises(NoSolution) as error:
        emitter_choices(board)

    assert str(error.value) == "a lone detector has no emitter resistor to choose"
