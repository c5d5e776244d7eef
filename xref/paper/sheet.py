"""A job laid out on pages of A4 or Letter: shapes in mm, which PDF, SVG and HTML draw alike.

One page where it fits at a size that reads at arm's length; otherwise it goes on on a second, nothing is cut.
"""

from __future__ import annotations

from collections.abc import Sequence

from xref.draw.plot_figure import figure_plot
from xref.draw.shapes import Figure, Label, Shape, moved, text_width, wrap_mm
from xref.draw.text import lead_map_rows
from xref.draw.words import NOT_CONFIRMED, clean
from xref.model.answers.sheet import Sheet, SheetWire
from xref.paper.blocks import framed, gap, heading, listed, paragraph, table
from xref.paper.content import donor_words
from xref.paper.drawings import drawings, scenes
from xref.paper.flow import Piece, balanced

PAPERS = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}
MARGIN = 11.0
"""mm; nearly every printer reaches that far."""

_TRIES = ((3.2, 104.0), (3.2, 92.0), (3.0, 92.0), (3.0, 82.0), (2.8, 76.0), (2.8, 68.0), (2.6, 60.0), (2.6, 50.0))
"""Text size and height of the enlarged views to try for one page, in mm. 2.6 mm is 7.4 point, the least that reads at
arm's length (common practice, no source)."""
_LONG = (2.9, 74.0)
"""The same for a job that needs a second page anyway."""


_TALLEST_FRAME = 120.0
"""mm; taller ones are left without a frame, so that they can be parted."""


def pages(sheet: Sheet) -> list[Figure]:
    """The pages of a sheet, first page first."""
    width, height = PAPERS[sheet.paper]
    plots = _plots(sheet, width - 2 * MARGIN)
    found: list[list[Shape]] = []
    for size, views in _TRIES:
        if not _may_fit(sheet, width, height, size, plots):
            continue
        found = _laid(sheet, width, height, size, views, plots)
        if len(found) == 1:
            break
    else:
        found = _laid(sheet, width, height, *_LONG, plots)
    title = _title(sheet)
    out = []
    for number, shapes in enumerate(found, 1):
        foot = f"page {number} of {len(found)}"
        right = Label(at=(width - MARGIN - text_width(foot, 2.4), MARGIN - 3.0), text=foot, size=2.4)
        room = width - 2 * MARGIN - text_width(foot, 2.4) - 4
        bad = sheet.verdict is not None and sheet.verdict.clean is False
        words = f"{NOT_CLEAN}. {title}" if bad else title
        left = Label(at=(MARGIN, MARGIN - 3.0), text=wrap_mm(words, 2.4, room)[0], size=2.4, bold=bad)
        out.append(Figure(width=width, height=height, shapes=(*shapes, left, right), title=title))
    return out


def _may_fit(sheet: Sheet, width: float, height: float, size: float, plots: Sequence[Piece]) -> bool:
    """False when the text alone is too much for one page, so that nothing need be drawn to know it."""
    inner = width - 2 * MARGIN
    above = [*_head(sheet, inner, size), *_cautions(sheet, inner, size), *plots]
    columns = _rest(sheet, (inner - 6.0) / 2, size)
    views = 45.0 if scenes(sheet) else 0.0
    need = sum(piece.height for piece in above) + sum(piece.height for piece in columns) / 2 + views
    return need <= height - 2 * MARGIN


def _title(sheet: Sheet) -> str:
    donor = clean(sheet.donor) if sheet.fit is None or sheet.fit.donor != sheet.donor else donor_words(sheet.fit)
    parts = [donor, clean(sheet.original)]
    return " in place of ".join(part for part in parts if part) or clean(sheet.job) or "Job sheet"


def _laid(
    sheet: Sheet, width: float, height: float, size: float, views: float, plots: Sequence[Piece]
) -> list[list[Shape]]:
    inner, bottom = width - 2 * MARGIN, MARGIN
    top = [*_head(sheet, inner, size), *_cautions(sheet, inner, size), *drawings(sheet, inner, size, views)]
    column = (inner - 6.0) / 2
    rest = _rest(sheet, column, size)
    xs = (MARGIN, MARGIN + column + 6.0)
    pages: list[list[Shape]] = []
    shapes: list[Shape] = []
    y = height - MARGIN
    for piece in top:
        if y - piece.height < bottom and shapes:
            pages.append(shapes)
            shapes, y = [], height - MARGIN
        shapes += [moved(shape, MARGIN, y) for shape in piece.shapes]
        y -= piece.height
    while rest:
        poured, done, lowest = balanced(rest, xs, y, bottom)
        if done == 0 or (not _room_for(rest, y - bottom) and shapes):
            pages.append(shapes)
            shapes, y = [], height - MARGIN
            continue
        shapes += poured
        rest = rest[done:]
        y = lowest - 3.0
        if rest:
            pages.append(shapes)
            shapes, y = [], height - MARGIN
    for piece in plots:
        if y - piece.height < bottom and shapes:
            pages.append(shapes)
            shapes, y = [], height - MARGIN
        shapes += [moved(shape, MARGIN, y) for shape in piece.shapes]
        y -= piece.height
    return [*pages, shapes]


def _room_for(pieces: Sequence[Piece], height: float) -> bool:
    """True when at least a heading and a line would go in."""
    return sum(piece.height for piece in pieces[:3]) <= height


