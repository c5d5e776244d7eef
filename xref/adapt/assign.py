"""One pose in full: which hole and which route for every lead; fewest crossings, then shortest. Exact.

Crossings are allowed one more at a time, from none: the first number for which there is an answer is the least. Within
a number it is branch and bound over the leads, the one with the fewest options left next; what an option would cross
is counted for all options that are still open, so a dead end shows early.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass

from xref.adapt import routes
from xref.model.base import PointMm


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A place of the board where a connection can end. ``wire_only``: a tap, nothing falls in."""

    label: str
    net: str
    at_mm: PointMm
    wire_only: bool = False


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Placed:
    """One lead and where it goes. ``path``: corners from lead to hole; ``over``: places that it passes over."""

    lead: int
    hole: Hole
    by: str
    at_mm: PointMm
    path: routes.Path
    length_mm: float
    over: int = 0


_Open = list[tuple[Placed, int]]
"""The options of one lead that are still open, with the crossings each would add."""


class OutOfTime(Exception):
    """The time cap ran out inside one pose."""


class Assignment:
    """The search in one pose."""

    def __init__(self, options: Sequence[Sequence[Placed]], wires: int, end: float) -> None:
        """``options`` of every connected lead; ``wires`` is the fewest that they need, so more is never taken."""
        self.options = [sorted(one, key=lambda item: (item.length_mm, item.over)) for one in options]
        self.wires, self.end = wires, end
        self.met: dict[tuple[int, int], bool] = {}
        self.boxes: dict[int, routes.Box] = {}
        self.best: tuple[float, tuple[Placed, ...]] | None = None
        self.budget = 0
        self.nodes = 0

    def run(self, most_crossings: int, shorter_than: float) -> tuple[int, float, tuple[Placed, ...]] | None:
        """(crossings, length, choice), or None when nothing has fewer crossings than ``most_crossings``, or as many and
        is shorter than ``shorter_than``.

        Raises:
            OutOfTime: the cap was reached before the answer was proved
        """
        for budget in range(most_crossings + 1):
            self.budget = budget
            limit = shorter_than if budget == most_crossings else float("inf")
            self.best = None
            start = [[(item, item.over) for item in one if item.over <= budget] for one in self.options]
            if all(start):
                self._extend(start, (), self.wires, 0, 0.0, limit)
            if self.best is not None:
                return budget, self.best[0], self.best[1]
        return None

    def first_best(self) -> tuple[int, float, tuple[Placed, ...]]:
        """An answer without proof, for when the time is out: lead by lead, what crosses least and is shortest."""
        taken: list[Placed] = []
        crossed, left = 0, self.wires
        order = sorted(self.options, key=lambda one: (min(item.by == "wire" for item in one), len(one)))
        for index, one in enumerate(order):
            spare = left - sum(all(item.by == "wire" for item in rest) for rest in order[index + 1 :])
            free = [
                item
                for item in one
                if item.by == "wire" or all(other.by == "wire" or other.hole is not item.hole for other in taken)
            ]
            rated = [
                (item.by == "wire" and spare <= 0, item.over + sum(self._meet(item, other) for other in taken), k)
                for k, item in enumerate(free)
            ]
            _, added, k = min(rated)
            taken.append(free[k])
            crossed += added
            left -= free[k].by == "wire"
        return crossed, round(sum(item.length_mm for item in taken), 6), tuple(taken)

    def _extend(
        self, rest: list[_Open], taken: tuple[Placed, ...], wires: int, crossed: int, length: float, limit: float
    ) -> None:
        self.nodes += 1
        if self.nodes % 256 == 0 and time.monotonic() > self.end:
            raise OutOfTime
        if not rest:
            if round(length, 6) < (self.best[0] if self.best else limit):
                self.best = (round(length, 6), taken)
            return
        index = min(range(len(rest)), key=lambda k: len(rest[k]))
        others = rest[:index] + rest[index + 1 :]
        floor = sum(one[0][0].length_mm for one in others)
        for option, crossings in rest[index]:
            now = crossed + crossings
            left = wires - (option.by == "wire")
            if now > self.budget or left < 0:
                continue
            if round(length + option.length_mm + floor, 6) >= (self.best[0] if self.best else limit):
                break  # options are in order of length: the rest is longer still
            narrowed = self._narrow(option, others, now, left)
            if narrowed is not None:
                self._extend(narrowed, (*taken, option), left, now, length + option.length_mm, limit)

    def _narrow(self, option: Placed, others: list[_Open], crossed: int, wires: int) -> list[_Open] | None:
        """What stays open for the other leads once ``option`` is taken; None when one has nothing left."""
        found = []
        sure, need = 0, 0
        for one in others:
            kept = []
            for other, count in one:
                if other.by != "wire" and option.by != "wire" and other.hole is option.hole:
                    continue
                total = count + self._meet(option, other)
                if crossed + total <= self.budget:
                    kept.append((other, total))
            if not kept:
                return None
            sure += min(count for _, count in kept)
            need += all(item.by == "wire" for item, _ in kept)
            found.append(kept)
        if crossed + sure > self.budget or need > wires:
            return None
        return found

    def _meet(self, one: Placed, other: Placed) -> bool:
        if one.by == "direct" or other.by == "direct":
            return False
        key = (id(one), id(other))
        known = self.met.get(key)
        if known is None:
            left, bottom, right, top = self._box(one)
            west, south, east, north = self._box(other)
            apart = right < west or east < left or top < south or north < bottom
            known = self.met[key] = self.met[(key[1], key[0])] = not apart and routes.cross(one.path, other.path)
        return known

    def _box(self, item: Placed) -> routes.Box:
        """The box around a path, a hair larger."""
        found = self.boxes.get(id(item))
        if found is None:
            xs, ys = [x for x, _ in item.path], [y for _, y in item.path]
            found = self.boxes[id(item)] = (min(xs) - 1e-5, min(ys) - 1e-5, max(xs) + 1e-5, max(ys) + 1e-5)
        return found
