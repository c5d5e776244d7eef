"""The check of a fit: each kind of mistake alone is found and named; a right answer is not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from xref.adapt.fit import FitOptions, fit
from xref.adapt.original import Original, from_typed
from xref.adapt.verify import verify
from xref.model.answers.fit import Connection, Fit, Link, Pose
from xref.model.lead import Lead
from xref.model.part import Geometry, Part
from xref.model.site import Pads, Site

GRID = (5.5, 2.54)


def part(words: str, name: str = "donor", grid: tuple[float, float] = GRID) -> Part:
    """A donor typed like a map."""
    original = from_typed(words, grid)
    leads = tuple(
        Lead(label=p.label, function="+".join(p.functions) or "NC", at_mm=p.at_mm) for p in original.pads if p.at_mm
    )
    return Part(name=name, kind="reflective", geometry=Geometry(leads=leads))


def right() -> tuple[Original, Part, Fit]:
    """Four pads and a donor whose detector leads stand the other way round: two leads drop in, two are wires."""
    original, donor = from_typed("A C / K E", GRID), part("A E / K C")
    answer = fit(original, donor, FitOptions(reach_mm=0.0, turns=(0,)))
    assert answer.verified
    assert answer.wire_count == 2
    return original, donor, answer


def at(answer: Fit, name: str, /, **changes: object) -> Fit:
    """The answer with one connection changed."""
    listed = tuple(replace(c, **changes) if c.lead == name else c for c in answer.connections)  # type: ignore[arg-type]
    return replace(answer, connections=listed)


def without(answer: Fit, lead: str) -> Fit:
    gone = [c for c in answer.connections if c.lead == lead]
    return replace(
        answer,
        connections=tuple(c for c in answer.connections if c.lead != lead),
        open_leads=(*answer.open_leads, lead),
        wire_count=answer.wire_count - sum(c.by == "wire" for c in gone),
    )


def find(answer: Fit, lead: str) -> Connection:
    return next(c for c in answer.connections if c.lead == lead)


MISTAKES: list[tuple[str, Callable[[Fit], Fit], str]] = [
    ("lead left floating", lambda a: without(a, "C"), "C of the donor is not connected; the board needs C"),
    ("unknown lead", lambda a: at(a, "C", lead="9"), "the donor has no lead 9"),
    ("unknown pad", lambda a: at(a, "C", pad="X"), "the board has no pad X"),
    ("wrong function", lambda a: at(a, "C", function="E"), "lead C is called E and is not"),
    ("wrong net", lambda a: at(a, "C", net="K"), "pad C is on net C, not K"),
    ("lead forgotten", lambda a: replace(without(a, "C"), open_leads=()), "lead C is forgotten"),
    ("both open and connected", lambda a: replace(a, open_leads=("C",)), "lead C is both connected and open"),
    ("twice", lambda a: replace(a, connections=(*a.connections, find(a, "A"))), "lead A is connected twice"),
    ("turned drawing", lambda a: replace(a, pose=Pose(turn_deg=180, shift_mm=(0.0, 0.0))), "lead A is not at"),
    ("shifted drawing", lambda a: replace(a, pose=Pose(turn_deg=0, shift_mm=(0.5, 0.0))), "lead A is not at"),
    ("mirrored", lambda a: replace(a, pose=Pose(turn_deg=0, shift_mm=(0.0, 0.0), side="solder")), "lead A is not at"),
    ("pad elsewhere", lambda a: at(a, "C", pad_at_mm=(0.0, 0.0)), "pad C is not at"),
    ("no pose", lambda a: replace(a, pose=None), "A is not on a wire and there is no pose"),
    ("not in the hole", lambda a: at(a, "C", by="direct", route_mm=()), "2 wires are counted and 1 are there"),
    (
        "dropped in from afar",
        lambda a: replace(at(a, "C", by="direct", route_mm=()), wire_count=1),
        "lead C to pad C: 2.54 mm off the hole",
    ),
    ("route missing", lambda a: at(a, "C", route_mm=()), "lead C to pad C: a wire without a route"),
    (
        "route to another pad",
        lambda a: at(a, "C", route_mm=((2.75, -1.27), (2.75, 0.0))),
        "lead C to pad C: the route does not run from the lead to the pad",
    ),
    (
        "slanted route",
        lambda a: at(a, "C", route_mm=((2.75, -1.27), (4.0, 0.0), (2.75, 1.27))),
        "lead C to pad C: the route is not X-Y",
    ),
    ("wire too short", lambda a: at(a, "C", length_mm=1.0), "lead C to pad C: 1 mm of wire for a route of"),
    (
        "long bare wire",
        lambda a: at(
            a,
            "C",
            insulated=False,
            length_mm=40.0,
            route_mm=((2.75, -1.27), (9.75, -1.27), (9.75, 1.27), (2.75, 1.27)),
        ),
        "lead C to pad C: 16.5 mm of bare wire",
    ),
    (
        "link across two nets",
        lambda a: replace(a, links=(Link(between=("K", "C"), length_mm=9.0, why=""),), wire_count=3),
        "the link K-C shorts K to C",
    ),
]


@pytest.mark.parametrize(("mistake", "reason"), [m[1:] for m in MISTAKES], ids=[m[0] for m in MISTAKES])
def test_each_mistake_is_found(mistake: Callable[[Fit], Fit], reason: str) -> None:
    """One thing wrong at a time: the first reason names it."""
    original, donor, answer = right()

    assert verify(original, donor, mistake(answer))[0].startswith(reason)


def wired(lead: str, function: str, pad: str, net: str) -> Connection:
    return Connection(
        lead=lead,
        function=function,
        pad=pad,
        net=net,
        by="wire",
        length_mm=0.0,
        lead_at_mm=(0.0, 0.0),
        pad_at_mm=(0.0, 0.0),
    )


def listed(*connections: Connection, open_leads: tuple[str, ...] = ()) -> Fit:
    """A lead list without geometry."""
    return Fit(
        original="o",
        donor="d",
        kind="reflective",
        possible=True,
        connections=connections,
        wire_count=len(connections),
        open_leads=open_leads,
    )


def test_reversed_halves_are_called_reversed() -> None:
    """Emitter and detector the wrong way round have their own word: it is what destroys parts."""
    original, donor = from_typed("A C / K E", GRID), part("A C / K E")
    answer = listed(*(wired(f, f, p, p) for f, p in (("A", "K"), ("K", "A"), ("C", "E"), ("E", "C"))))

    reasons = verify(original, donor, answer)

    assert len(reasons) == 4
    assert all(reason.startswith("reversed: ") for reason in reasons)


def test_joined_leads_must_not_bridge_two_nets() -> None:
    """Two leads that are one conductor inside the donor, on two nets of the board: a short."""
    original = from_typed("A C / K E", GRID)
    donor = Part(
        name="d",
        kind="reflective",
        geometry=Geometry(
            leads=tuple(Lead(label=n, function=f) for n, f in (("1", "A"), ("2", "K"), ("3", "K+E"), ("4", "C")))
        ),
    )
    answer = listed(
        wired("1", "A", "A", "A"), wired("2", "K", "K", "K"), wired("3", "K+E", "E", "E"), wired("4", "C", "C", "C")
    )

    assert verify(original, donor, answer)[0] == "lead 2+3 shorts E to K"


def test_equals_may_be_exchanged() -> None:
    """K and E on one net of the board: either pad is right for either lead, and the pads A and C are not."""
    site = Site(kind="reflective", pads=Pads(map="A C / K E", grid=GRID, nets={"K": "0V", "E": "0V"}))
    original, donor = from_typed("A C / K E", GRID, site=site), part("A C / K E")
    pads = {"A": "A", "K": "0V", "C": "C", "E": "0V"}

    def answer(**to: str) -> Fit:
        return listed(*(wired(f, f, p, pads[p]) for f, p in to.items()))

    assert verify(original, donor, answer(A="A", K="E", C="C", E="K")) == []
    assert verify(original, donor, answer(A="A", K="K", C="C", E="K")) == []
    assert verify(original, donor, answer(A="C", K="K", C="A", E="E"))


def test_nc_lead_must_stay_open() -> None:
    """A lead without a function on a net of the board is refused."""
    original, donor = from_typed("A C / K E", GRID), part("A C / K E / NC .")
    answer = listed(*(wired(f, f, f, f) for f in "ACK"), wired("E", "E", "E", "E"), open_leads=("NC",))
    wrong = replace(answer, connections=(*answer.connections, wired("NC", "NC", "E", "E")), open_leads=(), wire_count=5)

    assert verify(original, donor, answer) == []
    assert verify(original, donor, wrong) == ["lead NC has no function and is connected"]


def test_two_leads_do_not_share_a_hole() -> None:
    """One hole takes one lead."""
    original, donor, answer = right()
    wrong = at(answer, "C", by="formed", pad="A", net="A", pad_at_mm=(-2.75, 1.27), route_mm=())

    assert any("two leads share the hole of pad A" in reason for reason in verify(original, donor, wrong))


def test_bend_longer_than_the_lead() -> None:
    """A lead of 2 mm cannot be bent 2.54 mm aside, whatever the answer says."""
    original, donor, answer = right()
    short = replace(donor, geometry=replace(donor.geometry, lead_length_mm=2.0))
    bent = replace(at(at(answer, "C", by="formed", route_mm=()), "E", by="formed", route_mm=()), wire_count=0)

    assert verify(original, donor, bent) == []
    assert verify(original, short, bent)[0].endswith("2.54 mm is too far to bend")


def test_unserved_function_is_named() -> None:
    """A board that wants a lead the donor has not."""
    original = from_typed("A C / K E / E2 C2", GRID)
    donor = part("A C / K E")
    answer = listed(*(wired(f, f, f, f) for f in "ACKE"))

    assert verify(original, donor, answer) == [
        "the board needs C2 and nothing of the donor serves it",
        "the board needs E2 and nothing of the donor serves it",
    ]
