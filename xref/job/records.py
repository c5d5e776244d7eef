"""Records of finished repairs: one JSON file each, never changed again, found again by machine or part."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field, replace
from pathlib import Path

from xref.errors import DataError, NotFound, StorageError
from xref.job.file import new_file
from xref.model.decode import decode, encode
from xref.places import data_dir

FORMAT = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """What was done and measured. ``format`` is the version of this form."""

    format: int = FORMAT
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
    return sorted((_read(path) for path in folder().glob("*.json")), key=lambda record: record.number)


def _read(path: Path) -> Record:
    try:
        raw = json.loads(path.read_text("utf-8"))
        if raw.get("format", FORMAT) > FORMAT:
            raise DataError(f"this record was written by a newer xref (format {raw['format']}); update xref", str(path))
        return decode(Record, raw)
    except (OSError, ValueError, TypeError, AttributeError) as error:
        raise DataError("this record cannot be read; move it away to go on", str(path)) from error


def _number(path: Path) -> int:
    digits = re.match(r"\d*", path.stem)
    return int(digits.group() or 0) if digits else 0


def keep(record: Record) -> Record:
    """Store a record under the next free number; two processes never take the same one.

    The number comes from the names of the files: a damaged old record must not cost the new one.

    Raises:
        StorageError: the folder cannot be written; nothing was kept
    """
    try:
        folder().mkdir(parents=True, exist_ok=True)
        number = max((_number(path) for path in folder().glob("*.json")), default=0)
        while True:
            number += 1
            numbered = replace(record, number=number)
            try:
                text = json.dumps(encode(numbered), ensure_ascii=False, indent=1) + "\n"
                new_file(folder() / f"{number:05d}.json", text)
            except FileExistsError:
                continue
            return numbered
    except OSError as error:
        raise StorageError(f"the record was not kept: {error.strerror}", str(folder())) from error


def show(number: int) -> Record:
    """One record.

    Raises:
        NotFound: no record of that number
        DataError: a record cannot be read
    """
    for record in all_records():
        if record.number == number:
            return record
    raise NotFound(f"no record {number}; xref log list shows what is there")


def similar(machine: str, original: str, donor: str = "") -> list[Record]:
    """Earlier records of the same machine or part, newest first.

    Raises:
        DataError: a record cannot be read
    """

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
