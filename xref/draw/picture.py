"""A scene as a picture of characters: pills of text at their places, wires routed round them, a ruler under it.

``[A]`` is a pad, ``(1 C)`` a lead, ``[A (1)]`` a lead in its pad, ``[A ~(1)]`` a lead bent over to its pad, ``~(1 C)``
a bent lead that stands where it would be taken for another: at its true place. No label stands nearer to another pad
or lead than to its own; where that cannot be done there is no picture.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from xref.draw.closeup import close_up
from xref.draw.grid import Cell, Grid
from xref.draw.layout import LeadMark, Scene
from xref.draw.names import Names, lead_name, short_names
from xref.draw.words import columns, wrap
from xref.model.base import PointMm

_SCALES = (2, 3, 4, 5, 6, 7, 8, 10, 12)
"""Columns per mm; rows are half of that, since a character is about twice as tall as wide."""

_MAX_ROWS = 26
_JOINED_MM = 1.3
"""A bent lead is written into its pad up to this distance, else at its own place."""
_CLEARLY = 1.5
"""... and only where every other lead and pad is this many times as far."""
_ROUNDING_MM = 0.05

NO_PICTURE = "No picture: leads and pads lie too close together to tell apart in characters; the list has them all."

_CROWDED = 4
"""With more wires than this the bodies are left out of the picture, so that the wires can be followed."""


_Marks = dict[tuple[str, str], PointMm]
"""('lead' or 'pad', label) to its true place."""


@dataclass(frozen=True, slots=True)
class _Pill:
    text: str
    at_mm: PointMm
    names: frozenset[tuple[str, str]]
    """('lead' or 'pad', label) of all that the pill stands for."""


@dataclass(slots=True)
class _Frame:
    """Where a millimetre falls: ``scale`` columns a mm, ``origin`` the cell of the point (left, top)."""

    scale: int
    left: float
    top: float
    origin: Cell
    width: int
    height: int

    def cell(self, point: PointMm) -> Cell:
        x, y = point
        return (
            self.origin[0] + round((x - self.left) * self.scale),
            self.origin[1] + round((self.top - y) * self.scale / 2),
        )

    def middle(self, start: Cell, wide: int) -> PointMm:
        """The point in mm under the middle of a text."""
        return (
            self.left + (start[0] + wide // 2 - self.origin[0]) / self.scale,
            self.top - (start[1] - self.origin[1]) * 2 / self.scale,
        )


def picture(scene: Scene, *, ascii: bool, width: int) -> list[str]:
    """The lines of the picture with its cue for the emitter end, its ruler and the key of its marks."""
    names, long_names = short_names(scene, ascii=ascii)
    whole = close_up(scene)
    for scene in (whole, replace(whole, outlines=(), holes=(), axes=(), cropped=False)):
        best = _best(scene, names, ascii=ascii, width=width)
        if best is not None:
            break
    else:
        return [*(f" {line}" for line in wrap(NO_PICTURE, width - 1)), *(f" {line}" for line in long_names)]
    grid, frame, undrawn = best
    marked = _axes(scene, frame, grid)
    lines = grid.lines()
    while lines and not lines[0]:
        lines.pop(0)
    while lines and not lines[-1]:
        lines.pop()
    out = [*_cue(scene, lines, ascii), "", _ruler(frame, ascii)]
    return out + _key(scene, marked, undrawn, ascii) + [f" {line}" for line in long_names]


def _best(scene: Scene, names: Names, *, ascii: bool, width: int) -> tuple[Grid, _Frame, list[int]] | None:
    """The first frame in which every wire finds a way, else the one with fewest left out; None: no frame is true."""
    pills = _pills(scene, names, ascii)
    marks: _Marks = {("pad", m.label): m.at_mm for m in scene.pads}
    marks |= {("lead", m.label): m.at_mm for m in scene.leads}
    best: tuple[Grid, _Frame, list[int]] | None = None
    frames = list(_frames(scene, pills, width))
    # a row is worth up to a millimetre: where it starts decides whether near places fall into rows of their own
    for phase in (0.0, 0.25, 0.5, 0.75):
        for plain in frames:
            frame = replace(plain, top=plain.top + phase * 2 / plain.scale)
            grid = Grid(frame.width, frame.height + 1, ascii)
            _outlines(scene, frame, grid)
            spots = _place(pills, frame, grid, marks)
            if spots is None:
                continue
            undrawn = _wires(scene, spots, grid)
            if best is None or len(undrawn) < len(best[2]):
                best = (grid, frame, undrawn)
            if not undrawn:
                return best
        if best is not None:
            return best
    return None


def _pills(scene: Scene, names: Names, ascii: bool) -> list[_Pill]:
    joined: dict[str, list[LeadMark]] = {}
    for lead in scene.leads:
        if lead.pad and (lead.by == "direct" or (lead.by == "formed" and _at_its_pad(scene, lead))):
            joined.setdefault(lead.pad, []).append(lead)
    pills = []
    for pad in scene.pads:
        inside = joined.pop(pad.label, [])
        words = [names["pad", pad.label]]
        words += [f"{'~' if lead.by == 'formed' else ''}({names['lead', lead.label]})" for lead in inside]
        marks = frozenset({("pad", pad.label), *(("lead", lead.label) for lead in inside)})
        pills.append(_Pill(f"[{' '.join(words)}]", pad.at_mm, marks))
    done = {name for pill in pills for name in pill.names}
    for lead in scene.leads:
        if ("lead", lead.label) not in done:
            text = ("~" if lead.by == "formed" else "") + lead_name(lead, names, ascii=ascii)
            pills.append(_Pill(text, lead.at_mm, frozenset({("lead", lead.label)})))
    return pills


def _at_its_pad(scene: Scene, lead: LeadMark) -> bool:
    """True when a bent lead is the nearest one to its pad, and its pad the nearest one to it."""
    places = {pad.label: pad.at_mm for pad in scene.pads}
    if lead.pad not in places:
        return False
    far = math.dist(lead.at_mm, places[lead.pad])
    others = [math.dist(one.at_mm, places[lead.pad]) for one in scene.leads if one.label != lead.label]
    others += [math.dist(lead.at_mm, at) for label, at in places.items() if label != lead.pad]
    return far <= _JOINED_MM and all(_CLEARLY * far < other for other in others)


def _frames(scene: Scene, pills: list[_Pill], width: int) -> Iterator[_Frame]:
    """Frames to try: from the smallest scale at which no two pills touch upwards, then with more room round it."""
    fitting = []
    for room in (4, 8, 12) if scene.wires else (1,):
        for scale in _SCALES:
            frame = _fitted(scene, pills, scale, room)
            if frame.width <= width and frame.height <= _MAX_ROWS + room // 2:
                fitting.append(frame)
    if not fitting:
        fitting = [_fitted(scene, pills, _SCALES[0], 1)]
    gap = 6 if scene.wires else 3
    apart = [f for f in fitting if f.width >= 30 and _apart(pills, f, gap)]
    for frame in apart or fitting[::-1]:
        frame.width = max(frame.width, min(width, 40))
        yield frame


def _fitted(scene: Scene, pills: list[_Pill], scale: int, room: int) -> _Frame:
    left, bottom, right, top = scene.extent()
    before = max([columns(p.text) // 2 - round((p.at_mm[0] - left) * scale) for p in pills] + [0]) + room + 1
    after = max([columns(p.text) // 2 - round((right - p.at_mm[0]) * scale) for p in pills] + [0]) + room + 2
    rows = max(2, (room + 1) // 2)
    return _Frame(
        scale=scale,
        left=left,
        top=top,
        origin=(before, rows),
        width=before + round((right - left) * scale) + after,
        height=rows + round((top - bottom) * scale / 2) + rows + 1,
    )


def _apart(pills: list[_Pill], frame: _Frame, gap: int) -> bool:
    for i, one in enumerate(pills):
        for other in pills[:i]:
            # pills nearer than this lie on each other at every scale; they are moved apart when placed
            if abs(one.at_mm[0] - other.at_mm[0]) < 0.8 and abs(one.at_mm[1] - other.at_mm[1]) < 0.8:
                continue
            (x1, y1), (x2, y2) = frame.cell(one.at_mm), frame.cell(other.at_mm)
            if abs(y1 - y2) < 2 and abs(x1 - x2) < (columns(one.text) + columns(other.text)) / 2 + gap:
                return False
    return True


def _outlines(scene: Scene, frame: _Frame, grid: Grid) -> None:
    if len(scene.wires) > _CROWDED:
        return
    for outline in scene.outlines:
        edges = [(frame.cell(start), frame.cell(end)) for start, end in outline.edges()]
        both = len(scene.outlines) > 1 or scene.pads
        grid.outline(edges, heavy=bool(both) and outline.what == "body")


def _place(
    pills: list[_Pill], frame: _Frame, grid: Grid, marks: _Marks
) -> dict[tuple[str, str], tuple[Cell, int]] | None:
    """Write every pill at its place, or beside it with a pointer; returns name to (first cell, width).

    None: a pill finds no place that is nearer to its own mark than to another.
    """
    spots = {}
    for pill in pills:
        column, row = frame.cell(pill.at_mm)
        wide = columns(pill.text)
        for dx, dy in _offsets(wide):
            start = (column - wide // 2 + dx, row + dy)
            if grid.free(start, wide) and _is_own(pill, frame.middle(start, wide), marks):
                break
        else:
            return None
        grid.write(start, pill.text)
        if not dx and dy:
            for step in range(1, abs(dy)):
                cell = (column, row + step * (1 if dy > 0 else -1))
                if cell not in grid.solid:
                    grid.chars[cell] = ":" if grid.ascii else "┊"
                    grid.solid.add(cell)
        for name in pill.names:
            spots[name] = (start, wide)
    return spots


def _is_own(pill: _Pill, middle: PointMm, marks: _Marks) -> bool:
    """True when no foreign pad or lead lies nearer to the middle of the text than what the text names."""
    own = min(math.dist(middle, at) for name, at in marks.items() if name in pill.names)
    return all(own <= math.dist(middle, at) + _ROUNDING_MM for name, at in marks.items() if name not in pill.names)


def _offsets(wide: int) -> list[tuple[int, int]]:
    """Where to try a pill: at its place, then above, below, then to the sides, nearest first."""
    rows = [(0, dy) for step in range(1, 5) for dy in (-step, step)]
    sides = [(dx, dy) for step in range(2, 14, 2) for dy in (0, -1, 1, -2, 2) for dx in (-step - wide, step + wide)]
    return [(0, 0), *rows, *sides]


def _wires(scene: Scene, spots: dict[tuple[str, str], tuple[Cell, int]], grid: Grid) -> list[int]:
    """Route every wire, short ones first; returns the numbers of those that found no way."""
    undrawn = []
    for wire in sorted(scene.wires, key=lambda w: (w.length_mm, w.number)):
        ends = [spots.get(wire.start), spots.get(wire.end)]
        if ends[0] is None or ends[1] is None or ends[0] == ends[1]:
            undrawn.append(wire.number)
            continue
        starts, goals = _around(*ends[0]), _around(*ends[1])
        path = grid.route(list(starts), set(goals))
        if path is None or not grid.lay(path, str(wire.number), starts[path[0]], goals[path[-1]]):
            undrawn.append(wire.number)
    return sorted(undrawn)


def _around(start: Cell, wide: int) -> dict[Cell, Cell]:
    """The cells that touch a pill, each with the pill's cell that it touches."""
    x, y = start
    cells = {(x - 1, y): (x, y), (x + wide, y): (x + wide - 1, y)}
    for i in range(wide):
        cells[(x + i, y - 1)] = (x + i, y)
        cells[(x + i, y + 1)] = (x + i, y)
    return cells


