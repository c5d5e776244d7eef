"""One set of statements for both databases: what a transaction can do, and what an engine must offer."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import AbstractContextManager
from typing import Any, Protocol

from xref.stock.schema import TABLES

Values = dict[str, Any]


class Link:
    """An open transaction. SQL is written once, with ``:name`` for every value; no value ever becomes SQL."""

    def __init__(self) -> None:
        self.touched: dict[str, set[int]] = {table: set() for table in TABLES}
        """Rows written in this transaction."""
        self.cleared = False

    def rows(self, sql: str, **values: Any) -> list[tuple[Any, ...]]:
        """What a select gives."""
        raise NotImplementedError

    def _do(self, sql: str, values: Values) -> int:
        """Run a change; the number of rows that it met."""
        raise NotImplementedError

    def _many(self, sql: str, rows: Sequence[Values]) -> None:
        raise NotImplementedError

    def insert(self, table: str, rows: Sequence[Values]) -> None:
        """Add rows; every column of the table is given."""
        if not rows:
            return
        columns = TABLES[table]
        holders = ", ".join(f":{column}" for column in columns)
        self._many(f"insert into {table} ({', '.join(columns)}) values ({holders})", rows)
        self.touched[table].update(row["id"] for row in rows)

    def update(self, table: str, id: int, assign: str, also: str = "", **values: Any) -> bool:
        """Change one row where ``also`` holds; False when it does not, or there is no such row."""
        condition = f" and {also}" if also else ""
        met = self._do(f"update {table} set {assign} where id = :id{condition}", {"id": id, **values})
        if met:
            self.touched[table].add(id)
        return met > 0

    def clear(self) -> None:
        """Remove everything; only a restore does."""
        for table in reversed(TABLES):
            self._do(f"delete from {table}", {})
        self.cleared = True

    def next_id(self, table: str) -> int:
        """The id that the next row of a table gets; the transaction holds the only right to write."""
        return int(self.rows(f"select coalesce(max(id), 0) + 1 from {table}")[0][0])

    def among(self, sql: str, name: str, wanted: Sequence[Any]) -> list[tuple[Any, ...]]:
        """Rows of a select that ends in ``in`` , for any number of values."""
        found: list[tuple[Any, ...]] = []
        for start in range(0, len(wanted), 500):
            piece = wanted[start : start + 500]
            holders = ", ".join(f":{name}{place}" for place in range(len(piece)))
            found += self.rows(f"{sql} ({holders})", **{f"{name}{place}": value for place, value in enumerate(piece)})
        return found


class Engine(Protocol):
    """A database that can hold a stock."""

    @property
    def where(self) -> str:
        """Where it is, for people; without a password."""

    def ready(self) -> bool:
        """False where no stock was ever begun."""

    def reading(self) -> AbstractContextManager[Link]:
        """A transaction that sees one unchanging state.

        Raises:
            StorageError: it cannot be read; the message says what to do
        """

    def changing(self) -> AbstractContextManager[Link]:
        """The one transaction that may write: all of it is kept at the end, or nothing on any error.

        Raises:
            StorageError: it cannot be written; nothing was changed; the message says what to do
        """

    def close(self) -> None:
        """Let go of files and connections."""
