"""The stock in one SQLite file of the user's data folder: the default, nothing to set up."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from xref.errors import StorageError
from xref.stock import schema
from xref.stock.copies import Copies
from xref.stock.journal import Journal
from xref.stock.link import Link, Values
from xref.stock.trouble import explain, newer

WAIT_S = 30.0
"""How long a writer waits for another one."""


class LocalLink(Link):
    """A transaction on an SQLite connection."""

    def __init__(self, base: sqlite3.Connection) -> None:
        super().__init__()
        self._base = base

    def rows(self, sql: str, **values: Any) -> list[tuple[Any, ...]]:
        """What a select gives."""
        return self._base.execute(sql, values).fetchall()

    def _do(self, sql: str, values: Values) -> int:
        return self._base.execute(sql, values).rowcount

    def _many(self, sql: str, rows: Sequence[Values]) -> None:
        self._base.executemany(sql, rows)


class LocalEngine:
    """One connection, opened when first needed, for one thread."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.journal = Journal(path.with_suffix(".journal"))
        self.copies = Copies(path)
        self._base: sqlite3.Connection | None = None
        self._frozen = False
        """True while the file is read as it lies, in a folder that cannot be written."""

    @property
    def where(self) -> str:
        """The file."""
        return str(self.path)

    def ready(self) -> bool:
        """False where no stock was ever begun."""
        try:
            if not self.path.exists():
                return False
        except OSError as error:
            raise explain(error, self.path) from error
        with self._told():
            return self._version(self._open()) > 0

    @contextlib.contextmanager
    def reading(self) -> Iterator[Link]:
        """A transaction that sees one unchanging state; an older form is brought up to date first."""
        with self._told():
            base = self._open()
            if self._version(base) < schema.latest():
                self._migrate(base)
            base.execute("begin")
        try:
            with self._told():
                yield LocalLink(base)
        finally:
            with contextlib.suppress(sqlite3.Error):
                base.execute("rollback")

    @contextlib.contextmanager
    def changing(self) -> Iterator[Link]:
        """The one transaction that may write."""
        with self._told():
            if not self.path.exists():
                self.path.parent.mkdir(parents=True, exist_ok=True)
            base = self._open(writing=True)
            self._prepare(base)
            base.execute("begin immediate")
        link = LocalLink(base)
        try:
            with self._told():
                self._keep_journal(link)
                yield link
                self._commit(base, link)
        except BaseException:
            if base.in_transaction:
                with contextlib.suppress(sqlite3.Error):
                    base.execute("rollback")
            raise

    def close(self) -> None:
        """Let go of the file."""
        if self._base is not None:
            self._base.close()
            self._base = None
            self._frozen = False

    def set_aside(self) -> str:
        """Rename a damaged file with all that belongs to it; the new name, or '' where there was none."""
        self.close()
        stamp = time.strftime("%Y%m%d-%H%M%S")
        target = self.path.with_name(f"{self.path.stem}-damaged-{stamp}.sqlite")
        if not self.path.exists():
            return ""
        with self._told():
            for tail in ("-wal", "-shm"):
                with contextlib.suppress(FileNotFoundError):
                    os.replace(f"{self.path}{tail}", f"{target}{tail}")
            os.replace(self.path, target)
        return str(target)

    def sound(self) -> bool:
        """True when every page of the file is as SQLite left it."""
        try:
            return bool(self._open().execute("pragma integrity_check").fetchone()[0] == "ok")
        except (sqlite3.Error, StorageError):
            return False

    def copy_to(self, target: Path) -> None:
        """A checked copy of the present state, whole or not at all."""
        with self._told():
            self.copies.write(target)

    def _open(self, *, writing: bool = False) -> sqlite3.Connection:
        if self._base is not None and writing and self._frozen:
            self.close()
        if self._base is None:
            base = sqlite3.connect(self.path, timeout=WAIT_S, isolation_level=None)
            try:
                base.execute("pragma foreign_keys = on")
                base.execute("pragma synchronous = full")
                base.execute("select count(*) from sqlite_master").fetchone()
            except sqlite3.Error as error:
                base.close()
                if writing or os.access(self.path.parent, os.W_OK):
                    raise
                base = self._as_it_lies(error)
            self._base = base
        return self._base

    def _as_it_lies(self, error: sqlite3.Error) -> sqlite3.Connection:
        """A folder that cannot be written has no room for the lock file; the file alone is whole without a log."""
        log = Path(f"{self.path}-wal")
        if log.exists() and log.stat().st_size:
            raise StorageError(
                f"changes wait in {log.name} and the folder cannot be written: make {self.path.parent} writable",
                str(self.path),
            ) from error
        self._frozen = True
        plain = self.path.absolute().as_posix()
        for odd in "%?#":
            plain = plain.replace(odd, f"%{ord(odd):02x}")
        return sqlite3.connect(f"file:{plain}?mode=ro&immutable=1", uri=True, isolation_level=None)

    def _version(self, base: sqlite3.Connection) -> int:
        version = int(base.execute("pragma user_version").fetchone()[0])
        if version > schema.latest():
            raise newer(version, schema.latest(), str(self.path))
        return version

    def _prepare(self, base: sqlite3.Connection) -> None:
        """Write-ahead log on, form up to date."""
        until = time.monotonic() + WAIT_S
        while base.execute("pragma journal_mode").fetchone()[0] != "wal":
            try:
                base.execute("pragma journal_mode = wal")
            except sqlite3.OperationalError:
                # two that begin the same stock; SQLite does not wait by itself here
                if time.monotonic() > until:
                    raise
                time.sleep(0.02)
        if self._version(base) < schema.latest():
            self._migrate(base)

    def _migrate(self, base: sqlite3.Connection) -> None:
        """Bring the form up to date in one transaction, after a backup."""
        base.execute("begin immediate")
        try:
            version = self._version(base)
            if 0 < version < schema.latest():
                self.copies.automatic(f"form{version}")
            for step in schema.MIGRATIONS[version:]:
                for statement in step:
                    base.execute(statement)
            base.execute(f"pragma user_version = {schema.latest()}")
            if version < schema.latest():
                # rows of the old form in the journal could not be written back into the new one
                self.journal.path.unlink(missing_ok=True)
            base.execute("commit")
        except BaseException:
            if base.in_transaction:
                base.execute("rollback")
            raise

    def _keep_journal(self, link: Link) -> None:
        """Start the journal anew on top of a checked backup where there is none or it grew long."""
        if self.journal.fresh():
            return
        if link.next_id("stock_history") == 1 and link.next_id("stock_item") == 1:
            self.journal.begin("")
            return
        self.journal.begin(self.copies.automatic("auto"))

    def _commit(self, base: sqlite3.Connection, link: Link) -> None:
        if link.cleared:
            # numbers start again below: the journal ends here, the next change starts one on top of a backup
            self.journal.path.unlink(missing_ok=True)
            base.execute("commit")
            return
        before = self.journal.append(link)
        try:
            base.execute("commit")
        except BaseException:
            with contextlib.suppress(OSError):
                self.journal.cut(before)
            raise

    @contextlib.contextmanager
    def _told(self) -> Iterator[None]:
        """Every trouble of the file as one line that says what to do."""
        try:
            yield
        except (sqlite3.Error, OSError) as error:
            raise explain(error, self.path) from error
