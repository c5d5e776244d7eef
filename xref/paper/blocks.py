"""The blocks of a sheet as pieces: headings, paragraphs, tick lists, tables, boxes to write into, the label."""

from __future__ import annotations

from collections.abc import Sequence

from xref.draw.shapes import Label, Path, Shape, moved, text_width, wrap_mm
from xref.draw.words import clean, glued
from xref.paper.flow import Piece

LINE = 1.32
"""Line height in sizes of the text."""


def gap(height: float) -> Piece:
    """Space between blocks."""
    return Piece(height=height, gap=True)


def heading(text: str, width: float, size: float) -> Piece:
    """A heading with a rule under it; stays with what follows."""
    lines = wrap_mm(clean(text), size * 1.12, width, True)
    shapes: list[Shape] = []
    y = 0.0
    for line in lines:
        y -= size * 1.12
        shapes.append(Label(at=(0.0, y), text=line, size=size * 1.12, bold=True))
        y -= size * 0.2
    rule = y - size * 0.12
    shapes.append(Path(points=((0.0, rule), (width, rule)), width=0.35))
    return Piece(height=-rule + size * 0.45, shapes=tuple(shapes), with_next=True)


def paragraph(text: str, width: float, size: float, *, bold: bool = False) -> list[Piece]:
    """Wrapped text, a piece a line."""
    return [
        Piece(height=size * LINE, shapes=(Label(at=(0.0, -size), text=line, size=size, bold=bold),))
        for line in wrap_mm(clean(text), size, width, bold)
    ]


def listed(items: Sequence[str], width: float, size: float, *, ticks: bool) -> list[Piece]:
    """A list with a dash each, or numbered with a square to tick."""
    pieces = []
    indent = size * 3.4 if ticks else size * 1.2
    for number, item in enumerate(items, 1):
        shapes: list[Shape] = []
        if ticks:
            shapes.append(_square(0.0, -size * 1.12, size * 1.05))
            shapes.append(Label(at=(size * 1.5, -size), text=f"{number}", size=size, bold=True))
        else:
            shapes.append(Label(at=(0.0, -size), text="-", size=size))
        lines = wrap_mm(clean(item), size, width - indent)
        shapes += [Label(at=(indent, -size - i * size * LINE), text=line, size=size) for i, line in enumerate(lines)]
        pieces.append(Piece(height=len(lines) * size * LINE + size * 0.25, shapes=tuple(shapes)))
    return pieces


def _square(x: float, low: float, edge: float) -> Path:
    corners = ((x, low), (x + edge, low), (x + edge, low + edge), (x, low + edge))
    return Path(points=corners, width=0.25, closed=True)


def table(
    headers: Sequence[str], rows: Sequence[Sequence[str]], width: float, size: float, box_mm: float = 0.0
) -> list[Piece]:
    """A table, a piece a row, the head repeated in a new column; ``box_mm`` adds an empty box to write into."""
    shown = [[clean(cell) for cell in row] for row in rows]
    room = width - (box_mm + 1.5 if box_mm else 0.0)
    sizes = _sizes([list(headers), *shown], room, size)
    head = _row(headers, sizes, size, bold=True, box=None, least=0.0)
    if box_mm:
        words = Label(at=(width - box_mm, -size), text="read", size=size, bold=True)
        head = Piece(height=head.height, shapes=(*head.shapes, words))
    rule = Path(points=((0.0, -head.height), (width, -head.height)), width=0.2)
    head = Piece(height=head.height + size * 0.3, shapes=(*head.shapes, rule), with_next=True)
    box = (width - box_mm, box_mm) if box_mm else None
    return [
        head,
        *(_row(row, sizes, size, bold=False, box=box, least=6.6 if box else 0.0, again=head) for row in shown),
    ]


def _row(
    cells: Sequence[str],
    sizes: Sequence[float],
    size: float,
    *,
    bold: bool,
    box: tuple[float, float] | None,
    least: float,
    again: Piece | None = None,
) -> Piece:
    shapes: list[Shape] = []
    x, most = 0.0, 1
    for cell, wide in zip(cells, sizes, strict=True):
        lines = wrap_mm(cell, size, wide - size * 0.8, bold)
        most = max(most, len(lines))
        shapes += [
            Label(at=(x, -size - i * size * LINE), text=line, size=size, bold=bold)
            for i, line in enumerate(lines)
            if line
        ]
        x += wide
    height = max(most * size * LINE + size * 0.15, least)
    if box is not None:
        left, wide = box
        corners = ((left, -0.4), (left + wide, -0.4), (left + wide, 0.4 - height), (left, 0.4 - height))
        shapes.append(Path(points=corners, width=0.25, closed=True))
    return Piece(height=height, shapes=tuple(shapes), again=again)


def _sizes(rows: Sequence[Sequence[str]], width: float, size: float) -> list[float]:
    """Column widths: as wide as the text where that fits, else the wide columns give way."""
    space = size * 0.8
    want = [max(text_width(row[i], size, True) for row in rows) + space for i in range(len(rows[0]))]
    least = [
        min(w, max([text_width(word, size, True) for row in rows for word in glued(row[i].split())] + [size]) + space)
        for i, w in enumerate(want)
    ]
    if sum(want) <= width:
        want[-1] += width - sum(want)
        return want
    if sum(least) >= width:
        # even single words are too wide: words will be broken
        return [w * width / sum(least) for w in least]
    # the columns that lack least are made whole first: that saves the most lines
    given = list(least)
    spare = width - sum(least)
    order = sorted(range(len(want)), key=lambda i: want[i] - least[i])
    for rank, i in enumerate(order):
        share = min(want[i] - least[i], spare / (len(order) - rank))
        given[i] += share
        spare -= share
    return given


def framed(pieces: Sequence[Piece], width: float, inset: float, line: float, dash: tuple[float, ...] = ()) -> Piece:
    """The pieces as one, in a frame."""
    shapes: list[Shape] = []
    y = -inset
    for piece in pieces:
        shapes += [moved(shape, inset, y) for shape in piece.shapes]
        y -= piece.height
    y -= inset * 0.6
    corners = ((0.0, 0.0), (width, 0.0), (width, y), (0.0, y))
    frame = Path(points=corners, width=line, closed=True, dash=dash)
    return Piece(height=-y + 0.5, shapes=(frame, *shapes))
