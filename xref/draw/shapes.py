"""What a graphic drawing is made of: lines, circles, boxes and text in mm (x right, y up), black on white.

SVG and PDF draw these and nothing else, so both show the same.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from xref.draw.words import columns, glued
from xref.model.base import PointMm

Fill = Literal["none", "white", "black"]
Box = tuple[float, float, float, float]
"""left, bottom, right, top in mm."""

# Advance widths of ASCII 32..126 in Bitstream Vera Sans and its bold, in 1/1000 of the size (read from the font files).
# Vera is wider than the sans faces a browser falls back to, so text measured with it fits in those as well.
_PLAIN = (
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636, 636, 636, 636, 636,
    636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632, 575, 775, 752, 295, 295, 656, 557, 863,
    748, 787, 603, 787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635,
    615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636,
    337, 636, 838,
)  # fmt: skip
_BOLD = (
    348, 456, 521, 838, 696, 1002, 872, 306, 457, 457, 523, 838, 380, 415, 380, 365, 696, 696, 696, 696, 696, 696, 696,
    696, 696, 696, 400, 400, 838, 838, 838, 580, 1000, 774, 762, 734, 830, 683, 683, 821, 837, 372, 372, 775, 637, 995,
    837, 850, 733, 850, 770, 720, 682, 812, 774, 1103, 771, 724, 725, 457, 365, 457, 838, 500, 500, 675, 716, 593, 716,
    678, 435, 716, 712, 343, 343, 665, 343, 1042, 712, 687, 716, 716, 493, 595, 478, 712, 652, 924, 645, 652, 582, 712,
    365, 712, 838,
)  # fmt: skip


def text_width(text: str, size_mm: float, bold: bool = False) -> float:
    """Width of one line of text in mm; exact for ASCII in the sheet's own font, on the wide side for the rest."""
    widths = _BOLD if bold else _PLAIN
    return size_mm * sum(widths[ord(c) - 32] / 1000 if " " <= c <= "~" else _other_width(c) for c in text)


def _other_width(char: str) -> float:
    """Ems of a character outside ASCII: none for a mark on a letter, more for a wide one than for a Latin letter."""
    taken = columns(char)
    if taken != 1:
        return 1.05 * (taken > 0)
    return 0.87 if char.isalpha() and ord(char) < 0x180 and char not in "ÆŒ" else 1.18


def wrap_mm(text: str, size_mm: float, width_mm: float, bold: bool = False) -> list[str]:
    """Break into lines no wider than ``width_mm``: at spaces; inside a word only when the word alone is wider."""
    lines: list[str] = []
    line = ""
    for word in glued(text.split()):
        for piece in _pieces(word, size_mm, width_mm, bold):
            joined = f"{line} {piece}" if line else piece
            # a column made as wide as its text must hold it in spite of rounding
            if text_width(joined, size_mm, bold) <= width_mm + 1e-6:
                line = joined
            else:
                if line:
                    lines.append(line)
                line = piece
    return [*lines, line] if line or not lines else lines


def _pieces(word: str, size_mm: float, width_mm: float, bold: bool) -> list[str]:
    pieces, piece = [], ""
    for char in word:
        if piece and text_width(piece + char, size_mm, bold) > width_mm + 1e-6:
            pieces.append(piece)
            piece = ""
        piece += char
    return [*pieces, piece]


@dataclass(frozen=True, slots=True, kw_only=True)
class Path:
    """A line through points. ``dash``: lengths on and off in mm. ``closed`` joins the ends; ``fill`` needs that."""

    points: tuple[PointMm, ...]
    width: float
    dash: tuple[float, ...] = ()
    closed: bool = False
    fill: Fill = "none"
    colour: Literal["black", "white", "none"] = "black"
    name: str = ""
    """What it stands for, carried into the SVG so that a reader of the file can find it: ``lead:1``, ``pad:A``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Circle:
    """A circle."""

    at: PointMm
    radius: float
    width: float
    fill: Fill = "none"
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """One line of text; ``at`` is the left end of its base line."""

    at: PointMm
    text: str
    size: float
    bold: bool = False

    @property
    def width(self) -> float:
        """Width in mm as measured."""
        return text_width(self.text, self.size, self.bold)

    @property
    def box(self) -> Box:
        """The box of the text, from the foot of a g to the top of an Ä."""
        x, y = self.at
        return (x, y - 0.24 * self.size, x + self.width, y + 0.93 * self.size)


Shape = Path | Circle | Label


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """Shapes inside ``width`` × ``height`` mm, origin lower left. ``origin``: where the part's (0, 0) lies."""

    width: float
    height: float
    shapes: tuple[Shape, ...] = field(default_factory=tuple)
    origin: PointMm = (0.0, 0.0)
    scale: float = 1.0
    title: str = ""


def moved(shape: Shape, dx: float, dy: float) -> Shape:
    """The same shape somewhere else."""
    # spelled out: this runs for every shape of every try, and dataclasses.replace is five times slower
    if isinstance(shape, Label):
        return Label(at=(shape.at[0] + dx, shape.at[1] + dy), text=shape.text, size=shape.size, bold=shape.bold)
    if isinstance(shape, Circle):
        at = (shape.at[0] + dx, shape.at[1] + dy)
        return Circle(at=at, radius=shape.radius, width=shape.width, fill=shape.fill, name=shape.name)
    return Path(
        points=tuple((x + dx, y + dy) for x, y in shape.points),
        width=shape.width,
        dash=shape.dash,
        closed=shape.closed,
        fill=shape.fill,
        colour=shape.colour,
        name=shape.name,
    )


def overlap(one: Box, other: Box, gap: float = 0.0) -> bool:
    """True when two boxes come nearer than ``gap`` to each other."""
    return one[0] < other[2] + gap and other[0] < one[2] + gap and one[1] < other[3] + gap and other[1] < one[3] + gap
