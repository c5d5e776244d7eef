"""The answer of ``part NAME``: one part in full."""

from __future__ import annotations

from dataclasses import dataclass

from xref.model.part import Part


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """Something not known of a part, and how to find it out."""

    what: str
    settle: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartAnswer:
    """Everything known of a part. ``asked``: the name as typed; ``hides_shipped``: an own part in front of it."""

    asked: str
    part: Part
    wired: bool
    missing: tuple[Missing, ...]
    hides_shipped: bool = False