def _axes(scene: Scene, frame: _Frame, grid: Grid) -> list[str]:
    """Mark the optical axes where there is room; returns what was marked, for the key."""
    cells: dict[Cell, list[str]] = {}
    for axis in scene.axes:
        cells.setdefault(frame.cell(axis.at_mm), []).append(axis.what)
    marked = []
    for cell, what in cells.items():
        if grid.inside(cell) and cell not in grid.solid | grid.across | grid.down | grid.turns:
            grid.chars[cell] = "x" if "optical axis" in what else "*"
            marked.append(f"{grid.chars[cell]} {'old and new optical axis' if len(what) > 1 else what[0]}")
    return marked


def _cue(scene: Scene, lines: list[str], ascii: bool) -> list[str]:
    left, right, up, down = ("<-", "->", "^", "v") if ascii else ("◀", "▶", "▲", "▼")
    wide = max(max((columns(line) for line in lines), default=0), 34)
    match scene.emitter_at:
        case "left":
            ends = f"{left} EMITTER end".ljust(wide - 15) + f" DETECTOR end {right}"
            return [ends, *lines]
        case "right":
            ends = f"{left} DETECTOR end".ljust(wide - 14) + f" EMITTER end {right}"
            return [ends, *lines]
        case "top":
            return [f"{up} EMITTER end".center(wide).rstrip(), *lines, f"{down} DETECTOR end".center(wide).rstrip()]
        case "bottom":
            return [f"{up} DETECTOR end".center(wide).rstrip(), *lines, f"{down} EMITTER end".center(wide).rstrip()]
    return lines


