"""The shelf as seen by search and fit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from xref.errors import NotFound

if TYPE_CHECKING:
    # a search meets this file and does without the part classes
    from xref.model.part import Part
    from xref.model.row import Row


def stock_rows(kind: str | None = None) -> list[Row]:
    """Rows of all pieces that are left, none where no stock was ever begun."""
    return []


def item_part(reference: str) -> Part:
    """The part that ``stock:17`` stands for, with the piece's own measured values.

    Raises:
        NotFound: no such piece
    """
    raise NotFound(f"no piece {reference} in stock")
