"""Checked copies of the stock file, made while others read and write."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import time
from pathlib import Path

from xref.stock.journal import sync_folder

KEPT = 5
"""Automatic copies that are kept; older ones go."""


def stamp() -> str:
    """The moment, to the microsecond; later ones sort behind."""
    now = time.time_ns() // 1000
    return f"{time.strftime('%Y%m%d-%H%M%S', time.localtime(now // 10**6))}-{now % 10**6:06d}"


class Copies:
    """Copies of one stock file; automatic ones lie in ``backups/`` beside it."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self.folder = path.parent / "backups"

    def write(self, target: Path) -> None:
        """Copy the present state to ``target``: synced, checked, then renamed into place.

        Raises:
            OSError, sqlite3.Error: it cannot be written, or the stock file is damaged
        """
        import tempfile

        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
        os.close(handle)
        try:
            with (
                contextlib.closing(sqlite3.connect(self._path, timeout=30)) as source,
                contextlib.closing(sqlite3.connect(name)) as copy,
            ):
                source.backup(copy)
                # a copy is one file: without a write-ahead log beside it
                copy.execute("pragma journal_mode = delete")
                if copy.execute("pragma quick_check").fetchone()[0] != "ok":
                    raise sqlite3.DatabaseError("database disk image is malformed")
            with open(name, "rb") as written:
                os.fsync(written.fileno())
            os.chmod(name, 0o600)
            os.replace(name, target)
            sync_folder(target.parent)
        except BaseException:
            with contextlib.suppress(OSError):
                os.unlink(name)
            raise

    def automatic(self, why: str) -> str:
        """Make an automatic copy; its file name."""
        self.folder.mkdir(parents=True, exist_ok=True)
        name = f"stock-{stamp()}-{why}.sqlite"
        self.write(self.folder / name)
        for old in self.listed()[:-KEPT]:
            with contextlib.suppress(OSError):
                old.unlink()
        return name

    def listed(self) -> list[Path]:
        """Automatic copies, oldest first."""
        return sorted(self.folder.glob("stock-*.sqlite"))
