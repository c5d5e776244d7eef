"""The same stock on a PostgreSQL server, for a shop with several benches. Imported only when an address is set."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Sequence
from typing import Any

from xref.errors import StorageError
from xref.stock import schema
from xref.stock.link import Link, Values
from xref.stock.trouble import newer

MIGRATING = 7120417
"""Number of the lock that a client holds while it makes or changes the tables; any number, always the same."""

WAIT_MS = 30_000
"""How long a writer waits for another one."""


class ServerLink(Link):
    """A transaction on a connection of SQLAlchemy."""

    def __init__(self, base: Any) -> None:
        super().__init__()
        from sqlalchemy import text

        self._base = base
        self._text = text

    def rows(self, sql: str, **values: Any) -> list[tuple[Any, ...]]:
        """What a select gives."""
        return [tuple(row) for row in self._base.execute(self._text(sql), values)]

    def _do(self, sql: str, values: Values) -> int:
        return int(self._base.execute(self._text(sql), values).rowcount)

    def _many(self, sql: str, rows: Sequence[Values]) -> None:
        self._base.execute(self._text(sql), list(rows))


class ServerEngine:
    """A server, reached through SQLAlchemy; a connection lives as long as the stock is open."""

    def __init__(self, url: str) -> None:
        try:
            from sqlalchemy import create_engine
            from sqlalchemy.engine import make_url
            from sqlalchemy.exc import ArgumentError
        except ImportError as error:
            raise StorageError("a stock on a server needs more packages: pip install 'xref[shop]'") from error
        try:
            address = make_url(url)
        except ArgumentError as error:
            raise StorageError(f"the address is not one: {EXPECTED}", "XREF_STOCK_URL") from error
        if address.get_backend_name() != "postgresql":
            raise StorageError(f"{address.get_backend_name()} is not served: {EXPECTED}", "XREF_STOCK_URL")
        self._where = address.render_as_string(hide_password=True)
        self._engine = create_engine(
            address.set(drivername="postgresql+psycopg"), pool_size=1, max_overflow=2,
            connect_args={"connect_timeout": 10, "options": f"-c lock_timeout={WAIT_MS}"},
        )  # fmt: skip

    @property
    def where(self) -> str:
        """The address without its password."""
        return self._where

    def ready(self) -> bool:
        """False where no stock was ever begun."""
        with self._told(), self._engine.connect() as base:
            return self._version(ServerLink(base)) > 0

    @contextlib.contextmanager
    def reading(self) -> Iterator[Link]:
        """A transaction that sees one unchanging state."""
        with self._told():
            self._migrate()
            with self._engine.connect().execution_options(isolation_level="REPEATABLE READ") as base:
                yield ServerLink(base)
                base.rollback()

    @contextlib.contextmanager
    def changing(self) -> Iterator[Link]:
        """The one transaction that may write: others wait, readers do not."""
        with self._told():
            self._migrate()
            with self._engine.connect() as base, base.begin():
                link = ServerLink(base)
                link._do("lock table stock_item in share row exclusive mode", {})
                yield link

    def close(self) -> None:
        """End the connections."""
        self._engine.dispose()

    def _version(self, link: Link) -> int:
        if link.rows("select to_regclass('stock_form')")[0][0] is None:
            return 0
        version = int(link.rows("select version from stock_form")[0][0])
        if version > schema.latest():
            raise newer(version, schema.latest(), self._where)
        return version

    def _migrate(self) -> None:
        """Make or change the tables in one transaction; PostgreSQL takes that back too when it fails."""
        with self._engine.connect() as base:
            if self._version(ServerLink(base)) == schema.latest():
                return
        with self._engine.connect() as base, base.begin():
            link = ServerLink(base)
            link.rows(f"select pg_advisory_xact_lock({MIGRATING})")
            # a name that was not there before the wait is remembered as missing until a table is locked: pg_class is
            made = link.rows("select 1 from pg_class where relname = 'stock_form' and pg_table_is_visible(oid)")
            version = self._version(link) if made else 0
            for step in schema.MIGRATIONS[version:]:
                for statement in step:
                    link._do(statement, {})
            if version == 0:
                link._do("create table stock_form (version integer not null)", {})
                link._do("insert into stock_form values (:version)", {"version": schema.latest()})
            link._do("update stock_form set version = :version", {"version": schema.latest()})

    @contextlib.contextmanager
    def _told(self) -> Iterator[None]:
        from sqlalchemy.exc import SQLAlchemyError

        try:
            yield
        except SQLAlchemyError as error:
            raise StorageError(_words(error), self._where) from error


EXPECTED = "expected postgresql://user@host/database"


def _words(error: Any) -> str:
    """What happened, in one line, without the address."""
    state = getattr(getattr(error, "orig", None), "sqlstate", "") or ""
    if state == "55P03":
        return "another bench has been writing for half a minute; nothing was changed: try again"
    if state.startswith(("53", "58")):
        return "the server is out of disk space or memory; nothing was changed: tell who keeps it"
    if state.startswith(("28", "42501")):
        return "the server refuses this user; nothing was changed: tell who keeps it"
    if type(error).__name__ == "OperationalError":
        return "the server does not answer, so it is not known here what is in stock: is it on, is the address right?"
    cause = str(getattr(error, "orig", error)).splitlines()[0]
    return f"the server says: {cause[:160]}; nothing was changed"
