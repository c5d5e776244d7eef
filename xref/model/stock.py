"""The shelf: salvaged boards, the pieces on them, and what happened to each."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Literal

Condition = Literal["good", "used", "doubtful", "dead"]
CONDITIONS: tuple[Condition, ...] = ("good", "used", "doubtful", "dead")
"""Best first. A dead piece is kept for its housing and never offered; a doubtful one counts as untested."""

MOST = 1_000_000
"""Largest number of pieces in one entry."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """A salvaged board (or a bag, or a machine). ``source``: from what it came."""

    id: int
    source: str
    place: str = ""
    photo: str = ""
    notes: str = ""
    added: str = ""
    state: Literal["kept", "scrapped"] = "kept"

    @property
    def reference(self) -> str:
        """How commands name it."""
        return f"board:{self.id}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """What a piece is, apart from where it lies: equal pieces share one.

    ``part``: name in the library, empty for a piece that is only described. ``record``: the encoded part where the
    library need not know it. ``measured``: a partial encoded part with the piece's own values, merged over it.
    ``packed``: the search row by column as it was when entered; ``overlay``: the columns that measuring changed.
    """

    part: str
    name: str
    kind: str
    record: dict[str, Any] = field(default_factory=dict)
    measured: dict[str, Any] = field(default_factory=dict)
    packed: dict[str, Any] = field(default_factory=dict)
    overlay: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """Equal pieces at one place. ``count``: what is left."""

    id: int
    profile: Profile
    board: Board | None = None
    count: int = 1
    place: str = ""
    condition: Condition = "used"
    tested: bool = False
    notes: str = ""
    added: str = ""

    @property
    def reference(self) -> str:
        """How commands and the label name it."""
        return f"stock:{self.id}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One confirmed change. ``change``: pieces that came (+) or went (-); ``left``: pieces after it."""

    id: int
    at: str
    action: Literal["add", "take", "return", "scrap", "set"]
    item: int | None = None
    board: int | None = None
    change: int = 0
    left: int = 0
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dump:
    """All of a stock, as exported, backed up and restored."""

    boards: tuple[Board, ...] = ()
    items: tuple[Item, ...] = ()
    events: tuple[Event, ...] = ()
