"""Will it go in: body, screw holes, beam height, slot floor and gap against what is known of the place.

What can be checked is checked; what is not known is named together with the one measurement that settles it.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from xref.adapt.original import Original
from xref.adapt.poses import turned
from xref.model.base import PointMm
from xref.model.part import Part

_SLACK_MM = 0.05
_EXACT_MM = 1e-9
"""Decimal figures are not exact in binary: 0.6 + 0.5."""
_HOLE_OFF_MM = 0.5

GAP_UNDER_MM = 0.1
"""How much narrower than the old slot is still the same slot; the search refuses from here too."""

FLAG_ROOM_MM = 0.5
"""Room that a flag needs in the slot, both sides together, as in the search (common practice, no source)."""


def body_limit(original: Original, donor: Part) -> tuple[Callable[[int, PointMm], bool] | None, str]:
    """(test of a pose against the stated room and neighbours or None, reason when no pose can pass or '').

    The stated room is taken to be centred where the pads are. Without a stated room nothing is forbidden.
    """
    room = original.room_mm
    if not (room or original.bodies) or original.keep:
        return None, ""
    geometry = donor.geometry
    size = geometry.size_mm
    if len(room) > 2 and len(size) > 2 and size[2] > room[2] + _SLACK_MM:
        return None, f"{donor.name} is {size[2]:g} mm high, the room is {room[2]:g} mm"
    if geometry.body_mm is None:
        if len(size) >= 2 and room:
            for mine, limit in zip(sorted(size[:2]), sorted(room[:2]), strict=True):
                if mine > limit + _SLACK_MM:
                    return None, f"the body of {donor.name} is {mine:g} mm wide, the room is {limit:g} mm"
        return None, ""
    width, height = geometry.body_mm

    def allowed(turn: int, shift: PointMm) -> bool:
        along, across = (width, height) if turn % 180 == 0 else (height, width)
        if room and (
            abs(shift[0]) + along / 2 > room[0] / 2 + _SLACK_MM or abs(shift[1]) + across / 2 > room[1] / 2 + _SLACK_MM
        ):
            return False
        return not any(
            abs(shift[0] - (left + right) / 2) < (along + right - left) / 2 - _SLACK_MM
            and abs(shift[1] - (bottom + top) / 2) < (across + top - bottom) / 2 - _SLACK_MM
            for _, (left, bottom, right, top) in original.bodies
        )

    return allowed, ""


def slot_limit(original: Original, donor: Part) -> tuple[str, str]:
    """(why the flag cannot run in the donor's slot, what would settle it), or two empty texts.

    A flag whose thickness is stated decides; without it only the old slot is known to be wide enough.
    """
    gap, was, flag = donor.slot.gap_mm, original.gap_mm, original.flag_mm
    if original.keep or gap is None or not original.kind == donor.kind == "slotted":
        return "", ""
    wider = "a donor with a wider slot, or its halves in the old housing"
    if flag is not None and gap <= flag:
        return f"the slot of {donor.name} is {gap:g} mm wide and the flag {flag:g} mm thick: it does not pass", wider
    if was is None or gap >= was - GAP_UNDER_MM - _EXACT_MM:
        return "", ""
    if flag is None:
        return (
            f"the slot of {donor.name} is {gap:g} mm wide, the original's {was:g} mm: the flag may rub",
            f"measure the flag: write sees: {{flag: 1mm}} into the site file, it needs {FLAG_ROOM_MM:g} mm of room; or "
            + wider,
        )
    if gap < flag + FLAG_ROOM_MM - _EXACT_MM:
        return (
            f"the slot of {donor.name} is {gap:g} mm wide, a flag of {flag:g} mm needs {flag + FLAG_ROOM_MM:g} mm: "
            "it may rub",
            wider,
        )
    return "", ""


def remarks(original: Original, donor: Part, turn: int, shift: PointMm, *, hole_mm: float = 0.3) -> list[str]:
    """Sentences on leads, body, holes, beam and slot for one pose; empty when all is known and fits.

    ``hole_mm``: how far from a hole a lead still drops in.
    """
    return [*_uncertain(donor, hole_mm), *_around(original, donor, turn, shift)]


def _uncertain(donor: Part, hole_mm: float) -> list[str]:
    """Leads whose place is known worse than a hole forgives, those of one doubt in one sentence."""
    doubts: dict[float, list[str]] = {}
    for label, off in donor.geometry.uncertain_mm.items():
        if max(off) > hole_mm:
            doubts.setdefault(max(off), []).append(label)
    found = []
    for worst, labels in doubts.items():
        leads = f"lead{'s' if len(labels) > 1 else ''} {', '.join(labels)}"
        found.append(f"{leads} may stand {worst:g} mm either way of the place drawn here: measure before you bend")
    return found


def _around(original: Original, donor: Part, turn: int, shift: PointMm) -> list[str]:
    if original.keep:
        return kept_housing(original, donor)
    found = mount(original, donor) + _body(original, donor, turn) + _holes(original, donor, turn, shift)
    if original.kind == "slotted" and donor.kind == "slotted":
        found += beam(original, donor) + slot(original, donor)
    return found


def kept_housing(original: Original, donor: Part) -> list[str]:
    """New halves in the old housing: the light path has to line up."""
    found = ["the old housing stays: check that the light path of the new half lines up before soldering"]
    if original.kind == "slotted" or donor.kind == "slotted":
        found += beam(original, donor)
    return found


def beam_moved(original: Original, moved: PointMm, along_x: bool) -> list[str]:
    """What it does that the beam sits ``moved`` mm from the old place; ``along_x``: the beam of a slot runs along x.

    Both halves move together, so the coupling inside the donor stays; what changes is where the target is seen.
    """
    x, y = moved
    if math.hypot(x, y) < 0.1:
        return []
    if original.kind == "slotted":
        path, across = (y, x) if along_x else (x, y)
        found = []
        if abs(path) >= 0.1:
            found.append(
                f"the beam sits {abs(path):.1f} mm along the flag path from the old place: a flag edge is seen that "
                "much earlier or later"
            )
        if abs(across) >= 0.1:
            found.append(f"the slot sits {abs(across):.1f} mm aside: check that the flag still runs free on both sides")
        return found
    return [
        f"the beam sits {math.hypot(x, y):.1f} mm from the old place: nothing changes on a surface larger than the "
        "spot; an edge or stripe is seen that much earlier or later"
    ]


def mount(original: Original, donor: Part) -> list[str]:
    """Surface-mounted against through-hole."""
    if original.mount == "smd" and donor.geometry.mount == "through-hole":
        return ["the original is surface-mounted: there are no holes; bend the leads flat onto the pads"]
    if original.mount == "through-hole" and donor.geometry.mount == "smd":
        return [f"{donor.name} is surface-mounted: it needs pads on the side it sits on, or short stiff wires"]
    return []


def _body(original: Original, donor: Part, turn: int) -> list[str]:
    body, size = donor.geometry.body_mm, donor.geometry.size_mm
    if body is None and not size:
        return [f"body of {donor.name} not known: measure its length, width and height"]
    if original.room_mm:
        if body is None:
            return [f"how the body of {donor.name} lies to its leads is not known: lay it on the pads before soldering"]
        return []
    if body is not None and original.body_mm is not None:
        turned_body = body if turn % 180 == 0 else (body[1], body[0])
        over = [m - o for m, o in zip(turned_body, original.body_mm, strict=True)]
        if max(over) > 0.2:
            return [
                f"body {turned_body[0]:g} x {turned_body[1]:g} mm over the pads, the original is "
                f"{original.body_mm[0]:g} x {original.body_mm[1]:g} mm: check the room around it"
            ]
        return []
    return ["room for the body not known: measure the space above and around the pads"]


def _holes(original: Original, donor: Part, turn: int, shift: PointMm) -> list[str]:
    screws = [hole for hole in original.holes if hole.kind == "screw"]
    mine = [hole for hole in donor.geometry.holes if hole.kind == "screw"]
    found = []
    for hole in screws:
        spots = [_moved(other.at_mm, turn, shift) for other in mine]
        off = min((math.dist(hole.at_mm, spot) for spot in spots), default=None)
        where = f"({hole.at_mm[0]:g}, {hole.at_mm[1]:g}) mm"
        if off is None:
            found.append(f"screw hole at {where}: {donor.name} has none known there")
            break
        if off > _HOLE_OFF_MM:
            found.append(f"screw hole at {where}: the donor's is {off:.1f} mm away")
    for diameter in original.hole_mm:
        if not mine:
            found.append(f"screw hole of {diameter:g} mm: {donor.name} has none that is known")
        elif not any(abs(hole.diameter_mm - diameter) <= 0.3 for hole in mine):
            found.append(f"screw hole of {diameter:g} mm: the donor's is {mine[0].diameter_mm:g} mm")
    for hole in donor.geometry.holes:
        if hole.kind == "peg":
            found.append(f"the donor has a peg of {hole.diameter_mm:g} mm: drill for it or cut it off")
            break
    return found


def beam(original: Original, donor: Part) -> list[str]:
    """The beam's height above the board against the original's."""
    ours, theirs = donor.geometry.beam_height_mm, original.beam_height_mm
    if ours is None or theirs is None:
        whose = donor.name if ours is None else "the original"
        return [f"beam height of {whose} not known: measure from the board to the middle of the aperture"]
    if abs(ours - theirs) > 0.5:
        return [f"beam {ours:g} mm above the board, the original {theirs:g} mm: the flag must cover it, or shim"]
    return []


def slot(original: Original, donor: Part) -> list[str]:
    """Gap and floor of the slot where ``slot_limit`` lets the donor pass."""
    found = []
    gap = donor.slot.gap_mm
    if gap is None:
        found.append(f"gap of {donor.name} not known: measure its slot")
    elif original.flag_mm is not None and gap < original.flag_mm + FLAG_ROOM_MM:
        found.append(f"gap {gap:g} mm for a flag of {original.flag_mm:g} mm: it may touch")
    elif original.gap_mm is not None and gap < original.gap_mm - GAP_UNDER_MM:
        found.append(
            f"gap {gap:g} mm, the original {original.gap_mm:g} mm: wide enough for the flag only if it runs true"
        )
    elif original.gap_mm is None and original.flag_mm is None:
        found.append(f"gap {gap:g} mm: measure how thick the flag is, it needs {FLAG_ROOM_MM:g} mm of room")
    floor = donor.slot.floor_mm
    if floor is None:
        found.append(f"slot floor of {donor.name} not known: measure how low the flag comes, and the floor of the slot")
    elif original.floor_mm is not None and floor > original.floor_mm + 0.2:
        found.append(
            f"slot floor {floor:g} mm above the board, the original {original.floor_mm:g} mm: the flag may hit it"
        )
    elif original.floor_mm is None:
        found.append(f"slot floor {floor:g} mm above the board: measure whether the flag stays above it")
    return found


def _moved(point: PointMm, turn: int, shift: PointMm) -> PointMm:
    x, y = turned(point, turn)
    return x + shift[0], y + shift[1]
