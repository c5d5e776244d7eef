"""The sheets are made of the same parts and boards as the drawings: tests/draw/drawing_cases.py."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "draw"))
