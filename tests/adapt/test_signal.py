"""From a part's printed figures and a board to levels: rows, crosstalk, spread, currents, windows, resistors across."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from adapt.signal_cases import BOARD, solved
from xref.adapt.electrical import best_ic, electrics, spread
from xref.adapt.reserves import Reserves
from xref.adapt.signal import Chain, chain, logic_at
from xref.adapt.values import LEAST_CURRENT, choose, emitter_window
from xref.library.store import open_library
from xref.model.part import Coupling, Part
from xref.model.site import Sees, Site
from xref.model.value import Value
from xref.physics.corners import corner_report
from xref.physics.standard_values import SERIES

CARD = replace(BOARD, kind="reflective", sees=Sees(distance=3.0, bright="white card", dark="open", rate=40.0))


def link_of(name: str, site: Site = BOARD) -> Chain:
    """A shipped part on a board."""
    return chain(electrics(open_library().get(name)), site)


def with_rows(part: Part, *rows: Value, **coupling: object) -> Part:
    """The part with other printed collector currents."""
    return replace(part, coupling=replace(part.coupling, ic_ma=rows, **coupling))  # type: ignore[arg-type]


@pytest.mark.parametrize(("forward", "row"), [(4e-3, 5.0), (9e-3, 5.0), (17e-3, 20.0), (28e-3, 30.0)])
def test_the_nearest_printed_row_counts(forward: float, row: float) -> None:
    """H21A1 prints 5, 20 and 30 mA: the row nearest in ratio to the board's current is the least stretched."""
    found = best_ic(open_library().get("H21A1"), forward)

    assert found is not None
    assert found.at["if_ma"] == row


def test_a_saturation_row_says_little_of_the_light() -> None:
    """A collector current printed at VCE 0.4 V is limited by saturation and is passed over."""
    part = with_rows(
        open_library().get("H21A1"),
        Value(min=1.8, at={"if_ma": 17.0, "vce_v": 0.4}),
        Value(min=1.0, at={"if_ma": 20.0, "vce_v": 5.0}),
    )
    found = best_ic(part, 17e-3)

    assert found is not None
    assert found.at["if_ma"] == 20.0


def test_crosstalk_is_that_of_the_strongest_piece() -> None:
    """With nothing in front the strongest piece passes the largest printed crosstalk, and no other piece more."""
    part = open_library().get("QRD1114")
    cross = part.coupling.crosstalk_ua
    assert cross is not None
    assert cross.max is not None
    made = link_of("QRD1114", CARD).transfer
    assert made is not None

    assert made.high * made.dark == pytest.approx(cross.max * 1e-6)
    assert cross.at["if_ma"] * 1e-3 == made.if_ref


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        (Value(min=1.0, typ=2.0, max=3.0), (1.0, 2.0, 3.0)),
        (Value(min=1.0), (1.0, 2.0, 4.0)),
        (Value(typ=2.0), (1.0, 2.0, 4.0)),
        (Value(min=0.5, max=14.0), (0.5, 1.0, 14.0)),
        (Value(max=8.0), (2.0, 4.0, 8.0)),
        (Value(min=1.0, typ=3.0), (1.0, 3.0, 6.0)),
    ],
)
def test_spread_keeps_what_is_printed(row: Value, expected: tuple[float, float, float]) -> None:
    """Printed ends stay; what is missing is twice or four times (X8: 2 to 3.75 and 4.2 to 10) and is said."""
    said: list[str] = []

    assert spread(row, said) == pytest.approx([value * 1e-3 for value in expected])
    assert bool(said) == (row.min is None or row.max is None)


