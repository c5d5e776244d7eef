"""What is looked for: the readings and sizes that the technician has, in SI (mm stays mm). Read only.

Not frozen for the reason given in ``xref.model.answers.find``.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(slots=True, kw_only=True)
class Want:
    """A search request. None, empty or () means: not known, so it decides nothing.

    ``same``: which part *is* this (both ways); otherwise: what can stand in (the donor must reach the need).
    """

    same: bool = False
    kind: str = ""
    output: str = ""
    logic: str = ""
    leads: int | None = None
    channels: int | None = None
    vf: float | None = None
    vf_current: float = 1e-3
    vf_error: float = 0.02
    """Half width of what the reading itself leaves open [V]."""
    vf_assumed: str = ""
    temp_c: float = 25.0
    ic: float | None = None
    ic_if: float | None = None
    ic_distance_mm: float | None = None
    ic_target: str = ""
    body_mm: tuple[float, ...] = ()
    grid_mm: tuple[float, float] | None = None
    gap_mm: float | None = None
    flag_mm: float | None = None
    """Thickness of what passes the slot: a narrower slot may do as long as the flag runs free."""
    distance_mm: float | None = None
    hole_mm: float | None = None
    faces: str = ""
    supply: float | None = None
