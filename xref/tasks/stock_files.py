"""The shelf in files: import, export, backup, restore."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from xref.errors import DataError, NotFound, StorageError, UsageError
from xref.model.answers.stock import Imported, Written
from xref.model.stock import Dump
from xref.stock import query
from xref.tasks.stock_shelf import opened

if TYPE_CHECKING:
    from xref.library.store import Library
    from xref.stock.local import LocalEngine
    from xref.stock.store import Stock

MOST_BYTES = 200_000_000


def import_file(
    path: Path, *, dry_run: bool = False, renumber: bool = False, library: Library | None = None
) -> Imported:
    """Put what a table or a JSON export holds onto the shelf: all of it, or nothing with every problem named.

    Args:
        path: ends in .json for an export, else a table
        dry_run: only check
        renumber: new ids for everything

    Raises:
        DataError: the file cannot be read at all
        StorageError: nothing was changed
    """
    from xref.tasks.stock_import import from_dump, from_table

    text = _text(path)
    if library is None:
        from xref.library.store import open_library

        library = open_library()
    whole: Dump | None = None
    if path.suffix.lower() == ".json":
        from xref.stock.export import from_json

        whole = from_json(text, str(path))
        ready = from_dump(whole, path.name, library)
    else:
        ready = from_table(text, path.name, library)
    problems = list(ready.problems)
    with opened() as stock:
        if not renumber:
            problems += _taken(stock, ready.board_lines, ready.item_lines, path.name)
        if not problems and not dry_run:
            if whole is not None and not renumber and _empty(stock):
                # into an empty stock an export comes back whole, with its history
                stock.replace_all(replace(whole, items=ready.items))
            else:
                stock.add(ready.boards, ready.items, keep_ids=not renumber, imported=True)
    good = not problems
    return Imported(
        path=str(path),
        boards=len(ready.boards) if good else 0,
        entries=len(ready.items) if good else 0,
        pieces=sum(item.count for item in ready.items) if good else 0,
        problems=tuple(problems),
        dry_run=dry_run,
    )


def exported(path: str) -> tuple[Written, str]:
    """The whole stock as the text of a table (.csv, or ``-``) or of a JSON document (.json).

    Raises:
        UsageError: another ending
        NotFound: there is no stock
    """
    from xref.stock.export import json_text
    from xref.stock.table import table_text

    ending = Path(path).suffix.lower()
    if path != "-" and ending not in (".csv", ".json"):
        raise UsageError("expected a name that ends in .csv or .json", path)
    with opened() as stock:
        dump = _something(stock)
    return _written(path, dump), json_text(dump) if ending == ".json" else table_text(dump)


def backup(path: Path) -> Written:
    """Copy the stock, checked before it counts.

    Raises:
        UsageError: the file exists
        NotFound: there is no stock
        StorageError: it cannot be written
    """
    from xref.stock.local import LocalEngine

    if path.exists():
        raise UsageError("it exists and is kept; choose another name", str(path))
    with opened() as stock:
        dump = _something(stock)
        if isinstance(stock.engine, LocalEngine) and path.suffix.lower() != ".json":
            try:
                stock.engine.copy_to(path)
            except StorageError as error:
                raise StorageError(f"the backup was not written: {error.message}", str(path)) from error
        else:
            _write_json(path, dump)
    return _written(str(path), dump)


def restore_plan(path: Path | None) -> str:
    """What restore is going to replace by what, for the question."""
    with opened() as stock:
        try:
            dump = query.dump(stock.engine)
            now = f"the stock now: {len(dump.items)} entries, {len(dump.boards)} boards ({stock.engine.where})"
        except DataError as error:
            now = f"the stock now: {error.message}"
    return f"{now}\nreplaced by: {path or 'the last automatic copy and every confirmed change since'}"


def restore(path: Path | None = None) -> Written:
    """Put a backup in the place of the stock; what is there now is kept aside first.

    Args:
        path: a backup or a JSON export; None: the last automatic copy with every confirmed change since

    Raises:
        NotFound: no automatic copy
        DataError: the backup is damaged; the stock was not changed
        StorageError: it cannot be written; the stock was not changed
    """
    from xref.stock.local import LocalEngine
    from xref.stock.restore import from_automatic, from_file

    with opened() as stock:
        if isinstance(stock.engine, LocalEngine):
            dump = from_automatic(stock.engine) if path is None else _checked(from_file(path), path)
            notes = _local_restore(stock, stock.engine, dump)
        else:
            if path is None:
                raise UsageError("a server keeps its own copies; name a backup: xref stock restore FILE")
            dump = _checked(from_file(path), path)
            notes = _server_restore(stock, dump)
    return _written(str(path or stock.engine.where), dump, notes)


def _checked(dump: Dump, path: Path) -> Dump:
    """A dump whose pieces are such as the program makes itself; a backup in JSON may have been edited.

    Raises:
        DataError: a description that no part has
    """
    from xref.library.store import open_library
    from xref.tasks.stock_import import from_dump

    ready = from_dump(dump, path.name, open_library(), vanished=True)
    if ready.problems:
        raise DataError(f"{ready.problems[0]}; nothing was changed", str(path))
    return replace(dump, items=ready.items)


def _local_restore(stock: Stock, engine: LocalEngine, dump: Dump) -> tuple[str, ...]:
    """Keep what is there, keep what comes, then change it in one transaction."""
    from xref.stock.local import LocalEngine
    from xref.stock.store import Stock

    notes = []
    if engine.path.exists():
        if engine.sound():
            notes += _later(stock, dump)
            notes.append(f"the stock as it was: {engine.copies.folder / engine.copies.automatic('before')}")
        else:
            notes.append(f"the damaged file is kept: {engine.set_aside()}")
    # whatever happens from here on, the newest automatic copy holds what is being restored
    draft = LocalEngine(engine.path.with_name(f".{engine.path.stem}-restoring.sqlite"))
    _drop(draft)
    try:
        Stock(draft).replace_all(dump)
        draft.copies.folder = engine.copies.folder
        draft.copies.automatic("restored")
    finally:
        draft.close()
        _drop(draft)
    stock.replace_all(dump)
    return tuple(notes)


def _later(stock: Stock, dump: Dump) -> list[str]:
    """Labels that were given out after the backup: their numbers will be given again."""
    highest = max((item.id for item in dump.items), default=0)
    latest = stock.engine.ready() and query.latest_id(stock.engine)
    if not latest or latest <= highest:
        return []
    labels = f"stock:{highest + 1}" + (f" to stock:{latest}" if latest > highest + 1 else "")
    return [f"{labels} came after this backup: take their labels off, the numbers will be given again"]


def _drop(draft: LocalEngine) -> None:
    for tail in ("", "-wal", "-shm"):
        Path(f"{draft.path}{tail}").unlink(missing_ok=True)
    draft.journal.path.unlink(missing_ok=True)


def _server_restore(stock: Stock, dump: Dump) -> tuple[str, ...]:
    from xref.places import data_dir
    from xref.stock.copies import stamp

    before = query.dump(stock.engine)
    notes: list[str] = []
    if before != Dump():
        notes += _later(stock, dump)
        folder = data_dir() / "backups"
        folder.mkdir(parents=True, exist_ok=True)
        aside = folder / f"server-{stamp()}.json"
        _write_json(aside, before)
        notes.append(f"the stock as it was: {aside}")
    stock.replace_all(dump)
    return tuple(notes)


def _write_json(path: Path, dump: Dump) -> None:
    import os
    import tempfile

    from xref.stock.export import json_text

    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        with os.fdopen(handle, "w", encoding="utf-8") as out:
            out.write(json_text(dump))
            out.flush()
            os.fsync(out.fileno())
        os.replace(name, path)
    except OSError as error:
        raise StorageError(f"the backup was not written: {error.strerror}", str(path)) from error


def _empty(stock: Stock) -> bool:
    """True when nothing was ever put on this shelf."""
    return not query.listed(stock.engine, used_up=True, limit=1)[0] and not query.boards(stock.engine, scrapped=True)


def _something(stock: Stock) -> Dump:
    dump = query.dump(stock.engine)
    if dump == Dump():
        raise NotFound("there is no stock yet; begin with: xref stock add", stock.engine.where)
    return dump


def _written(path: str, dump: Dump, notes: tuple[str, ...] = ()) -> Written:
    pieces = sum(item.count for item in dump.items)
    return Written(path=path, boards=len(dump.boards), entries=len(dump.items), pieces=pieces, notes=notes)


def _taken(stock: Stock, boards: dict[int, int], items: dict[int, int], name: str) -> list[str]:
    """Ids of the file that the shelf has already, with their lines."""
    if not stock.engine.ready():
        return []
    found = []
    with stock.engine.reading() as link:
        for table, word, lines in (("stock_board", "board", boards), ("stock_item", "stock", items)):
            for row in link.among(f"select id from {table} where id in", "id", sorted(lines)):
                found.append(
                    f"{name}:{lines[row[0]]}: id: {word}:{row[0]} is on the shelf already; leave the id empty, or use "
                    "--renumber"
                )
    return found


def _text(path: Path) -> str:
    try:
        # read and not asked for its size: a device has none and never ends
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
        if len(raw) > MOST_BYTES:
            raise DataError(f"larger than {MOST_BYTES // 1_000_000} MB; import it in pieces", str(path))
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise DataError(f"not UTF-8 text at byte {error.start}; save it as UTF-8", str(path)) from error
    except OSError as error:
        raise DataError(f"cannot be read: {error.strerror}", str(path)) from error
