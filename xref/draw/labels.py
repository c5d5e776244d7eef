"""Places for text in a figure: beside its mark, clear of other text, marks and, where it can be, of wires."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from xref.draw.shapes import Box, Circle, Label, Path, Shape, overlap, text_width
from xref.model.base import PointMm

_GAP = 0.35


class Placer:
    """Remembers what is taken inside ``room`` (left, bottom, right, top in mm) and finds places for text."""

    def __init__(self, room: Box, text: float) -> None:
        self.room = room
        self.text = text
        self._boxes: list[Box] = []
        self._soft: list[PointMm] = []
        self._lines: list[tuple[PointMm, PointMm]] = []

    def keep_off(self, at: PointMm, radius: float) -> None:
        """No text over this mark."""
        self._boxes.append((at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius))

    def keep_off_line(self, points: Sequence[PointMm]) -> None:
        """No text over this wire, as long as there is any other place."""
        self._lines += itertools.pairwise(points)

    def avoid(self, points: Sequence[PointMm]) -> None:
        """No text over this outline, if there is another place near."""
        for a, b in itertools.pairwise(points):
            steps = max(1, int(math.dist(a, b) / 0.6))
            self._soft += [
                (a[0] + (b[0] - a[0]) * i / steps, a[1] + (b[1] - a[1]) * i / steps) for i in range(steps + 1)
            ]

    def badge(self, number: str, choices: list[PointMm]) -> list[Shape]:
        """The number of a wire in a white circle at the first of the choices that is free."""
        size = self.text * 1.05
        radius = max(size * 0.72, text_width(number, size, True) / 2 + 0.5)
        spot = next((p for p in choices if self._free(_square(p, radius))), None)
        pointer: list[Shape] = []
        if spot is None:
            spot = self._ring(choices[0], radius) or choices[0]
            pointer = [Path(points=(choices[0], spot), width=0.2)]
        self._boxes.append(_square(spot, radius))
        wide = text_width(number, size, True)
        return [
            *pointer,
            Circle(at=spot, radius=radius, width=0.25, fill="white", name=f"number:{number}"),
            Label(at=(spot[0] - wide / 2, spot[1] - size * 0.36), text=number, size=size, bold=True),
        ]

    def _ring(self, around: PointMm, radius: float) -> PointMm | None:
        for far in (1.5, 2.5, 3.5, 5.0, 7.0, 9.0, 12.0, 16.0, 20.0):
            for step in range(24):
                angle = step * math.pi / 12
                spot = (around[0] + far * math.cos(angle), around[1] + far * math.sin(angle))
                if self._free(_square(spot, radius)):
                    return spot
        return None

    def label(self, text: str, at: PointMm, radius: float, centre: PointMm) -> list[Shape]:
        """The text near its mark, outwards first; a thin pointer when it had to go further away."""
        size = self.text * 1.15
        wide, tall = text_width(text, size, True), size * 1.17
        best = self._priced(at, radius, centre, (wide, tall), clear=True)
        if best is None and (spot := self._anywhere(at, radius, (wide, tall), clear=True)) is not None:
            best = (0.0, spot, 99.0)
        best = best or self._priced(at, radius, centre, (wide, tall), clear=False)
        if best is None:
            middle, far = self._anywhere(at, radius, (wide, tall), clear=False) or at, 99.0
        else:
            _, middle, far = best
        left, low = middle[0] - wide / 2, middle[1] - tall / 2
        self._boxes.append((left, low, left + wide, low + tall))
        found: list[Shape] = []
        if far > 1.5:
            pointer = (at, _nearest(at, (left, low, left + wide, low + tall)))
            found.append(Path(points=pointer, width=0.12))
            self._lines.append(pointer)
        found.append(Label(at=(left, low + 0.24 * size), text=text, size=size, bold=True))
        return found

    def _priced(
        self, at: PointMm, radius: float, centre: PointMm, box_mm: tuple[float, float], *, clear: bool
    ) -> tuple[float, PointMm, float] | None:
        """(price, middle, distance) of the best place near a mark; ``clear``: only places that no wire runs through."""
        wide, tall = box_mm
        best: tuple[float, PointMm, float] | None = None
        for far in (0.5, 1.4, 2.6, 4.0, 6.0, 8.5, 11.5, 15.0, 20.0):
            for angle_deg in range(0, 360, 15):
                angle = math.radians(angle_deg)
                middle = _beside(at, angle, radius + far, wide, tall)
                box = (middle[0] - wide / 2, middle[1] - tall / 2, middle[0] + wide / 2, middle[1] + tall / 2)
                if not self._free(box) or (far > 1.5 and self._pointer_hits(at, box, radius)):
                    continue
                if clear and any(_through(a, b, box, _GAP) for a, b in self._lines):
                    continue
                price = (
                    far
                    + min(self._lines_under(box), 3) * 1.2
                    + _inward(at, middle, centre)
                    + (angle_deg % 90 > 0) * 0.4
                )
                if best is None or price < best[0]:
                    best = (price, middle, far)
            if best is not None and best[0] < far + 1.0:
                break
        return best

    def _anywhere(self, at: PointMm, radius: float, box_mm: tuple[float, float], *, clear: bool) -> PointMm | None:
        """The nearest free place in the whole room; None when the room is full."""
        wide, tall = box_mm
        left, low, right, high = self.room
        spots = [
            (left + wide / 2 + i, low + tall / 2 + j)
            for i in range(max(0, int(right - left - wide) + 1))
            for j in range(max(0, int(high - low - tall) + 1))
        ]
        for x, y in sorted(spots, key=lambda spot: math.dist(spot, at)):
            box = (x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2)
            if not self._free(box):
                continue
            if clear and (
                self._pointer_hits(at, box, radius) or any(_through(a, b, box, _GAP) for a, b in self._lines)
            ):
                continue
            return (x, y)
        return None

    def _free(self, box: Box) -> bool:
        room = self.room
        inside = box[0] >= room[0] and box[1] >= room[1] and box[2] <= room[2] and box[3] <= room[3]
        return inside and not any(overlap(box, other, _GAP) for other in self._boxes)

    def _pointer_hits(self, at: PointMm, box: Box, radius: float) -> bool:
        """True when the pointer to a text there would run over another mark or text."""
        end = _nearest(at, box)
        far = math.dist(at, end)
        # a lead may stand in a ring that is not its own: its pointer has to leave that ring
        foreign = [b for b in self._boxes if not (b[0] < at[0] < b[2] and b[1] < at[1] < b[3])]
        steps = (
            [at[0] + (end[0] - at[0]) * i / 12 for i in range(13)],
            [at[1] + (end[1] - at[1]) * i / 12 for i in range(13)],
        )
        for x, y in zip(*steps, strict=True):
            if math.dist((x, y), at) <= min(radius * 1.5, far):
                continue
            if any(b[0] < x < b[2] and b[1] < y < b[3] for b in foreign):
                return True
        return False

    def _lines_under(self, box: Box) -> int:
        return sum(1 for x, y in self._soft if box[0] - 0.4 < x < box[2] + 0.4 and box[1] - 0.4 < y < box[3] + 0.4)


def _beside(at: PointMm, angle: float, far: float, wide: float, tall: float) -> PointMm:
    """The middle of a text whose box just leaves the circle of this radius in this direction."""
    dx, dy = math.cos(angle), math.sin(angle)
    return (at[0] + dx * (far + wide / 2), at[1] + dy * (far + tall / 2))


def _nearest(at: PointMm, box: Box) -> PointMm:
    """The point of a box that lies nearest."""
    return (min(max(at[0], box[0]), box[2]), min(max(at[1], box[1]), box[3]))


def _through(a: PointMm, b: PointMm, box: Box, gap: float) -> bool:
    """True when a straight line runs through the box or passes nearer than ``gap`` (clipped by its sides in turn)."""
    left, low, right, high = box[0] - gap, box[1] - gap, box[2] + gap, box[3] + gap
    if max(a[0], b[0]) < left or min(a[0], b[0]) > right or max(a[1], b[1]) < low or min(a[1], b[1]) > high:
        return False
    enter, leave = 0.0, 1.0
    dx, dy = b[0] - a[0], b[1] - a[1]
    for step, room in ((-dx, a[0] - left), (dx, right - a[0]), (-dy, a[1] - low), (dy, high - a[1])):
        if step == 0:
            if room < 0:
                return False
        elif step < 0:
            enter = max(enter, room / step)
        else:
            leave = min(leave, room / step)
    return enter <= leave


def _square(at: PointMm, radius: float) -> Box:
    return (at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius)


def _inward(at: PointMm, middle: PointMm, centre: PointMm) -> float:
    """Text outside the ring of marks reads better than text among them."""
    return 0.0 if math.dist(middle, centre) > math.dist(at, centre) else 1.2
