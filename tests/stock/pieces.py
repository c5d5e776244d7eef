"""Pieces for tests that need no library: made by hand, as small as the stock takes them."""

from __future__ import annotations

from xref.model.part import Part
from xref.model.row import pack, row_of
from xref.model.stock import Board, Item, Profile


def profile(name: str = "step sensor", **more: object) -> Profile:
    """A described slotted sensor."""
    part = Part(name=name, kind="slotted")
    return Profile(
        part="", name=name, kind="slotted", record={"name": name, "kind": "slotted"}, packed=tuple(pack(row_of(part))),
        **more,  # type: ignore[arg-type]
    )  # fmt: skip


def piece(count: int = 1, *, name: str = "step sensor", place: str = "", board: Board | None = None) -> Item:
    """Some of them at a place."""
    return Item(id=0, profile=profile(name), count=count, place=place, board=board)
