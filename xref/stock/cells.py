"""Cells of a table that a spreadsheet cannot take for a formula, and the way back.

A spreadsheet runs what begins with = + - @ (also in their wide forms, or after a tab or a line end), and splits at
another separator than ours where its country uses one. A leading ' makes text of it; reading takes just that one off.
Source: the rules of the OWASP page "CSV Injection" (from memory for the wide forms).
"""

from __future__ import annotations

import re

_SIGNS = "=+\\-@\uff1d\uff0b\uff0d\uff20"
_SPACES = "\\s\u200b\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff"
_START = re.compile(f"'*(?:[{_SPACES}]*[{_SIGNS}]|[\t\r\n])")
_KEPT_START = re.compile(f"'+(?:[{_SPACES}]*[{_SIGNS}]|[\t\r\n])")
_INSIDE = re.compile(f"([;|\t\r\n][\"{_SPACES}]*)('*)([{_SIGNS}])")
_KEPT_INSIDE = re.compile(f"([;|\t\r\n][\"{_SPACES}]*)'('*)([{_SIGNS}])")


def harmless(text: str) -> str:
    """The cell as written.

    >>> harmless("=1+1"), harmless("drawer 3")
    ("'=1+1", 'drawer 3')
    """
    inside = _INSIDE.sub(r"\1'\2\3", text)
    return f"'{inside}" if _START.match(inside) else inside


def as_meant(cell: str) -> str:
    """The text back from :func:`harmless`.

    >>> as_meant("'=1+1")
    '=1+1'
    """
    inside = cell[1:] if _KEPT_START.match(cell) else cell
    return _KEPT_INSIDE.sub(r"\1\2\3", inside)
