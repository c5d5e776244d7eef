"""A network as a black-and-white figure: the same grid as the text drawing, one panel below the other."""

from __future__ import annotations

from xref.draw.network_layout import Column, Ladder
from xref.draw.shapes import Circle, Figure, Label, Path, Shape, text_width, wrap_mm
from xref.draw.svg import joined, svg
from xref.draw.words import clean

TEXT, SMALL = 2.7, 2.3
ROW, COLUMN = 9.0, 17.0
HEAD = 15.0
THIN, NORMAL, HEAVY = 0.18, 0.3, 0.9
DOT = 0.7


def network_svg(ladders: list[Ladder], title: str = "") -> str:
    """Return one SVG document with the ladders below each other. One unit is one mm."""
    figures = [network_figure(ladder) for ladder in ladders]
    width = max((figure.width for figure in figures), default=10.0)
    legend = _legend(width)
    figures.append(legend)
    height = sum(figure.height for figure in figures)
    placed, top = [], height
    for figure in figures:
        top -= figure.height
        placed.append((figure, 0.0, top))
    return svg(joined(placed, width, height, title))


def network_figure(ladder: Ladder) -> Figure:
    """Return one network in one mode."""
    left = max(text_width(_gutter(row, names), TEXT) for row, names in zip(ladder.rows, ladder.reads, strict=True)) + 6
    width = left + COLUMN * max(len(ladder.columns), 1) + 3
    height = HEAD + ROW * len(ladder.rows) + 4
    shapes: list[Shape] = [
        Label(at=(2.0, height - TEXT - 1.5), text=line, size=TEXT, bold=True)
        for line in wrap_mm(clean(ladder.title), TEXT, width - 4, bold=True)[:1]
    ]
    levels = [height - HEAD - ROW * number - ROW / 2 for number in range(len(ladder.rows))]
    for row, names, y in zip(ladder.rows, ladder.reads, levels, strict=True):
        shapes.append(Path(points=((left - 2, y), (width - 3, y)), width=THIN, name=f"net:{row}"))
        shapes.append(Label(at=(2.0, y - TEXT * 0.35), text=clean(row), size=TEXT, bold=True))
        if names:
            shapes += _arrow(left, y, names)
    for number, column in enumerate(ladder.columns):
        shapes += _column(column, left + COLUMN * (number + 0.5), levels, height - HEAD)
    return Figure(width=width, height=height, shapes=tuple(shapes), title=ladder.title)


def _gutter(row: str, names: tuple[str, ...]) -> str:
    return max(clean(row) + "  ", "   " + clean(", ".join(names)), key=lambda text: text_width(text, TEXT))


def _arrow(left: float, y: float, names: tuple[str, ...]) -> list[Shape]:
    """An arrow out of the net to the controller, with the names of the inputs."""
    tip = (2.0, y - 3.4)
    head = ((tip[0], tip[1]), (tip[0] + 1.8, tip[1] + 0.8), (tip[0] + 1.8, tip[1] - 0.8))
    return [
        Path(points=((left - 2, y), (left - 2, tip[1] - 1.2)), width=THIN),
        Path(points=((left - 2, tip[1] - 1.2), (3.0, tip[1] - 1.2)), width=THIN),
        Path(points=tuple((px, py - 1.2) for px, py in head), width=THIN, closed=True, fill="black"),
        Label(at=(5.0, tip[1] - 0.5), text=clean(", ".join(names)), size=SMALL),
    ]


