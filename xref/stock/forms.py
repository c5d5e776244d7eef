"""Between table rows and the classes of ``xref.model.stock``."""

from __future__ import annotations

import json
from typing import Any

from xref.errors import UsageError
from xref.model.stock import Board, Event, Item, Profile
from xref.stock.link import Values

MOST_TEXT = 2_000_000
"""Characters of one text."""

BOARD = "id, source, place, photo, notes, added, state"
PROFILE = "id, part, name, kind, record, measured, packed, overlay"
ITEM = "id, board_id, profile_id, quantity, place, condition, tested, notes, added"
EVENT = "id, at, item_id, board_id, action, change, remaining, note"


def storable(what: str, text: str) -> str:
    """The text as given, if both databases can hold it.

    Raises:
        UsageError: a zero character, half a character pair, or far too long
    """
    if "\0" in text:
        raise UsageError(f"{what} holds a zero character, which cannot be kept: leave it out")
    if len(text) > MOST_TEXT:
        raise UsageError(f"{what} has {len(text)} characters; expected at most {MOST_TEXT}")
    try:
        text.encode("utf-8")
    except UnicodeEncodeError as error:
        raise UsageError(f"{what} is not valid text at character {error.start + 1}: type it again") from error
    return text


def packed(data: Any) -> str:
    """JSON as kept: the same data gives the same text."""
    return json.dumps(data, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)


def digest(profile: Profile) -> str:
    """The same for equal pieces."""
    what = packed([profile.part, profile.name, profile.kind, profile.record, profile.measured])
    return _hash(storable("the description", what))


def _hash(text: str) -> str:
    # imported here: a search reads forms and needs no hash
    import hashlib

    return hashlib.sha256(text.encode()).hexdigest()


ELECTRICAL = ("vf_points", "ic_points", "basis")
"""Columns of a search row that only readings on the piece change; a search that asks for neither sees no difference."""


def shape(profile: Profile) -> str:
    """The same for pieces that differ in nothing but measured VF and IC; empty where they are as their type."""
    if profile.part:
        told = {name: value for name, value in profile.overlay.items() if name not in ELECTRICAL}
        return _hash(packed(told))[:16] if told else ""
    told = {name: cell for name, cell in profile.packed.items() if name not in ELECTRICAL}
    return _hash(packed(told))[:16]


def profile_values(id: int, profile: Profile, key: str) -> Values:
    """The row of a profile."""
    return {
        "id": id, "digest": key, "part": profile.part, "name": storable("the name", profile.name),
        "kind": profile.kind, "record": packed(profile.record) if profile.record else "",
        "measured": packed(profile.measured) if profile.measured else "", "packed": packed(profile.packed),
        "overlay": packed(profile.overlay) if profile.overlay else "", "shape": shape(profile),
    }  # fmt: skip


def item_values(item: Item, profile_id: int) -> Values:
    """The row of an item."""
    return {
        "id": item.id, "board_id": None if item.board is None else item.board.id, "profile_id": profile_id,
        "quantity": item.count, "place": storable("the place", item.place), "condition": item.condition,
        "tested": int(item.tested), "notes": storable("the notes", item.notes), "added": item.added,
    }  # fmt: skip


def board_values(board: Board) -> Values:
    """The row of a board."""
    return {
        "id": board.id, "source": storable("what the board is from", board.source),
        "place": storable("the place", board.place), "photo": storable("the photo's path", board.photo),
        "notes": storable("the notes", board.notes), "added": board.added, "state": board.state,
    }  # fmt: skip


def event_values(event: Event) -> Values:
    """The row of an event."""
    return {
        "id": event.id, "at": event.at, "item_id": event.item, "board_id": event.board, "action": event.action,
        "change": event.change, "remaining": event.left, "note": storable("the note", event.note),
    }  # fmt: skip


def board_of(row: tuple[Any, ...]) -> Board:
    """A board from its columns (BOARD)."""
    id, source, place, photo, notes, added, state = row
    return Board(id=id, source=source, place=place, photo=photo, notes=notes, added=added, state=state)


def profile_of(row: tuple[Any, ...]) -> Profile:
    """A profile from its columns (PROFILE)."""
    _, part, name, kind, record, measured, row_packed, overlay = row
    return Profile(
        part=part, name=name, kind=kind, record=json.loads(record) if record else {},
        measured=json.loads(measured) if measured else {}, packed=json.loads(row_packed),
        overlay=json.loads(overlay) if overlay else {},
    )  # fmt: skip


def item_of(row: tuple[Any, ...], profile: Profile, board: Board | None) -> Item:
    """An item from its columns (ITEM)."""
    id, _, _, quantity, place, condition, tested, notes, added = row
    return Item(
        id=id, profile=profile, board=board, count=quantity, place=place, condition=condition, tested=bool(tested),
        notes=notes, added=added,
    )  # fmt: skip


def event_of(row: tuple[Any, ...]) -> Event:
    """An event from its columns (EVENT)."""
    id, at, item, board, action, change, left, note = row
    return Event(id=id, at=at, action=action, item=item, board=board, change=change, left=left, note=note)