@pytest.mark.parametrize("name", ["H21A1", "TCRT5000", "GP1S53V"])
def test_current_range_against_bisection(name: str) -> None:
    """Least and largest emitter current: the diode's own law met by bisection at the ends of all tolerances.

    The highest VF is the printed maximum of each sheet (H21A1 1.7 V, TCRT5000 1.5 V at 60 mA); GP1S53V: 0.05 V.
    """
    link = link_of(name)
    diode = link.data.diode
    most, at = {"H21A1": (1.7, 60e-3), "TCRT5000": (1.5, 60e-3)}.get(name, (diode.vf(0.02) + 0.05, 0.02))

    def met(volts: float, ohms: float, temp_c: float) -> float:
        low, high = 0.0, 1.0
        for _ in range(80):
            middle = (low + high) / 2
            low, high = (middle, high) if diode.vf(middle, temp_c) + middle * ohms < volts else (low, middle)
        return low

    low, high = link.current_range(220.0)

    assert low == pytest.approx(met(4.75 - (most - diode.vf(at)), 231.0, 10.0), rel=1e-6)
    assert high == pytest.approx(met(5.25 + 0.05, 209.0, 45.0), rel=1e-6)


@pytest.mark.parametrize("name", ["TCST1103", "H21A1", "QRD1114", "EE-SX1041"])
@pytest.mark.parametrize("emitter", [120.0, 220.0, 470.0])
def test_fast_reserves_are_those_of_the_report(name: str, emitter: float) -> None:
    """The search's reserves equal those of the full corner report, load by load."""
    part = open_library().get(name)
    link = chain(electrics(part), BOARD if part.kind == "slotted" else CARD)
    table = Reserves(link)

    for load in (2200.0, 10e3, 47e3):
        report = corner_report(link.setup(emitter, load), link.ranges)
        bright, dark = table.of(emitter, load)
        assert bright == pytest.approx(report.bright.bright_reserve, rel=1e-9)
        assert dark == pytest.approx(max(report.dark.dark_reserve, 0.0), rel=1e-9)


@pytest.mark.parametrize("name", ["TCST1103", "H21A1", "QRD1114"])
@pytest.mark.parametrize("load", [10e3, 22e3, 47e3])
def test_window_of_the_emitter_resistor(name: str, load: float) -> None:
    """Bisection finds the same window as trying every E24 value with the full report."""
    part = open_library().get(name)
    link = chain(electrics(part), BOARD if part.kind == "slotted" else CARD)
    assert link.if_limit is not None
    good = []
    for decade in (1, 2, 3):
        for mantissa in SERIES["E24"]:
            ohms = mantissa * 10.0 ** (decade - 1) * 1.0 if decade > 1 else float(mantissa)
            if link.current_range(ohms)[1] > link.if_limit or link.forward_current(ohms) < LEAST_CURRENT:
                continue
            if corner_report(link.setup(ohms, load), link.ranges).reserve >= 1:
                good.append(ohms)

    found = emitter_window(Reserves(link), load)

    assert found == ((min(good), max(good)) if good else None)


@pytest.mark.parametrize("series", ["E12", "E24", "E96"])
@pytest.mark.parametrize("name", ["TCST1103", "EE-SX1041"])
def test_values_come_from_the_series(name: str, series: str) -> None:
    """Every changed resistor is a value of the wanted series."""
    for change in choose(link_of(name), series=series).changes:
        scaled = change.now_ohm / 10 ** math.floor(math.log10(change.now_ohm))
        scale = 100 if series == "E96" else 10
        assert round(scaled * scale) in SERIES[series]
        assert scaled * scale == pytest.approx(round(scaled * scale))


def test_across_only_adds_in_parallel() -> None:
    """With 'across' a resistor only falls, by a standard value beside the old one (Ohm's law)."""
    site = replace(BOARD, output=replace(BOARD.output, load=100e3), emitter=replace(BOARD.emitter, resistor=470.0))
    result = choose(link_of("EE-SX1041", site), change=("across",))
    assert result.changes

    for change in result.changes:
        assert change.parallel
        assert change.was_ohm is not None
        beside = 1 / (1 / change.now_ohm - 1 / change.was_ohm)
        assert beside > 0
        nearest = min((m * 10.0**d for m in SERIES["E24"] for d in range(-1, 6)), key=lambda value: abs(value - beside))
        assert nearest == pytest.approx(beside, rel=1e-6)
        assert "across the old one" in change.why


