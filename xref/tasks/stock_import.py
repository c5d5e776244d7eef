"""From the lines of a table, or an export, to boards and pieces, with every problem of the file."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from xref.errors import DataError, NotFound, UsageError, XrefError
from xref.model.stock import CONDITIONS, MOST, Board, Dump, Item, Profile
from xref.stock.forms import digest, storable
from xref.stock.measured import WORDS
from xref.stock.table import about, lines_of
from xref.tasks.stock_entry import Entry, item_from, profile_from

if TYPE_CHECKING:
    from xref.library.store import Library

TEXTS = ("source", "photo", "place", "notes", "added")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """What a file holds. ``board_lines``, ``item_lines``: id to line, for the ids that the file gives."""

    boards: tuple[Board, ...]
    items: tuple[Item, ...]
    problems: tuple[str, ...]
    board_lines: dict[int, int]
    item_lines: dict[int, int]


def from_table(text: str, name: str, library: Library) -> Ready:
    """The lines of a table.

    Args:
        text: the table
        name: how messages call it
        library: what the parts are looked up in

    Raises:
        DataError: it is no table
    """
    reader = _Reader(library)
    problems: list[str] = []
    for line, cells in lines_of(text, name):
        try:
            reader.take(line, cells)
        except XrefError as error:
            where = f"{error.where.lstrip('-')}: " if error.where else ""
            problems.append(f"{name}:{line}: {where}{error.message}")
    return Ready(
        boards=tuple(reader.boards.values()), items=tuple(reader.items), problems=tuple(problems),
        board_lines=reader.board_lines, item_lines=reader.item_lines,
    )  # fmt: skip


def from_dump(dump: Dump, name: str, library: Library, *, vanished: bool = False) -> Ready:
    """What a JSON export holds, its descriptions checked and its search rows made anew.

    Args:
        dump: what was read
        name: how messages call it
        library: where types are looked up
        vanished: keep pieces of a type that the library has no longer, as a restore must
    """
    problems = []
    items = []
    worked: dict[str, Profile] = {}
    for place, item in enumerate(dump.items):
        try:
            key = digest(item.profile)
            if key not in worked:
                worked[key] = _again(item.profile, library, vanished=vanished)
            items.append(replace(item, profile=worked[key]))
            for text in (item.place, item.notes, item.added):
                storable("a text", text)
        except XrefError as error:
            problems.append(f"{name}: items[{place}]: {error.message}")
    ids = [item.id for item in dump.items]
    if len(set(ids)) != len(ids):
        problems.append(f"{name}: items: an id stands twice; expected each once")
    return Ready(
        boards=dump.boards, items=tuple(items), problems=tuple(problems),
        board_lines={board.id: place for place, board in enumerate(dump.boards)},
        item_lines={item.id: place for place, item in enumerate(dump.items)},
    )  # fmt: skip


class _Reader:
    """Collects boards and pieces line by line; equal descriptions are worked out once."""

    def __init__(self, library: Library) -> None:
        self.library = library
        self.boards: dict[int, Board] = {}
        self.items: list[Item] = []
        self.board_lines: dict[int, int] = {}
        self.item_lines: dict[int, int] = {}
        self._from: dict[str, Board] = {}
        self._known: dict[Any, Item] = {}

    def take(self, line: int, cells: dict[str, str]) -> None:
        """One line.

        Raises:
            XrefError: what is wrong with it; the line is left out
        """
        for column in TEXTS:
            storable(column, cells.get(column, ""))
        what = cells.get("what", "").strip().lower() or "piece"
        if what not in ("board", "piece"):
            raise DataError(f"{what[:20]!r} is neither board nor piece", "what")
        number = _id(cells.get("id", ""), what)
        if what == "board":
            self._board(line, number, cells)
            return
        like = self._described(cells)
        notes = "; ".join(text for text in (cells.get("notes", ""), like.notes) if text)
        item = replace(
            like, id=number or 0, board=self._held(cells), count=_count(cells),
            place=cells.get("place", ""), condition=_condition(cells), notes=notes,
            added=cells.get("added", ""),
        )  # fmt: skip
        if cells.get("tested", "").strip():
            item = replace(item, tested=_yes(cells["tested"]))
        if number is not None:
            if number in self.item_lines:
                raise DataError(f"stock:{number} stands already in line {self.item_lines[number]}", "id")
            self.item_lines[number] = line
        self.items.append(item)

    def _board(self, line: int, number: int | None, cells: dict[str, str]) -> None:
        state: Any = cells.get("state", "").strip() or "kept"
        if state not in ("kept", "scrapped"):
            raise DataError(f"{state[:20]!r} is neither kept nor scrapped", "state")
        if number in self.board_lines:
            raise DataError(f"board:{number} stands already in line {self.board_lines[number or 0]}", "id")
        if number is not None:
            self.board_lines[number] = line
        stand_in = number if number is not None else -len(self.boards) - 1
        board = Board(
            id=stand_in, source=cells.get("source", ""), place=cells.get("place", ""), photo=cells.get("photo", ""),
            notes=cells.get("notes", ""), added=cells.get("added", ""), state=state,
        )  # fmt: skip
        self.boards[stand_in] = board

    def _held(self, cells: dict[str, str]) -> Board | None:
        """The board that a piece is on: by number, or a new one for each different ``source``."""
        named, source = cells.get("board", "").strip(), cells.get("source", "")
        if named:
            number = _id(named, "board")
            return self.boards.get(number or 0) or Board(id=number or 0, source="")
        if not source:
            return None
        if source not in self._from:
            stand_in = -len(self.boards) - 1
            self._from[source] = self.boards[stand_in] = Board(id=stand_in, source=source, photo=cells.get("photo", ""))
        return self._from[source]

    def _described(self, cells: dict[str, str]) -> Item:
        """What it is, without place and count."""
        key = tuple((column, cell) for column, cell in cells.items() if column not in _NOT_DESCRIBING)
        if key not in self._known:
            self._known[key] = self._work_out(cells)
        return self._known[key]

    def _work_out(self, cells: dict[str, str]) -> Item:
        if cells.get("description", "").strip():
            return Item(id=0, profile=self._exact(cells))
        plain = {column: cells.get(column, "").strip() for column in cells}
        return item_from(
            Entry(
                part=plain.get("part", ""), kind=plain.get("kind", ""), output=plain.get("output", ""),
                logic=plain.get("logic", ""), leads=plain.get("leads", ""), map=plain.get("map", ""),
                grid=plain.get("grid", ""), seen_from=plain.get("seen_from", "") or "component",
                joins=plain.get("joins", ""), readings=tuple(plain.get("readings", "").split()),
                values={word: plain[word] for word in WORDS if plain.get(word)},
            ),
            self.library,
        )  # fmt: skip

    def _exact(self, cells: dict[str, str]) -> Profile:
        """The description that an export wrote, checked as strictly as a part file."""
        said: Any = about(cells["description"])
        name = cells.get("part", "")
        profile = Profile(part=name if said["known"] else "", name=name, kind=cells.get("kind", ""),
                          record=said["record"], measured=said["measured"])  # fmt: skip
        return _again(profile, self.library)


_NOT_DESCRIBING = {"what", "id", "count", "board", "source", "photo", "place", "condition", "tested", "added", "state",
                   "notes"}  # fmt: skip


def _merged(base: Any, own: dict[str, Any]) -> Any:
    from xref.model.decode import encode
    from xref.stock.measured import merged

    return merged(encode(base), own)


def _part(data: Any) -> Any:
    """A part from data of unknown make, checked by its schema.

    Raises:
        DataError: a key or value that no part has
    """
    import json

    from pydantic import TypeAdapter, ValidationError

    from xref.model.part import Part

    global _checker
    if _checker is None:
        _checker = TypeAdapter(Part)
    try:
        return _checker.validate_json(json.dumps(data))
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(step) for step in first["loc"])
        raise DataError(f"{where}: {first['msg']}", "description") from error


_checker: Any = None


def _again(profile: Profile, library: Library, *, vanished: bool = False) -> Profile:
    """A profile of an export, worked out again from what it says the piece is.

    Raises:
        DataError, NotFound: a record that no part has, a type that nobody knows
    """
    base = None
    if profile.part:
        try:
            base = library.get(profile.part)
        except NotFound:
            if not profile.record:
                if vanished:
                    return replace(profile, packed={})
                raise
    if base is None:
        if not profile.record:
            raise DataError("neither part nor record says what it is")
        base = _part(profile.record)
    _part(_merged(base, profile.measured))
    found = profile_from(base, profile.measured, part=base.name if profile.part else "")
    return replace(found, record=profile.record) if profile.record else found


def _id(text: str, word: str) -> int | None:
    plain = text.strip().removeprefix("stock:").removeprefix("board:")
    if not plain:
        return None
    if not (plain.isascii() and plain.isdigit() and len(plain) <= 10 and 0 < int(plain) <= 2_147_483_647):
        raise DataError(f"{text[:20]!r} is not a number of a {word}", "board" if word == "board" else "id")
    return int(plain)


def _count(cells: dict[str, str]) -> int:
    text = cells.get("count", "").strip() or "1"
    if not (text.isascii() and text.isdigit() and len(text) <= 7 and int(text) <= MOST):
        raise DataError(f"{text[:20]!r} is not a number of pieces from 0 to {MOST}", "count")
    return int(text)


def _condition(cells: dict[str, str]) -> Any:
    word = cells.get("condition", "").strip() or "used"
    if word not in CONDITIONS:
        raise DataError(f"{word[:20]!r} is not one of {', '.join(CONDITIONS)}", "condition")
    return word


def _yes(text: str) -> bool:
    word = text.strip().lower()
    if word not in ("yes", "no", "y", "n", "1", "0", "true", "false"):
        raise UsageError(f"{text[:20]!r} is neither yes nor no", "tested")
    return word in ("yes", "y", "1", "true")
