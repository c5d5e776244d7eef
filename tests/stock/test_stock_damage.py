"""A damaged or lost file, a changed form, backups: what was confirmed comes back."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from typing import Any

import pytest
from pieces import now, one, piece

from xref.errors import DataError, NotFound, StorageError
from xref.stock import query, schema
from xref.stock.local import LocalEngine
from xref.stock.place import engine
from xref.stock.restore import from_automatic
from xref.stock.store import Stock
from xref.tasks import stock_files, stock_shelf

HERE = Path(__file__).parent


def _garbage_head(path: Path) -> None:
    with path.open("r+b") as out:
        out.write(b"\xff" * 200)


def _half(path: Path) -> None:
    os.truncate(path, path.stat().st_size // 2)


def _empty(path: Path) -> None:
    os.truncate(path, 0)


def _holes(path: Path) -> None:
    with path.open("r+b") as out:
        for page in range(1, path.stat().st_size // 4096):
            out.seek(page * 4096)
            out.write(b"\xa5" * 4096)


@pytest.mark.parametrize("harm", [_garbage_head, _half, _holes, _empty], ids=lambda harm: harm.__name__)
def test_damaged_file(home: Path, harm: Any) -> None:
    """Everything confirmed comes back from the automatic copy and the journal; the damaged file is kept."""
    stock = Stock(engine())
    items = stock.add([], [piece(5, name=f"sensor {number}") for number in range(30)])
    for item in items:
        stock.take(item.id, 2, "collector 2")
    before = query.dump(stock.engine)
    stock.engine.close()
    path = home / "stock.sqlite"
    harm(path)
    if harm is not _empty:
        with pytest.raises(StorageError, match="xref stock restore"):
            stock_shelf.take("stock:1")

    answer = stock_files.restore()

    assert now() == before
    assert answer.entries == 30
    if harm is not _empty:
        assert "damaged file is kept" in answer.notes[0]
        assert list(home.glob("stock-damaged-*.sqlite"))
    stock_shelf.take("stock:1")
    assert one(1).count == 2


def test_change_that_was_not_kept_is_not_in_the_journal(home: Path) -> None:
    """A line of the journal whose change was never kept is replaced by the next change, of whatever size."""
    stock = Stock(engine())
    stock.add([], [piece(5) for _ in range(3)])
    local = stock.engine
    assert isinstance(local, LocalEngine)
    for size in (1, 3, 1, 4):
        with pytest.raises(KeyboardInterrupt), local.changing() as link:  # noqa: PT012
            link.update("stock_item", 1, "quantity = 1")
            link.insert("stock_history", [
                {"id": link.next_id("stock_history"), "at": "", "item_id": 1, "board_id": None, "action": "set",
                 "change": 0, "remaining": 1, "note": "never kept"}
            ])  # fmt: skip
            local.journal.append(link)
            raise KeyboardInterrupt
        stock.add([], [piece(number + 1) for number in range(size)])

    assert from_automatic(local) == query.dump(local)
    assert query.item(local, 1).count == 5
    local.close()


def test_lost_file(home: Path) -> None:
    """A stock file that was deleted comes back, too."""
    stock = Stock(engine())
    stock.add([], [piece(5)])
    before = query.dump(stock.engine)
    stock.engine.close()
    (home / "stock.sqlite").unlink()

    stock_files.restore()

    assert now() == before


def test_journal_is_replaced_by_a_copy(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A long journal starts again on top of a checked copy; both together still give the whole stock."""
    monkeypatch.setattr("xref.stock.journal.MOST_BYTES", 4000)
    stock = Stock(engine())
    for number in range(60):
        stock.add([], [piece(2, name=f"sensor {number}")])
    stock.engine.close()
    local = LocalEngine(home / "stock.sqlite")

    copies = local.copies.listed()

    assert 1 <= len(copies) <= 5
    assert local.journal.base() == copies[-1].name
    assert local.journal.path.stat().st_size < 8000
    assert from_automatic(local) == query.dump(local)
    local.close()


