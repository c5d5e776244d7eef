"""Reading and appending to job files. xref never rewrites what the user wrote.

A site file is a job file with nothing else in it. Results go below one marker line and are replaced there as a block.
"""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import TYPE_CHECKING

from xref.errors import DataError, StorageError, UsageError
from xref.examples import shipped
from xref.job.remarks import doubt_safety
from xref.model.job import Job

if TYPE_CHECKING:
    from xref.model.site import Site

MARKER = "# --- written by xref ---"
FORMAT = 1


def load_job(path: str | Path) -> Job:
    """Read a job or site file.

    Raises:
        DataError: the file cannot be read, or something in it is wrong (file:line, what, what instead)
    """
    from xref.library.reader import examine, first
    from xref.library.tree import read_text

    text = users_part(read_text(Path(path)))
    job, found = examine(text, Job, str(path))
    if job is None:
        _no_network(text, str(path))
        raise first(found)
    if not 1 <= job.format <= FORMAT:
        raise DataError(f"format {job.format} is newer than this xref reads ({FORMAT}); update xref", str(path))
    if job.site is not None:
        _check_input(job.site, text, str(path))
        doubt_safety(job.site.safety, (job.job, *job.site.pads.nets.values()), str(path))
    return job


def _no_network(text: str, where: str) -> None:
    """Say so when the file is one for ``xref workaround``."""
    from xref.library.tree import tree

    try:
        entries = tree(text, where).entries or {}
    except DataError:
        return
    if "site" not in entries and {"nets", "inputs"} <= entries.keys():
        example = shipped("arm-park.yaml")
        raise DataError(f"this is a network file, for xref workaround; a job file is wanted: copy {example}", where)


def _check_input(site: Site, text: str, where: str) -> None:
    """Refuse an input that names no logic family, with its line; both levels stated need none."""
    out = site.output
    if not out.input or (out.low_below is not None and out.high_above is not None):
        return
    from xref.library.reader import line_of
    from xref.library.tree import tree
    from xref.physics.logic_input import family_key

    try:
        family_key(out.input)
    except DataError as error:
        line = line_of(tree(text, where), ("site", "output", "input"))
        raise DataError(f"site.output.input: {error.message}", f"{where}:{line}") from None


def site_of(job: Job, path: str | Path) -> Site:
    """The board side of a job.

    Raises:
        UsageError: the job has none
    """
    if job.site is None:
        raise UsageError("the file has no site: block; see xref help files", str(path))
    return job.site


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
        # read as bytes: a text file opened as text would lose its CR LF line ends
        mine = users_part(target.read_bytes().decode("utf-8"))
        if mine and not mine.endswith("\n"):
            mine += "\n"
        whole_file(target, mine + MARKER + "\n" + block.rstrip("\n") + "\n")
    except OSError as error:
        raise StorageError(f"cannot write: {error.strerror}; nothing was changed", str(target)) from error


def whole_file(target: Path, content: str | bytes) -> None:
    """Write a whole file so that a crash leaves either the old or the new one, never half of either.

    A link is followed; permissions of a file that is there are kept.

    Raises:
        OSError: it cannot be written; nothing was changed
    """
    target = Path(os.path.realpath(target))
    name = _beside(target, content)
    try:
        if target.exists():
            os.chmod(name, target.stat().st_mode & 0o777)
        os.replace(name, target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def new_file(target: Path, content: str | bytes) -> None:
    """Write a whole file that must not be there yet, also when another process makes it in the same moment.

    Raises:
        FileExistsError: it is there; it was not touched
        OSError: it cannot be written; nothing was left behind
    """
    name = _beside(target, content)
    try:
        os.link(name, target)
    except FileExistsError:
        raise
    except OSError:
        # a file system without links (FAT on a memory stick): the check and the renaming are two steps there
        if target.exists():
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(target)) from None
        os.replace(name, target)
    finally:
        Path(name).unlink(missing_ok=True)


def _beside(target: Path, content: str | bytes) -> str:
    """A finished temporary file in the target's folder; its name."""
    # reading a job is on the way of every answer, writing is not: this import costs as much as reading
    import tempfile

    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(content.encode("utf-8") if isinstance(content, str) else content)
            out.flush()
            os.fsync(out.fileno())
        # mkstemp makes a private file; what a command writes may be read as any other file of the user
        os.chmod(name, 0o644)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    return name
