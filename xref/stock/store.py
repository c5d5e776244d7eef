"""What may be done to a stock: each a single transaction that is kept whole or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from xref.errors import NotFound, UsageError
from xref.model.stock import MOST, Board, Dump, Event, Item, Profile
from xref.stock import forms
from xref.stock.link import Engine, Link
from xref.stock.query import board_by_id, item_by_id


class Stock:
    """The changes. Reading is in ``xref.stock.query``. For one thread; several processes may work at once."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine

    def add(
        self, boards: Sequence[Board], items: Sequence[Item], *, keep_ids: bool = False, imported: bool = False
    ) -> list[Item]:
        """Put boards and pieces on the shelf, all of them or none.

        Args:
            boards: new boards
            items: new pieces; a piece names its board, new or already there, by that board's id
            keep_ids: ids above 0 are kept, the rest and all others get the next free ones
            imported: pieces of which nothing is left may be among them

        Returns:
            the pieces as kept, with their ids; without pieces, nothing

        Raises:
            UsageError: an id that is taken, a count out of range
            NotFound: a board that is not there
            StorageError: nothing was changed
        """
        now = _now()
        with self.engine.changing() as link:
            new_boards, place_of = _numbered_boards(link, boards, keep_ids, now)
            link.insert("stock_board", [forms.board_values(board) for board in new_boards])
            kept = _numbered_items(link, items, keep_ids, now, 0 if imported else 1)
            known = {board.id: board for board in new_boards}
            kept = [_on_board(link, item, place_of, known) for item in kept]
            ids = _profile_ids(link, [item.profile for item in kept])
            link.insert("stock_item", [forms.item_values(item, ids[forms.digest(item.profile)]) for item in kept])
            _log(
                link,
                [Event(id=0, at=now, action="add", board=board.id, note=board.source[:200]) for board in new_boards]
                + [Event(id=0, at=now, action="add", item=item.id, change=item.count, left=item.count)
                   for item in kept],
            )  # fmt: skip
        return kept

    def take(self, item: int, count: int = 1, note: str = "") -> Item:
        """Take pieces off the shelf.

        Raises:
            NotFound: no such piece, or fewer are left
            StorageError: nothing was changed
        """
        return self._move(item, -_counted(count), "take", note)

    def give_back(self, item: int, count: int = 1, note: str = "") -> Item:
        """Put pieces back that were taken.

        Raises:
            NotFound: no such piece
            UsageError: more than were taken
        """
        _counted(count)
        with self.engine.changing() as link:
            item_by_id(link, item)
            out = -int(
                link.rows(
                    "select coalesce(sum(change), 0) from stock_history"
                    " where item_id = :item and action in ('take', 'return')",
                    item=item,
                )[0][0]
            )
            if count > out:
                taken = f"{out} of it {'is' if out == 1 else 'are'} out" if out else "none of it is out"
                raise UsageError(f"{taken}: more pieces of the same kind are a new entry, xref stock add", _ref(item))
            return _moved(link, item, count, "return", note)

    def scrap(self, item: int, count: int | None = None, note: str = "") -> tuple[Item, int]:
        """Throw pieces away (``None``: all that are left): what is left, and how many went.

        Raises:
            NotFound: no such piece, or fewer are left
        """
        with self.engine.changing() as link:
            left = item_by_id(link, item).count
            number = left if count is None else _counted(count)
            if left == 0:
                raise NotFound("nothing is left of it", _ref(item))
            return _moved(link, item, -number, "scrap", note), number

    def scrap_board(self, board: int, note: str = "") -> tuple[list[Item], int]:
        """Throw a board away with all pieces still on it: the entries, and the number of pieces that went.

        Raises:
            NotFound: no such board, or it is scrapped already
        """
        with self.engine.changing() as link:
            if board_by_id(link, board).state == "scrapped":
                raise NotFound("it is scrapped already", f"board:{board}")
            link.update("stock_board", board, "state = :state", state="scrapped")
            rows = link.rows(
                "select id, quantity from stock_item where board_id = :board and quantity > 0 order by id", board=board
            )
            _log(link, [Event(id=0, at=_now(), action="scrap", board=board, note=note)])
            gone = [_moved(link, id, -quantity, "scrap", note) for id, quantity in rows]
            return gone, sum(quantity for _, quantity in rows)

    def set(self, item: int, *, profile: Profile | None = None, one: bool = False, **fields: Any) -> Item:
        """Correct or complete an entry.

        Args:
            item: its id
            profile: what it is now known to be
            one: only one of several equal pieces: it gets an id of its own
            fields: place, condition, tested, notes, board (id or None)

        Raises:
            NotFound: no such piece or board, or none is left
        """
        with self.engine.changing() as link:
            old = item_by_id(link, item)
            new = replace(old, **{key: value for key, value in fields.items() if key != "board"})
            if "board" in fields:
                new = replace(new, board=None if fields["board"] is None else board_by_id(link, fields["board"]))
            if profile is not None:
                new = replace(new, profile=profile)
            number = _profile_ids(link, [new.profile])[forms.digest(new.profile)]
            said = ", ".join(sorted([*fields, *(["description"] if profile is not None else [])]))
            if one and old.count > 1:
                _moved(link, item, -1, "set", "one piece got an entry of its own")
                new = replace(new, id=link.next_id("stock_item"), count=1, added=_now())
                link.insert("stock_item", [forms.item_values(new, number)])
                _log(link, [Event(id=0, at=_now(), action="set", item=new.id, change=1, left=1,
                                  note=f"from {_ref(item)}: {said}")])  # fmt: skip
                return new
            values = forms.item_values(new, number)
            link.update(
                "stock_item", item,
                "board_id = :board_id, profile_id = :profile_id, place = :place, condition = :condition,"
                " tested = :tested, notes = :notes",
                **{key: values[key] for key in ("board_id", "profile_id", "place", "condition", "tested", "notes")},
            )  # fmt: skip
            _log(link, [Event(id=0, at=_now(), action="set", item=item, left=new.count, note=said)])
            return new

    def replace_all(self, dump: Dump) -> None:
        """Put another stock in the place of this one; used by restore."""
        with self.engine.changing() as link:
            link.clear()
            link.insert("stock_board", [forms.board_values(board) for board in dump.boards])
            ids = _profile_ids(link, [item.profile for item in dump.items])
            link.insert("stock_item", [forms.item_values(item, ids[forms.digest(item.profile)]) for item in dump.items])
            link.insert("stock_history", [forms.event_values(event) for event in dump.events])

    def _move(self, item: int, change: int, action: Any, note: str) -> Item:
        with self.engine.changing() as link:
            return _moved(link, item, change, action, note)


