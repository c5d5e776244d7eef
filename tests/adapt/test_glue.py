"""Added stages: the smallest one that turns a signal into what the board wants, by Ohm's law and truth tables."""

from __future__ import annotations

from dataclasses import replace

import pytest

from adapt.signal_cases import BOARD, Case, solved, wired
from xref.adapt.electrical import electrics
from xref.adapt.fit import FitOptions, fit
from xref.adapt.glue import dummy_load, outside_ends
from xref.adapt.original import from_part, from_site
from xref.adapt.signal import chain
from xref.library.store import open_library
from xref.model.answers.fit import Added, Fit
from xref.model.part import Part
from xref.model.site import Pads, Site, SiteOutput
from xref.tasks.signal import with_signal

OLD = "H21A1"


def logic(output: str, sense: str) -> Part:
    """A wired logic donor of that output and sense whose threshold current is known."""
    return next(p for p in wired("slotted", output) if p.logic == sense and p.detector.ift_ma is not None)


def case_of(donor: Part, output: SiteOutput, **changes: object) -> Case:
    """The donor in place of a transistor sensor on a board with that output side."""
    found = solved(open_library().get(OLD), donor, replace(BOARD, output=output, **changes))  # type: ignore[arg-type]
    assert found is not None
    return found


def only(added: tuple[Added, ...], what: str) -> Added:
    """The one added component of that name."""
    found = [item for item in added if what in item.what]
    assert len(found) == 1, added
    return found[0]


@pytest.mark.parametrize("family", ["74HC14", "TTL"])
@pytest.mark.parametrize("output", ["logic-open-collector", "logic-totem-pole", "logic-pull-up"])
def test_inverter_gets_its_base_current(output: str, family: str) -> None:
    """Ohm's law: supply 5 % low, VBE 0.8 V, the base still gets a tenth of the collector's current at 5 % high."""
    donor = logic(output, "high-when-lit")
    case = case_of(donor, replace(BOARD.output, input=family))
    added = case.answer.added
    base = only(added, "resistor") if output != "logic-open-collector" else added[1]
    above = {"logic-totem-pole": 0.0, "logic-pull-up": donor.detector.pull_up_ohm or 10e3}.get(output)
    if above is None:
        above = only(added, "pull-up").value_ohm
    assert above is not None
    assert base.value_ohm is not None
    drive = 4.75
    if output == "logic-totem-pole":
        voh = donor.detector.voh_v
        assert voh is not None
        assert voh.min is not None
        drive = voh.min
    leak = 100e-6 if output != "logic-totem-pole" else 0.0
    current = (drive - 0.8 - leak * above) / (above + base.value_ohm)
    collector = 5.25 / (10e3 * 0.95) + {"74HC14": 1e-6, "TTL": 1.6e-3}[family]

    assert current >= 0.99 * collector / 10
    assert case.answer.verified
    assert case.answer.signal is not None
    if output == "logic-totem-pole":
        # a piece at the printed 1.7 V at 20 mA: (4.75 - 1.7) V / 142 ohm is under 15 mA / 0.7; one at 1.2 V is above
        assert case.answer.signal.clean is None
        assert "read VF" in case.answer.signal.limited_by
    else:
        assert case.answer.signal.clean is True


def test_a_donor_of_the_right_sense_needs_no_stage() -> None:
    """The plain way is taken where it works."""
    case = case_of(logic("logic-open-collector", "low-when-lit"), BOARD.output)

    assert case.answer.added == ()
    assert case.answer.staged_leads == ()


@pytest.mark.parametrize(
    ("side", "lit", "gates"),
    # lit: the transistor pulls its collector down (low) or its emitter up (high); each gate turns that round
    [("C", "high", 1), ("E", "low", 1)],
)
def test_gates_by_truth_table(side: str, lit: str, gates: int) -> None:
    """As many gates as the sense needs; the lead that carries the signal goes to the gate, the other one stays."""
    output = replace(BOARD.output, load_side=side, lit=lit)  # type: ignore[arg-type]
    case = case_of(open_library().get(OLD), output)
    gate = only(case.answer.added, "gate")
    own = only(case.answer.added, "load resistor")

    assert gate.what.startswith(f"{gates} gate")
    assert case.answer.staged_leads == (
        next(lead.label for lead in case.donor.geometry.leads if lead.function == side),
    )
    assert own.between[1] == ("supply" if side == "C" else "0V")
    assert gate.between[0] == f"input: {own.between[0]}"
    assert case.answer.signal is not None
    assert case.answer.signal.clean is not False
    assert case.answer.verified


def test_two_gates_where_the_level_alone_is_lost() -> None:
    """A board load that the weakest piece cannot pull down: two gates keep the sense and carry the load."""
    donor = open_library().get("EE-SX1041")
    output = replace(BOARD.output, load=2200.0, input="TTL")
    case = case_of(donor, output)
    if case.answer.signal is not None and case.answer.added:
        gate = only(case.answer.added, "gate")
        # 5.25 V on 2.2 kohm less 5 % and 1.6 mA of a TTL input: a gate may carry 4 mA (74HC00, Philips 2003-06-30)
        assert 5.25 / (2200 * 0.95) + 1.6e-3 > 4e-3 or gate.what.startswith("2 gates")
        assert 5.25 / (2200 * 0.95) + 1.6e-3 <= 4e-3


