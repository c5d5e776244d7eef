"""A switch by what joins when: its contact table, its load class and its mechanics."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from xref.model.base import STRICT
from xref.model.value import Value

Action = Literal["", "slide", "snap-action", "leaf", "tactile", "push", "reed", "rotary", "detector", "toggle", "dip"]
"""How it is worked; empty: not known (the blank original on a board)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rating:
    """One line of a switch's rating plate."""

    __pydantic_config__ = STRICT

    v: float | None = None
    a: float | None = None
    va: float | None = None
    ac_dc: Literal["AC", "DC", "AC/DC"] | None = None
    load: str = ""
    standard: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Contacts:
    """Which leads join in which position, and what the contact may carry.

    ``table``: position name to groups of lead labels joined there; leads in no group stand alone. Position names do
    not compare between makers: compare the sets.
    """

    __pydantic_config__ = STRICT

    action: Action
    table: dict[str, tuple[tuple[str, ...], ...]] = field(default_factory=dict)
    timing: Literal["", "shorting", "non-shorting"] = ""
    """'shorting' = make before break. Empty: not given, so it may be either."""
    poles: int | None = None
    throws: int | None = None
    positions: int | None = None
    sections: int | None = None
    function: str = ""
    contact_form: str = ""
    returns_to: str = ""
    """The rest position of a spring-return switch; empty when it stays where it is put or is unknown."""
    material: str = ""
    ratings: tuple[Rating, ...] = ()
    low_v: float | None = None
    low_ma: float | None = None
    """Smallest load at which the contact film is reliably broken."""
    resistance_mohm: Value | None = None
    resistance_after_life_mohm: float | None = None
    resistance_measured: str = ""
    bounce_ms: Value | None = None
    force_n: Value | None = None
    release_force_n: Value | None = None
    travel_mm: dict[str, Value] = field(default_factory=dict)
    life_cycles: dict[str, float] = field(default_factory=dict)
    reed: dict[str, float] = field(default_factory=dict)
