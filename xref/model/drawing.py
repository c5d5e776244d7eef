"""What a drawing needs to know of the board: its pads and what stands around them. Callers fill it, draw reads it."""

from __future__ import annotations

from dataclasses import dataclass, field

from xref.model.base import PointMm
from xref.model.part import Hole


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardPad:
    """A pad of the board: its label, the net it belongs to, its place (component side, mm), what it needs."""

    label: str
    at_mm: PointMm
    net: str = ""
    needs: str = ""
    """The function that the board expects here (A K C E …); empty when unknown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """The place of the old part. All coordinates component side, mm, origin at the old body's centre."""

    name: str
    pads: tuple[BoardPad, ...]
    body_mm: tuple[float, float] | None = None
    """The old body along x and y, centred on the origin; None when unknown."""
    holes: tuple[Hole, ...] = ()
    optical_axis_mm: PointMm | None = None
    taps: dict[str, PointMm] = field(default_factory=dict)
    """Other places of the board that a link may reach: name to place."""
