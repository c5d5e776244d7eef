"""The independent check confirms what the solver says and rejects every answer that was tampered with."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

import pytest

from adapt.signal_cases import BOARD, Case, board, solved, triples, wired
from xref.adapt.verify_signal import verify_signal
from xref.library.store import open_library
from xref.model.answers.fit import Connection, Fit, ValueChange
from xref.model.site import Site, SiteOutput
from xref.tasks.signal import proved

CASES = 12
INPUTS = ("74HC14", "74HCT14", "74LS14", "4093", "TTL")


def reasons(case: Case, answer: Fit | None = None, site: Site | None = None) -> list[str]:
    """What the check has to say of a case, or of a changed answer to it."""
    return verify_signal(case.original, case.donor, answer or case.answer, site or case.site)


@pytest.mark.parametrize("number", range(CASES))
def test_confirms_the_solver(number: int) -> None:
    """What the solver states, the check finds too, with its own equations."""
    assert reasons(triples(CASES)[number]) == []


def sweep(seed: int, count: int) -> None:
    """Random triples over all outputs, boards and inputs: nothing that is shown as verified is unconfirmed."""
    rng = random.Random(seed)
    parts = [p for p in open_library().parts() if p.geometry.wired and p.kind in ("reflective", "slotted")]
    confirmed = 0
    for number in range(count):
        donor = rng.choice(parts)
        original = rng.choice([p for p in parts if p.kind == donor.kind])
        site = board(donor.kind, rng, rng.choice("CCE"))
        lit = rng.choice(("low", "low", "low", "high")) if site.output.load_side == "C" else "high"
        site = replace(site, output=replace(site.output, input=rng.choice(INPUTS), lit=lit))  # type: ignore[arg-type]
        case = solved(original, donor, site, number)
        if case is None:
            continue
        assert case.answer.verified, (case.name, case.answer.warnings[:1], case.answer.signal)
        assert reasons(case) == []
        confirmed += 1
    assert confirmed > count / 2


def test_confirms_a_sample() -> None:
    """60 random triples, logic and transistor donors, with and without added stages."""
    sweep(5, 60)


@pytest.mark.nightly
@pytest.mark.parametrize("seed", range(4))
def test_confirms_many(seed: int) -> None:
    """1,600 random triples."""
    sweep(100 + seed, 400)


def _swapped(answer: Fit, one: str, other: str) -> Fit:
    """The leads with two functions exchange their pads."""
    ends = {f: c for c in answer.connections for f in c.function.split("+") if f in (one, other)}
    a, b = ends[one], ends[other]

    def to(lead: Connection, pad: Connection) -> Connection:
        return replace(lead, pad=pad.pad, net=pad.net, pad_at_mm=pad.pad_at_mm)

    turned = {a.lead: to(a, b), b.lead: to(b, a)}
    return replace(answer, connections=tuple(turned.get(c.lead, c) for c in answer.connections))


def _valued(case: Case, where: str, factor: float) -> Fit:
    """One resistor is another than the answer reckoned with."""
    kept = tuple(change for change in case.answer.values if change.where != where)
    new = ValueChange(where=where, was_ohm=None, now_ohm=case.ohms(where) * factor, why="tampered")
    return replace(case.answer, values=(*kept, new))


MUTATIONS: dict[str, tuple[Callable[[Case], Fit], str]] = {
    "collector and emitter": (lambda case: _swapped(case.answer, "C", "E"), "the detector is reversed"),
    "anode and cathode": (lambda case: _swapped(case.answer, "A", "K"), "the emitter is reversed"),
    "anode and collector": (lambda case: _swapped(case.answer, "A", "C"), "where the board wants"),
    "load doubled": (lambda case: _valued(case, "load", 2.0), "reserve"),
    "load halved": (lambda case: _valued(case, "load", 0.5), "reserve"),
    "emitter resistor at a tenth": (lambda case: _valued(case, "emitter resistor", 0.1), "emitter current"),
    "emitter resistor doubled": (lambda case: _valued(case, "emitter resistor", 2.0), "emitter current"),
    "no resistor": (lambda case: _valued(case, "load", 0.0), "is no resistor"),
}


@pytest.mark.parametrize("number", range(CASES))
@pytest.mark.parametrize("name", MUTATIONS)
def test_rejects(name: str, number: int) -> None:
    """A swap of leads or a changed resistor never passes, and the reason names it."""
    case = triples(CASES)[number]
    tamper, word = MUTATIONS[name]

    found = reasons(case, tamper(case))

    assert found, name
    assert any(word in text for text in found), found


@pytest.mark.nightly
@pytest.mark.parametrize("name", MUTATIONS)
def test_rejects_in_many(name: str) -> None:
    """The same over 120 triples."""
    tamper, _ = MUTATIONS[name]

    assert [case.name for case in triples(120) if not reasons(case, tamper(case))] == []


@pytest.mark.parametrize("number", range(CASES))
def test_rejects_the_wrong_sense(number: int) -> None:
    """A board that expects the other level when lit is not served by the same answer called clean."""
    case = triples(CASES)[number]
    lit = "high" if case.site.output.lit == "low" else "low"
    site = replace(case.site, output=replace(case.site.output, lit=lit))  # type: ignore[arg-type]

    assert any("wrong sense" in text for text in reasons(case, site=site))


@pytest.mark.parametrize(("low", "high"), [(1.2, 0.0), (0.0, -1.2)])
@pytest.mark.parametrize("number", range(CASES))
def test_rejects_levels_that_do_not_follow(number: int, low: float, high: float) -> None:
    """A level that is 1.2 V worse than stated reserves allow is noticed, and so is one beyond the threshold."""
    case = triples(CASES)[number]
    signal = case.answer.signal
    assert signal is not None
    assert signal.low_max_v is not None
    assert signal.high_min_v is not None
    wrong = replace(signal, clean=True, low_max_v=signal.low_max_v + low, high_min_v=signal.high_min_v + high)

    assert reasons(case, replace(case.answer, signal=wrong))


def test_rejects_a_reserve_below_one_called_clean() -> None:
    """Clean means that no piece of the type loses a level: a reserve of 0.7 is not."""
    case = triples(CASES)[0]
    signal = case.answer.signal
    assert signal is not None

    found = reasons(case, replace(case.answer, signal=replace(signal, clean=True, light_reserve=0.7)))

    assert any("called clean" in text for text in found)


@pytest.mark.parametrize(
    ("output", "word"),
    [(SiteOutput(supply=48.0, load=100e3, load_side="C", input="", low_below=5.0, high_above=20.0, lit="low"), "VCEO"),
     (SiteOutput(supply=24.0, load=220.0, load_side="C", input="", low_below=5.0, high_above=12.0, lit="low"), "IC")],
)  # fmt: skip
def test_rejects_exceeded_limits(output: SiteOutput, word: str) -> None:
    """H21A1 (VCEO 30 V, IC 20 mA as its file prints them) on 48 V, or on 24 V with 220 ohm and nothing to change."""
    part = open_library().get("H21A1")
    limits = part.detector
    assert limits.vceo_max_v is not None
    assert limits.vceo_max_v < 48
    site = replace(BOARD, output=output)
    case = solved(part, part, site)
    assert case is not None
    kept = replace(case.answer, values=())

    assert any(word in text for text in reasons(case, kept))


def inverter() -> Case:
    """An open collector of the wrong sense with one transistor, base resistor and pull-up."""
    donor = next(p for p in wired("slotted", "logic-open-collector")
                 if p.logic == "high-when-lit" and p.detector.ift_ma is not None)  # fmt: skip
    case = solved(open_library().get("H21A1"), donor, BOARD)
    assert case is not None
    assert len(case.answer.added) == 3
    return case


@pytest.mark.parametrize("what", ["pull-up resistor", "resistor", "NPN transistor Q1, current gain 100 or more"])
def test_rejects_a_stage_with_a_part_missing(what: str) -> None:
    """Without its pull-up, its base resistor or its transistor the stage does not hang together."""
    case = inverter()
    left = tuple(item for item in case.answer.added if item.what != what)
    assert len(left) == 2

    assert reasons(case) == []
    assert reasons(case, replace(case.answer, added=left))


def test_rejects_a_stage_without_a_value_or_with_a_loose_end() -> None:
    """A resistor without ohms, an end that nobody shares, a base resistor too large, a lead that no stage takes."""
    case = inverter()
    stage = case.answer.added
    base = next(item for item in stage if item.what == "resistor")
    others = tuple(item for item in stage if item is not base)

    for wrong in (replace(base, value_ohm=None), replace(base, between=(base.between[0], "base of Q2")),
                  replace(base, value_ohm=10e6), replace(base, between=(base.between[0], base.between[0])),
                  replace(base, between=("lead 99", base.between[1]))):  # fmt: skip
        assert reasons(case, replace(case.answer, added=(*others, wrong))), wrong
    assert reasons(case, replace(case.answer, added=()))


def test_rejects_a_missing_pull_up_where_a_logic_output_was() -> None:
    """A transistor on a board without a load of its own: the added pull-up is what makes the high level."""
    original = next(p for p in wired("slotted", "logic-totem-pole") if p.logic == "low-when-lit")
    site = replace(BOARD, output=replace(BOARD.output, load=None))
    case = next(found for donor in wired("slotted", "phototransistor")
                if (found := solved(original, donor, site)) is not None and found.answer.signal is not None
                and found.answer.signal.clean)  # fmt: skip
    assert [item.what for item in case.answer.added] == ["pull-up resistor"]

    assert reasons(case) == []
    assert any("pulls the output up" in text for text in reasons(case, replace(case.answer, added=())))


def test_an_unconfirmed_answer_is_not_shown_as_verified() -> None:
    """What the check does not confirm loses 'verified' and 'clean', and the reason comes first."""
    case = triples(CASES)[0]

    shown = proved(case.original, case.donor, _valued(case, "load", 2.0), case.site)

    assert not shown.verified
    assert shown.signal is not None
    assert shown.signal.clean is False
    assert "does not confirm" in shown.warnings[0]


def test_an_assumed_limit_is_held() -> None:
    """Without a printed IF max nothing beyond the 20 mA that the answer says may be called clean (Ohm's law)."""
    site = replace(BOARD, emitter=replace(BOARD.emitter, resistor=100.0))
    library = open_library()
    part = library.get("H21A1")
    donor = replace(part, emitter=replace(part.emitter, if_max_ma=None))
    case = solved(part, donor, site)
    assert case is not None
    assert case.answer.verified
    assert case.answer.signal is not None

    kept = replace(case.answer, values=tuple(v for v in case.answer.values if v.where != "emitter resistor"))
    # 5.25 V less 1.15 V over 95 ohm: 43 mA
    bold = replace(kept, signal=replace(case.answer.signal, clean=True, emitter_ma=(34.0, 43.0)))

    assert any("20 mA assumed" in text for text in reasons(case, bold))
