"""Where the places of the leads are not known: slot, body, holes and mount are still checked or named."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from xref.adapt.fit import fit
from xref.adapt.original import Original, from_part, from_typed
from xref.library.store import open_library
from xref.model.lead import Lead
from xref.model.part import Geometry, Hole, Part, Slot
from xref.model.row import row_of
from xref.model.site import Pads, Sees, Site
from xref.model.want import Want
from xref.search.criteria import criteria

BOARD = replace(from_typed("A C / K E", (7.6, 2.54), kind="slotted"), gap_mm=3.0, mount="through-hole")
LEADS = tuple(Lead(label=word, function=word) for word in "AKCE")


def donor(gap: float | None = 3.0, **geometry: object) -> Part:
    """A slotted part whose leads have no place."""
    made = Geometry(leads=LEADS, **geometry)  # type: ignore[arg-type]
    return Part(name="donor", kind="slotted", slot=Slot(gap_mm=gap), geometry=made)


def said(part: Part, board: Original = BOARD) -> str:
    """The remarks of a fit that is possible."""
    answer = fit(board, part)
    assert answer.possible
    assert answer.verified
    assert answer.pose is None
    return "\n".join(answer.warnings)


def test_a_flag_as_thick_as_the_slot_does_not_pass() -> None:
    """EE-SX1107 has a slot of 1 mm (its data sheet, drawing): a flag of 1 mm cannot run in it, H21A1 takes it."""
    library = open_library()
    board = replace(from_part(library.get("H21A1")), flag_mm=1.0)

    answer = fit(board, library.get("EE-SX1107"))

    assert not answer.possible
    assert answer.because == "the slot of EE-SX1107 is 1 mm wide and the flag 1 mm thick: it does not pass"
    assert fit(board, library.get("H21A1")).possible


@pytest.mark.parametrize("name", ["TCPT1300X01", "OPB857Z", "GP1S73P"])
def test_a_part_without_places_is_not_passed_over_in_silence(name: str) -> None:
    """Hold, body or beam of a part on wires or without lead places: each unknown is named with its measurement."""
    library = open_library()
    ground = Site(kind="slotted", pads=Pads(nets={"K": "0V", "E": "0V"}), sees=Sees(flag=1.0))
    text = said(library.get(name), from_part(library.get("H21A1"), ground))

    assert f"beam height of {name} not known: measure" in text
    assert f"slot floor of {name} not known: measure" in text
    assert f"{name} has none that is known: it needs another hold" in text


@pytest.mark.parametrize(
    ("gap", "flag"), list(itertools.product([1.0, 1.4, 1.5, 2.0, 2.85, 2.95, 3.0, 5.0], [None, 0.5, 1.0, 2.0]))
)
def test_fit_refuses_the_slot_that_find_refuses(gap: float, flag: float | None) -> None:
    """One rule for both commands, with places of the leads or without."""
    want = Want(kind="slotted", gap_mm=3.0, flag_mm=flag)
    rule = next(item for item in criteria(want) if item.name == "gap")
    board = replace(BOARD, flag_mm=flag)
    placed = Geometry(
        leads=tuple(Lead(label=pad.label, function=pad.functions[0], at_mm=pad.at_mm) for pad in BOARD.pads)
    )

    refused = rule.measure(row_of(donor(gap))) == 1.0

    assert fit(board, donor(gap)).possible is not refused
    assert fit(board, replace(donor(gap), geometry=placed)).possible is not refused


def test_halves_in_the_old_housing_need_no_slot() -> None:
    """The old housing keeps its own slot, so that of the donor does not count."""
    assert fit(replace(BOARD, keep=("housing",)), donor(1.0)).possible


@pytest.mark.parametrize(
    ("part", "text"),
    [
        (donor(mount="smd"), "donor is surface-mounted"),
        (donor(mount="panel/wired"), "donor hangs on wires"),
        (donor(), "body of donor not known: measure its length, width and height"),
        (donor(size_mm=(3.4,)), "body 3.4 mm, its other edges not known: measure; the original is 12 x 6 x 10 mm"),
        (donor(size_mm=(14.0, 6.0, 10.0)), "body 14 x 6 x 10 mm; the original is 12 x 6 x 10 mm: check the room"),
        (donor(None), "gap of donor not known: measure its slot"),
        (donor(2.95), ""),
    ],
)
def test_what_needs_no_pose_is_said(part: Part, text: str) -> None:
    """Mount, body and gap, each in its own sentence."""
    assert text in said(part, replace(BOARD, size_mm=(12.0, 6.0, 10.0)))


def test_a_body_within_the_old_one_has_no_remark() -> None:
    """Length and width may be changed: a donor no larger than the original, in either order, goes unsaid."""
    board = replace(BOARD, size_mm=(12.0, 6.0, 10.0))

    assert "body" not in said(donor(size_mm=(6.0, 12.0, 9.0)), board)


@pytest.mark.parametrize(
    ("size", "goes"), [((6.0, 12.0), True), ((8.0, 12.0), False), ((15.0,), False), ((3.4,), True)]
)
def test_a_stated_room_holds_without_a_pose(size: tuple[float, ...], goes: bool) -> None:
    """A room of 12 x 6 mm: a body goes in when it does in one of the two right-angled ways."""
    assert fit(replace(BOARD, room_mm=(12.0, 6.0)), donor(size_mm=size)).possible is goes


def screws(*places: float, diameter: float = 3.2) -> tuple[Hole, ...]:
    return tuple(Hole(at_mm=(x, 0.0), diameter_mm=diameter, kind="screw") for x in places)


@pytest.mark.parametrize(
    ("holes", "text"),
    [
        ((), "held by screws in holes of 3.2 mm; donor has none that is known"),
        (screws(-6.0, 6.0), "screw holes 12 mm apart, the original's 19 mm"),
        (screws(-9.5, 9.5, diameter=2.2), "screw hole of 3.2 mm: the donor's is 2.2 mm"),
    ],
)
def test_screw_holes_are_compared_by_size_and_distance(holes: tuple[Hole, ...], text: str) -> None:
    """Two holes 19 mm apart in the original: none, nearer ones, smaller ones; equal ones go unsaid."""
    board = replace(BOARD, holes=screws(-9.5, 9.5))

    assert text in said(donor(holes=holes), board)
    assert "screw" not in said(donor(holes=screws(0.0, 19.0)), board)
