"""The compiled index: parts as JSON records and search rows in one SQLite file of the cache folder.

Built from the YAML, so it may vanish at any time. Shipped parts in a wheel are keyed by the version; in an editable
install and in the user's folder by path, size and time of every file. A new file is written beside the old one and
renamed over it: two builders do not disturb each other. Every record carries a checksum; what is damaged is built
anew, and where nothing can be written the program works from memory.
"""

from __future__ import annotations

import json
import os
import sqlite3
import zlib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from xref._version import __version__
from xref.library.paths import PACKAGE, is_wheel, shipped_root

FORM = 4
"""Raised when the form of a record changes."""


PACKED = PACKAGE / "_data" / "index.sqlite"
"""The shipped index inside a wheel, made when the wheel is built."""

WHEEL = f"{FORM} {__version__} wheel"
"""What the shipped index of a wheel was built from: its version says everything."""

_compiled: dict[str, tuple[str, dict[str, str]]] = {}
"""What this process compiled last of each folder, with its fingerprint: it is not done twice."""


class Layer:
    """One collection of parts (shipped, or the user's), compiled: records by key, from the file or from memory."""

    def __init__(self, blobs: dict[str, str] | None, connection: sqlite3.Connection | None, rebuild: Any) -> None:
        self._blobs = blobs
        self._connection = connection
        self._rebuild = rebuild

    def read(self, key: str) -> Any:
        """The record of that key, None where there is none. A damaged file is replaced by building in memory."""
        if self._blobs is None:
            try:
                return _read(self._connection, key)
            except (sqlite3.Error, ValueError):
                self._blobs = self._rebuild()
        text = self._blobs.get(key)
        return None if text is None else json.loads(text)


def open_layer(folder: Path, origin: str, cache: Path) -> tuple[Layer, str]:
    """The compiled parts below a folder, and one line when the index could not be kept.

    Args:
        folder: holds part files; for shipped parts the root above ``parts_db/`` and ``pinouts/``
        origin: "shipped" or "user"
        cache: where the compiled file lies

    Returns:
        the layer; a warning or an empty text
    """
    print_of_files = fingerprint(folder, origin)
    path = cache / f"{origin}-{zlib.crc32(str(folder).encode()):08x}.sqlite"
    packed = _open(PACKED, print_of_files) if origin == "shipped" else None

    def rebuild() -> dict[str, str]:
        known, blobs = _compiled.get(f"{origin} {folder}", ("", {}))
        if known != print_of_files:
            from xref.library.compile import compile_parts

            blobs = compile_parts(folder, origin)
            _compiled[f"{origin} {folder}"] = print_of_files, blobs
        return blobs

    connection = packed or _open(path, print_of_files)
    if connection is not None:
        return Layer(None, connection, rebuild), ""
    blobs = rebuild()
    try:
        write(path, {**blobs, "fingerprint": json.dumps(print_of_files)})
    except (OSError, sqlite3.Error) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        return Layer(blobs, None, rebuild), f"the index cannot be kept in {cache} ({reason}); every start is slower"
    return Layer(blobs, None, rebuild), ""


def pack(path: Path) -> None:
    """Write the index that a wheel carries, from the data of this working copy."""
    from xref.library.compile import compile_parts

    write(path, {**compile_parts(shipped_root(), "shipped"), "fingerprint": json.dumps(WHEEL)})


def fingerprint(folder: Path, origin: str) -> str:
    """What the index was built from, as one text."""
    if origin == "shipped" and is_wheel():
        return WHEEL
    head = f"{FORM} {__version__} {folder}"
    watched = [folder] if origin == "user" else [folder / "parts_db", folder / "pinouts"]
    if not is_wheel():
        # in a working copy the classes change under an index of the same version
        watched += [PACKAGE / "model", PACKAGE / "library"]
    if origin == "user":
        watched.append(shipped_root() / "pinouts")
    lines = [line for place in watched for line in _listing(str(place))]
    return "\n".join([head, *sorted(lines)])


def _listing(folder: str) -> Iterable[str]:
    """Path, size and time of every YAML and Python file below a folder."""
    try:
        with os.scandir(folder) as found:
            for entry in found:
                if entry.name.startswith((".", "__")):
                    continue
                if entry.is_dir():
                    yield from _listing(entry.path)
                elif entry.name.endswith((".yaml", ".yml", ".py")):
                    stat = entry.stat()
                    yield f"{entry.path} {stat.st_size} {stat.st_mtime_ns}"
    except OSError:
        return


def _open(path: Path, wanted: str) -> sqlite3.Connection | None:
    """The compiled file if it is there, whole and fresh."""
    connection = None
    try:
        if not path.is_file():
            return None
        # immutable: never locks, never looks for a journal; the file is only ever replaced as a whole
        connection = sqlite3.connect(f"{_address(path)}?mode=ro&immutable=1", uri=True)
        if _read(connection, "fingerprint") == wanted:
            return connection
    except (sqlite3.Error, ValueError, OSError):
        pass
    if connection is not None:
        connection.close()
    return None


def _address(path: Path) -> str:
    """The file as SQLite wants to be told; by hand, because Path.as_uri loads an URL library for 2 ms."""
    plain = path.absolute().as_posix()
    for odd in "%?#":
        plain = plain.replace(odd, f"%{ord(odd):02x}")
    return f"file:{plain}" if plain.startswith("/") else f"file:/{plain}"


def _read(connection: sqlite3.Connection | None, key: str) -> Any:
    """One record; ValueError when its checksum or its JSON is wrong."""
    if connection is None:
        raise ValueError("no index")
    row = connection.execute("select data, check_sum from records where key = ?", (key,)).fetchone()
    if row is None:
        return None
    data, check_sum = row
    if not isinstance(data, str) or zlib.crc32(data.encode()) != check_sum:
        raise ValueError("the index is damaged")
    return json.loads(data)


def write(path: Path, blobs: dict[str, str]) -> None:
    """Write a compiled file beside the old one and rename it over.

    Raises:
        OSError, sqlite3.Error: it cannot be written; the old file stays as it was
    """
    import contextlib
    import tempfile

    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=path.stem, suffix=".tmp", dir=path.parent)
    os.close(handle)
    try:
        with contextlib.closing(sqlite3.connect(name)) as connection:
            connection.execute("pragma journal_mode = off")
            connection.execute("pragma synchronous = off")
            connection.execute(
                "create table records (key text primary key, data text, check_sum integer) without rowid"
            )
            connection.executemany(
                "insert into records values (?, ?, ?)",
                [(key, data, zlib.crc32(data.encode())) for key, data in sorted(blobs.items())],
            )
            connection.commit()
        os.replace(name, path)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise
