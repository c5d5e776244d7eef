"""The drawings of a sheet: both views enlarged, both at true size, the ruler and the key of the lines."""

from __future__ import annotations

from collections.abc import Sequence

from xref.draw.closeup import close_up
from xref.draw.figure import enlarged, ruler, true_size
from xref.draw.layout import Scene, fit_scene, part_scene, seen
from xref.draw.names import short_names
from xref.draw.shapes import Circle, Label, Path, Shape, moved, wrap_mm
from xref.draw.text import keep_clear
from xref.model.answers.sheet import Sheet
from xref.paper.blocks import LINE, gap, paragraph
from xref.paper.flow import Piece

CROWDED = 7
"""With more wires than this the views are drawn larger, even at the price of a second page."""


def scenes(sheet: Sheet) -> list[Scene]:
    """Component view and solder view of the fit, or of the donor alone; empty when places are unknown."""
    part = sheet.donor_part
    if part is None or not part.geometry.wired:
        return []
    if sheet.fit is not None and sheet.fit.possible and sheet.board is not None and sheet.board.pads:
        scene = fit_scene(sheet.fit, sheet.board, part)
    else:
        scene = part_scene(part)
    return [scene, seen(scene, "solder")]


def drawings(sheet: Sheet, width: float, size: float, height: float) -> list[Piece]:
    """The pieces above the columns; ``height`` is what the enlarged views may take, in mm."""
    views = scenes(sheet)
    if not views:
        if sheet.fit is None:
            return []
        return [
            *paragraph("No drawing: the places of the leads are not all known. The lead map holds.", width, size),
            gap(2),
        ]
    half = (width - 6.0) / 2
    if len(views[0].wires) > CROWDED:
        height = max(height, 92.0)
    figures = [enlarged(view, width=half, height=height, text=size) for view in views]
    tall = max(figure.height for figure in figures)
    shapes: list[Shape] = []
    for i, figure in enumerate(figures):
        shapes += [moved(shape, i * (half + 6.0), -figure.height) for shape in figure.shapes]
    pieces = [Piece(height=tall + 1.5, shapes=tuple(shapes))]
    pieces += [*_true_row(views, width, size), gap(2.5)]
    _, long_names = short_names(views[0])
    if long_names:
        pieces += [*paragraph("In the drawing: " + "; ".join(long_names), width, size), gap(2.0)]
    told = sheet.fit is not None and any("stands over hole" in warning for warning in sheet.fit.warnings)
    for sentence in [] if told else keep_clear(views[0]):
        pieces += [*paragraph(sentence, width, size, bold=True), gap(2.0)]
    return pieces


def _true_row(views: Sequence[Scene], width: float, size: float) -> list[Piece]:
    """Both views at true size, the ruler, and the key of the lines."""
    figures = [*(true_size(view) for view in views), ruler()]
    shapes: list[Shape] = []
    x, tall = 0.0, max(figure.height for figure in figures[:2])
    for figure in figures[:2]:
        shapes += [moved(shape, x, -tall) for shape in figure.shapes]
        x += figure.width + 5.0
    if x + 55.0 > width:
        # bodies too wide for one row: ruler and key go below
        rows = [Piece(height=tall + 2.0, shapes=tuple(shapes))]
        x, shapes = 0.0, []
    else:
        rows = []
    small = size * 0.95
    shapes += [moved(shape, x, -figures[2].height) for shape in figures[2].shapes]
    y = -figures[2].height
    lines = wrap_mm("Check: 50 mm must measure 50 mm, else print again at 100 %.", small, min(width - x, 60.0))
    for line in lines:
        y -= small * LINE
        shapes.append(Label(at=(x + 1.0, y), text=line, size=small))
    key, key_tall = _key(views[0], small)
    if x + 62.0 + 48.0 <= width:
        shapes += [moved(shape, x + 62.0, -1.0) for shape in key]
        y = min(y, -1.0 - key_tall)
    else:
        shapes += [moved(shape, x + 1.0, y - 2.0) for shape in key]
        y -= key_tall + 2.0
    return [*rows, Piece(height=max(-y, 0.0 if rows else tall) + 1.0, shapes=tuple(shapes))]


def _key(scene: Scene, size: float) -> tuple[list[Shape], float]:
    """What the lines of this drawing mean: only those that it has. Returns shapes below (0, 0) and their height."""
    names = {outline.what for outline in scene.outlines}
    goes_on = ", cut off at the edge" if close_up(scene).cropped else ""
    box = ((3.3, -0.7), (4.7, -0.7), (4.7, 0.7), (3.3, 0.7))
    square = Path(points=box, width=0.0, closed=True, fill="black", colour="none")
    cross = (Path(points=((3.2, -0.8), (4.8, 0.8)), width=0.25), Path(points=((3.2, 0.8), (4.8, -0.8)), width=0.25))
    rows: list[tuple[bool, tuple[Shape, ...], str]] = [
        (bool(scene.pads), (Circle(at=(4.0, 0.0), radius=1.3, width=0.3),), "[A] pad of the board"),
        (True, (square,), "(1 A) lead of the new part"),
        (any(m.by == "formed" for m in scene.leads), (_line(0.6, (1.4, 0.7)),), "lead bent over to its pad"),
        (
            any(w.insulated for w in scene.wires),
            (_line(1.3), Path(points=((0.0, 0.0), (8.0, 0.0)), width=0.8, colour="white")),
            "insulated wire, numbered",
        ),
        (any(not w.insulated for w in scene.wires), (_line(0.3),), "bare wire, numbered"),
        ("body" in names, (_line(0.25),), f"body of the new part{goes_on}"),
        ("old body" in names, (_line(0.25, (0.15, 0.9)),), f"old body{goes_on}"),
        (bool(scene.axes), cross, "where the light looks"),
    ]
    shapes: list[Shape] = []
    y = 0.0
    for used, sign, words in rows:
        if used:
            y -= size * 1.4
            shapes += [moved(shape, 0.0, y + size * 0.36) for shape in sign]
            shapes.append(Label(at=(10.0, y), text=words, size=size))
    return shapes, -y + size * 0.3


def _line(width: float, dash: tuple[float, ...] = ()) -> Path:
    return Path(points=((0.0, 0.0), (8.0, 0.0)), width=width, dash=dash)
