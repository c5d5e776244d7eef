"""The product stays in its own scenario, and says nothing that its owner ruled out."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
TOPICS = re.compile(
    r"\b(" + "|".join(["aud" + "io", "vc" + "rs?", "casset" + "tes?", "video" + "[- ]?tapes?", "cam" + "corders?",
                       "turn" + "tables?", "ampli" + "fiers? for", "car" + " radio", "auto" + "motive"]) + r")\b",
    re.IGNORECASE,
)  # fmt: skip
FILES = [
    path
    for folder in ("xref", "parts_db", "pinouts", "tests")
    for path in sorted((ROOT / folder).rglob("*"))
    if path.suffix in (".py", ".yaml", ".md", ".txt", ".csv", ".json")
] + [ROOT / "README.md", ROOT / "DEVELOPERS.md"]


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_foreign_equipment(path: Path) -> None:
    """No audio, video-tape or car equipment in the product, its data, guides or tests."""
    if path == Path(__file__):
        return

    hits = [f"{number}: {line.strip()[:80]}" for number, line in enumerate(path.read_text().splitlines(), 1)
            if TOPICS.search(line)]  # fmt: skip

    assert not hits
