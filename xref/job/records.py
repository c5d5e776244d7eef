"""Records of finished repairs: one JSON file each, never changed again, found again by machine or part."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from pathlib import Path

from xref.errors import DataError, NotFound, StorageError
from xref.job.file import whole_file
from xref.model.decode import decode, encode
from xref.places import data_dir


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """What was done and measured. ``format`` is the version of this form."""

    format: int = 1
    number: int = 0
    date: str = ""
    job: str = ""
    machine: str = ""
    original: str = ""
    donor: str = ""
    after: dict[str, str] = field(default_factory=dict)
    expected: dict[str, str] = field(default_factory=dict)
    verdict: str = ""
    changes: tuple[str, ...] = ()
    note: str = ""


def folder() -> Path:
    """Where the records lie."""
    return data_dir() / "records"


def all_records() -> list[Record]:
    """Every record, oldest first; a damaged file is an error that names it.

    Raises:
        DataError: a record cannot be read
    """
    found = []
    for path in sorted(folder().glob("*.json")):
        try:
            raw = json.loads(path.read_text("utf-8"))
            found.append(decode(Record, raw))
        except (OSError, ValueError, TypeError, KeyError) as error:
            raise DataError(f"this record cannot be read ({error}); move it away to go on", str(path)) from error
    return sorted(found, key=lambda record: record.number)


def keep(record: Record) -> Record:
    """Store a record under the next number.

    Raises:
        StorageError: the folder cannot be written; nothing was kept
    """
    try:
        folder().mkdir(parents=True, exist_ok=True)
        number = max((item.number for item in all_records()), default=0) + 1
        while True:
            numbered = _numbered(record, number)
            slug = re.sub(r"[^a-z0-9]+", "-", record.job.lower()).strip("-")[:40] or "job"
            path = folder() / f"{number:05d}-{slug}.json"
            if not any(folder().glob(f"{number:05d}-*.json")):
                whole_file(path, json.dumps(encode(numbered), ensure_ascii=False, indent=1) + "\n")
                return numbered
            number += 1
    except OSError as error:
        raise StorageError(f"the record was not kept: {error.strerror}", str(folder())) from error


def _numbered(record: Record, number: int) -> Record:
    from dataclasses import replace

    return replace(record, number=number)


def show(number: int) -> Record:
    """One record.

    Raises:
        NotFound: no record of that number
    """
    for record in all_records():
        if record.number == number:
            return record
    raise NotFound(f"no record {number}; xref log list shows what is there")


def similar(machine: str, original: str, donor: str = "") -> list[Record]:
    """Earlier records of the same machine or part, newest first."""

    def plain(text: str) -> str:
        return re.sub(r"[^a-z0-9]", "", text.lower())

    names = {plain(name) for name in (original, donor) if plain(name) not in ("", "blank", "unknown")}
    hits = [
        record
        for record in all_records()
        if (plain(machine) and plain(machine) == plain(record.machine))
        or names & {plain(record.original), plain(record.donor)}
    ]
    return list(reversed(hits))
