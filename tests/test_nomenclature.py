"""One name for one quantity: the table in DEVELOPERS.md and the classes agree, both ways."""

from __future__ import annotations

import ast
import re
from collections import Counter
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import pytest

from xref.library.store import open_library
from xref.model.answers.assess import LevelsSeen, TransferSeen
from xref.model.answers.fit import Signal
from xref.model.contacts import Contacts
from xref.model.part import Coupling, Detector, Emitter, Geometry, Slot
from xref.model.si import FACTORS
from xref.model.value import Value

ROOT = Path(__file__).parent.parent
UNITS = {
    "na": "A", "ua": "A", "ma": "A", "v": "V", "ohm": "ohm", "mohm": "ohm", "us": "s", "ms": "s", "mw": "W", "nm": "m",
    "mm": "mm", "n": "N", "per_1": "1", "reserve": "1", "mw_sr": "W/sr", "mw_cm2": "W/cm2",
}  # fmt: skip
"""Ending of a key to the unit of the table (SI, mm for lengths of bodies)."""


def table() -> list[tuple[str, list[str], list[str], str]]:
    """(symbol, keys, names in the code, unit) of each row."""
    part = (ROOT / "DEVELOPERS.md").read_text("utf-8").split("\n## Names\n")[1].split("\n## ")[0]
    rows = [
        [cell.strip() for cell in line.strip("|").split("|")] for line in part.splitlines() if line.startswith("| ")
    ]
    return [(row[0], re.findall(r"`(\w+)`", row[1]), re.findall(r"`(\w+)`", row[2]), row[3]) for row in rows[1:]]


ROWS = table()
KEYS = [key for _, keys, _, _ in ROWS for key in keys]


def ending(key: str) -> str:
    """The unit that a key ends in; '' where it has none."""
    return max((unit for unit in UNITS if key.endswith(f"_{unit}")), key=len, default="")


def conditions(item: Any) -> set[str]:
    """Every key under ``at`` of the values in a part."""
    if isinstance(item, Value):
        return set(item.at)
    if is_dataclass(item):
        return {key for field in fields(item) for key in conditions(getattr(item, field.name))}
    if isinstance(item, list | tuple):
        return {key for each in item for key in conditions(each)}
    return {key for each in item.values() for key in conditions(each)} if isinstance(item, dict) else set()


ELECTRICAL = {field.name for cls in (Emitter, Detector, Coupling, Slot, Contacts) for field in fields(cls)}
OTHER = {field.name for cls in (Geometry, Signal, TransferSeen, LevelsSeen) for field in fields(cls)}
AT = {key for part in open_library().parts() for key in conditions(part)}


def test_the_table_is_read() -> None:
    """The test below is about something."""
    assert len(ROWS) >= 35
    assert len(KEYS) >= 60


def test_every_key_of_the_table_exists() -> None:
    """No key that the classes do not have, none twice."""
    assert [key for key in KEYS if key not in ELECTRICAL | OTHER | AT] == []
    assert [key for key, count in Counter(KEYS).items() if count > 1] == []


def test_every_quantity_is_in_the_table() -> None:
    """A field with a unit in emitter, detector, coupling, slot or contacts, and every condition, has its row."""
    named = {key for key in ELECTRICAL | AT if ending(key)}

    assert sorted(named - set(KEYS)) == []


@pytest.mark.parametrize(("symbol", "keys", "names", "unit"), ROWS, ids=lambda value: "" if value else "-")
def test_the_unit_is_that_of_the_key(symbol: str, keys: list[str], names: list[str], unit: str) -> None:
    """The ending of the key says the printed unit, the table the SI unit it becomes."""
    for key in keys:
        assert UNITS[ending(key)] == unit, key
        assert ending(key) in FACTORS or ending(key) in ("per_1", "reserve", "mw_sr", "mw_cm2"), key


def identifiers() -> set[str]:
    """Names of fields, parameters and functions in the rooms that calculate."""
    found: set[str] = set()
    for room in ("physics", "model", "search", "adapt"):
        for path in (ROOT / "xref" / room).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                if isinstance(node, ast.FunctionDef):
                    found |= {node.name, *(arg.arg for arg in (*node.args.args, *node.args.kwonlyargs))}
                elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
                    found.add(node.target.id)
    return found


def test_every_name_in_the_code_exists() -> None:
    """A renamed function or field is renamed in the table too."""
    known = identifiers()

    assert [name for _, _, names, _ in ROWS for name in names if name not in known] == []
