"""The answer of ``find``: candidates with the reasons, the refused ones with theirs. Read only.

Not frozen, as ``xref.model.row``: frozen classes cost a cold search twice the time to make and each answer three times
the time to fill.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Verdict = Literal["meets", "near", "fails", "unknown"]


@dataclass(slots=True, kw_only=True)
class Check:
    """One quantity compared. ``share`` is its part of the score (0 good, the shares add up to the score)."""

    quantity: str
    wanted: float | str | None
    offered: float | str | None
    unit: str
    verdict: Verdict
    share: float
    why: str


@dataclass(slots=True, kw_only=True)
class Found:
    """One candidate: lower score is better; 0 means that everything asked is known and met."""

    part: str
    reference: str
    maker: str
    origin: str
    where: str
    score: float
    verdict: Literal["good", "near", "open"]
    reason: str
    checks: tuple[Check, ...]
    basis: str
    wired: bool
    count: int | None = None


@dataclass(slots=True, kw_only=True)
class Refused:
    """A part that a hard limit excludes, with the first reason."""

    part: str
    why: str


@dataclass(slots=True, kw_only=True)
class FindAnswer:
    """All of it. ``agree``: known to match everything asked; ``alike``: not excluded by anything asked."""

    question: Literal["same", "stand-in"]
    candidates: tuple[Found, ...]
    refused: tuple[Refused, ...]
    searched: int
    alike: int
    agree: int
    part_best_by: str = ""
    assumed: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
