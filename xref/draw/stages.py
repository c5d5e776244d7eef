"""Leads that go to an added stage instead of a pad: where to, and which pad they stay out of."""

from __future__ import annotations

from dataclasses import dataclass

from xref.draw.words import clean, ohms
from xref.model.answers.fit import Added, Fit


@dataclass(frozen=True, slots=True, kw_only=True)
class StagedLead:
    """``to``: the added parts in words. ``not_pad``: the pad that the stage takes over; empty when not plain."""

    lead: str
    to: str
    not_pad: str = ""


def staged(fit: Fit) -> tuple[StagedLead, ...]:
    """The leads of ``fit.staged_leads``, in their order."""
    taken = {connection.pad for connection in fit.connections}
    pads = [end.removeprefix("pad ") for item in fit.added for end in ends(item) if end.startswith("pad ")]
    free = [pad for pad in dict.fromkeys(pads) if pad not in taken]
    return tuple(
        StagedLead(
            lead=lead,
            to=" and ".join(called(item) for item in fit.added if f"lead {lead}" in ends(item)) or "the added stage",
            not_pad=free[0] if len(free) == 1 else "",
        )
        for lead in fit.staged_leads
    )


def ends(item: Added) -> tuple[str, ...]:
    """The places that an added part joins, without the words that say with which of its own ends."""
    return tuple(end.split(": ")[-1] for end in item.between)


def joined(item: Added) -> str:
    """Where an added part goes, in words: ``lead 4 to supply``, or which of its own ends to which place."""
    named = [clean(end).partition(": ") for end in item.between]
    if all(mark for _, mark, _ in named):
        # a base that other added parts name has no place of its own yet
        return ", ".join(f"{own} to {'its resistor' if place == 'base of Q1' else place}" for own, _, place in named)
    return " to ".join(clean(end) for end in item.between)


def called(item: Added) -> str:
    """An added part with its value."""
    return clean(item.what) + ("" if item.value_ohm is None else f" {ohms(item.value_ohm)}")
