"""Many rows and names in the likeness of the shipped ones: shapes are kept, figures and digits are drawn. Seeded."""

from __future__ import annotations

import random
import string
from dataclasses import replace

from xref.library.store import open_library
from xref.model.row import Row


def many_rows(count: int, kind: str = "", seed: int = 5) -> list[Row]:
    """Rows by drawing a shipped one and moving each of its lengths by up to a quarter."""
    rng = random.Random(seed)
    shipped = open_library().rows(kind or None)

    def moved(value: float | None) -> float | None:
        return None if value is None else round(value * rng.uniform(0.8, 1.25), 2)

    found = []
    for number in range(count):
        row = rng.choice(shipped)
        size = tuple(round(edge * rng.uniform(0.8, 1.25), 2) for edge in row.size_mm)
        found.append(
            replace(
                row, reference=f"X{number:06d}", name=f"X{number:06d}", gap_mm=moved(row.gap_mm), size_mm=size,
                hole_mm=moved(row.hole_mm), pitch_mm=moved(row.pitch_mm), row_mm=moved(row.row_mm),
                peak_distance_mm=moved(row.peak_distance_mm),
            )
        )  # fmt: skip
    return found


def many_names(count: int, seed: int = 2) -> list[str]:
    """Distinct part numbers: a shipped one with other digits, and now and then another letter."""
    rng = random.Random(seed)
    shapes = [entry.name for entry in open_library().listed()]
    found: set[str] = set()
    while len(found) < count:
        found.add("".join(_other(char, rng) for char in rng.choice(shapes)))
    return sorted(found)


def _other(char: str, rng: random.Random) -> str:
    if char.isdigit():
        return rng.choice(string.digits)
    return rng.choice(string.ascii_uppercase) if char.isalpha() and rng.random() < 0.3 else char
