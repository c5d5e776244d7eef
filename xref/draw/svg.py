"""A figure as SVG: one unit is one mm, so that it prints at true size; text from data files is escaped."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from xref.draw.figure import enlarged, ruler, true_size
from xref.draw.layout import fit_scene, seen
from xref.draw.shapes import Circle, Figure, Label, Path, Shape, moved, text_width
from xref.draw.words import NOT_CONFIRMED, clean
from xref.model.answers.fit import Fit
from xref.model.drawing import Board
from xref.model.part import Part

FONTS = (
    "'Bitstream Vera Sans','DejaVu Sans',Verdana,Arial,'Noto Sans','Noto Sans CJK JP','Yu Gothic','Hiragino Sans',"
    "'Microsoft YaHei','Malgun Gothic',sans-serif"
)
"""Fonts of the system; the last ones carry Chinese, Japanese and Korean."""

_VIEW_MM = 100.0
"""Width of an enlarged view on a drawing of its own."""

_ESCAPES = {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;"}


def escape(text: str) -> str:
    """Text that is safe inside an element and inside a quoted attribute of SVG and HTML."""
    return "".join(_ESCAPES.get(char, char) for char in clean(text))


def svg(figure: Figure, *, alone: bool = True) -> str:
    """The figure as an SVG document; ``alone`` False gives the element for use inside HTML."""
    head = '<?xml version="1.0" encoding="UTF-8"?>\n' if alone else ""
    title = f"<title>{escape(figure.title)}</title>\n" if figure.title else ""
    return (
        f'{head}<svg xmlns="http://www.w3.org/2000/svg" width="{_n(figure.width)}mm" height="{_n(figure.height)}mm" '
        f'viewBox="0 0 {_n(figure.width)} {_n(figure.height)}" role="img">\n{title}'
        f'<g font-family="{FONTS}" fill="black" stroke-linejoin="round">\n'
        + "".join(f"{_element(shape, figure.height)}\n" for shape in figure.shapes)
        + "</g>\n</svg>\n"
    )


def joined(figures: Iterable[tuple[Figure, float, float]], width: float, height: float, title: str = "") -> Figure:
    """Several figures on one sheet, each with its lower left corner at (x, y)."""
    shapes: list[Shape] = []
    for figure, x, y in figures:
        shapes += [moved(shape, x, y) for shape in figure.shapes]
    return Figure(width=width, height=height, shapes=tuple(shapes), title=title)


def fit_svg(fit: Fit, board: Board, donor: Part) -> str:
    """One sheet with both views of a fit enlarged, both at true size, and a ruler to check the printer."""
    scene = fit_scene(fit, board, donor)
    views = [scene, seen(scene, "solder")]
    large = [enlarged(view, width=_VIEW_MM, height=100.0) for view in views]
    small = [*(true_size(view) for view in views), ruler()]
    row = max(figure.height for figure in small)
    width, height = 2 * _VIEW_MM + 18.0, row + max(figure.height for figure in large) + 21.0
    placed = [(figure, 6.0 + i * (_VIEW_MM + 6.0), height - 13.0 - figure.height) for i, figure in enumerate(large)]
    x = 6.0
    for figure in small:
        placed.append((figure, x, row + 4.0 - figure.height))
        x += figure.width + 6.0
    sheet = joined(placed, max(width, x), height, scene.title)
    words = clean(scene.title) if fit.verified else f"{clean(scene.title)}: {NOT_CONFIRMED}"
    size = min(4.0, 4.0 * (sheet.width - 12.0) / text_width(words, 4.0, True))
    name = Label(at=(6.0, height - 8.0), text=words, size=size, bold=True)
    return svg(replace(sheet, shapes=(*sheet.shapes, name)))


def _n(value: float) -> str:
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _element(shape: Shape, height: float) -> str:
    if isinstance(shape, Label):
        weight = ' font-weight="bold"' if shape.bold else ""
        return (
            f'<text x="{_n(shape.at[0])}" y="{_n(height - shape.at[1])}" font-size="{_n(shape.size)}"{weight}'
            f' xml:space="preserve">{escape(shape.text)}</text>'
        )
    name = f' data-is="{escape(shape.name)}"' if shape.name else ""
    if isinstance(shape, Circle):
        return (
            f'<circle{name} cx="{_n(shape.at[0])}" cy="{_n(height - shape.at[1])}" r="{_n(shape.radius)}" '
            f'fill="{shape.fill}" stroke="black" stroke-width="{_n(shape.width)}"/>'
        )
    return _path(shape, height, name)


def _path(shape: Path, height: float, name: str) -> str:
    points = " L ".join(f"{_n(x)} {_n(height - y)}" for x, y in shape.points)
    dash = f' stroke-dasharray="{" ".join(_n(d) for d in shape.dash)}"' if shape.dash else ""
    return (
        f'<path{name} d="M {points}{" Z" if shape.closed else ""}" fill="{shape.fill}" stroke="{shape.colour}" '
        f'stroke-width="{_n(shape.width)}"{dash}/>'
    )
