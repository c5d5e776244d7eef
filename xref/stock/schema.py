"""The tables, in SQL that SQLite and PostgreSQL both take, one list of statements for each step of the version."""

from __future__ import annotations

TABLES: dict[str, tuple[str, ...]] = {
    "stock_board": ("id", "source", "place", "photo", "notes", "added", "state"),
    "stock_profile": ("id", "digest", "part", "name", "kind", "record", "measured", "packed", "overlay", "shape"),
    "stock_item": (
        "id", "board_id", "profile_id", "quantity", "place", "condition", "tested", "notes", "added",
    ),
    "stock_history": ("id", "at", "item_id", "board_id", "action", "change", "remaining", "note"),
}  # fmt: skip
"""Columns of each table, in an order in which rows can be written back without breaking a reference."""

MIGRATIONS: list[list[str]] = [
    [
        """create table stock_board (
            id integer primary key,
            source text not null,
            place text not null,
            photo text not null,
            notes text not null,
            added text not null,
            state text not null check (state in ('kept', 'scrapped')))""",
        """create table stock_profile (
            id integer primary key,
            digest text not null unique,
            part text not null,
            name text not null,
            kind text not null,
            record text not null,
            measured text not null,
            packed text not null,
            overlay text not null,
            shape text not null)""",
        """create table stock_item (
            id integer primary key,
            board_id integer references stock_board (id),
            profile_id integer not null references stock_profile (id),
            quantity integer not null check (quantity >= 0),
            place text not null,
            condition text not null check (condition in ('good', 'used', 'doubtful', 'dead')),
            tested integer not null check (tested in (0, 1)),
            notes text not null,
            added text not null)""",
        """create table stock_history (
            id integer primary key,
            at text not null,
            item_id integer references stock_item (id),
            board_id integer references stock_board (id),
            action text not null check (action in ('add', 'take', 'return', 'scrap', 'set')),
            change integer not null,
            remaining integer not null check (remaining >= 0),
            note text not null)""",
        "create index stock_item_profile on stock_item (profile_id, tested, condition, quantity)",
        "create index stock_item_board on stock_item (board_id)",
        "create index stock_profile_kind on stock_profile (kind)",
        "create index stock_history_item on stock_history (item_id)",
    ],
]
"""Step n brings a stock of version n to version n + 1. A step that was released is never edited, only followed."""


def latest() -> int:
    """The version that this program writes."""
    return len(MIGRATIONS)
