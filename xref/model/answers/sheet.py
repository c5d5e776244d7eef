"""The answer of ``sheet``: what goes on the paper at the soldering station. Text is ready to print, units included."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from xref.model.answers.fit import Fit
from xref.model.drawing import Board
from xref.model.part import Part
from xref.model.plot import Plot


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWire:
    """A wire to cut and solder. ``colour``: IEC 60757 letters (BK, RD …) of a wire that the user has; may be empty."""

    number: int
    length_mm: float
    start: str
    end: str
    insulated: bool = True
    colour: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartChange:
    """A part of the board that changes or is added: '220 ohm' to '150 ohm'."""

    where: str
    old: str
    new: str
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """A reading to take before the case is closed; the sheet has an empty box beside it."""

    point: str
    when: str
    expect: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """Whether the input behind will read the donor. ``clean`` None: not decided. ``lines``: levels, limits, reserve."""

    clean: bool | None
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One job on paper. What is empty is left out of the sheet; ``paper`` is its size.

    ``verdict`` None: there is no signal to judge (a switch, a drawing alone).
    """

    job: str = ""
    machine: str = ""
    date: str = ""
    original: str = ""
    donor: str = ""
    cautions: tuple[str, ...] = ()
    board: Board | None = None
    donor_part: Part | None = None
    fit: Fit | None = None
    verdict: Verdict | None = None
    wires: tuple[SheetWire, ...] = ()
    changes: tuple[PartChange, ...] = ()
    steps: tuple[str, ...] = ()
    readings: tuple[Expected, ...] = ()
    undo: tuple[str, ...] = ()
    label: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    plots: tuple[Plot, ...] = ()
    paper: Literal["A4", "letter"] = "A4"
