"""The shelf as seen by search and fit."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from typing import TYPE_CHECKING, Any

from xref.errors import NotFound, UsageError
from xref.model.row import Row

if TYPE_CHECKING:
    from xref.library.store import Library
    from xref.model.part import Part
    from xref.model.stock import Item
    from xref.model.want import Want
    from xref.stock.groups import Group

_COLUMN = {item.name: place for place, item in enumerate(fields(Row))}
_REFERENCE, _ORIGIN, _WHERE = _COLUMN["reference"], _COLUMN["origin"], _COLUMN["where"]
_COUNT, _TESTED = _COLUMN["count"], _COLUMN["tested"]


def stock_rows(kind: str | None = None, *, want: Want | None = None, library: Library | None = None) -> list[Row]:
    """Rows of all that is left, none where no stock was ever begun.

    Equal pieces (same type, same measured values, tested alike) are one row: that of the best kept, with its place
    and its count; ``where`` says how many more there are. Used up and dead pieces are not among them.

    Args:
        kind: only this kind
        want: what is searched by; pieces that this search cannot tell apart are then one row too
        library: where their types are looked up
    """
    from xref.stock.place import begun, engine

    if not begun():
        # most searches: the classes of the shelf cost more than reading the index
        return []
    from xref.stock.groups import BY_LOOK, BY_PIECE, groups

    base = engine()
    try:
        found = groups(base, kind, key=BY_PIECE if want is None else BY_LOOK)
        if not found:
            return []
        if library is None and any(group.part for group in found):
            library = _open()
        types = {} if library is None else {row.name: row for row in library.rows(kind)}
        if want is not None and _electrical(want):
            unfit = _unfit({group.part for group in found if not group.shape and group.part in types}, types, want)
            found = [group for group in found if not group.shape and group.part in unfit]
            found += groups(base, kind, without=unfit)
    finally:
        base.close()
    cells = {name: _cells(row) for name, row in types.items()}
    # one text for all of them: a call of the JSON reader for each piece would take most of the time
    overlays = json.loads("[" + ",".join(group.overlay or "{}" for group in found) + "]")
    return [_row(group, cells, overlay) for group, overlay in zip(found, overlays, strict=True)]


def _electrical(want: Want) -> bool:
    """True when values that are measured on single pieces decide; which type something is, they do not."""
    return want.ic is not None and not want.same


def _unfit(names: set[str], types: dict[str, Row], want: Want) -> set[str]:
    """Types that are refused for something that no electrical reading on a piece changes."""
    from xref.search.criteria import criteria

    gates = [wish for wish in criteria(want) if wish.gate and wish.name not in ("VF", "current transfer")]
    return {name for name in names if any((wish.measure(types[name]) or 0.0) >= 1.0 for wish in gates)}


def item_part(reference: str, library: Library | None = None) -> Part:
    """The part that ``stock:17`` stands for, with the piece's own measured values.

    Raises:
        NotFound: no such piece, or its type is no longer in the library
        UsageError: not a reference to a piece
    """
    from xref.stock.place import engine
    from xref.stock.query import item

    base = engine()
    try:
        found = item(base, item_id(reference))
    finally:
        base.close()
    return part_of(found, library)


def shelf_remark(reference: str) -> str:
    """What to say first of a piece that is to be soldered in; empty for one in order and for what is no piece.

    Raises:
        NotFound: no such piece, or a dead one
    """
    if not reference.startswith("stock:"):
        return ""
    from xref.stock.place import engine
    from xref.stock.query import item

    base = engine()
    try:
        found = item(base, item_id(reference))
    finally:
        base.close()
    if found.condition == "dead":
        raise NotFound(
            f"{found.profile.name} is marked dead and kept for its housing: it is not fitted; "
            "xref stock list shows others",
            found.reference,
        )
    remarks = []
    if found.count < 1:
        remarks.append(f"{found.reference}: 0 left on the shelf, all were taken or scrapped: this is a plan only.")
    if found.condition == "doubtful":
        remarks.append(f"{found.reference} is marked doubtful: test it before you solder.")
    return " ".join(remarks)


def part_of(item: Item, library: Library | None = None) -> Part:
    """The part of an item, its measured values over those of its type."""
    from xref.model.decode import decode
    from xref.model.part import Part

    profile = item.profile
    part = None
    if profile.part:
        try:
            part = (library or _open()).get(profile.part)
        except NotFound:
            if not profile.record:
                raise
    if part is None:
        part = decode(Part, profile.record)
    return replace(with_measured(part, profile.measured), origin="stock", path=item.reference)


def with_measured(part: Part, measured: dict[str, Any]) -> Part:
    """The part with a piece's own values over it."""
    if not measured:
        return part
    from xref.model.decode import decode, encode
    from xref.stock.measured import merged

    return decode(type(part), merged(encode(part), measured))


def item_id(reference: str) -> int:
    """The number in ``stock:17``, ``17`` as typed.

    Raises:
        UsageError: neither
    """
    return _number(reference, "stock")


def board_id(reference: str) -> int:
    """The number in ``board:7``, ``7`` as typed.

    Raises:
        UsageError: neither
    """
    return _number(reference, "board")


def _number(reference: str, word: str) -> int:
    text = reference.strip().removeprefix(f"{word}:")
    if not (text.isascii() and text.isdigit() and len(text) <= 10):
        raise UsageError(f"{reference[:30]!r} is not the number on a label: expected like {word}:17")
    return int(text)


def _open() -> Library:
    from xref.library.store import open_library

    return open_library()


def _cells(row: Row) -> list[Any]:
    return [getattr(row, name) for name in _COLUMN]


def _row(group: Group, types: dict[str, list[Any]], overlay: dict[str, Any]) -> Row:
    """The type's row as the library has it now, under the piece's own columns."""
    base = types.get(group.part)
    if base is None:
        kept = json.loads(group.packed)
        if kept.keys() != _COLUMN.keys():
            # entered by another version of the program: worked out again from what the piece is
            kept = dict(zip(_COLUMN, _cells(_worked_out(group)), strict=True))
        cells = [kept[name] for name in _COLUMN]
    else:
        cells = base.copy()
        for name, value in overlay.items():
            if name in _COLUMN:
                cells[_COLUMN[name]] = value
    cells[_REFERENCE] = f"stock:{group.item}"
    cells[_ORIGIN] = "stock"
    cells[_WHERE] = _where(group)
    cells[_COUNT] = group.left
    cells[_TESTED] = bool(group.tested)
    return Row(*cells)


def _worked_out(group: Group) -> Row:
    """The row anew; of a type that nobody knows any more only the name and the kind are left."""
    from xref.model.part import Part
    from xref.model.row import row_of

    try:
        return row_of(item_part(f"stock:{group.item}"))
    except NotFound:
        kind: Any = group.kind
        return row_of(Part(name=group.name, kind=kind))


def _where(group: Group) -> str:
    place = group.place or group.board_place
    found = _short(place) if place else ""
    if group.board is not None:
        found += f"{', ' if found else ''}board:{group.board} {_short(group.source)}".rstrip()
    found = found or "place not noted"
    return f"{found}, {group.elsewhere} more alike" if group.elsewhere else found


def _short(text: str) -> str:
    folded = " ".join(text.split())
    return folded if len(folded) <= 40 else folded[:37] + "..."
