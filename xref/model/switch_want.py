"""What a switch is searched by: what joins when, the circuit, and what calipers and fingers tell."""

from __future__ import annotations

from dataclasses import dataclass, field

from xref.model.contact_need import ContactNeed

SPRINGS = ("", "back", "stays")


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchWant:
    """``joins``: position to groups of joined leads; empty: the contacts do not matter. SI, lengths in mm.

    ``springs``: 'back' or 'stays'. ``rest``: the position of ``joins`` to which it springs back.
    """

    joins: dict[str, tuple[tuple[str, ...], ...]] = field(default_factory=dict)
    need: ContactNeed = field(default_factory=ContactNeed)
    rest: str = ""
    springs: str = ""
    action: str = ""
    leads: int | None = None
    pitch_mm: float | None = None
    body_mm: tuple[float, ...] = ()
    force: float | None = None
    travel_mm: float | None = None
    bounce: float | None = None
    mount: str = ""
