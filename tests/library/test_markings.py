"""Worn markings: the right part among the first five, by a model of wear written before the measure was tried."""

from __future__ import annotations

import random

import pytest

from tests.library.corruption import corrupt
from xref.library.marking import nearest
from xref.library.names import canonical, without_maker
from xref.library.store import open_library

TRIES = 1000
NEEDED = 0.95


@pytest.mark.parametrize("seed", [2026])
def test_worn_markings_are_suggested(seed: int) -> None:
    """1,000 seeded corruptions of real part numbers: at least 95 % among the first five."""
    entries = open_library().listed()
    names = [(name, entry.name) for entry in entries for name in (entry.name, *entry.aliases)]
    rng = random.Random(seed)
    hits = 0
    for _ in range(TRIES):
        part = rng.choice(entries).name
        hits += part in nearest(corrupt(part, rng), names)

    assert hits / TRIES >= NEEDED


@pytest.mark.parametrize(
    ("worn", "names", "first"),
    [
        ("TCRT50OO", ["TCRT5000", "TCRT1000"], "TCRT5000"),
        ("CNY7O", ["CNY70", "CNY37"], "CNY70"),
        ("RT5000", ["TCRT5000", "QRD5000"], "TCRT5000"),
        ("H2IA1", ["H21B1", "H21A1"], "H21A1"),
        ("0PB8O", ["OPB80", "OPB86"], "OPB80"),
        ("EE SX1O41", ["EE-SX1041", "EE-SX1042"], "EE-SX1041"),
        ("GPIS53V", ["GP1S51V", "GP1S53V"], "GP1S53V"),
    ],
)
def test_look_alikes_cost_less_than_other_characters(worn: str, names: list[str], first: str) -> None:
    """A look-alike beats a real difference."""
    assert nearest(worn, [(name, name) for name in names])[0] == first


def test_nothing_near_is_nothing() -> None:
    """No suggestion for text without a letter or digit, or far from every name."""
    assert nearest("--", [("CNY70", "CNY70")]) == []
    assert nearest("WXWXWXWXWX", [("CNY70", "CNY70")]) == []


def test_a_maker_in_front_is_optional() -> None:
    """The first word of a known maker is taken away, another word is not."""
    makers = {"Vishay Semiconductors", "Sharp"}

    assert without_maker("vishay TCRT5000", makers) == "TCRT5000"
    assert without_maker("Sharp-GP1S53V", makers) == "GP1S53V"
    assert without_maker("EE SX1041", makers) == "EE SX1041"
    assert canonical("ee-sx 1041") == "EESX1041"


def test_the_model_of_wear_always_changes_something() -> None:
    """A corruption differs from its name, so that the share found means something."""
    rng = random.Random(5)

    assert all(corrupt("EE-SX1041", rng) != "EE-SX1041" for _ in range(300))
