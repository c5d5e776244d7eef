"""Pieces for tests that need no library: made by hand, as small as the stock takes them."""

from __future__ import annotations

from dataclasses import fields

from xref.model.part import Part
from xref.model.row import Row, pack, row_of
from xref.model.stock import Board, Dump, Item, Profile
from xref.stock import query
from xref.stock.place import engine


def profile(name: str = "step sensor", **more: object) -> Profile:
    """A described slotted sensor."""
    part = Part(name=name, kind="slotted")
    cells = dict(zip([item.name for item in fields(Row)], pack(row_of(part)), strict=True))
    return Profile(
        part="", name=name, kind="slotted", record={"name": name, "kind": "slotted"}, packed=cells,
        **more,  # type: ignore[arg-type]
    )  # fmt: skip


def piece(count: int = 1, *, name: str = "step sensor", place: str = "", board: Board | None = None) -> Item:
    """Some of them at a place."""
    return Item(id=0, profile=profile(name), count=count, place=place, board=board)


def now() -> Dump:
    """All that the stock holds, with the connection ended."""
    base = engine()
    try:
        return query.dump(base)
    finally:
        base.close()


def one(number: int) -> Item:
    """One entry, with the connection ended."""
    base = engine()
    try:
        return query.item(base, number)
    finally:
        base.close()