def test_damage_is_not_copied_over_a_good_copy(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the journal is due for a copy and the file is damaged, the old copy and journal stay."""
    stock = Stock(engine())
    stock.add([], [piece(2, name=f"sensor {number}") for number in range(40)])
    before = query.dump(stock.engine)
    stock.engine.close()
    _holes(home / "stock.sqlite")
    monkeypatch.setattr("xref.stock.journal.MOST_BYTES", 10)

    with pytest.raises(StorageError, match="xref stock restore"):
        stock_shelf.take("stock:1")
    stock_files.restore()

    assert now() == before


def test_copy_before_the_form_changes(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A new form of the tables is made after a backup, in one go; a step that fails leaves the old form whole."""
    stock = Stock(engine())
    stock.add([], [piece(5)])
    stock.engine.close()
    good = [*schema.MIGRATIONS, ["alter table stock_board add column colour text not null default ''"]]
    monkeypatch.setattr(schema, "MIGRATIONS", [*good[:-1], [*good[-1], "create table stock_board (id integer)"]])
    with pytest.raises(StorageError):
        stock_shelf.take("stock:1")
    with sqlite3.connect(home / "stock.sqlite") as base:
        assert base.execute("pragma user_version").fetchone()[0] == 1
        assert len(base.execute("select * from stock_board limit 0").description) == 7
    base.close()
    monkeypatch.setattr(schema, "MIGRATIONS", good)

    stock_shelf.take("stock:1")

    with sqlite3.connect(home / "stock.sqlite") as base:
        assert base.execute("pragma user_version").fetchone()[0] == 2
        assert base.execute("select quantity from stock_item").fetchall() == [(4,)]
    base.close()
    copies = sorted((home / "backups").glob("*form1*"))
    with sqlite3.connect(copies[0]) as copy:
        assert copy.execute("pragma user_version").fetchone()[0] == 1
        assert copy.execute("select quantity from stock_item").fetchall() == [(5,)]
    copy.close()


def test_newer_form_is_left_alone(home: Path) -> None:
    """A stock that a later xref wrote is neither read wrongly nor changed."""
    stock = Stock(engine())
    stock.add([], [piece(5)])
    stock.engine.close()
    with sqlite3.connect(home / "stock.sqlite") as base:
        base.execute("pragma user_version = 99")
    base.close()

    for ask in (lambda: stock_shelf.take("stock:1"), lambda: stock_shelf.listing(), lambda: stock_files.exported("-")):
        with pytest.raises(StorageError, match=r"has form 99.*install the newer xref"):
            ask()


def test_damaged_backup_changes_nothing(home: Path, tmp_path: Path) -> None:
    """Restoring from a damaged or foreign file is refused before the stock is touched."""
    stock = Stock(engine())
    stock.add([], [piece(5, name=f"sensor {number}") for number in range(30)])
    before = query.dump(stock.engine)
    stock.engine.close()
    copy = tmp_path / "copy.sqlite"
    stock_files.backup(copy)
    _holes(copy)
    other = tmp_path / "other.sqlite"
    with sqlite3.connect(other) as base:
        base.execute("create table something (id integer)")
    base.close()
    text = tmp_path / "text.json"
    text.write_text('{"format": 1, "xref_stock": {"boards": []}}')

    for file in (copy, other, text, tmp_path / "missing", HERE):
        with pytest.raises(DataError):
            stock_files.restore(file)

    assert now() == before


def test_restore_gives_back_the_day(home: Path, tmp_path: Path) -> None:
    """A backup comes back exactly, and what was there before it can come back as well."""
    stock = Stock(engine())
    stock.add([], [piece(5)])
    then = query.dump(stock.engine)
    stock.engine.close()
    stock_files.backup(tmp_path / "copy.sqlite")
    stock_shelf.take("stock:1", 3)
    stock = Stock(engine())
    stock.add([], [piece(1), piece(1)])
    stock.engine.close()
    later = now()

    answer = stock_files.restore(tmp_path / "copy.sqlite")
    assert now() == then
    assert answer.notes[0].startswith("stock:2 to stock:3 came after this backup")
    aside = Path(answer.notes[-1].split(": ")[1])
    stock_files.restore(aside)

    assert now() == later
    with pytest.raises(NotFound):
        stock_shelf.take("stock:1", 3)
