"""Every usable row of the outside checks that concerns physics is used by a test here."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from physics_reference import CHECKS, SOURCES

# rows that a model cannot meet, with the reason; at most three
UNMET = {
    "V16": "states that VF differs by 0.4 V and the current by 2, without the circuit in which it does",
    "O5": "states a risk group without the radiant intensity from which it could be computed",
}
# rows about other rooms: meters, lead order, soldering, jumpers, static charge, interlocks
ELSEWHERE = ("M", "P", "J", "G", "Q", "S1")
PHYSICS = [name for name, row in CHECKS.items() if row["usable"] and not name.startswith(ELSEWHERE)]


def names_in_tests() -> set[str]:
    """Row names that stand as text in the test files of this folder, this file apart."""
    found: set[str] = set()
    for path in Path(__file__).parent.glob("test_*.py"):
        if path.name != Path(__file__).name:
            tree = ast.parse(path.read_text(encoding="utf-8"))
            found |= {n.value for n in ast.walk(tree) if isinstance(n, ast.Constant) and isinstance(n.value, str)}
    return found


USED = names_in_tests()


@pytest.mark.parametrize("name", PHYSICS)
def test_row_is_used(name: str) -> None:
    """The row decides a test, or stands in the list of rows that no model here can meet."""
    assert (name in USED) != (name in UNMET)


def test_few_rows_are_unmet() -> None:
    """At most three rows are given up, each with a reason, and none that is not usable decides anything."""
    assert len(UNMET) <= 3
    assert all(len(reason) > 30 for reason in UNMET.values())
    assert len(PHYSICS) >= 70


@pytest.mark.parametrize("name", sorted(CHECKS))
def test_row_has_a_source(name: str) -> None:
    """Each row names a source of the file; a row from memory is not usable."""
    row = CHECKS[name]

    assert row["source"] in SOURCES
    if "from memory" in SOURCES[row["source"]]["publisher"]:
        assert not row["usable"]
