"""Will it go in where no pose is known: what body, screw holes, beam and slot say without a place of the leads."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from xref.adapt import space
from xref.adapt.original import Original
from xref.model.part import Hole, Part

_OVER_MM = 0.2
_APART_MM = 0.5


def body_limit(original: Original, donor: Part) -> str:
    """Why the body cannot stand in the stated room in any right-angled turn, or an empty text."""
    room, size = original.room_mm, _size(donor)
    if len(room) < 2 or original.keep:
        return ""
    if len(size) == 1:
        return (
            f"the body of {donor.name} is {size[0]:g} mm wide, the room is {max(room[:2]):g} mm"
            if size[0] > max(room[:2]) + _OVER_MM
            else ""
        )
    for mine, limit in zip(sorted(size[:2]), sorted(room[:2]), strict=False):
        if mine > limit + _OVER_MM:
            return f"the body of {donor.name} is {mine:g} mm wide, the room is {limit:g} mm"
    return ""


def remarks(original: Original, donor: Part) -> list[str]:
    """Sentences on mount, body, holes, beam and slot that need no pose; loose halves have none of these."""
    if original.keep:
        return space.kept_housing(original, donor)
    if "pair" in (original.kind, donor.kind):
        return []
    found = [*_mount(original, donor), *_body(original, donor), *_holes(original, donor)]
    if original.kind == donor.kind == "slotted":
        found += [*space.beam(original, donor), *space.slot(original, donor)]
    return found


def _mount(original: Original, donor: Part) -> list[str]:
    if donor.geometry.mount == "smd" and original.mount != "smd":
        return [f"{donor.name} is surface-mounted: a small board or short stiff wires must hold it at the old height"]
    if donor.geometry.mount == "panel/wired" and original.mount != "panel/wired":
        return [f"{donor.name} hangs on wires: something must hold it where the original stood"]
    return space.mount(original, donor)


def _body(original: Original, donor: Part) -> list[str]:
    size = _size(donor)
    if not size:
        return [f"body of {donor.name} not known: measure its length, width and height"]
    mine = " x ".join(f"{edge:g}" for edge in size)
    if len(size) < 3:
        mine += f" mm, {'its other edges' if len(size) == 1 else 'its height'} not known: measure"
    else:
        mine += " mm"
    if original.room_mm:
        room = " x ".join(f"{edge:g}" for edge in original.room_mm)
        return [] if len(size) >= len(original.room_mm) else [f"body {mine}; the room is {room} mm"]
    theirs = original.size_mm or original.body_mm
    if not theirs:
        return [f"body {mine}; room for it not known: measure the space above and around the pads"]
    if len(size) == len(theirs) and all(a <= b + _OVER_MM for a, b in zip(_edges(size), _edges(theirs), strict=True)):
        return []
    return [f"body {mine}; the original is {' x '.join(f'{edge:g}' for edge in theirs)} mm: check the room around it"]


def _holes(original: Original, donor: Part) -> list[str]:
    old, new = _screws(original.holes), _screws(donor.geometry.holes)
    wanted = [hole.diameter_mm for hole in old] or list(original.hole_mm)
    found = []
    if wanted and not new:
        sizes = " and ".join(dict.fromkeys(f"{diameter:g}" for diameter in wanted))
        found.append(
            f"the original is held by screws in holes of {sizes} mm; {donor.name} has none that is known: "
            "it needs another hold"
        )
    elif wanted and not any(abs(hole.diameter_mm - diameter) <= 0.3 for hole in new for diameter in wanted):
        found.append(f"screw hole of {wanted[0]:g} mm: the donor's is {new[0].diameter_mm:g} mm")
    ours, theirs = _pitch(new), _pitch(old)
    if ours is not None and theirs is not None and abs(ours - theirs) > _APART_MM:
        found.append(f"screw holes {ours:.3g} mm apart, the original's {theirs:.3g} mm: one screw holds it at most")
    found += [
        f"the donor has a peg of {hole.diameter_mm:g} mm: drill for it or cut it off"
        for hole in donor.geometry.holes
        if hole.kind == "peg"
    ][:1]
    return found


def _screws(holes: Sequence[Hole]) -> list[Hole]:
    return [hole for hole in holes if hole.kind == "screw"]


def _pitch(holes: Sequence[Hole]) -> float | None:
    """The largest distance of two holes [mm]."""
    return max((math.dist(a.at_mm, b.at_mm) for a, b in itertools.combinations(holes, 2)), default=None)


def _size(donor: Part) -> tuple[float, ...]:
    return donor.geometry.size_mm or donor.geometry.body_mm or ()


def _edges(size: Sequence[float]) -> list[float]:
    """Length and width in falling order, because their direction is not known, then height."""
    return [*sorted(size[:2], reverse=True), *size[2:]]
