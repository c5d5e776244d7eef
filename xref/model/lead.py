"""Leads: a lead is a function at a place. Numbers, letters and wire colours are labels on it."""

from __future__ import annotations

from dataclasses import dataclass

from xref.model.base import STRICT

FUNCTIONS = ("A", "K", "C", "E", "B", "A2", "K2", "C2", "E2", "VCC", "OUT", "OUT2", "GND", "NC")
"""Functions of a sensor lead. ``K+E`` is one lead that carries both."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lead:
    """One lead of a part: what it is called, what it does, where it stands.

    ``function``: a word of FUNCTIONS, several joined by ``+`` where they share the lead; for a switch the
    terminal's own label. Two leads of the same function (NC apart) are joined inside the part.
    ``at_mm``: component side, origin at the body centre; None when the place is unknown.
    """

    __pydantic_config__ = STRICT

    label: str
    function: str
    at_mm: tuple[float, float] | None = None
    colour: str = ""

    @property
    def functions(self) -> tuple[str, ...]:
        """The functions that this lead carries, one or more."""
        return tuple(self.function.split("+"))


def mirrored(leads: tuple[Lead, ...]) -> tuple[Lead, ...]:
    """The same leads seen from the other side of the board: x changes its sign.

    Turning twice gives the start again.
    """
    return tuple(
        Lead(
            label=lead.label,
            function=lead.function,
            at_mm=None if lead.at_mm is None else (-lead.at_mm[0], lead.at_mm[1]),
            colour=lead.colour,
        )
        for lead in leads
    )
