"""What every model class shares: the strict check, the words for a basis, and the geometry alias.

Models are plain frozen dataclasses. pydantic reads ``__pydantic_config__`` when a file is checked or the index is
built; nothing here imports it, so that a command that only searches starts fast.
"""

from __future__ import annotations

from typing import Any, Literal

STRICT: Any = {"extra": "forbid", "strict": True, "allow_inf_nan": False}
"""Unknown keys, text where a number belongs, NaN and infinity are refused."""

Basis = Literal["printed", "curve", "measured", "derived", "assumed", "memory"]
"""How a number became known, strongest first."""

BASES: tuple[Basis, ...] = ("printed", "curve", "measured", "derived", "assumed", "memory")

PointMm = tuple[float, float]
"""x, y in mm, seen from the component side, y up."""


def weakest(*bases: str) -> str:
    """Return the weakest of the given basis words ('printed' when there is none).

    A result is only as good as the weakest thing that went into it.
    """
    order: dict[str, int] = {basis: rank for rank, basis in enumerate(BASES)}
    return max(bases, key=lambda basis: order[basis], default="printed")
