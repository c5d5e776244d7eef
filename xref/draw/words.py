"""Text for drawings: cleaned, measured in columns, wrapped, put into ASCII; and the words for sides and functions."""

from __future__ import annotations

import unicodedata
from typing import Literal

View = Literal["component", "solder"]

VIEW_WORDS: dict[str, str] = {
    "component": "COMPONENT SIDE: the body faces you, the leads point away from you",
    "solder": "SOLDER SIDE: the lead ends face you. MIRRORED left to right against the component side",
}
FAR_SIDE_WORDS: dict[str, str] = {
    "component": "COMPONENT SIDE: the new part sits BEHIND the board, on the solder side; its lead ends face you",
    "solder": "SOLDER SIDE: the new part sits on this side, its body faces you. MIRRORED against the component side",
}
"""The view is always said in words; the second set is for a part that is put on the solder side."""


def view_words(view: str, far_side: bool = False) -> str:
    """From which side the drawing is seen."""
    return (FAR_SIDE_WORDS if far_side else VIEW_WORDS)[view]


BEFORE_SOLDER = "Power off, supply capacitors discharged, wait a minute."

NOT_CONFIRMED = "NOT CONFIRMED by the independent check of the wiring: do not build it."

_FUNCTION_WORDS = {
    "A": "anode of the light emitter",
    "K": "cathode of the light emitter",
    "C": "collector of the detector",
    "E": "emitter lead of the detector",
    "B": "base of the detector",
    "VCC": "supply",
    "OUT": "output",
    "GND": "ground",
    "NC": "not connected inside",
}

_TRANSLITERATION = str.maketrans(
    {
        "ä": "ae", "ö": "oe", "ü": "ue", "Ä": "Ae", "Ö": "Oe", "Ü": "Ue", "ß": "ss",
        "µ": "u", "μ": "u", "Ω": "ohm", "°": "deg", "±": "+/-", "×": "x", "–": "-", "—": "-",
        "…": "...", "≤": "<=", "≥": ">=", "→": "->", "·": ".", "“": '"', "”": '"', "’": "'", "‘": "'", "−": "-",
    }
)  # fmt: skip


def function_words(function: str) -> str:
    """What a lead does, in words: ``K+E`` is 'cathode of the light emitter and emitter lead of the detector'."""
    words = []
    for one in function.split("+"):
        base, channel = (one[:-1], " 2") if one[:-1] in _FUNCTION_WORDS and one[-1:] == "2" else (one, "")
        words.append(_FUNCTION_WORDS[base] + channel if base in _FUNCTION_WORDS else f"terminal {one}")
    return " and ".join(words)


def clean(text: str) -> str:
    """Text from a data file, safe for a screen: control and escape characters become spaces, runs of space one."""
    composed = unicodedata.normalize("NFC", text)
    kept = "".join(" " if unicodedata.category(c) in ("Cc", "Cf", "Cs", "Co", "Zl", "Zp") else c for c in composed)
    return " ".join(kept.split())


def to_ascii(text: str) -> str:
    """The same text in ASCII: umlauts spelled out, accents dropped, anything else as <U+XXXX>."""
    out = []
    for char in unicodedata.normalize("NFC", text).translate(_TRANSLITERATION):
        if char.isascii():
            out.append(char)
            continue
        base = "".join(c for c in unicodedata.normalize("NFKD", char) if c.isascii() and c.isprintable())
        out.append(base or f"<U+{ord(char):04X}>")
    return "".join(out)


def columns(text: str) -> int:
    """Columns that a fixed-width screen gives the text: wide East Asian characters take two, combining marks none."""
    return sum(
        0 if unicodedata.combining(char) else 2 if unicodedata.east_asian_width(char) in "WF" else 1 for char in text
    )


def pad_to(text: str, width: int) -> str:
    """The text filled with spaces to ``width`` columns."""
    return text + " " * max(0, width - columns(text))


def wrap(text: str, width: int) -> list[str]:
    """Break into lines of at most ``width`` columns: at spaces, inside a word only when the word alone is wider."""
    lines: list[str] = []
    line = ""
    for word in glued(text.split()):
        pieces = [word] if columns(word) <= width else _chop(word, width)
        for piece in pieces:
            joined = f"{line} {piece}" if line else piece
            if columns(joined) <= width:
                line = joined
            else:
                lines.append(line)
                line = piece
    return [*lines, line] if line or not lines else lines


_UNITS = frozenset(
    ("V", "mV", "A", "mA", "uA", "nA", "ohm", "kohm", "Mohm", "mm", "ms", "us", "s", "Hz", "C", "nm", "W", "%")
)
_COUNTED = frozenset(("wire", "lead", "pad", "link"))


def glued(words: list[str]) -> list[str]:
    """Words to wrap, with a unit kept on its number and a short name on its 'wire', 'lead', 'pad' or 'link'."""
    found: list[str] = []
    for word in words:
        unit = word.rstrip(".,;:)") in _UNITS and found and found[-1][-1].isdigit()
        if unit or (found and found[-1].lstrip("(") in _COUNTED and len(word) <= 5):
            found[-1] += f" {word}"
        else:
            found.append(word)
    return found


def ohms(value: float) -> str:
    """A resistance as printed: ``4.7 kohm``."""
    for unit, size in (("Mohm", 1e6), ("kohm", 1e3)):
        if value >= size:
            return f"{value / size:.4g} {unit}"
    return f"{value:.4g} ohm"


def _chop(word: str, width: int) -> list[str]:
    pieces, piece = [], ""
    for char in word:
        if piece and columns(piece + char) > width:
            pieces.append(piece)
            piece = ""
        piece += char
    return [*pieces, piece]


def side_words(at_mm: tuple[float, float], width_mm: float = 0.0, height_mm: float = 0.0) -> str:
    """Where a point lies as drawn: 'upper left', 'right', 'middle'. Within a fiftieth of the size it is the middle."""
    x, y = at_mm
    across = "left" if x < -0.05 - width_mm / 50 else "right" if x > 0.05 + width_mm / 50 else ""
    up = "upper" if y > 0.05 + height_mm / 50 else "lower" if y < -0.05 - height_mm / 50 else ""
    return f"{up} {across}".strip() or "middle"
