"""Reading and appending to job files. xref never rewrites what the user wrote.

A site file is a job file with nothing else in it. Results go below one marker line and are replaced there as a block.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from xref.errors import DataError, StorageError
from xref.model.job import Job

MARKER = "# --- written by xref ---"
FORMAT = 1


def load_job(path: str | Path) -> Job:
    """Read a job or site file.

    Raises:
        DataError: the file cannot be read, or something in it is wrong (file:line, what, what instead)
    """
    from xref.library.reader import load_text, read_text

    text = read_text(Path(path))
    job = load_text(users_part(text), Job, where=str(path))
    if not 1 <= job.format <= FORMAT:
        raise DataError(f"format {job.format} is newer than this xref reads ({FORMAT}); update xref", str(path))
    return job


def users_part(text: str) -> str:
    """What the user wrote: everything above the marker line."""
    lines = text.splitlines(keepends=True)
    for number, line in enumerate(lines):
        if line.rstrip() == MARKER:
            return "".join(lines[:number])
    return text


def write_results(path: str | Path, block: str) -> None:
    """Replace the block below the marker line, leaving the user's text byte for byte as it was.

    The new file is written beside the old one, synced, and renamed over it.

    Raises:
        StorageError: the folder cannot be written
    """
    target = Path(path)
    try:
        text = target.read_text("utf-8")
        mine = users_part(text)
        if mine and not mine.endswith("\n"):
            mine += "\n"
        whole_file(target, mine + MARKER + "\n" + block.rstrip("\n") + "\n")
    except OSError as error:
        raise StorageError(f"cannot write: {error.strerror}; nothing was changed", str(target)) from error


def whole_file(target: Path, text: str) -> None:
    """Write a whole file so that a crash leaves either the old or the new one, never half of either."""
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as out:
            out.write(text)
            out.flush()
            os.fsync(out.fileno())
        if target.exists():
            os.chmod(name, target.stat().st_mode & 0o777)
        os.replace(name, target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
