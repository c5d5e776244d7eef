"""The outside check values of tests/reference/checks.yaml, by row name."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import yaml

_FILE = Path(__file__).parent.parent / "reference" / "checks.yaml"
_LOADED: dict[str, Any] = yaml.safe_load(_FILE.read_text(encoding="utf-8"))
SOURCES: dict[str, dict[str, str]] = _LOADED["sources"]
CHECKS: dict[str, dict[str, Any]] = {row["id"]: row for row in _LOADED["checks"]}


def inputs(name: str) -> dict[str, Any]:
    """Inputs of a usable row; a row that is not usable decides no test."""
    assert CHECKS[name]["usable"], f"row {name} is not usable"
    return CHECKS[name]["inputs"]  # type: ignore[no-any-return]


def expected(name: str) -> dict[str, Any]:
    """Expected values of a usable row."""
    assert CHECKS[name]["usable"], f"row {name} is not usable"
    return CHECKS[name]["expected"]  # type: ignore[no-any-return]


def cite(name: str) -> str:
    """Source of a row in one line, for the message of a failing test."""
    s = SOURCES[CHECKS[name]["source"]]
    return f"{name}: " + ", ".join(s[k] for k in ("title", "publisher", "document", "revision", "date") if s.get(k))


def vf_points(name: str) -> list[tuple[float, float]]:
    """Forward-voltage curve of a row as (A, V)."""
    return [(i / 1e3, float(v)) for i, v in expected(name)["points_ma_v"]]


def distance_points(name: str) -> list[tuple[float, float]]:
    """Distance curve of a row as (mm, relative current)."""
    row = expected(name)
    if "points_mil" in row:
        return [(d * row["mm_per_mil"], float(v)) for d, v in row["points_mil"]]
    return [(float(d), float(v)) for d, v in row["points"]]


def xy(rows: list[list[float]]) -> list[tuple[float, float]]:
    """Pairs of numbers as tuples of floats."""
    return [(float(a), float(b)) for a, b in rows]
