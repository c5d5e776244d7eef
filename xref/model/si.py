"""Printed units to SI, by the ending of the key; the only place where the factor stands."""

from __future__ import annotations

FACTORS = {
    "na": 1e-9, "ua": 1e-6, "ma": 1e-3, "a": 1.0,
    "mv": 1e-3, "v": 1.0,
    "mohm": 1e-3, "ohm": 1.0, "kohm": 1e3,
    "us": 1e-6, "ms": 1e-3, "s": 1.0, "ns": 1e-9,
    "mw": 1e-3, "w": 1.0, "nm": 1e-9, "hz": 1.0, "khz": 1e3, "n": 1.0, "c": 1.0, "mm": 1.0, "pct": 0.01,
}  # fmt: skip
"""mm stays mm everywhere (see DEVELOPERS.md); °C stays °C."""


def si(key: str, number: float) -> float:
    """Convert ``number`` from the unit that ``key`` ends in: ``si("if_ma", 20)`` is 0.02.

    Raises:
        KeyError: the key does not end in a known unit
    """
    return number * FACTORS[key.rsplit("_", 1)[-1]]