def test_of_equal_changes_the_emitter_is_spared() -> None:
    """TCST1103 on 4.7 kohm is served by either resistor: the load changes, the emitter is not driven harder."""
    result = choose(link_of("TCST1103", replace(BOARD, output=replace(BOARD.output, load=4700.0))))

    assert [change.where for change in result.changes] == ["load"]
    assert result.best.reserve >= 2


def test_an_unknown_light_still_keeps_the_emitter_in_its_limit() -> None:
    """Where no collector current is known the emitter resistor alone is raised, as far as the limit asks."""
    part = replace(open_library().get("H21A1"), coupling=Coupling())
    site = replace(BOARD, emitter=replace(BOARD.emitter, supply=12.0, resistor=150.0))
    link = chain(electrics(part), site)
    assert link.if_limit is not None
    result = choose(link)

    assert result.signal.clean is None
    assert link.current_range(result.best.emitter_ohm)[1] <= link.if_limit
    below = max(m * 10.0 for m in SERIES["E24"] if m * 10.0 < result.best.emitter_ohm)
    assert link.current_range(below)[1] > link.if_limit or below <= 150


@pytest.mark.parametrize("sense", ["low-when-lit", "high-when-lit"])
def test_logic_reserves_are_ratios_to_the_threshold(sense: str) -> None:
    """Lit: least current, aged to 0.7, over the printed threshold (definition of the threshold current)."""
    part = next(p for p in open_library().parts() if p.output == "logic-open-collector" and p.logic == sense
                and p.detector.ift_ma is not None and p.detector.ift_ma.max and p.kind == "slotted")  # fmt: skip
    link = chain(electrics(part), BOARD)
    assert part.detector.ift_ma is not None
    point = logic_at(link, 220.0, 10e3)

    expected = link.current_range(220.0)[0] * 0.7 / ((part.detector.ift_ma.max or 0.0) * 1e-3)
    assert point.bright_reserve == pytest.approx(expected)
    # high level: 4.75 V less the leak through 5 % more than 10 kohm
    leak = part.detector.ioh_ua.max if part.detector.ioh_ua is not None and part.detector.ioh_ua.max else 100.0
    high = max(point.bright_v, point.dark_v)
    assert high == pytest.approx(4.75 - (leak + 1.0) * 1e-6 * 10.5e3, abs=0.02)


def test_a_moved_load_is_reckoned_on_its_new_side() -> None:
    """A donor with collector and anode joined makes the load change sides: levels and sense are those after the cut."""
    part = open_library().get("H21A1")
    joined = replace(part.geometry, leads=tuple(
        replace(lead, function="A+C") if lead.function in ("A", "C") else lead for lead in part.geometry.leads
    ))  # fmt: skip
    donor = replace(part, geometry=joined)
    site = replace(BOARD, emitter=replace(BOARD.emitter, resistor_side="K"))
    pads = {"A": "5V", "K": "LED", "C": "OUT", "E": "0V"}
    site = replace(site, pads=replace(site.pads, nets=pads))
    case = solved(part, donor, site)
    assert case is not None
    assert any(cut.do == "move-resistor" and cut.where.startswith("load") for cut in case.answer.cuts)

    assert case.answer.verified
    assert case.answer.signal is not None
    # the emitter follower is high when lit and the board wants low: one gate, or it is said not to be clean
    assert case.answer.added or case.answer.signal.clean is False


@pytest.mark.parametrize(
    ("name", "ohms"), [("GP1A50HR", 15e3), ("GP1A57HRJ00F", 15e3), ("GP1A20", 10e3), ("KI1310", 15e3), ("KE-204", 20e3)]
)
def test_a_built_in_pull_up_is_the_printed_one(name: str, ohms: float) -> None:
    """Sharp and Shinkoh draw 15 kohm (GP1A20 10 kohm), Kodenshi 20 kohm in their block diagrams: nothing is assumed."""
    part = open_library().get(name)
    data = electrics(part)

    assert part.detector.pull_up_ohm == ohms
    assert not any("built-in pull-up" in text for text in data.assumed)
    if data.logic is not None:
        assert data.logic.pull_up == ohms
