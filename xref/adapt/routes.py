"""X-Y routes of wires: few bends, not over pads or leads, and whether two routes cross.

Rules: X-Y, fewest bends, not over component leads or pads (checks.yaml J4). A wire that finds no such way passes over
what it must; each pad or lead it passes over counts as a crossing.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from xref.model.base import PointMm

Path = tuple[PointMm, ...]

Box = tuple[float, float, float, float]
"""Left, bottom, right, top of a component body in mm."""

CLEARANCE_MM = 0.6
"""Distance kept from the middle of a foreign pad or lead (half a pad of 1.2 mm; common practice, no source)."""

AROUND_MM = 1.5
"""How far outside all pads and leads a wire goes round them (common practice, no source)."""

_SAME = 1e-6


def clearance(points: Sequence[PointMm]) -> float:
    """The distance to keep on this board: 0.6 mm, or less than half the closest two places where they are tight."""
    apart = [d for a, b in itertools.combinations(points, 2) if (d := math.dist(a, b)) > 0.5]
    return min([CLEARANCE_MM, *(0.45 * d for d in apart)])


def lanes(values: Sequence[float]) -> tuple[float, ...]:
    """Coordinates where a middle leg may lie: midway between neighbours, and outside on both sides.

    Beside these, a middle leg may run along every side of a body.
    """
    rising = sorted(set(values))
    kept = [value for index, value in enumerate(rising) if index == 0 or value - rising[index - 1] > 0.05]
    inner = [round((a + b) / 2, 6) for a, b in itertools.pairwise(kept)]
    return (kept[0] - AROUND_MM, *inner, kept[-1] + AROUND_MM)


def routes(
    start: PointMm, end: PointMm, places: Sequence[PointMm], clear_mm: float, bodies: Sequence[Box] = ()
) -> list[tuple[float, int, Path]]:
    """(length in mm, places passed over, corners) from ``start`` to ``end``, shortest first.

    Every X-Y route with at most two bends whose middle leg lies in a lane; the clear ones, or when there is none the
    ones that pass over the fewest pads, leads and bodies.
    """
    own = (start, end)
    foreign = [p for p in places if min(math.dist(p, start), math.dist(p, end)) > clear_mm]
    columns = (
        *lanes([p[0] for p in places]),
        *(edge for box in bodies for edge in (box[0] - CLEARANCE_MM, box[2] + CLEARANCE_MM)),
    )
    rows = (
        *lanes([p[1] for p in places]),
        *(edge for box in bodies for edge in (box[1] - CLEARANCE_MM, box[3] + CLEARANCE_MM)),
    )
    rated = sorted((round(path_length(path), 6), len(path), path) for path in _paths(own, columns, rows))
    least = len(foreign) + len(bodies)
    kept: list[tuple[float, int, Path]] = []
    for length, _, path in rated:
        over = _count_over(path, foreign, clear_mm, bodies, least)
        if over < least:
            least, kept = over, []
        if over == least:
            kept.append((length, over, path))
    return kept


def passed_over(path: Path, places: Sequence[PointMm], clear_mm: float) -> int:
    """How many places a straight bent lead comes too near to, those at its own ends apart."""
    a, b = path[0], path[-1]
    length = math.dist(a, b)
    count = 0
    for place in places:
        if min(math.dist(place, a), math.dist(place, b)) <= clear_mm or length < _SAME:
            continue
        along = ((place[0] - a[0]) * (b[0] - a[0]) + (place[1] - a[1]) * (b[1] - a[1])) / length**2
        along = min(max(along, 0.0), 1.0)
        foot = (a[0] + along * (b[0] - a[0]), a[1] + along * (b[1] - a[1]))
        count += math.dist(place, foot) < clear_mm - 1e-9
    return count


def path_length(path: Path) -> float:
    """Length along ``path`` in mm."""
    return sum(math.dist(a, b) for a, b in itertools.pairwise(path))


def cross(one: Path, other: Path) -> bool:
    """True when two routes meet anywhere but at an end that both share."""
    shared = {p for p in (one[0], one[-1]) for q in (other[0], other[-1]) if math.dist(p, q) < _SAME}
    for a, b in itertools.pairwise(one):
        for c, d in itertools.pairwise(other):
            if _segments_meet(a, b, c, d, shared):
                return True
    return False


def _paths(own: tuple[PointMm, PointMm], columns: Sequence[float], rows: Sequence[float]) -> list[Path]:
    (x1, y1), (x2, y2) = own
    found: set[Path] = set()
    if abs(x1 - x2) < _SAME or abs(y1 - y2) < _SAME:
        found.add(own)
    else:
        found.add(((x1, y1), (x2, y1), (x2, y2)))
        found.add(((x1, y1), (x1, y2), (x2, y2)))
    for x in columns:
        if min(abs(x - x1), abs(x - x2)) > _SAME and abs(y1 - y2) > _SAME:
            found.add(((x1, y1), (x, y1), (x, y2), (x2, y2)))
    for y in rows:
        if min(abs(y - y1), abs(y - y2)) > _SAME and abs(x1 - x2) > _SAME:
            found.add(((x1, y1), (x1, y), (x2, y), (x2, y2)))
    return sorted(found)


def _count_over(path: Path, places: Sequence[PointMm], clear_mm: float, bodies: Sequence[Box], enough: int) -> int:
    """Places nearer to an X-Y path than ``clear_mm``, and bodies it enters; no more is counted above ``enough``."""
    count = sum(1 for body in bodies if _through(path, body))
    legs = [
        (ax, bx, ay, by) if ax <= bx and ay <= by else (bx, ax, by, ay)
        for (ax, ay), (bx, by) in itertools.pairwise(path)
    ]
    limit = clear_mm * clear_mm - 1e-9
    for px, py in places:
        if count > enough:
            break
        for left, right, bottom, top in legs:
            dx = left - px if px < left else px - right if px > right else 0.0
            if dx >= clear_mm:
                continue
            dy = bottom - py if py < bottom else py - top if py > top else 0.0
            if dx * dx + dy * dy < limit:
                count += 1
                break
    return count


def _through(path: Path, body: Box) -> bool:
    left, bottom, right, top = body
    return any(
        max(ax, bx) > left + _SAME
        and min(ax, bx) < right - _SAME
        and max(ay, by) > bottom + _SAME
        and min(ay, by) < top - _SAME
        for (ax, ay), (bx, by) in itertools.pairwise(path)
    )


def _segments_meet(a: PointMm, b: PointMm, c: PointMm, d: PointMm, shared: set[PointMm]) -> bool:
    if (
        max(a[0], b[0]) < min(c[0], d[0]) - _SAME
        or max(c[0], d[0]) < min(a[0], b[0]) - _SAME
        or max(a[1], b[1]) < min(c[1], d[1]) - _SAME
        or max(c[1], d[1]) < min(a[1], b[1]) - _SAME
    ):
        return False
    side_c, side_d = _side(a, b, c), _side(a, b, d)
    side_a, side_b = _side(c, d, a), _side(c, d, b)
    if side_c * side_d > 0 or side_a * side_b > 0:
        return False
    if shared:
        at_shared = [p for p in (a, b) if any(math.dist(p, s) < _SAME for s in shared)]
        if at_shared and any(math.dist(at_shared[0], q) < _SAME for q in (c, d)):
            # both start at the shared end: they meet again only when they lie on one line, the same way
            far_one = b if at_shared[0] == a else a
            far_other = d if math.dist(at_shared[0], c) < _SAME else c
            ux, uy = far_one[0] - at_shared[0][0], far_one[1] - at_shared[0][1]
            vx, vy = far_other[0] - at_shared[0][0], far_other[1] - at_shared[0][1]
            return abs(ux * vy - uy * vx) < _SAME and ux * vx + uy * vy > 0
    return True


def _side(a: PointMm, b: PointMm, p: PointMm) -> int:
    turn = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
    return 0 if abs(turn) < _SAME else (1 if turn > 0 else -1)
