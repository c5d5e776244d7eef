"""Where the donor may lie: its turns, and a finite set of shifts that holds an optimum.

Which shifts are enough. A turn fixed, the cost looks first at how many leads need a wire. A lead needs none when the
shift lies within reach of the place that would centre it in a hole it may use: a disc round that place. All discs have
one radius (one donor, one free lead length), and the tolerance of the optical axis is one disc more. The region of
shifts where a given set of leads needs no wire is thus an intersection of discs. Such a region, if not empty, either is
one of its discs (then it holds that disc's centre), or its border has a corner, where two of the circles cross. So the
centres and the crossings of circles hold a shift with the fewest wires among ALL shifts within the tolerance. (The
discs are drawn 1 um small, so that a corner is inside in floating point too.) A second family of discs, of the radius
within which a lead just falls in, is added in the same way.

The levels below (crossings, length) are compared over a set that can be found again by hand: axis on axis, every lead
centred in every hole it may use, the middle between two of these (two leads share the bend; no shift gives two leads a
smaller sum of bends), each of them as near as the tolerance allows, and the corners.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence

from xref.model.base import PointMm

_INSIDE_MM = 1e-3


def turned(point: PointMm, turn_deg: int, mirrored: bool = False) -> PointMm:
    """``point`` turned counter-clockwise by a multiple of 90°; ``mirrored`` first changes the sign of x."""
    x, y = (-point[0], point[1]) if mirrored else point
    quarter = turn_deg // 90 % 4
    if quarter == 0:
        return x, y
    if quarter == 1:
        return -y, x
    if quarter == 2:
        return -x, -y
    return y, -x


def turns_for(kind: str, original_beam: PointMm | None, donor_beam: PointMm | None, sideways: bool) -> tuple[int, ...]:
    """Turns that keep the sensing direction.

    ``original_beam``, ``donor_beam``: direction from emitter to detector leads, None when unknown. A reflective part
    that looks away from the board may turn freely; one that looks sideways may not turn at all; a slot keeps its
    flag path, so the beams stay parallel.
    """
    if sideways:
        return (0,)
    if kind not in ("slotted",):
        return (0, 90, 180, 270)
    if original_beam is None or donor_beam is None or _along_x(original_beam) == _along_x(donor_beam):
        return (0, 180)
    return (90, 270)


def shifts(
    start: PointMm,
    tolerance_mm: float,
    centres: Iterable[PointMm],
    radii_mm: Sequence[float],
) -> list[PointMm]:
    """The candidate shifts of one turn, nearest to ``start`` first; see the head of this file.

    ``start`` puts axis on axis; ``centres`` are the shifts that centre a lead in a hole it may use.
    """
    limit = max(tolerance_mm - _INSIDE_MM, 0.0)
    far = tolerance_mm + max(radii_mm, default=0.0)
    near = sorted({(round(x, 6), round(y, 6)) for x, y in centres if math.dist(start, (x, y)) < far})
    found = {(round(start[0], 6), round(start[1], 6))}
    if limit <= 0:
        return list(found)
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in itertools.combinations(near, 2)]
    for target in (*near, *middles):
        apart = math.dist(start, target)
        share = 1.0 if apart <= limit else limit / apart
        x, y = start[0] + share * (target[0] - start[0]), start[1] + share * (target[1] - start[1])
        found.add((round(x, 6), round(y, 6)))
    for radius in radii_mm:
        drawn = radius - _INSIDE_MM
        if drawn <= 0:
            continue
        circles = [(centre, drawn) for centre in near] + [(start, limit)]
        for index, (one, one_radius) in enumerate(circles):
            for other, other_radius in circles[index + 1 :]:
                for point in crossings(one, one_radius, other, other_radius):
                    if math.dist(start, point) <= limit + 1e-6:
                        found.add((round(point[0], 6), round(point[1], 6)))
    return sorted(found, key=lambda shift: (round(math.dist(start, shift), 9), shift))


def crossings(one: PointMm, one_radius: float, other: PointMm, other_radius: float) -> list[PointMm]:
    """Where two circles cross: none, one (touching) or two points."""
    apart = math.dist(one, other)
    if apart < 1e-9 or apart > one_radius + other_radius or apart < abs(one_radius - other_radius):
        return []
    along = (apart**2 + one_radius**2 - other_radius**2) / (2 * apart)
    aside = math.sqrt(max(one_radius**2 - along**2, 0.0))
    ux, uy = (other[0] - one[0]) / apart, (other[1] - one[1]) / apart
    middle = one[0] + along * ux, one[1] + along * uy
    if aside < 1e-9:
        return [middle]
    return [(middle[0] - aside * uy, middle[1] + aside * ux), (middle[0] + aside * uy, middle[1] - aside * ux)]


def _along_x(direction: PointMm) -> bool:
    return abs(direction[0]) >= abs(direction[1])
