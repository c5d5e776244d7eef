"""The answers of ``stock``: what is on the shelf, what was done, where to look for more."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One entry of the shelf. ``where``: the place that it lies at; ``left``: pieces left."""

    reference: str
    part: str
    kind: str
    left: int
    where: str
    board: str
    condition: str
    tested: bool
    measured: tuple[str, ...]
    notes: str
    added: str
    known: bool
    """False: described by its user only, not in the library."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardLine:
    """A board. ``pieces``: what is left on it."""

    reference: str
    source: str
    place: str
    photo: str
    notes: str
    added: str
    state: str
    pieces: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """A change that is kept now."""

    action: Literal["add", "take", "return", "scrap", "set"]
    pieces: tuple[Piece, ...]
    boards: tuple[BoardLine, ...] = ()
    change: int = 0
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """A list: entries shown, and how many entries and pieces the filter leaves in all."""

    pieces: tuple[Piece, ...]
    entries: int
    left: int
    boards: tuple[BoardLine, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """One line of the history."""

    at: str
    action: str
    change: int
    left: int
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One piece or board with its history. ``record``: what it is, as in an export."""

    piece: Piece | None
    board: BoardLine | None
    on_board: tuple[Piece, ...]
    history: tuple[Happened, ...]
    record: dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Labels:
    """Text of labels, one tuple of lines each."""

    labels: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """What an import did; with problems nothing was changed."""

    path: str
    boards: int
    entries: int
    pieces: int
    problems: tuple[str, ...]
    dry_run: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A file that was written, or a stock that was restored from it."""

    path: str
    boards: int
    entries: int
    pieces: int
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Holder:
    """Where pieces of a kind lie on the own shelf."""

    board: str
    source: str
    where: str
    left: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Scrap:
    """A class of equipment in which such parts are found.

    ``evidence``: service text (S), tear-down page (H) or common practice without a page (C).
    """

    equipment: str
    found: str
    how_many: str
    form: str
    evidence: Literal["S", "H", "C"]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WhereAnswer:
    """Own boards first, then scrap equipment, best evidence first."""

    kind: str
    own: tuple[Holder, ...]
    equipment: tuple[Scrap, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
