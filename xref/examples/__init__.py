"""Example documents of the fraction collector, used by the demo, the guide and the tests."""

from __future__ import annotations

from pathlib import Path

FOLDER = Path(__file__).parent
"""Where the example files lie."""