def test_pull_up_of_an_open_collector_on_a_load_to_ground() -> None:
    """The divider of pull-up and load, 5 % worst each way and the leak, still reaches the input's high level."""
    donor = logic("logic-open-collector", "high-when-lit")
    output = replace(BOARD.output, load_side="E", lit="high", load=10e3, input="74HCT14")
    case = case_of(donor, output)
    pull = only(case.answer.added, "pull-up").value_ohm
    assert pull is not None
    upper, lower = pull * 1.05, 10e3 * 0.95
    leak = 100e-6 if donor.detector.ioh_ua is None else (donor.detector.ioh_ua.max or 100.0) * 1e-6
    high = (4.75 / upper - leak - 1e-6) / (1 / upper + 1 / lower)

    assert high >= 2.0  # CD74HCT14, Texas Instruments, page 4: VT+ 1.9 V at 4.5 V, 2.1 V at 5.5 V
    assert case.answer.signal is not None
    assert case.answer.signal.high_min_v == pytest.approx(high, abs=0.03)
    assert case.answer.signal.clean is True


def test_wires_are_the_ends_outside_the_stage() -> None:
    """Lead, pad, supply and ground of an inverter with pull-up: four wires, none of them counted twice."""
    case = case_of(logic("logic-open-collector", "high-when-lit"), BOARD.output)
    plain = fit(case.original, case.donor, FitOptions(alternatives=0))
    lead = case.answer.staged_leads[0]
    kept = sum(c.by == "wire" for c in plain.connections if c.lead != lead) + len(plain.links)

    assert outside_ends(case.answer.added) == {f"lead {lead}", "supply", "0V", *_pads(case.answer)}
    assert case.answer.wire_count == kept + 4
    assert all(c.lead != lead for c in case.answer.connections)


def _pads(answer: Fit) -> set[str]:
    return {end.split(": ")[-1] for item in answer.added for end in item.between if "pad " in end}


@pytest.mark.parametrize(("change", "safety"), [(("nothing",), "none"), (None, "lid")])
def test_nothing_is_added_where_nothing_may_change(change: tuple[str, ...] | None, safety: str) -> None:
    """'nothing', or a sensor of a safety function: no value, no stage, and the signal is said not to be clean."""
    donor = logic("logic-open-collector", "high-when-lit")
    site = replace(BOARD, safety=safety)  # type: ignore[arg-type]
    original = from_part(open_library().get(OLD), site)
    plain = fit(original, donor, FitOptions(alternatives=0))

    answer = with_signal(plain, original, donor, site, change=change, series="E24")

    assert answer.added == ()
    assert answer.values == ()
    assert answer.signal is not None
    assert answer.signal.clean is False


def test_dummy_load_restores_the_watched_current() -> None:
    """Emitter current and dummy current together are the old emitter current, within a step of E24 (5 %)."""
    site = replace(BOARD, emitter=replace(BOARD.emitter, current_watched=True))
    link = chain(electrics(open_library().get(OLD)), site)
    added = dummy_load(link, 390.0)
    assert added is not None
    assert added.value_ohm is not None
    old, new = link.forward_current(220.0), link.forward_current(390.0)

    assert new + 5.0 / added.value_ohm == pytest.approx(old, rel=0.05)
    assert dummy_load(link, 220.0) is None


def test_a_watched_emitter_current_stays() -> None:
    """Unless asked for, the emitter resistor of a supervised line is not touched."""
    site = replace(
        BOARD, emitter=replace(BOARD.emitter, current_watched=True), output=replace(BOARD.output, load=2200.0)
    )
    case = solved(open_library().get(OLD), open_library().get(OLD), site)
    assert case is not None

    assert all(value.where == "load" for value in case.answer.values)
    assert any("watches the emitter current" in text for text in case.answer.warnings)


def test_photodiode_with_a_transistor() -> None:
    """A photodiode where a transistor was: its anode feeds the base, and the answer is confirmed."""
    pads = Pads(map="C E", grid=(2.54, 2.54), nets={"C": "OUT", "E": "0V"})
    site = Site(kind="detector", pads=pads, output=replace(BOARD.output, input="74HC14"), safety="none")
    donor = open_library().get("BPW34")
    original = from_site(site)
    plain = fit(original, donor, FitOptions(alternatives=0))

    answer = with_signal(plain, original, donor, site, change=None, series="E24")

    stage = only(answer.added, "NPN")
    assert [end.split(": ")[0] for end in stage.between] == ["collector", "base", "emitter"]
    assert answer.staged_leads == (stage.between[1].removeprefix("base: lead "),)
    assert next(lead.function for lead in donor.geometry.leads if lead.label == answer.staged_leads[0]) == "A"
    assert answer.verified


def test_a_high_forward_voltage_leaves_it_open() -> None:
    """OPB930L: 15 mA at most switch it, VF max 1.7 V at 20 mA, 29.3 mA allowed at 45 C (Optek sheet).

    (4.75 - 1.25) V / (150 ohm + 5 %) * 0.7 = 15.6 mA, with 1.7 V only 13.6 mA: a usual piece switches, not every one.
    """
    case = case_of(open_library().get("OPB930L"), BOARD.output, emitter=replace(BOARD.emitter, resistor=180.0))
    signal = case.answer.signal

    assert case.answer.verified
    assert signal is not None
    assert signal.clean is None
    assert "read VF" in signal.limited_by
    assert case.ohms("emitter resistor") == 150.0
