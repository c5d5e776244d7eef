"""A lead arrangement that many parts share: which function stands where."""

from __future__ import annotations

from dataclasses import dataclass

from xref.model.base import STRICT


@dataclass(frozen=True, slots=True, kw_only=True)
class PinoutLead:
    """A function at a place (component side, mm, origin at the body centre)."""

    __pydantic_config__ = STRICT

    function: str
    at_mm: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pinout:
    """One file of pinouts/. A part that uses it gives its own labels in the order of ``leads``."""

    __pydantic_config__ = STRICT

    format: int
    pinout: str
    leads: tuple[PinoutLead, ...]
    note: str = ""
