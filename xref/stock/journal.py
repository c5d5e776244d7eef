"""A second record of every change, in plain lines beside the stock file: with the last automatic backup it gives
back everything that was confirmed, should the stock file be damaged.

A line holds the rows as they are after the change. It is written and synced before the change is kept, while no other
process can write; a change that was not kept after all (killed in between) is followed by one that uses its history
numbers again, and counts for nothing.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

from xref.stock.link import Link
from xref.stock.schema import TABLES

MOST_BYTES = 8_000_000
"""A longer journal is replaced by a backup of the stock file."""


class Journal:
    """The journal of one stock file."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def fresh(self) -> bool:
        """True when it can be continued: it says what it starts from and is not too long."""
        try:
            return self.path.stat().st_size < MOST_BYTES and self.base() is not None
        except OSError:
            return False

    def base(self) -> str | None:
        """Name of the backup that it starts from, '' for an empty stock; None when there is no usable journal."""
        try:
            with self.path.open("rb") as lines:
                head = json.loads(lines.readline())
        except (OSError, ValueError):
            return None
        found = head.get("base") if isinstance(head, dict) else None
        return found if isinstance(found, str) else None

    def begin(self, base: str) -> None:
        """Start anew on top of a backup."""
        temporary = self.path.with_suffix(".new")
        with temporary.open("wb") as out:
            out.write(json.dumps({"base": base}).encode() + b"\n")
            out.flush()
            os.fsync(out.fileno())
        os.replace(temporary, self.path)
        sync_folder(self.path.parent)

    def append(self, link: Link) -> int:
        """Write the rows that a transaction touched; returns the length before, to undo it."""
        line = json.dumps(_after(link), ensure_ascii=False, separators=(",", ":")).encode()
        with self.path.open("ab") as out:
            before = out.tell()
            try:
                # a line that a crash cut short must not swallow this one
                out.write(b"\n" + line + b"\n")
                out.flush()
                os.fsync(out.fileno())
            except OSError:
                self.cut(before)
                raise
        return before

    def cut(self, length: int) -> None:
        """Take back what was appended; needs no space on the disk."""
        os.truncate(self.path, length)

    def changes(self) -> list[dict[str, Any]]:
        """Every change that was kept (and at most one that may not have been: the last), oldest first."""
        found: list[dict[str, Any]] = []
        with self.path.open("rb") as lines:
            for line in lines:
                try:
                    change = json.loads(line)
                except ValueError:
                    continue
                if not isinstance(change, dict) or not {"first", "seq", "rows"} <= set(change):
                    continue
                while found and found[-1]["seq"] >= change["first"]:
                    found.pop()
                found.append(change)
        return found


def _after(link: Link) -> dict[str, Any]:
    """The touched rows as they are now, and the numbers of the first and last history line among them."""
    rows: dict[str, list[list[Any]]] = {}
    for table, ids in link.touched.items():
        if ids:
            columns = ", ".join(TABLES[table])
            found = link.among(f"select {columns} from {table} where id in", "id", sorted(ids))
            rows[table] = [list(row) for row in found]
    last = link.next_id("stock_history") - 1
    return {"first": min(link.touched["stock_history"], default=last + 1), "seq": last, "rows": rows}


def sync_folder(folder: Path) -> None:
    """Make a rename in a folder outlast a power cut, where the system lets a folder be synced."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        pass
    finally:
        os.close(handle)
