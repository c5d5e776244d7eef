"""Answers about switches: the contact table read off with a meter, and unused contacts of a switch."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Trit = Literal["joined", "open", "unknown"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionTable:
    """One position: groups of joined leads, and pairs that no reading settles yet. ``readings`` used here."""

    position: str
    joined: tuple[tuple[str, ...], ...]
    unknown: tuple[tuple[str, str], ...]
    readings: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Pole:
    """Leads that some position joins. ``common``: the lead that every join of the pole shares, '' if there is none."""

    leads: tuple[str, ...]
    common: str
    throws: int


@dataclass(frozen=True, slots=True, kw_only=True)
class NextContinuity:
    """The reading to take next: both probes and the position; it has no polarity."""

    one: str
    other: str
    position: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchIdentity:
    """What the readings say.

    ``settled``: every pair of every position is read or implied. ``enough_after``: number of readings, in the order
    given, after which all was implied; later ones only confirm. ``least``: fewest readings that prove this table.
    """

    leads: tuple[str, ...]
    positions: tuple[PositionTable, ...]
    settled: bool
    next_reading: NextContinuity | None
    readings: int
    enough_after: int | None
    least: int | None
    poles: tuple[Pole, ...] = ()
    name: str = ""
    """In the words of the trade (SPDT, DPDT, 2-pole 3-throw), '' while not settled."""
    timing: str = ""
    returns_to: str = ""
    idle_leads: tuple[str, ...] = ()
    resistance_mohm: float | None = None
    bounce_ms: float | None = None
    notes: tuple[str, ...] = ()
    alike: tuple[str, ...] = ()
    """Known parts with the same contact table."""
    joins: tuple[str, ...] = ()
    """The table in the words of ``switch find``: one ``POSITION=1:2,4:5`` each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpareWay:
    """One way to move the wires of a pole to unused contacts of the same switch."""

    pole: tuple[str, ...]
    moves: tuple[tuple[str, str], ...]
    """(old lead, lead that takes over)."""
    positions: tuple[tuple[str, str], ...]
    warnings: tuple[str, ...] = ()
    verified: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SpareAnswer:
    """Unused contacts of the original as its own donor."""

    part: str
    used: tuple[str, ...]
    unused: tuple[str, ...]
    ways: tuple[SpareWay, ...]
    notes: tuple[str, ...] = ()
