"""What to tell a technician when the stock file cannot be read or written."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from xref.errors import StorageError


def explain(error: sqlite3.Error | OSError, path: Path) -> StorageError:
    """One line: what is wrong, that nothing was changed, what to do."""
    if isinstance(error, OSError):
        return StorageError(_of_system(error, path), str(path))
    name = getattr(error, "sqlite_errorname", "") or ""
    text = str(error)
    if name.startswith("SQLITE_FULL") or "full" in text:
        said = "the disk is full; nothing was changed: free some space and give the command again"
    elif name.startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM", "SQLITE_AUTH")):
        said = f"it cannot be written; nothing was changed: make {path.parent} writable for you, or set XREF_HOME"
    elif name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        said = "another xref has been writing for half a minute; nothing was changed: let it end, then try again"
    elif name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")) or "malformed" in text or "not a database" in text:
        said = DAMAGED
    elif name.startswith("SQLITE_IOERR"):
        said = (
            "the disk refused to read or write (full, taken out, or failing); nothing was changed: "
            "look at the disk, then try again; xref stock backup FILE on another disk"
        )
    else:
        said = f"{text}; nothing was changed"
    return StorageError(said, str(path))


DAMAGED = "the stock file is damaged and is kept as it is: xref stock restore brings back what was confirmed"


def newer(version: int, known: int, path: str) -> StorageError:
    """The stock was written by a later program."""
    return StorageError(
        f"the stock has form {version}, this xref knows up to {known}; nothing was changed: install the newer xref",
        path,
    )


def _of_system(error: OSError, path: Path) -> str:
    import errno

    if error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return "the disk is full; nothing was changed: free some space and give the command again"
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return f"it cannot be written; nothing was changed: make {path.parent} writable for you, or set XREF_HOME"
    return f"{error.strerror or error}; nothing was changed"
