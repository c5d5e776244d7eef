"""Errors that a user can meet, each with the exit code of the command that meets it.

Imports nothing of ours. A message is one line: where, what, what instead.
"""

from __future__ import annotations


class XrefError(Exception):
    """Base of every error shown to a user as one line.

    ``where`` names a file and line (``parts_db/x.yaml:41``) or an option; it is printed before the message.
    """

    exit_code = 3
    kind = "error"

    def __init__(self, message: str, where: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.where = where

    def __str__(self) -> str:
        return f"{self.where}: {self.message}" if self.where else self.message


class UsageError(XrefError):
    """The command line is wrong: an option value, a missing or a contradictory option."""

    exit_code = 2
    kind = "usage"


class QuantityError(UsageError):
    """A value as typed cannot be read, or has the wrong unit."""

    kind = "quantity"


class DataError(XrefError):
    """A file, or the data in it, is wrong."""

    exit_code = 3
    kind = "data"


class NotFound(XrefError):
    """The honest answer is none: no such part, no candidate, no wiring."""

    exit_code = 1
    kind = "not-found"


class NoSolution(NotFound):
    """A solver proved that there is no answer; the message carries the numbers that show it."""

    kind = "no-solution"


class SafetyRefusal(XrefError):
    """Asked for something that would defeat a safety function."""

    exit_code = 4
    kind = "refused"


class StorageError(DataError):
    """A database or folder cannot be read or written; the message says what to do."""

    kind = "storage"


def one_of(value: str, allowed: tuple[str, ...], where: str) -> str:
    """``value``, when it is one of the allowed words; an empty word in ``allowed`` stands for "not given".

    Raises:
        UsageError: it is not; the message names all words and the nearest
    """
    if value in allowed:
        return value
    import difflib

    words = [word for word in allowed if word]
    near = difflib.get_close_matches(value, words, 1)
    tail = f"; nearest: {near[0]}" if near else ""
    raise UsageError(f"{value[:40]!r} is not one of {', '.join(words)}{tail}", where)
