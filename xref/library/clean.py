"""Text from a file made safe to show: nothing that a terminal would obey reaches it."""

from __future__ import annotations

import unicodedata

_OBEYED = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
"""Unicode classes that control instead of show: controls, bidirectional marks, surrogates, line separators."""


def visible(text: str) -> str:
    """The text with every character that controls a terminal or the direction of writing shown as ``\\x1b``.

    Printable text comes back unchanged; a second pass changes nothing. Markup of the output formats (SVG, PDF, rich)
    is escaped by those outputs, not here.

    >>> visible("a" + chr(27) + "[31mb")
    'a\\\\x1b[31mb'
    """
    if text.isprintable():
        return text
    return "".join(_shown(c) if unicodedata.category(c) in _OBEYED else c for c in text)


def _shown(character: str) -> str:
    code = ord(character)
    return f"\\x{code:02x}" if code < 256 else f"\\u{code:04x}" if code < 65536 else f"\\U{code:08x}"
