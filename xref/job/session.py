"""What outlives a command: the user's meter, and an identification that was broken off."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from xref import places
from xref.errors import DataError, NotFound, StorageError
from xref.job.file import whole_file
from xref.model.decode import decode, encode
from xref.model.job import Meter

FORMAT = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class IdentifySession:
    """An identification as far as it came: every reading as typed, in order; what could not be read."""

    leads: tuple[str, ...]
    readings: tuple[str, ...] = ()
    skipped: tuple[str, ...] = ()
    settle: float = 0.99
    together: tuple[str, ...] = ()
    meter: Meter = field(default_factory=Meter)
    supply: bool = True


def meter_path() -> Path:
    """Where the user's meter is kept."""
    return places.meter_file()


def session_path() -> Path:
    """Where an identification that was broken off is kept."""
    return places.data_dir() / "sessions" / "identify.json"


def load_meter() -> Meter | None:
    """The user's meter, or None where none was saved.

    Raises:
        DataError: the file is not what ``xref meter`` wrote
    """
    found: Meter | None = _read(meter_path(), Meter, "delete it and save your meter again: xref meter --diode 1mA")
    return found


def save_meter(meter: Meter) -> Path:
    """Keep the user's meter.

    Raises:
        StorageError: the folder cannot be written
    """
    return _write(meter_path(), meter)


def load_session() -> IdentifySession:
    """The identification that was broken off.

    Raises:
        NotFound: there is none
        DataError: the file is damaged
    """
    found: IdentifySession | None = _read(
        session_path(), IdentifySession, "delete it and start again: xref identify --leads 4 --ask"
    )
    if found is None:
        raise NotFound("no identification was broken off; start one: xref identify --leads 4 --ask")
    return found


def save_session(session: IdentifySession) -> Path:
    """Keep an identification, so that it can be resumed.

    Raises:
        StorageError: the folder cannot be written
    """
    return _write(session_path(), session)


def drop_session() -> None:
    """Forget the kept identification; fine when there is none."""
    try:
        session_path().unlink(missing_ok=True)
    except OSError as error:
        raise StorageError(f"cannot be removed: {error.strerror}", str(session_path())) from error


def _read(path: Path, cls: type[Any], help_text: str) -> Any:
    try:
        text = path.read_text("utf-8")
    except FileNotFoundError:
        return None
    except (OSError, UnicodeDecodeError) as error:
        raise DataError(f"cannot be read; {help_text}", str(path)) from error
    try:
        data = json.loads(text)
        if data.pop("format") != FORMAT:
            raise DataError(f"was written by a newer xref; {help_text}", str(path))
        return decode(cls, data)
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        raise DataError(f"is damaged; {help_text}", str(path)) from error


def _write(path: Path, item: Any) -> Path:
    text = json.dumps({"format": FORMAT, **encode(item)}, indent=1) + "\n"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        whole_file(path, text)
    except OSError as error:
        raise StorageError(f"cannot be written: {error.strerror}", str(path)) from error
    return path
