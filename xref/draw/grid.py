"""A sheet of characters: dotted outlines, pills of text, and wires routed round them. Columns right, rows down."""

from __future__ import annotations

from dataclasses import dataclass, field

from xref.draw.words import columns

Cell = tuple[int, int]
"""(column, row)."""

_UP, _DOWN, _LEFT, _RIGHT = (0, -1), (0, 1), (-1, 0), (1, 0)

_ASCII_TURNS = "+"
_BOX_TURNS = {
    frozenset({_UP, _LEFT}): "┘",
    frozenset({_UP, _RIGHT}): "└",
    frozenset({_DOWN, _LEFT}): "┐",
    frozenset({_DOWN, _RIGHT}): "┌",
}

_HEAVY_TURNS = {
    frozenset({_UP, _LEFT}): "╝",
    frozenset({_UP, _RIGHT}): "╚",
    frozenset({_DOWN, _LEFT}): "╗",
    frozenset({_DOWN, _RIGHT}): "╔",
}


def _way(start: int, end: int) -> int:
    return (end > start) - (end < start)


@dataclass(slots=True)
class Grid:
    """Characters by cell. ``solid`` cells hold text that nothing may cross; ``beside`` cells, left and right of text,
    take only a wire that starts or ends there; ``across``, ``down`` and ``turns`` hold the wires."""

    width: int
    height: int
    ascii: bool
    chars: dict[Cell, str] = field(default_factory=dict)
    solid: set[Cell] = field(default_factory=set)
    beside: set[Cell] = field(default_factory=set)
    across: set[Cell] = field(default_factory=set)
    down: set[Cell] = field(default_factory=set)
    turns: set[Cell] = field(default_factory=set)

    def inside(self, cell: Cell) -> bool:
        """True when the cell is on the sheet."""
        return 0 <= cell[0] < self.width and 0 <= cell[1] < self.height

    def free(self, start: Cell, width: int) -> bool:
        """True when text of this width fits here with a blank column on both sides."""
        x, y = start
        return (
            x >= 0
            and x + width <= self.width
            and 0 <= y < self.height
            and not any((x + i, y) in self.solid for i in range(-1, width + 1))
        )

    def write(self, start: Cell, text: str) -> None:
        """Put text and keep its cells."""
        x, y = start
        self._clear((x - 1, y))
        for char in text:
            self.chars[(x, y)] = char
            for i in range(max(columns(char), 1)):
                self.solid.add((x + i, y))
                if i:
                    self.chars[(x + i, y)] = ""
            x += max(columns(char), 1)
        self._clear((x, y))

    def _clear(self, cell: Cell) -> None:
        """Keep a blank between text and an outline that runs through its row."""
        self.beside.add(cell)
        if cell not in self.solid:
            self.chars.pop(cell, None)

    def outline(self, edges: list[tuple[Cell, Cell]], *, heavy: bool) -> None:
        """Upright and level edges of one body. ``heavy`` uses the denser mark, so that two bodies can be told apart."""
        if self.ascii:
            flat, tall = ("=", "#") if heavy else (".", ":")
        else:
            flat, tall = ("═", "║") if heavy else ("┄", "┊")
        ways: dict[Cell, set[Cell]] = {}
        for (x0, y0), (x1, y1) in edges:
            across = abs(x1 - x0) >= abs(y1 - y0)
            for x in range(min(x0, x1), max(x0, x1) + 1):
                for y in range(min(y0, y1), max(y0, y1) + 1):
                    self._faint((x, y), flat if across else tall)
            for cell, other in (((x0, y0), (x1, y1)), ((x1, y1), (x0, y0))):
                step = (_way(cell[0], other[0]), 0) if across else (0, _way(cell[1], other[1]))
                ways.setdefault(cell, set()).add(step)
        for cell, out in ways.items():
            if len(out) == 2 and self.ascii:
                self._faint(cell, "#" if heavy else ".")
            elif len(out) == 2:
                self._faint(cell, (_HEAVY_TURNS if heavy else _BOX_TURNS).get(frozenset(out), flat))

    def _faint(self, cell: Cell, char: str) -> None:
        if self.inside(cell) and cell not in self.solid:
            self.chars[cell] = char

    def route(self, start: list[Cell], goal: set[Cell]) -> list[Cell] | None:
        """The cheapest path between two sets of cells: few steps, few turns, crossings only straight through."""
        best: dict[tuple[Cell, Cell], int] = {}
        buckets: dict[int, list[tuple[Cell, Cell]]] = {}
        came: dict[tuple[Cell, Cell], tuple[Cell, Cell] | None] = {}
        for cell in start:
            if not self.inside(cell) or cell in self.solid or cell in self.across | self.down:
                continue
            # beside text a wire leaves straight, so that its end is plain to see
            ways = (_LEFT, _RIGHT) if cell in self.beside else (_UP, _DOWN, _LEFT, _RIGHT)
            for way in ways:
                if cell in self.beside and (cell[0] - way[0], cell[1]) not in self.solid:
                    continue
                best[(cell, way)] = 0
                came[(cell, way)] = None
                buckets.setdefault(0, []).append((cell, way))
        while buckets:
            cost = min(buckets)
            for state in buckets.pop(cost):
                if best[state] < cost:
                    continue
                cell, way = state
                if cell in goal and cell not in self.across and cell not in self.down:
                    return self._trace(state, came)
                for step in (_UP, _DOWN, _LEFT, _RIGHT):
                    if (step[0] + way[0], step[1] + way[1]) == (0, 0):
                        continue
                    nxt = (cell[0] + step[0], cell[1] + step[1])
                    if cell in self.beside and step != way:
                        continue
                    if nxt in self.beside and (nxt not in goal or step[1]):
                        continue
                    price = self._price(cell, way, nxt, step)
                    if price is None:
                        continue
                    new = (nxt, step)
                    if cost + price < best.get(new, 1 << 30):
                        best[new] = cost + price
                        came[new] = state
                        buckets.setdefault(cost + price, []).append(new)
        return None

    def _price(self, cell: Cell, way: Cell, nxt: Cell, step: Cell) -> int | None:
        if not self.inside(nxt) or nxt in self.solid or nxt in self.turns:
            return None
        flat = step in (_LEFT, _RIGHT)
        if nxt in (self.across if flat else self.down):
            return None
        if step != way and (cell in self.across or cell in self.down):
            return None
        crossing = nxt in (self.down if flat else self.across)
        # a row is as tall as two columns are wide
        return (1 if flat else 2) + (3 if step != way else 0) + (12 if crossing else 0) + self._near(nxt)

    def _near(self, cell: Cell) -> int:
        """Keep a little off text and other wires, so that the eye can follow a line."""
        x, y = cell
        return sum(
            1 + (other not in self.solid)
            for other in ((x - 1, y), (x + 1, y), (x, y - 1), (x, y + 1))
            if other in self.solid or other in self.across or other in self.down
        )

    @staticmethod
    def _trace(state: tuple[Cell, Cell], came: dict[tuple[Cell, Cell], tuple[Cell, Cell] | None]) -> list[Cell]:
        path = []
        at: tuple[Cell, Cell] | None = state
        while at is not None:
            path.append(at[0])
            at = came[at]
        return path[::-1]

    def lay(self, path: list[Cell], name: str, first: Cell, last: Cell) -> bool:
        """Draw a wire along the path with its name on the longest straight run. False: no room for the name."""
        steps = [first, *path, last]
        flat, tall = ("-", "|") if self.ascii else ("─", "│")
        runs: list[list[Cell]] = [[]]
        for i, cell in enumerate(path):
            into = (steps[i][0] - cell[0], steps[i][1] - cell[1])
            out = (steps[i + 2][0] - cell[0], steps[i + 2][1] - cell[1])
            crossed = cell in self.across or cell in self.down
            if into[1] == 0 and out[1] == 0:
                self.across.add(cell)
                # the wire laid first runs through unbroken: a crossing, no joint
                if not crossed:
                    self.chars[cell] = flat
            elif into[0] == 0 and out[0] == 0:
                self.down.add(cell)
                if not crossed:
                    self.chars[cell] = tall
            else:
                self.turns.add(cell)
                self.chars[cell] = _ASCII_TURNS if self.ascii else _BOX_TURNS[frozenset({into, out})]
                runs.append([])
                continue
            if crossed:
                runs.append([])
            else:
                runs[-1].append(cell)
        return self._name(runs, name)

    def _name(self, runs: list[list[Cell]], name: str) -> bool:
        for run in sorted(runs, key=len, reverse=True):
            if len(run) < 1:
                break
            middle = run[len(run) // 2]
            flat = middle in self.across
            x = middle[0] - len(name) // 2
            cells = [(x + i, middle[1]) for i in range(len(name))]
            blocked = any(
                cell in self.solid or cell in self.turns or (cell not in run and cell in self.across | self.down)
                for cell in cells
            )
            if blocked or (flat and len(run) < len(name) + 1):
                continue
            for cell, char in zip(cells, name, strict=True):
                self.chars[cell] = char
                self.solid.add(cell)
            return True
        return False

    def lines(self) -> list[str]:
        """The sheet as text, without blanks at the right."""
        return ["".join(self.chars.get((x, y), " ") for x in range(self.width)).rstrip() for y in range(self.height)]
