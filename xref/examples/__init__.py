"""Example documents of the fraction collector, used by the demo, the guide and the tests."""

from __future__ import annotations

from pathlib import Path

FOLDER = Path(__file__).parent
"""Where the example files lie."""


def shipped(name: str) -> str:
    """Where the example of that name lies; empty when there is none."""
    path = FOLDER / name
    return str(path) if name.endswith(".yaml") and path.parent == FOLDER and path.is_file() else ""
