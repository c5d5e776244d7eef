"""The lead map: which donor lead goes to which pad, in which pose, with which wires; exact.

The solver knows no function and no switch position. It gets *demands*: each names a net (or none) for every lead, and
is one electrically right way to use the donor. Whoever states them (a sensor: one or a few; a switch: one for each way
its contacts can play the wanted ones) gets the best pose, pads and wires over all of them.

Cost, compared in this order: wires, crossings, length of bent leads and wires, distance of the optical axes.
"""

from __future__ import annotations

import heapq
import itertools
import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from xref.adapt import routes
from xref.adapt.assign import Assignment, OutOfTime
from xref.adapt.assign import Hole as Hole
from xref.adapt.assign import Placed as Placed
from xref.adapt.poses import shifts, turned
from xref.model.base import PointMm

Cost = tuple[int, int, float, float]
"""(wires, crossings, length in mm, axis offset in mm)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """For each donor lead, in order: the net it must reach, or None when it is left open. ``tag`` comes back."""

    nets: tuple[str | None, ...]
    tag: object = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """What a hand can do. ``reach_mm``: how far from its hole a lead can be bent; ``direct_mm``: it just falls in.

    ``bodies``: components and screw holes that wires go round.
    """

    direct_mm: float = 0.3
    reach_mm: float = 0.9
    tolerance_mm: float = 1.0
    time_cap_s: float = 0.5
    bodies: tuple[routes.Box, ...] = ()


_EDGE_MM = 1e-6
"""A lead exactly at the limit counts as inside, whatever the last bit says."""

MOST_CROSSINGS = 99
"""More than a board of eight wires can have."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """The best of one turn."""

    cost: Cost
    turn_deg: int
    shift_mm: PointMm
    demand: Demand
    placed: tuple[Placed, ...]
    lead_at_mm: tuple[PointMm, ...]
    mirrored: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """Best of every turn, best first; ``proven`` False when the time ran out."""

    solutions: tuple[Solution, ...]
    proven: bool = True


@dataclass(frozen=True, slots=True)
class _Pose:
    bound: tuple[int, float, float]
    shift: PointMm
    at: tuple[PointMm, ...]
    demand: Demand


def solve(
    holes: Sequence[Hole],
    leads: Sequence[PointMm],
    demands: Sequence[Demand],
    *,
    turns: Sequence[int],
    axis_mm: PointMm,
    donor_axis_mm: PointMm,
    rules: Rules,
    mirrored: bool = False,
    allowed: Callable[[int, PointMm], bool] | None = None,
) -> Outcome:
    """Find the best lead map of every turn.

    Args:
        holes: pads and taps of the board, mm, component side
        leads: donor leads in the donor's own axes, mm
        demands: electrically right ways; each as long as ``leads``
        turns: turns to try, in degrees
        axis_mm, donor_axis_mm: the points to keep together
        rules: reach and tolerance
        mirrored: the donor is put on the solder side
        allowed: a pose (turn, shift) that it refuses is not used (the body would collide)
    """
    end = time.monotonic() + rules.time_cap_s
    found, proven = [], True
    for turn in turns:
        search = _Turn(holes, [turned(at, turn, mirrored) for at in leads], rules, end, mirrored)
        axis = turned(donor_axis_mm, turn, mirrored)
        start = (axis_mm[0] - axis[0], axis_mm[1] - axis[1])
        best = search.best(turn, start, demands, allowed)
        proven = proven and not search.late
        if best is not None:
            found.append(best)
    found.sort(key=lambda item: (item.cost, item.turn_deg))
    return Outcome(solutions=tuple(found), proven=proven)


class _Turn:
    """The search with the turn fixed."""

    def __init__(self, holes: Sequence[Hole], leads: list[PointMm], rules: Rules, end: float, mirrored: bool) -> None:
        self.holes, self.leads, self.rules, self.end, self.mirrored = holes, leads, rules, end, mirrored
        self.late = False
        self.by_net: dict[str, list[Hole]] = {}
        for hole in holes:
            self.by_net.setdefault(hole.net, []).append(hole)
        self.radius = max(rules.reach_mm, rules.direct_mm)

    def best(
        self,
        turn: int,
        start: PointMm,
        demands: Sequence[Demand],
        allowed: Callable[[int, PointMm], bool] | None,
    ) -> Solution | None:
        """Poses with the fewest wires first (a bound that is exact), then each in full until no bound is better."""
        queue: list[tuple[tuple[int, float, float], int, _Pose]] = []
        count = itertools.count()
        for demand in demands:
            if any(net is not None and net not in self.by_net for net in demand.nets):
                continue
            for shift in shifts(start, self.rules.tolerance_mm, self._centres(demand), self._radii()):
                if allowed is None or allowed(turn, shift):
                    pose = self._pose(shift, demand, round(math.dist(shift, start), 6))
                    heapq.heappush(queue, (pose.bound, next(count), pose))
        best: Solution | None = None
        while queue:
            bound, _, pose = heapq.heappop(queue)
            wires, length, offset = bound
            if best is not None and (wires, 0, length, offset) >= best.cost:
                break
            if best is not None and time.monotonic() > self.end:
                self.late = True
                break
            try:
                found = self._assign(pose, best)
            except OutOfTime:
                self.late = True
                break
            if found is not None and (best is None or found.cost < best.cost):
                best = replace(found, turn_deg=turn)
        return best

    def _radii(self) -> tuple[float, ...]:
        if self.radius - self.rules.direct_mm < 1e-9:
            return (self.rules.direct_mm,)
        return (self.rules.direct_mm, self.radius)

    def _centres(self, demand: Demand) -> list[PointMm]:
        return [
            (hole.at_mm[0] - x, hole.at_mm[1] - y)
            for (x, y), net in zip(self.leads, demand.nets, strict=True)
            if net is not None
            for hole in self.by_net[net]
            if not hole.wire_only
        ]

    def _pose(self, shift: PointMm, demand: Demand, offset: float) -> _Pose:
        """The pose with its bound: fewest wires (exact), shortest length when nothing is in the way."""
        at = tuple((round(x + shift[0], 6), round(y + shift[1], 6)) for x, y in self.leads)
        options = [
            [] if net is None else self._ends(place, self.by_net[net])
            for place, net in zip(at, demand.nets, strict=True)
        ]
        busy = [item for item in options if item]
        wires, length = _cheapest(busy)
        return _Pose((wires, round(length, 6), offset), shift, at, demand)

    def _ends(self, place: PointMm, holes: Sequence[Hole]) -> list[tuple[int, float, Hole, str]]:
        """(wire 0 or 1, least length, hole, by) for one lead, cheapest first."""
        ends: list[tuple[int, float, Hole, str]] = []
        for hole in holes:
            apart = round(math.dist(place, hole.at_mm), 6)
            if not hole.wire_only and apart <= self.rules.direct_mm + _EDGE_MM:
                ends.append((0, 0.0, hole, "direct"))
            elif not hole.wire_only and apart <= self.radius + _EDGE_MM:
                ends.append((0, apart, hole, "formed"))
            manhattan = abs(place[0] - hole.at_mm[0]) + abs(place[1] - hole.at_mm[1])
            ends.append((1, round(manhattan, 6), hole, "wire"))
        ends.sort(key=lambda item: item[:2])
        return ends

    def _assign(self, pose: _Pose, best: Solution | None) -> Solution | None:
        """The best choice of holes and routes in one pose; None when it does not beat ``best``.

        Raises:
            OutOfTime: the cap was reached and there is a best to fall back on
        """
        places = [*(hole.at_mm for hole in self.holes), *pose.at]
        clear = routes.clearance(places)
        options: list[list[Placed]] = []
        for index, net in enumerate(pose.demand.nets):
            if net is not None:
                here = pose.at[index]
                options.append([])
                for wire, length, hole, by in self._ends(here, self.by_net[net]):
                    if wire:
                        ways = routes.routes(here, hole.at_mm, places, clear, self.rules.bodies)
                    else:
                        path = (here, hole.at_mm)
                        ways = [(length, routes.passed_over(path, places, clear) if by == "formed" else 0, path)]
                    options[-1] += [
                        Placed(lead=index, hole=hole, by=by, at_mm=here, path=path, length_mm=way, over=over)
                        for way, over, path in ways
                    ]
        wires, _, offset = pose.bound
        most, shorter = MOST_CROSSINGS, float("inf")
        if best is not None and best.cost[0] == wires:
            most = best.cost[1]
            # at the same length the nearer axis decides
            shorter = best.cost[2] + (1e-6 if offset < best.cost[3] else 0.0)
        search = Assignment(options, wires, self.end)
        try:
            found = search.run(most, shorter)
        except OutOfTime:
            if best is not None:
                raise
            self.late = True
            found = search.first_best()
        if found is None:
            return None
        crossings, length, placed = found
        return Solution(
            cost=(sum(item.by == "wire" for item in placed), crossings, length, offset),
            turn_deg=0,
            shift_mm=pose.shift,
            demand=pose.demand,
            placed=tuple(sorted(placed, key=lambda item: item.lead)),
            lead_at_mm=pose.at,
            mirrored=self.mirrored,
        )


def _cheapest(options: list[list[tuple[int, float, Hole, str]]]) -> tuple[int, float]:
    """Fewest wires when no hole takes two leads, and a length that no assignment undercuts."""
    if all(len({item[2].label for item in one}) == 1 for one in options):
        first = [one[0] for one in options]
        holes = [item[2].label for item in first if item[0] == 0]
        if len(set(holes)) == len(holes):
            return sum(item[0] for item in first), sum(item[1] for item in first)
    # leads that share holes: as many as possible into holes (augmenting paths), the length bounded lead by lead
    taken: dict[str, int] = {}

    def put(index: int, tried: set[str]) -> bool:
        for wire, _, hole, _ in options[index]:
            if wire or hole.label in tried:
                continue
            tried.add(hole.label)
            if hole.label not in taken or put(taken[hole.label], tried):
                taken[hole.label] = index
                return True
        return False

    inside = sum(1 for index in range(len(options)) if put(index, set()))
    return len(options) - inside, sum(min(item[1] for item in one) for one in options)
