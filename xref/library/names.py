"""Names off worn markings: one canonical form, and the nearest names by how markings fail.

Common practice, no source: the eye (and a worn stamp) swaps O 0 Q D, I 1 L, S 5, B 8, Z 2, G 6; the first or last
characters rub off; spaces, dashes and dots come and go; the maker's name stands before the number or not.
"""

from __future__ import annotations

from collections.abc import Iterable

_LOOKALIKE = str.maketrans("OQDILSBZG", "000115826")


def canonical(text: str) -> str:
    """Capital letters and digits only: ``ee-sx 1041`` and ``EE-SX1041`` are one name."""
    return "".join(c for c in text.upper() if c.isalnum())


def folded(text: str) -> str:
    """The canonical form with look-alikes made one; for suggesting, never for picking."""
    return canonical(text).translate(_LOOKALIKE)


def without_maker(text: str, makers: Iterable[str]) -> str:
    """The text without a maker's name in front: ``Vishay TCRT5000`` is ``TCRT5000``."""
    words = {canonical(word) for maker in makers for word in maker.split()[:1]}
    pieces = text.replace("-", " ").split()
    if len(pieces) > 1 and canonical(pieces[0]) in words:
        return text.strip()[len(pieces[0]) :].lstrip(" -")
    return text
