"""Ways for wires in a drawing: as the fit routed them, else bowed so that they clear other pads, leads and wires."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from functools import lru_cache

from xref.draw.layout import Scene, WireRun
from xref.model.base import PointMm

_CLEAR_MM = 1.1
"""A wire is drawn at least this far from marks that are not its own, where there is a way."""

_BOWS = (0.0, 0.8, -0.8, 1.6, -1.6, 2.4, -2.4, 3.2, -3.2, 4.2, -4.2, 5.2, -5.2)
_CORNERS = ((0.25, 0.75), (0.2,), (0.5,), (0.8,), (0.05, 0.95))


@lru_cache(maxsize=16)
def wire_paths(scene: Scene) -> Mapping[int, tuple[PointMm, ...]]:
    """Number to points for every wire that has both ends in the scene. Give the component view, mirror afterwards."""
    marks = [(("pad", m.label), m.at_mm) for m in scene.pads] + [(("lead", m.label), m.at_mm) for m in scene.leads]
    done: dict[int, tuple[PointMm, ...]] = {}
    for wire in sorted(scene.wires, key=lambda w: (_length(w.points_mm), w.number)):
        if len(wire.points_mm) < 2:
            continue
        if len(wire.points_mm) > 2:
            done[wire.number] = wire.points_mm
            continue
        foreign = [at for name, at in marks if name not in (wire.start, wire.end)]
        done[wire.number] = _best(wire, foreign, list(done.values()))
    return done


def _best(wire: WireRun, foreign: list[PointMm], laid: list[tuple[PointMm, ...]]) -> tuple[PointMm, ...]:
    start, end = wire.points_mm
    far = math.dist(start, end)
    if far < 1e-6:
        return wire.points_mm
    across = (-(end[1] - start[1]) / far, (end[0] - start[0]) / far)

    def price(way: tuple[PointMm, ...], bow: float) -> float:
        blame = abs(bow) * 0.3
        for point in foreign:
            # marks that lie on an end of this wire cannot be cleared
            if min(math.dist(point, start), math.dist(point, end)) > _CLEAR_MM:
                blame += 8 * max(0.0, _CLEAR_MM - min(distance(point, a, b) for a, b in _legs(way)))
        for other in laid:
            for a, b in _legs(way):
                for c, d in _legs(other):
                    if _cross(a, b, c, d):
                        blame += 2
                    blame += 2 * sum(
                        max(0.0, 0.8 - distance(_between(a, b, t), c, d)) for t in (0.1, 0.3, 0.5, 0.7, 0.9)
                    )
        return blame

    ways: list[tuple[tuple[PointMm, ...], float]] = [((start, end), 0.0)]
    ways += [(_bowed(start, end, across, bow, shares), bow) for bow in _BOWS if bow for shares in _CORNERS]
    return min(ways, key=lambda pair: price(*pair))[0]


def _bowed(start: PointMm, end: PointMm, across: PointMm, bow: float, shares: tuple[float, ...]) -> tuple[PointMm, ...]:
    return (
        start,
        *((p[0] + across[0] * bow, p[1] + across[1] * bow) for p in (_between(start, end, share) for share in shares)),
        end,
    )


def _between(a: PointMm, b: PointMm, share: float) -> PointMm:
    return (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)


def _legs(points: Sequence[PointMm]) -> list[tuple[PointMm, PointMm]]:
    return list(itertools.pairwise(points))


def _length(points: Sequence[PointMm]) -> float:
    return sum(math.dist(a, b) for a, b in _legs(points))


def distance(point: PointMm, a: PointMm, b: PointMm) -> float:
    """From a point to the nearest place on a leg."""
    long = (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2
    if long == 0:
        return math.dist(point, a)
    share = ((point[0] - a[0]) * (b[0] - a[0]) + (point[1] - a[1]) * (b[1] - a[1])) / long
    return math.dist(point, _between(a, b, min(1.0, max(0.0, share))))


def _cross(a: PointMm, b: PointMm, c: PointMm, d: PointMm) -> bool:
    def side(p: PointMm, q: PointMm, r: PointMm) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def along(points: Sequence[PointMm], share: float) -> PointMm:
    """The point at this share of a wire's length."""
    left = _length(points) * share
    for a, b in _legs(points):
        leg = math.dist(a, b)
        if left <= leg and leg > 0:
            return _between(a, b, left / leg)
        left -= leg
    return points[-1]