def _ruler(frame: _Frame, ascii: bool) -> str:
    length = next((mm for mm in (10, 5, 2, 1) if mm * frame.scale <= min(44, frame.width - 14)), 1)
    tick, dash = ("|", "-") if ascii else ("┼", "─")
    bar = tick + (dash * (frame.scale - 1) + tick) * length
    return f" {bar} {length} mm, one step = 1 mm"


def _key(scene: Scene, marked: list[str], undrawn: list[int], ascii: bool) -> list[str]:
    """The marks that this picture uses, in words."""
    out = [" The upper edge is the same edge in both views; left and right change places."]
    marks = []
    if scene.pads:
        marks += ["[A] pad of the board", "(1) lead of the new part"]
        if any(lead.by == "direct" for lead in scene.leads):
            marks.append("[A (1)] lead 1 drops into pad A")
        if any(lead.by == "formed" for lead in scene.leads):
            marks.append("~ bent over to its pad")
    if len(scene.wires) > len(undrawn):
        marks.append("-1- wire 1, drawn round the text" if ascii else "─1─ wire 1, drawn round the text")
    names = {outline.what for outline in scene.outlines if len(scene.wires) <= _CROWDED}
    if scene.pads and "body" in names:
        marks.append(f"{'===' if ascii else '═══'} new body")
    if "old body" in names:
        marks.append(f"{'...' if ascii else '┄┄┄'} old body")
    elif "body" in names and not scene.pads:
        marks.append(f"{'...' if ascii else '┄┄┄'} body")
    marks += marked
    line = ""
    for mark in marks:
        if line and columns(line) + 3 + columns(mark) > 78:
            out.append(line)
            line = ""
        line += ("   " if line else " ") + mark
    if line:
        out.append(line)
    if scene.cropped:
        out.append(" Close-up: bodies and holes go on beyond the edge.")
    if undrawn:
        shown = ", ".join(str(number) for number in undrawn)
        out.append(f" No room here for wire {shown}; the lead map has it.")
    return out
