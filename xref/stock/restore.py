"""A stock back from a copy, an export, or the last automatic copy with the journal."""

from __future__ import annotations

import contextlib
import sqlite3
from pathlib import Path
from typing import Any

from xref.errors import DataError, NotFound
from xref.model.stock import Dump
from xref.stock import schema
from xref.stock.export import from_json
from xref.stock.local import LocalEngine, LocalLink
from xref.stock.query import dump_of
from xref.stock.trouble import newer

HEAD = b"SQLite format 3\x00"
MOST_BYTES = 2_000_000_000
MOST_JSON = 200_000_000


def from_file(path: Path) -> Dump:
    """What a backup or a JSON export holds.

    Raises:
        DataError: it cannot be read, is damaged, or is neither
    """
    try:
        with path.open("rb") as held:
            head = held.read(len(HEAD))
            # bounded, because a device in the place of a file never ends
            text = b"" if head == HEAD else head + held.read(MOST_JSON)
        if len(text) > MOST_JSON:
            raise DataError(f"larger than {MOST_JSON // 1_000_000} MB; restore a backup instead", str(path))
        if head != HEAD:
            return from_json(text.decode("utf-8-sig"), str(path))
    except UnicodeDecodeError as error:
        raise DataError("neither a backup nor a JSON export of a stock", str(path)) from error
    except OSError as error:
        raise DataError(f"cannot be read: {error.strerror}", str(path)) from error
    with contextlib.closing(sqlite3.connect(":memory:", isolation_level=None)) as memory:
        _load(path, memory)
        return _dump(memory, path)


def from_automatic(engine: LocalEngine) -> Dump:
    """What was confirmed: the copy that the journal starts from, and every change in the journal.

    Raises:
        NotFound: there is neither a journal nor an automatic copy
        DataError: the copy is damaged too
    """
    base = engine.journal.base()
    copies = engine.copies.listed()
    if base is None and not copies:
        raise NotFound("there is no automatic copy; name a backup: xref stock restore FILE", engine.where)
    start = copies[-1] if base is None else engine.copies.folder / base if base else None
    with contextlib.closing(sqlite3.connect(":memory:", isolation_level=None)) as memory:
        if start is not None:
            if not start.is_file():
                raise NotFound("the automatic copy is gone; name a backup: xref stock restore FILE", str(start))
            _load(start, memory)
        else:
            _bring_up(memory)
        if base is not None:
            try:
                for change in engine.journal.changes():
                    _apply(memory, change)
            except (sqlite3.Error, KeyError, TypeError, ValueError) as error:
                raise DataError(f"the journal is damaged: {error}; name a backup", str(engine.journal.path)) from error
        return _dump(memory, start or engine.path)


def _load(path: Path, memory: sqlite3.Connection) -> None:
    """Read a copy into memory, check it, bring it up to date; the file itself is not touched."""
    try:
        plain = path.absolute().as_posix()
        for odd in "%?#":
            plain = plain.replace(odd, f"%{ord(odd):02x}")
        with contextlib.closing(sqlite3.connect(f"file:{plain}?mode=ro&immutable=1", uri=True)) as held:
            held.backup(memory)
        sound = memory.execute("pragma integrity_check").fetchone()[0] == "ok"
        version = memory.execute("pragma user_version").fetchone()[0]
    except sqlite3.Error as error:
        raise DataError(f"the copy is damaged ({error}); take an older one", str(path)) from error
    if not sound or version == 0:
        what = "the copy is damaged; take an older one" if version else "it holds no stock"
        raise DataError(what, str(path))
    if version > schema.latest():
        raise newer(version, schema.latest(), str(path))
    _bring_up(memory)


def _bring_up(memory: sqlite3.Connection) -> None:
    version = memory.execute("pragma user_version").fetchone()[0]
    for step in schema.MIGRATIONS[version:]:
        for statement in step:
            memory.execute(statement)
    memory.execute(f"pragma user_version = {schema.latest()}")


def _apply(memory: sqlite3.Connection, change: dict[str, Any]) -> None:
    for table, columns in schema.TABLES.items():
        rows = change["rows"].get(table, [])
        holders = ", ".join("?" * len(columns))
        memory.executemany(f"insert or replace into {table} ({', '.join(columns)}) values ({holders})", rows)


def _dump(memory: sqlite3.Connection, path: Path) -> Dump:
    broken = memory.execute("pragma foreign_key_check").fetchall()
    if broken:
        raise DataError(f"{len(broken)} entries name a board or type that is missing; take an older copy", str(path))
    try:
        return dump_of(LocalLink(memory))
    except (sqlite3.Error, ValueError, TypeError, KeyError) as error:
        raise DataError(f"the copy is damaged ({error}); take an older one", str(path)) from error
