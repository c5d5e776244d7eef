"""What a fit says of leads over holes, short links, doubtful places and supplies, so that one try succeeds."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from xref.adapt.assemble import BARE_MM, cut_length
from xref.adapt.fit import FitOptions, fit
from xref.adapt.original import from_site, from_typed
from xref.adapt.roles import CHECK_LOGIC, DECOUPLE_DONOR, NEVER_SHARED, settled
from xref.model.lead import Lead
from xref.model.part import Geometry, Part
from xref.model.site import Pads, Site, SiteOutput

GRID = (5.5, 2.54)
LOGIC = "A VCC / . OUT / K GND"


def part(words: str, grid: tuple[float, float] = GRID, kind: str = "reflective", **geometry: Any) -> Part:
    """A donor typed like a map, its leads numbered as they stand; ``geometry`` adds fields."""
    pads = from_typed(words, grid).pads
    leads = tuple(
        Lead(label=str(i), function="+".join(p.functions) or "NC", at_mm=p.at_mm) for i, p in enumerate(pads, 1)
    )
    return Part(name="donor", kind=kind, geometry=Geometry(leads=leads, **geometry))  # type: ignore[arg-type]


def said(donor: Part, board: Any = None, **options: Any) -> str:
    """The remarks as one text."""
    answer = fit(board or from_typed("A C / K E", GRID), donor, FitOptions(**options))
    assert answer.verified
    return "\n".join(answer.warnings)


def test_a_lead_beside_its_own_hole_is_not_told_to_keep_out_of_it() -> None:
    """Leads 0.7 mm beside their holes, too short to bend: a short link, the distance, and what to try instead."""
    donor = part("A C / K E", (5.5, 2.54 + 1.4), lead_length_mm=3.0)
    answer = fit(from_typed("A C / K E", GRID), donor, FitOptions(tolerance_mm=0.0))
    text = "\n".join(answer.warnings)

    assert {c.by for c in answer.connections} == {"wire"}
    assert "stands over hole" not in text
    assert "lead 1 stands 0.7 mm beside its own hole A: too short to form safely" in text
    assert "--reach 0.7mm" in text
    bent = fit(from_typed("A C / K E", GRID), donor, FitOptions(tolerance_mm=0.0, reach_mm=0.7))
    assert {c.by for c in bent.connections} == {"formed"}


def test_a_short_link_has_no_ends_to_strip() -> None:
    """A link to a hole next to the lead is the gap, a lap and a board (1.6 mm) long, and bare; longer wires as before.

    1.6 mm: usual thickness of a printed board (common practice, no source).
    """
    assert 0.7 + 1.6 <= cut_length(0.7) < 0.7 + 6.0
    assert cut_length(10.0) >= 10.0 + 6.0
    lengths = [cut_length(step / 10) for step in range(130)]
    assert lengths == sorted(lengths)
    assert all(length > step / 10 for step, length in enumerate(lengths))
    donor = part("A C / K E", (5.5, 2.54 + 1.4), lead_length_mm=3.0)
    answer = fit(from_typed("A C / K E", GRID), donor, FitOptions(tolerance_mm=0.0))
    assert all(not c.insulated and math.dist(c.lead_at_mm, c.pad_at_mm) < BARE_MM for c in answer.connections)


def test_a_lead_over_a_foreign_hole_is_in_the_answer_as_data() -> None:
    """Same grid, C and E changed: both leads stand over each other's hole, in words and as fields."""
    answer = fit(
        from_typed("A C / K E", GRID, kind="slotted"), part("A E / K C", kind="slotted"), FitOptions(turns=(0,))
    )

    assert {(o.lead, o.hole, o.do) for o in answer.over_holes} == {("2", "C", "bend up"), ("4", "E", "bend up")}
    assert "lead 2 stands over hole C, where it must not go: bend it up and sleeve it" in answer.warnings


def test_over_a_hole_of_its_own_net_a_lead_does_no_harm() -> None:
    """K and E on one net 0V: a lead wired to one of them may stand over the other."""
    site = Site(kind="slotted", pads=Pads(map="A C / K E", grid=GRID, nets={"K": "0V", "E": "0V"}))
    answer = fit(from_site(site), part("A E / K C", kind="slotted"), FitOptions(turns=(0,)))

    assert all(o.hole != "K" for o in answer.over_holes)
    for over in answer.over_holes:
        net = {pad.label: pad.net for pad in from_site(site).pads}[over.hole]
        assert all(c.net != net for c in answer.connections if c.lead == over.lead)


@pytest.mark.parametrize(
    ("off", "words"),
    [({"4": (1.27, 0.0)}, "lead 4 may stand 1.27 mm either way"), ({"4": (0.1, 0.2)}, ""), ({}, "")],
)
def test_a_doubtful_place_is_said_where_a_hole_does_not_forgive_it(off: dict[str, Any], words: str) -> None:
    """A place known to 1.27 mm is worth a measurement; one known better than the 0.3 mm of a hole is not."""
    text = said(part("A C / K E", uncertain_mm=off))

    assert (words in text) if words else ("either way" not in text)


def logic_board(nets: dict[str, str], taps: dict[str, Any]) -> Any:
    """A slotted board whose detector half asks for C and E."""
    pads = Pads(map="A C / K E", grid=GRID, nets=nets)
    return from_site(Site(kind="slotted", pads=pads, output=SiteOutput(load_side="C"), taps=taps))


@pytest.mark.parametrize("name", ["5V", "+5V", "5.0V", "5V0"])
def test_one_supply_under_two_names_is_one(name: str) -> None:
    """Net +5V at pad A and a tap written 5V, +5V, 5.0V or 5V0 are one supply, taken at either point."""
    answer = fit(logic_board({"A": "+5V"}, {name: (9.0, 3.0)}), part(LOGIC, (5.5, 1.27), kind="slotted"))

    assert answer.possible
    assert answer.verified
    assert {c.function: c.pad for c in answer.connections}["VCC"] in ("A", f"tap {name}")


def test_several_supplies_are_named_with_what_to_write() -> None:
    """5 V and 12 V: both are named with their places, and what to write settles it."""
    donor = part(LOGIC, (5.5, 1.27), kind="slotted")
    answer = fit(logic_board({"A": "+12V", "C": "5V"}, {}), donor)

    assert not answer.possible
    assert "several are named: +12V (pad A) and 5V (pad C)" in answer.because
    assert "taps: {+12V: [x, y], 0V: [x, y]}" in answer.nearest
    assert fit(logic_board({"A": "+12V", "C": "5V"}, {"5V": (9.0, 3.0)}), donor).possible


def test_a_clean_signal_settles_the_remark_on_logic() -> None:
    """Sense and levels need a check only until a clean signal has answered it; what else is said stays."""
    notes = (CHECK_LOGIC, DECOUPLE_DONOR)

    assert settled(notes, True) == (DECOUPLE_DONOR,)
    assert settled(notes, None) == settled(notes, False) == notes


def test_logic_gets_its_capacitor_and_a_totem_pole_its_own_line() -> None:
    """100 nF at VCC for every logic donor; a totem pole never shares a line."""
    donor = replace(part(LOGIC, (5.5, 1.27), kind="slotted"), output="logic-totem-pole")
    board = logic_board({}, {"5V": (9.0, 3.0)})

    assert {CHECK_LOGIC, DECOUPLE_DONOR, NEVER_SHARED} <= set(said(donor, board).split("\n"))
    assert NEVER_SHARED not in said(replace(donor, output="logic-open-collector"), board)
    assert DECOUPLE_DONOR not in said(part("A C / K E"))
