"""The blocks of a sheet as pieces: headings, paragraphs, tick lists, tables, boxes to write into, the label."""

from __future__ import annotations

from collections.abc import Sequence

from xref.draw.shapes import Label, Path, Shape, moved, text_width, wrap_mm
from xref.draw.words import clean, glued
from xref.paper.flow import Piece

LINE = 1.32
"""Line height in sizes of the text."""

_TOGETHER = 6
"""Up to so many lines of one item or row are kept in one column."""


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
        sign: list[Shape] = []
        if ticks:
            sign.append(_square(0.0, -size * 1.12, size * 1.05))
            sign.append(Label(at=(size * 1.5, -size), text=f"{number}", size=size, bold=True))
        else:
            sign.append(Label(at=(0.0, -size), text="-", size=size))
        lines = wrap_mm(clean(item), size, width - indent)
        for i, line in enumerate(lines):
            last = i == len(lines) - 1
            pieces.append(
                Piece(
                    height=size * (LINE + 0.25 * last),
                    shapes=(*(sign if i == 0 else ()), Label(at=(indent, -size), text=line, size=size)),
                    with_next=not last and (i == 0 or len(lines) <= _TOGETHER),
                )
            )
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
    least = 6.6 if box else 0.0
    rows_of = [(part, box if i == 0 else None) for row in shown for i, part in enumerate(_parted(row, sizes, size))]
    return [head, *(_row(row, sizes, size, bold=False, box=own, least=least, again=head) for row, own in rows_of)]


def _parted(row: Sequence[str], sizes: Sequence[float], size: float) -> list[list[str]]:
    """The row itself; one with very long cells as several rows, so that it can go on in the next column."""
    cells = [wrap_mm(cell, size, wide - size * 0.8) for cell, wide in zip(row, sizes, strict=True)]
    tall = max(len(lines) for lines in cells)
    if tall <= _TOGETHER:
        return [list(row)]
    return [[" ".join(lines[i : i + _TOGETHER]) for lines in cells] for i in range(0, tall, _TOGETHER)]


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
        # a single word is too wide: it is broken, and the narrow columns keep their words whole
        return _shared(least, width)
    # the columns that lack least are made whole first: that saves the most lines
    lack = [w - low for w, low in zip(want, least, strict=True)]
    return [low + more for low, more in zip(least, _shared(lack, width - sum(least)), strict=True)]


def _shared(wishes: Sequence[float], room: float) -> list[float]:
    """Small wishes in full, the large ones what is left in equal parts."""
    given = [0.0] * len(wishes)
    for rank, i in enumerate(sorted(range(len(wishes)), key=lambda i: wishes[i])):
        given[i] = min(wishes[i], room / (len(wishes) - rank))
        room -= given[i]
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