def _moved(link: Link, item: int, change: int, action: Any, note: str) -> Item:
    """Change a count; the condition stands in the statement, so that two takers never get the same piece."""
    item_by_id(link, item)
    met = link.update(
        "stock_item", item, "quantity = quantity + :change", "quantity + :change between 0 and :most",
        change=change, most=MOST,
    )  # fmt: skip
    found = item_by_id(link, item)
    if not met:
        if change > 0:
            raise UsageError(f"more than {MOST} pieces in one entry", _ref(item))
        left = f"only {found.count} left" if found.count else "nothing is left of it"
        raise NotFound(f"{left}, {-change} wanted: nothing was taken", _ref(item))
    _log(link, [Event(id=0, at=_now(), action=action, item=item, change=change, left=found.count, note=note)])
    return found


def _numbered_boards(
    link: Link, boards: Sequence[Board], keep_ids: bool, now: str
) -> tuple[list[Board], dict[int, int]]:
    """New boards with ids, and what each was called (a stand-in id) to its id."""
    given = [board.id for board in boards] if keep_ids else []
    _free(link, "stock_board", "board", given)
    following = max([link.next_id("stock_board"), *(id + 1 for id in given)])
    kept, place_of = [], {}
    for board in boards:
        id = board.id
        if not keep_ids or id <= 0:
            id, following = following, following + 1
        place_of[board.id] = id
        kept.append(replace(board, id=id, added=board.added or now))
    return kept, place_of


def _numbered_items(link: Link, items: Sequence[Item], keep_ids: bool, now: str, least: int) -> list[Item]:
    given = [item.id for item in items if item.id > 0] if keep_ids else []
    _free(link, "stock_item", "stock", given)
    following = max([link.next_id("stock_item"), *(id + 1 for id in given)])
    kept = []
    for item in items:
        if not least <= item.count <= MOST:
            raise UsageError(f"{item.count} pieces: expected 1 to {MOST}", "--count")
        id = item.id
        if not keep_ids or id <= 0:
            id, following = following, following + 1
        kept.append(replace(item, id=id, added=item.added or now))
    return kept


def _free(link: Link, table: str, word: str, given: Sequence[int]) -> None:
    wanted = [id for id in given if id > 0]
    if len(set(wanted)) != len(wanted):
        raise UsageError("an id stands twice", word)
    taken = link.among(f"select id from {table} where id in", "id", wanted)
    if taken:
        names = ", ".join(f"{word}:{row[0]}" for row in sorted(taken)[:5])
        raise UsageError(f"taken already: {names}; leave the id empty, or import with --renumber")


def _on_board(link: Link, item: Item, place_of: dict[int, int], known: dict[int, Board]) -> Item:
    """The piece with its board in full; ``known`` takes up every board that was looked up."""
    if item.board is None:
        return item
    id = place_of.get(item.board.id, item.board.id)
    if id not in known:
        known[id] = board_by_id(link, id)
    board = known[id]
    if board.state == "scrapped" and item.count:
        raise UsageError("it is scrapped: nothing can lie on it", board.reference)
    return replace(item, board=board)


def _profile_ids(link: Link, profiles: Sequence[Profile]) -> dict[str, int]:
    """Digest to id, adding the profiles that are new."""
    by_key = {forms.digest(profile): profile for profile in profiles}
    known = dict(link.among("select digest, id from stock_profile where digest in", "key", list(by_key)))
    following = link.next_id("stock_profile")
    fresh = []
    for key, profile in by_key.items():
        if key not in known:
            known[key] = following
            fresh.append(forms.profile_values(following, profile, key))
            following += 1
    link.insert("stock_profile", fresh)
    return known


def _log(link: Link, events: Sequence[Event]) -> None:
    first = link.next_id("stock_history")
    link.insert(
        "stock_history",
        [forms.event_values(replace(event, id=first + place)) for place, event in enumerate(events)],
    )


def _counted(count: int) -> int:
    if not 1 <= count <= MOST:
        raise UsageError(f"{count} pieces: expected 1 to {MOST}", "--count")
    return count


def _ref(item: int) -> str:
    return f"stock:{item}"


def _now() -> str:
    from datetime import UTC, datetime

    return datetime.now(UTC).isoformat(timespec="seconds")
