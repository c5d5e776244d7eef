"""Pin orders of published sheets, from tests/reference/checks.yaml (P1 to P4), against the shipped parts.

Sources: P1 the DIP drawing named there; P2 the Sharp sheets of GP1S23 and GP1S24; P3 the PC817 and RPR-220 sheets;
P4 the hook-up guide of QRD1114.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from xref.library.store import open_library
from xref.model.lead import Lead, mirrored

CHECKS = Path(__file__).parents[1] / "reference" / "checks.yaml"


@cache
def expected(check: str) -> dict[str, Any]:
    """The published result of one check."""
    checks = yaml.safe_load(CHECKS.read_text("utf-8"))["checks"]
    found: dict[str, Any] = next(item["expected"] for item in checks if item["id"] == check)
    return found


def pin_order(name: str) -> dict[int, str]:
    """Number to function of a shipped part."""
    return {int(lead.label): lead.function for lead in open_library().get(name).geometry.leads}


@pytest.mark.parametrize(
    ("check", "key", "name"),
    [
        ("P2", "gp1s23", "GP1S23"),
        ("P2", "gp1s24", "GP1S24"),
        ("P3", "rpr220", "RPR-220"),
        ("P4", "qrd1114", "QRD1114"),
    ],
)
def test_published_order(check: str, key: str, name: str) -> None:
    """The shipped part carries the functions under the numbers of the published sheet."""
    assert pin_order(name) == expected(check)[key]


def test_same_maker_two_orders() -> None:
    """P2: one maker, one style of body, two orders; the library does not make them one."""
    assert pin_order("GP1S23") != pin_order("GP1S24")


def _turn(leads: tuple[Lead, ...]) -> float:
    """Signed area walked from lead to lead: above 0 is counter-clockwise."""
    places = [lead.at_mm for lead in leads]
    return math.fsum(
        a[0] * b[1] - a[1] * b[0]
        for a, b in zip(places, [*places[1:], places[0]], strict=True)
        if a is not None and b is not None
    )


def test_direction_turns_with_the_side() -> None:
    """P1: numbers run counter-clockwise from the top down the left side, clockwise from below."""
    wanted = expected("P1")
    left, right = wanted["left_top_to_bottom"], wanted["right_bottom_to_top"]
    leads = tuple(
        Lead(label=str(pin), function="NC", at_mm=(x, y))
        for x, pins, ys in ((-3.81, left, range(3, -4, -1)), (3.81, right, range(-3, 4)))
        for pin, y in zip(pins, (2.54 * row for row in ys), strict=True)
    )
    assert wanted["direction_top_view"] == "counter-clockwise"
    assert _turn(leads) > 0
    assert wanted["direction_bottom_view"] == "clockwise"
    assert _turn(mirrored(leads)) < 0
