"""Every fact read from a maker's document is in the shipped library, unchanged or with the reason for the change.

Source: tests/reference/facts (readings from the documents named in each entry), read here by code of its own.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
import yaml

from tests.data.leads import emitter_left, leads_differ
from tests.data.reading import LIMITS, REFERENCE, expected, facts
from xref.library.store import Library, open_library
from xref.model.part import Part
from xref.model.si import FACTORS, si

KINDS = ("reflective", "slotted", "switches")
NO_UNIT = {"poles", "throws", "positions", "sections", "channels"}


@cache
def library() -> Library:
    """The shipped library, opened once."""
    return open_library()


@cache
def differences() -> dict[tuple[str, str], dict[str, Any]]:
    """The allowed differences by part and path."""
    listed = yaml.safe_load((REFERENCE / "differences.yaml").read_text("utf-8"))["differences"]
    return {(part, item["path"]): item for item in listed for part in item["parts"]}


def read(part: Part, path: str) -> Any:
    """The part's value at a path, in SI by the package's own table."""
    at: Any = part
    unit = ""
    for step in path.split("."):
        step = step.replace(";", ".")
        if isinstance(at, dict):
            at = at.get(step)
        elif isinstance(at, tuple):
            at = at[int(step)] if int(step) < len(at) else None
        else:
            at = getattr(at, step)
        if at is None:
            return None
        if "_" in step and step.rsplit("_", 1)[-1] in FACTORS:
            unit = step
        elif step in ("v", "a", "va", *LIMITS):
            unit = unit or ""
    if isinstance(at, float) and unit and not path.endswith("ee_mw_cm2"):
        return si(unit, at)
    return at


def same(wanted: Any, got: Any) -> bool:
    """Equal, numbers to 1 in 10⁹."""
    if isinstance(wanted, set):
        return got is not None and {frozenset(pins) for pins in got} == wanted
    if isinstance(wanted, float | int) and isinstance(got, float | int):
        return math.isclose(wanted, got, rel_tol=1e-9, abs_tol=1e-15)
    return bool(wanted == got)


def wrong(entry: dict[str, Any]) -> Iterator[tuple[str, Any, Any]]:
    """Path, fact and shipped value of everything that differs."""
    part = library().get(entry["part"])
    for path, wanted in expected(entry).items():
        got = read(part, path)
        if not same(wanted, got):
            yield path, wanted, got
    yield from leads_differ(entry, part)


@pytest.mark.parametrize("kind", KINDS)
def test_every_fact_ships(kind: str) -> None:
    """Each entry is a part of its own name, each value in it as read, but for the listed differences."""
    found = [
        f"{entry['part']}: {path}: fact {wanted!r}, shipped {got!r}"
        for entry in facts(kind)
        for path, wanted, got in wrong(entry)
        if (entry["part"], path) not in differences()
    ]
    assert not found, "\n".join(found)


def test_every_listed_difference_is_still_one() -> None:
    """A difference that is gone, or that names no part, must leave the list; each has a reason."""
    entries = {entry["part"]: entry for kind in KINDS for entry in facts(kind)}
    real = {name: {path for path, _, _ in wrong(entry)} for name, entry in entries.items()}
    stale = [f"{name}: {path}" for name, path in differences() if path not in real.get(name, set())]
    assert not stale, "\n".join(stale)
    assert all(len(item["why"]) > 10 for item in differences().values())


def test_aliases_lead_to_the_part() -> None:
    """A second name of a fact finds the part of the first."""
    for kind in KINDS:
        for entry in facts(kind):
            for alias in entry.get("aliases") or ():
                assert library().get(str(alias)).name == entry["part"]


def test_sensors_lie_with_the_emitter_on_the_left() -> None:
    """In every wired sensor x runs from the emitter to the detector."""
    assert not [p.name for p in library().parts() if p.geometry.wired and p.kind != "switch" and not emitter_left(p)]


def test_a_changed_value_would_be_seen() -> None:
    """The comparison itself: a value, a place, a swapped function and a lost key are each reported."""
    entry = next(item for item in facts("reflective") if item["part"] == "QRD1114")
    assert not list(wrong(entry))
    changed = yaml.safe_load(yaml.safe_dump(entry))
    changed["emitter"]["if_max_ma"] += 1
    changed["leads"]["functions"] = {1: "E", 2: "C", 3: "A", 4: "K"}
    changed["leads"]["positions_mm"][1] = [-1.055, 1.3]
    assert {path for path, _, _ in wrong(changed)} >= {
        "emitter.if_max_ma", "leads.functions", "leads.positions_mm",
    }  # fmt: skip