def _column(column: Column, x: float, levels: list[float], top: float) -> list[Shape]:
    shapes: list[Shape] = []
    lines = wrap_mm(clean(column.name), SMALL, COLUMN - 1.5)[:2]
    note = ("* " if column.changed else "") + clean(column.note)
    for number, line in enumerate([*lines, note]):
        at = top + (len(lines) - number) * SMALL * 1.2 + 0.6
        bold = number == len(lines)
        start = x - text_width(line, SMALL, bold) / 2
        shapes.append(Label(at=(start, at), text=line, size=SMALL, bold=bold))
    ends = sorted((levels[row] for row in column.rows), reverse=True)
    shapes += [Circle(at=(x, y), radius=DOT, width=THIN, fill="black") for y in ends]
    if len(ends) == 1:
        box = ends[0] - ROW / 2
        shapes.append(Path(points=((x, ends[0]), (x, box + 1.8)), width=NORMAL))
        return shapes + _symbol(column, x, box)
    if len(ends) == 2:
        middle = ends[0] - ROW / 2
        dash = () if column.conducts else (0.6, 0.9)
        half = 0.0 if column.symbol == "closed" else 1.8
        if column.symbol == "jumper":
            return [*shapes, Path(points=((x, ends[0]), (x, ends[1])), width=HEAVY, name=f"jumper:{column.name}")]
        shapes.append(Path(points=((x, ends[0]), (x, middle + half)), width=NORMAL))
        shapes.append(Path(points=((x, middle - half), (x, ends[1])), width=NORMAL, dash=dash))
        shapes += _symbol(column, x, middle)
    return shapes


def _symbol(column: Column, x: float, y: float) -> list[Shape]:
    name = f"{column.symbol}:{column.name}"
    if column.symbol == "resistor":
        return [_box(x, y, 0.9, 1.8, name)]
    if column.symbol == "closed":
        return [_box(x, y, 0.5, 1.3, name, fill="black")]
    if column.symbol == "open":
        return [
            Path(points=((x, y - 1.8), (x + 1.8, y + 1.4)), width=NORMAL, name=name),
            Circle(at=(x, y + 1.8), radius=0.35, width=THIN, fill="white"),
            Circle(at=(x, y - 1.8), radius=0.35, width=THIN, fill="white"),
        ]
    if column.symbol == "emitter":
        triangle = ((x - 1.3, y + 1.2), (x + 1.3, y + 1.2), (x, y - 1.2))
        wire = Path(points=((x, y + 1.8), (x, y - 1.8)), width=NORMAL)
        bar = Path(points=((x - 1.3, y - 1.2), (x + 1.3, y - 1.2)), width=NORMAL)
        return [wire, Path(points=triangle, width=NORMAL, closed=True, fill="white", name=name), bar]
    shapes: list[Shape] = [_box(x, y, 1.8, 1.8, name)]
    if column.symbol == "dead":
        shapes.append(Path(points=((x - 1.8, y - 1.8), (x + 1.8, y + 1.8)), width=NORMAL))
        shapes.append(Path(points=((x - 1.8, y + 1.8), (x + 1.8, y - 1.8)), width=NORMAL))
    else:
        shapes.append(Label(at=(x - text_width("S", SMALL) / 2, y - SMALL * 0.35), text="S", size=SMALL))
    return shapes


def _box(x: float, y: float, half_x: float, half_y: float, name: str, fill: str = "white") -> Path:
    points = ((x - half_x, y - half_y), (x + half_x, y - half_y), (x + half_x, y + half_y), (x - half_x, y + half_y))
    return Path(points=points, width=NORMAL, closed=True, fill="black" if fill == "black" else "white", name=name)


def _legend(width: float) -> Figure:
    text = (
        "Dot: joined; lines that cross without a dot are not. Box with S: sensor or switch; crossed box: dead. Upright "
        "rectangle: resistor. Triangle with bar: emitter. Black block: closed contact; gap with blade: open contact. "
        "Heavy line: jumper. Dotted: does not conduct. Arrow: read by the controller. Star: changed (off: lifted, cut)."
    )
    lines = wrap_mm(text, SMALL, width - 4)
    height = len(lines) * SMALL * 1.3 + 3
    shapes = tuple(
        Label(at=(2.0, height - (number + 1) * SMALL * 1.3), text=line, size=SMALL) for number, line in enumerate(lines)
    )
    return Figure(width=width, height=height, shapes=shapes)
