"""The answers of ``part list``, ``sources``, ``check`` and ``add``; apart, because showing one part needs none."""

from __future__ import annotations

from dataclasses import dataclass

from xref.model.value import Source


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedPart:
    """One line of a list."""

    part: str
    maker: str
    kind: str
    output: str
    lead_count: int | None
    wired: bool
    origin: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartList:
    """The parts that a filter leaves, of how many."""

    parts: tuple[ListedPart, ...]
    of: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A source with the parts that rest on it."""

    source: Source
    complete: bool
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DocumentList:
    """Documents; ``not_read`` counts those of which something has not been read."""

    documents: tuple[Document, ...]
    not_read: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WrongLine:
    """One problem of a file."""

    file: str
    line: int
    key: str
    what: str
    expected: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckAnswer:
    """What ``part check`` looked at and found; ``lines`` are the problems as shown."""

    files: int
    parts: int
    problems: tuple[WrongLine, ...]
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AddAnswer:
    """A file for the user's folder: its text, where it goes, whether it was written."""

    path: str
    text: str
    parts: tuple[str, ...]
    hides_shipped: tuple[str, ...]
    written: bool
