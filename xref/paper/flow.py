"""Pieces of a page that flow through columns: each piece keeps together, a heading stays with what follows it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from xref.draw.shapes import Shape, moved


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """Shapes below (0, 0), which is its upper left corner, and the height that they take, in mm.

    ``with_next``: not the last piece of a column. ``again``: the table head to repeat when a column starts here.
    """

    height: float
    shapes: tuple[Shape, ...] = field(default_factory=tuple)
    with_next: bool = False
    again: Piece | None = None
    gap: bool = False
    """Only space: left out at the top of a column."""


@dataclass(slots=True)
class _Column:
    x: float
    top: float
    bottom: float
    y: float
    shapes: list[Shape]

    @property
    def empty(self) -> bool:
        return self.y == self.top

    def put(self, piece: Piece) -> None:
        self.shapes += [moved(shape, self.x, self.y) for shape in piece.shapes]
        self.y -= piece.height


def pour(pieces: Sequence[Piece], columns: Sequence[tuple[float, float, float]]) -> tuple[list[Shape], int, float]:
    """Fill columns (x, top, bottom) in turn; returns the shapes, how many pieces went in, and the lowest y used.

    A piece taller than a whole column is put there all the same when the column is empty, so nothing is lost.
    """
    shapes: list[Shape] = []
    done, lowest = 0, min((top for _, top, _ in columns), default=0.0)
    for x, top, bottom in columns:
        column = _Column(x, top, bottom, top, shapes)
        while done < len(pieces):
            piece = pieces[done]
            if column.empty and piece.gap:
                done += 1
                continue
            head = piece.again if column.empty and piece.again is not None else None
            need = sum(p.height for p in _together(pieces, done)) + (head.height if head else 0.0)
            if column.y - need < bottom - 1e-6 and not column.empty:
                break
            if head is not None:
                column.put(head)
            column.put(piece)
            done += 1
        lowest = min(lowest, column.y)
    return shapes, done, lowest


def _together(pieces: Sequence[Piece], start: int) -> list[Piece]:
    """The piece and those it may not be parted from."""
    end = start
    while end < len(pieces) - 1 and pieces[end].with_next:
        end += 1
    return list(pieces[start : end + 1])


def balanced(pieces: Sequence[Piece], xs: Sequence[float], top: float, bottom: float) -> tuple[list[Shape], int, float]:
    """Fill columns of one height, as low as it can be; all the way to ``bottom`` when the pieces need it."""
    full = [(x, top, bottom) for x in xs]
    if pour(pieces, full)[1] < len(pieces):
        return pour(pieces, full)
    low, high = 0.0, top - bottom
    for _ in range(18):
        middle = (low + high) / 2
        _, done, lowest = pour(pieces, [(x, top, top - middle) for x in xs])
        if done == len(pieces) and lowest >= top - middle - 1e-6:
            high = middle
        else:
            low = middle
    return pour(pieces, [(x, top, top - high) for x in xs])