def _head(sheet: Sheet, width: float, size: float) -> list[Piece]:
    pieces = []
    for line in wrap_mm(_title(sheet), 5.2, width, True):
        pieces.append(Piece(height=6.6, shapes=(Label(at=(0.0, -5.2), text=line, size=5.2, bold=True),)))
    words = [clean(sheet.job), clean(sheet.machine), clean(sheet.date)]
    line = "  |  ".join(f"{name}: {word}" for name, word in zip(("Job", "Machine", "Date"), words, strict=True) if word)
    if line:
        pieces += paragraph(line, width, size * 1.05)
    return [*pieces, gap(1.5)]


def _cautions(sheet: Sheet, width: float, size: float) -> list[Piece]:
    fit = sheet.fit
    verdict: list[Piece] = []
    if fit is not None and not fit.possible:
        verdict = paragraph(f"DOES NOT GO IN: {fit.because or 'no reason given'}", width, size * 1.2, bold=True)
    elif fit is not None and not fit.verified:
        verdict = paragraph(NOT_CONFIRMED, width, size * 1.2, bold=True)
    verdict += _signal(sheet, width, size)
    if verdict:
        verdict.append(gap(2.0))
    if not sheet.cautions:
        return verdict
    head = paragraph("CAUTION, before you start", width - 4, size * 1.1, bold=True)
    items = listed(sheet.cautions, width - 4, size, ticks=False)
    box = framed([*head, *items], width, 2.0, 0.8)
    # a frame cannot go on on the next page; a list can
    return [*verdict, *([box] if box.height < _TALLEST_FRAME else [*head, *items]), gap(2.5)]


NOT_CLEAN = "SIGNAL NOT CLEAN: do not close the machine on this"
SIGNAL_WORDS = {
    True: "SIGNAL CLEAN at the input behind",
    False: NOT_CLEAN,
    None: "SIGNAL NOT DECIDED: measure before you close the machine",
}


def _signal(sheet: Sheet, width: float, size: float) -> list[Piece]:
    """Whether the input will read the donor, in a frame; in big letters when it will not."""
    if sheet.verdict is None or (sheet.fit is not None and not sheet.fit.possible):
        return []
    clean = sheet.verdict.clean
    big = size * (1.9 if clean is False else 1.15)
    inside = [
        *paragraph(SIGNAL_WORDS[clean], width - 4, big, bold=True),
        *listed(sheet.verdict.lines, width - 4, size, ticks=False),
    ]
    return [framed(inside, width, 2.0, 0.3 if clean else 1.2)]


def _rest(sheet: Sheet, width: float, size: float) -> list[Piece]:
    """Everything that flows through the two columns, in the order in which it is used."""
    pieces: list[Piece] = []

    def block(title: str, body: Sequence[Piece]) -> None:
        if body:
            pieces.extend([heading(title, width, size), *body, gap(size * 1.1)])

    if sheet.fit is not None and sheet.fit.possible:
        rows = [
            (lead, does, pad, net, _how(how, wire, long))
            for lead, does, pad, net, how, wire, long in lead_map_rows(sheet.fit, sheet.donor_part)
            if does != "-" or pad == "none"
        ]
        block("Lead map", table(("lead", "does", "pad", "net", "how"), rows, width, size))
        block("Mind", listed(sheet.fit.warnings, width, size, ticks=False))
    wires = [(str(w.number), f"{w.length_mm:.0f} mm", w.start, w.end, _kind(w)) for w in sheet.wires]
    if wires:
        block("Wires to cut", table(("no.", "length", "from", "to", "kind"), wires, width, size))
    changes = [(c.where, c.old or "-", c.new, c.why) for c in sheet.changes]
    if changes:
        block("Parts to change", table(("where", "old", "new", "why"), changes, width, size))
    block("Order of work", listed(sheet.steps, width, size, ticks=True))
    readings = [(r.point, r.when, r.expect) for r in sheet.readings]
    if readings:
        block("Read before closing the case", table(("point", "when", "expect"), readings, width, size, box_mm=19.0))
    block("To undo", listed(sheet.undo, width, size, ticks=False))
    if sheet.label:
        lines = [piece for line in sheet.label for piece in paragraph(line, width - 5, size, bold=True)]
        box = framed(lines, width, 2.5, 0.25, (1.5, 1.0))
        block("Label for inside the machine: cut out", [box] if box.height < _TALLEST_FRAME else lines)
    block("Assumed", listed(sheet.assumptions, width, size, ticks=False))
    block("Sources", listed(sheet.sources, width, size * 0.9, ticks=False))
    while pieces and pieces[-1].gap:
        pieces.pop()
    return pieces


def _how(how: str, wire: str, length: str) -> str:
    """One cell for the way of a lead; the lengths to cut stand in the table of wires."""
    if wire != "-":
        return f"wire {wire}"
    return how if length == "-" else f"{how}, {length}"


def _kind(wire: SheetWire) -> str:
    """Bare or insulated, and the colour letters when the user has a wire of that colour."""
    return ", ".join(filter(None, ("insulated" if wire.insulated else "bare", wire.colour)))


def _plots(sheet: Sheet, width: float) -> list[Piece]:
    """The plots, two in a row; three share one row, so that they do not cost a second page."""
    across = 3 if len(sheet.plots) == 3 else 2
    share = (width - 6.0 * (across - 1)) / across
    pieces = []
    for i in range(0, len(sheet.plots), across):
        shapes: list[Shape] = []
        for j, plot in enumerate(sheet.plots[i : i + across]):
            figure = figure_plot(plot, width=share, height=46.0)
            shapes += [moved(shape, j * (share + 6.0), -figure.height) for shape in figure.shapes]
        pieces.append(Piece(height=49.0, shapes=tuple(shapes)))
    return pieces
