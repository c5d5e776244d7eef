"""What is done at the shelf: add, take, return, scrap, set, list, show, labels."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from xref.errors import UsageError
from xref.model.answers.stock import BoardLine, Done, Happened, Labels, Piece, Shelf, Shown
from xref.model.stock import CONDITIONS, Board, Item
from xref.stock import query
from xref.stock.measured import words_of
from xref.stock.store import Stock
from xref.tasks.stock import board_id, item_id, part_of

if TYPE_CHECKING:
    from xref.library.store import Library
    from xref.tasks.stock_entry import Entry


ONE_MEASURED = "what was measured stands for one piece; the others of its kind keep the spread of their type"


@contextmanager
def opened() -> Iterator[Stock]:
    """The stock in use, let go of at the end."""
    from xref.stock.place import engine

    stock = Stock(engine())
    try:
        yield stock
    finally:
        stock.engine.close()


def add(entries: Sequence[Entry], board: Board | None = None, library: Library | None = None) -> Done:
    """Put pieces on the shelf, with a new board or without, all of it or nothing.

    Args:
        entries: the pieces as typed; one whose board has the id of ``board`` lies on it
        board: a new board; its id is a stand-in below 1
    """
    from xref.tasks.stock_entry import items_from

    if library is None and entries:
        from xref.library.store import open_library

        library = open_library()
    items = [item for entry in entries for item in items_from(entry, library)] if library is not None else []
    if not items and board is None:
        raise UsageError("nothing to add: name a part, --kind, or --new-board")
    with opened() as stock:
        kept = stock.add([board] if board is not None else [], items)
        lines: tuple[BoardLine, ...] = ()
        if board is not None:
            new = next((item.board for item in kept if item.board is not None), None)
            if new is None:
                new = query.boards(stock.engine)[-1][0]
            lines = (board_line(new, sum(item.count for item in kept)),)
    split = len(items) > len(entries)
    return Done(
        action="add", notes=(ONE_MEASURED,) if split else (), pieces=tuple(piece(item) for item in kept), boards=lines,
        change=sum(item.count for item in kept),
    )  # fmt: skip


def take(reference: str, count: int = 1, note: str = "") -> Done:
    """Take pieces off the shelf.

    Raises:
        NotFound: no such piece, or fewer are left
    """
    with opened() as stock:
        return _done("take", [stock.take(item_id(reference), count, note)], -count)


def give_back(reference: str, count: int = 1, note: str = "") -> Done:
    """Put pieces back that were taken."""
    with opened() as stock:
        return _done("return", [stock.give_back(item_id(reference), count, note)], count)


def scrap(reference: str, count: int | None = None, note: str = "") -> Done:
    """Throw pieces away, or with ``board:7`` a board with all on it."""
    with opened() as stock:
        if reference.startswith("board:"):
            if count is not None:
                raise UsageError("a board goes as a whole; scrap single pieces by their stock:ID", "--count")
            number = board_id(reference)
            gone, pieces = stock.scrap_board(number, note)
            found, _, _ = query.board(stock.engine, number)
            return replace(_done("scrap", gone, -pieces), boards=(board_line(found, 0),))
        after, pieces = stock.scrap(item_id(reference), count, note)
        return _done("scrap", [after], -pieces)


def change(reference: str, entry: Entry, fields: dict[str, Any], *, one: bool = False,
           library: Library | None = None) -> Done:  # fmt: skip
    """Correct or complete an entry.

    Args:
        reference: ``stock:17``
        entry: what was typed of its description and measured values
        fields: place, condition, tested, notes, board (id or None), as far as they were typed
        one: only one of several equal pieces gets the change, and an id of its own; always so with a value that
            differs from piece to piece
    """
    from xref.stock.measured import measured, merged
    from xref.tasks.stock_entry import OF_ONE, PROVES, described, profile_from

    number = item_id(reference)
    if fields.get("condition", "used") not in CONDITIONS:
        raise UsageError(f"{str(fields['condition'])[:20]!r} is not one of {', '.join(CONDITIONS)}", "--condition")
    own = merged(described(entry), measured(entry.values))
    alone = False
    with opened() as stock:
        profile = None
        if own:
            old = query.item(stock.engine, number)
            # a reading is that of the piece in hand, never of its neighbours in the bag
            alone = not one and old.count > 1 and any(entry.values.get(word) for word in OF_ONE)
            one = one or alone
            base = part_of(replace(old, profile=replace(old.profile, measured={})), library)
            origin: Any = "user" if old.profile.record else "shipped"
            profile = profile_from(
                replace(base, origin=origin), merged(old.profile.measured, own), part=old.profile.part
            )
            if any(entry.values.get(word) for word in PROVES):
                fields = {"tested": True, **fields}
        if not own and not fields:
            raise UsageError("nothing to change: give --place, --condition, --vf or another value")
        kept = stock.set(number, profile=profile, one=one, **fields)
    notes: tuple[str, ...] = ()
    if alone:
        notes = (ONE_MEASURED,)
    elif own and kept.count > 1:
        notes = (f"the values now stand for all {kept.count} pieces; --one gives a single piece its own entry",)
    return replace(_done("set", [kept], 0), notes=notes)


def listing(*, text: str = "", kind: str = "", place: str = "", board: str = "", used_up: bool = False,
            limit: int = 50) -> Shelf:  # fmt: skip
    """What is left."""
    with opened() as stock:
        items, entries, pieces = query.listed(
            stock.engine, text=text, kind=kind, place=place, board=board_id(board) if board else None,
            used_up=used_up, limit=limit,
        )  # fmt: skip
    return Shelf(pieces=tuple(piece(item) for item in items), entries=entries, left=pieces)


def boards(*, scrapped: bool = False) -> Shelf:
    """The boards, with what is left on each."""
    with opened() as stock:
        found = query.boards(stock.engine, scrapped=scrapped)
    return Shelf(
        pieces=(), entries=len(found), left=sum(left for _, left in found),
        boards=tuple(board_line(board, left) for board, left in found),
    )  # fmt: skip


def show(reference: str) -> Shown:
    """One piece, or with ``board:7`` one board, with its history."""
    from xref.stock.export import board_form, item_form

    with opened() as stock:
        if reference.startswith("board:"):
            board, items, events = query.board(stock.engine, board_id(reference))
            line = board_line(board, sum(item.count for item in items))
            return Shown(piece=None, board=line, on_board=tuple(piece(item) for item in items),
                         history=_happened(events), record=board_form(board))  # fmt: skip
        item = query.item(stock.engine, item_id(reference))
        events = query.history(stock.engine, item.id)
    held = None if item.board is None else board_line(item.board, 0)
    return Shown(piece=piece(item), board=held, on_board=(), history=_happened(events), record=item_form(item))


def labels(references: Sequence[str]) -> Labels:
    """What to write on the bag or the board."""
    found: list[tuple[str, ...]] = []
    with opened() as stock:
        for reference in references:
            if reference.startswith("board:"):
                board, items, _ = query.board(stock.engine, board_id(reference))
                left = sum(item.count for item in items)
                found.append((board.reference, _line(board.source), f"{left} pieces noted  {board.added[:10]}"))
                continue
            item = query.item(stock.engine, item_id(reference))
            lines = [item.reference, _line(item.profile.name)]
            state = "tested" if item.tested else "not tested"
            lines.append(f"{item.count} pc{'' if item.count == 1 else 's'}, {item.condition}, {state}")
            own = words_of(item.profile.measured)
            if own:
                lines.append(_line(", ".join(own)))
            if item.board is not None:
                lines.append(_line(f"{item.board.reference} {item.board.source}"))
            found.append(tuple(lines))
    return Labels(labels=tuple(found))


def piece(item: Item) -> Piece:
    """An entry as an answer."""
    profile, board = item.profile, item.board
    return Piece(
        reference=item.reference, part=profile.name, kind=profile.kind, left=item.count,
        where=item.place or (board.place if board is not None else ""),
        board="" if board is None else f"{board.reference} {board.source}".rstrip(),
        condition=item.condition, tested=item.tested, measured=tuple(words_of(profile.measured)), notes=item.notes,
        added=item.added, known=bool(profile.part),
    )  # fmt: skip


def board_line(board: Board, pieces: int) -> BoardLine:
    """A board as an answer."""
    return BoardLine(
        reference=board.reference, source=board.source, place=board.place, photo=board.photo, notes=board.notes,
        added=board.added, state=board.state, pieces=pieces,
    )  # fmt: skip


def _done(action: Any, items: Sequence[Item], change: int) -> Done:
    return Done(action=action, pieces=tuple(piece(item) for item in items), change=change)


def _happened(events: Sequence[Any]) -> tuple[Happened, ...]:
    return tuple(
        Happened(at=event.at, action=event.action, change=event.change, left=event.left, note=event.note)
        for event in events
    )


def _line(text: str) -> str:
    """One short line for a label."""
    folded = " ".join(text.split())
    return folded if len(folded) <= 32 else folded[:29] + "..."
