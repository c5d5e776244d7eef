"""Pages as PDF. The text font is embedded (Bitstream Vera, which reportlab carries); Chinese, Japanese and Korean use
the fonts that the PDF standard names and the reader's program supplies. reportlab is imported only when a PDF is made.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from xref.draw.shapes import Circle, Figure, Label, Path
from xref.draw.words import clean
from xref.errors import XrefError

_MM = 72 / 25.4
_EAST_ASIAN = (
    ("HeiseiKakuGo-W5", "shift_jis"),
    ("STSong-Light", "gb2312"),
    ("HYGothic-Medium", "euc_kr"),
)
_NOTE_AT_MM = 11.0
_READER_FONTS = "Chinese, Japanese, Korean text needs fonts in the PDF reader; if it is missing, print the HTML sheet."
UNPRINTABLE = "?"
"""Stands for a character that no font of the PDF has; the HTML sheet shows it."""


def pdf(pages: Sequence[Figure]) -> bytes:
    """The pages as one PDF document.

    Raises:
        XrefError: reportlab is not installed
    """
    try:
        from reportlab.pdfgen.canvas import Canvas
    except ImportError:
        raise XrefError(
            'a PDF needs reportlab: pip install "xref[paper]"; the HTML and SVG sheets need nothing more'
        ) from None
    fonts = _Fonts()
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pagesize=(pages[0].width * _MM, pages[0].height * _MM), invariant=1, pageCompression=1)
    canvas.setTitle(clean(pages[0].title))
    canvas.setCreator("xref")
    for page in pages:
        canvas.setPageSize((page.width * _MM, page.height * _MM))
        canvas.setLineJoin(1)
        for shape in page.shapes:
            _draw(canvas, shape, fonts)
        if fonts.note():
            _draw(canvas, Label(at=(_NOTE_AT_MM, 5.0), text=fonts.note(), size=2.2), fonts)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _draw(canvas: Any, shape: Path | Circle | Label, fonts: _Fonts) -> None:
    if isinstance(shape, Label):
        x, y = shape.at[0] * _MM, shape.at[1] * _MM
        for text, font in fonts.runs(clean(shape.text), shape.bold):
            canvas.setFont(font, shape.size * _MM)
            canvas.setFillGray(0)
            canvas.drawString(x, y, text)
            x += canvas.stringWidth(text, font, shape.size * _MM)
        return
    canvas.setLineWidth(shape.width * _MM)
    canvas.setFillGray(1 if shape.fill == "white" else 0)
    if isinstance(shape, Circle):
        canvas.setDash()
        canvas.setStrokeGray(0)
        canvas.circle(
            shape.at[0] * _MM, shape.at[1] * _MM, shape.radius * _MM, stroke=1, fill=int(shape.fill != "none")
        )
        return
    if len(shape.points) < 2:
        return
    canvas.setStrokeGray(1 if shape.colour == "white" else 0)
    canvas.setDash(*([[d * _MM for d in shape.dash]] if shape.dash else []))
    path = canvas.beginPath()
    path.moveTo(shape.points[0][0] * _MM, shape.points[0][1] * _MM)
    for x, y in shape.points[1:]:
        path.lineTo(x * _MM, y * _MM)
    if shape.closed:
        path.close()
    canvas.drawPath(path, stroke=int(shape.colour != "none"), fill=int(shape.fill != "none" and shape.closed))


class _Fonts:
    """Which font shows which character."""

    def __init__(self) -> None:
        from reportlab.pdfbase import pdfmetrics
        from reportlab.pdfbase.cidfonts import UnicodeCIDFont
        from reportlab.pdfbase.ttfonts import TTFont

        known = set(pdfmetrics.getRegisteredFontNames())
        for name in ("Vera", "VeraBd"):
            if name not in known:
                pdfmetrics.registerFont(TTFont(name, f"{name}.ttf"))
        self._glyphs = pdfmetrics.getFont("Vera").face.charToGlyph
        self._register: Callable[[str], Any] = lambda name: pdfmetrics.registerFont(UnicodeCIDFont(name))
        self._known = known
        self.borrowed = False
        self.missing = False

    def note(self) -> str:
        """What the reader of the paper must know about characters outside the embedded font."""
        if self.missing:
            return f"{UNPRINTABLE} may stand for a character that this PDF has no font for; the HTML sheet shows it."
        return _READER_FONTS if self.borrowed else ""

    def runs(self, text: str, bold: bool) -> Iterator[tuple[str, str]]:
        """Pieces of the text, each with the name of a font that has all its characters."""
        latin = "VeraBd" if bold else "Vera"
        run, font = "", ""
        for char in text:
            name = latin if ord(char) in self._glyphs else self._east_asian(char)
            if not name:
                char, name, self.missing = UNPRINTABLE, latin, True
            if name != font and run:
                yield run, font
                run = ""
            run, font = run + char, name
        if run:
            yield run, font

    def _east_asian(self, char: str) -> str:
        """The font for a character outside Vera; empty when there is none."""
        for name, coding in _EAST_ASIAN:
            try:
                char.encode(coding)
            except UnicodeEncodeError:
                continue
            if name not in self._known:
                self._register(name)
                self._known.add(name)
            self.borrowed = True
            return name
        return ""
