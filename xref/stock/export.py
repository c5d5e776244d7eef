"""The stock as JSON and back: every field, nothing lost."""

from __future__ import annotations

import json
from typing import Any

from xref.errors import DataError
from xref.model.stock import Board, Dump, Event, Item, Profile

FORMAT = 1


def board_form(board: Board) -> dict[str, Any]:
    """A board as plain data."""
    return {
        "id": board.id, "source": board.source, "place": board.place, "photo": board.photo, "notes": board.notes,
        "added": board.added, "state": board.state,
    }  # fmt: skip


def item_form(item: Item) -> dict[str, Any]:
    """A piece as plain data; ``packed`` is kept so that a piece of a vanished type can still be searched."""
    profile = item.profile
    return {
        "id": item.id, "part": profile.part, "name": profile.name, "kind": profile.kind,
        "board": None if item.board is None else item.board.id, "count": item.count, "place": item.place,
        "condition": item.condition, "tested": item.tested, "notes": item.notes, "added": item.added,
        "measured": profile.measured, "record": profile.record, "packed": profile.packed,
        "overlay": profile.overlay,
    }  # fmt: skip


def json_text(dump: Dump) -> str:
    """All of it as one JSON document."""
    data = {
        "format": FORMAT,
        "xref_stock": {
            "boards": [board_form(board) for board in dump.boards],
            "items": [item_form(item) for item in dump.items],
            "history": [
                {"id": event.id, "at": event.at, "action": event.action, "item": event.item, "board": event.board,
                 "change": event.change, "left": event.left, "note": event.note}
                for event in dump.events
            ],
        },
    }  # fmt: skip
    return json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def from_json(text: str, where: str) -> Dump:
    """The stock back from :func:`json_text`.

    Raises:
        DataError: not such a document, or a field that cannot be; the message says where
    """
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise DataError(f"not JSON: {error}; expected what xref stock export wrote", where) from error
    held = data.get("xref_stock") if isinstance(data, dict) else None
    if not isinstance(held, dict) or data.get("format") != FORMAT:
        raise DataError('expected {"format": 1, "xref_stock": ...} as xref stock export writes it', where)
    boards = {}
    for place, each in enumerate(_list(held, "boards", where)):
        at = f"boards[{place}]"
        board = Board(
            id=_whole(each, "id", at, where), source=_text(each, "source", at, where),
            place=_text(each, "place", at, where), photo=_text(each, "photo", at, where),
            notes=_text(each, "notes", at, where), added=_text(each, "added", at, where),
            state=_word(each, "state", ("kept", "scrapped"), at, where),
        )  # fmt: skip
        if board.id < 1 or board.id in boards:
            raise DataError(f"{at}.id: {board.id} stands twice or is below 1; expected each id once", where)
        boards[board.id] = board
    items = tuple(
        _item(each, f"items[{place}]", boards, where) for place, each in enumerate(_list(held, "items", where))
    )
    events = tuple(_event(each, f"history[{place}]", where) for place, each in enumerate(_list(held, "history", where)))
    return Dump(boards=tuple(boards.values()), items=items, events=events)


def _item(each: Any, at: str, boards: dict[int, Board], where: str) -> Item:
    number = None if _get(each, "board", at, where) is None else _whole(each, "board", at, where)
    if number is not None and number not in boards:
        raise DataError(f"{at}.board: {number} is not among the boards; expected one of them or null", where)
    count, tested = _whole(each, "count", at, where), _get(each, "tested", at, where)
    if not isinstance(tested, bool) or count < 0:
        raise DataError(f"{at}: count below 0, or tested is neither true nor false", where)
    profile = Profile(
        part=_text(each, "part", at, where), name=_text(each, "name", at, where),
        kind=_word(each, "kind", ("reflective", "slotted", "pair", "emitter", "detector", "switch"), at, where),
        record=_mapping(each, "record", at, where), measured=_mapping(each, "measured", at, where),
        packed=_mapping(each, "packed", at, where), overlay=_mapping(each, "overlay", at, where),
    )  # fmt: skip
    return Item(
        id=_whole(each, "id", at, where), profile=profile, board=None if number is None else boards[number],
        count=count, place=_text(each, "place", at, where),
        condition=_word(each, "condition", ("good", "used", "doubtful", "dead"), at, where), tested=tested,
        notes=_text(each, "notes", at, where), added=_text(each, "added", at, where),
    )  # fmt: skip


def _event(each: Any, at: str, where: str) -> Event:
    item, board = _get(each, "item", at, where), _get(each, "board", at, where)
    return Event(
        id=_whole(each, "id", at, where), at=_text(each, "at", at, where),
        action=_word(each, "action", ("add", "take", "return", "scrap", "set"), at, where),
        item=None if item is None else _whole(each, "item", at, where),
        board=None if board is None else _whole(each, "board", at, where),
        change=_whole(each, "change", at, where), left=_whole(each, "left", at, where),
        note=_text(each, "note", at, where),
    )  # fmt: skip


def _get(each: Any, key: str, at: str, where: str) -> Any:
    if not isinstance(each, dict) or key not in each:
        raise DataError(f"{at}.{key}: missing; expected it as xref stock export writes it", where)
    return each[key]


def _list(each: Any, key: str, where: str) -> list[Any]:
    found = each.get(key) if isinstance(each, dict) else None
    if not isinstance(found, list):
        raise DataError(f"{key}: expected a list", where)
    return found


def _whole(each: Any, key: str, at: str, where: str) -> int:
    found = _get(each, key, at, where)
    if not isinstance(found, int) or isinstance(found, bool) or abs(found) > 2_147_483_647:
        raise DataError(f"{at}.{key}: expected a whole number", where)
    return found


def _text(each: Any, key: str, at: str, where: str) -> str:
    found = _get(each, key, at, where)
    if not isinstance(found, str):
        raise DataError(f"{at}.{key}: expected a text", where)
    return found


def _mapping(each: Any, key: str, at: str, where: str) -> dict[str, Any]:
    found = _get(each, key, at, where)
    if not isinstance(found, dict):
        raise DataError(f"{at}.{key}: expected a mapping", where)
    return found


def _word(each: Any, key: str, words: tuple[str, ...], at: str, where: str) -> Any:
    found = _text(each, key, at, where)
    if found not in words:
        raise DataError(f"{at}.{key}: {found[:30]!r} is not one of {', '.join(words)}", where)
    return found
