"""Unused contacts as their own donor."""

from __future__ import annotations

import pytest

from tests.switch.test_fit import library, made
from xref.errors import DataError, SafetyRefusal, UsageError
from xref.model.contact_need import ContactNeed, Load
from xref.tasks.switch_spare import spare


def test_second_pole_takes_over_in_the_same_positions() -> None:
    """By hand from the OS202 sheet: 1-2-3 is one pole, 4-5-6 the other, with the same positions."""
    answer = spare("OS202011MS2QN1", ["1", "2", "3"], library=library())

    first = answer.ways[0]
    assert dict(first.moves) == {"1": "4", "2": "5", "3": "6"}
    assert all(old == new for old, new in first.positions)
    assert first.verified
    assert answer.unused == ("4", "5", "6")


def test_unused_throw_takes_over_with_positions_swapped() -> None:
    """A change-over used as on-off from 1 to 2: the throw 3 is virgin, and the lever then reads the other way."""
    answer = spare("OS102011MS2QN1", ["1", "2"], library=library())

    ways = {way.moves for way in answer.ways}
    assert (("1", "3"), ("2", "2")) in ways or (("1", "2"), ("2", "3")) in ways
    assert all(way.positions[0] == ("POS.1", "POS.2") for way in answer.ways)
    assert "where positions change places, the legend of the lever must change too" in answer.notes


@pytest.mark.parametrize(
    "need",
    [
        ContactNeed(drives="mains"),
        ContactNeed(drives="interlock"),
        ContactNeed(load=Load(volts=230, current=2, ac_dc="AC")),
        ContactNeed(drives="motor", load=Load(volts=120, current=1, ac_dc="AC")),
    ],
)
def test_no_wire_is_moved_in_mains_or_an_interlock(need: ContactNeed) -> None:
    """Neither straight nor with the positions swapped; the refusal names the licensed practice."""
    for name, used in (("OS202011MS2QN1", ["1", "2", "3"]), ("OS102011MS2QN1", ["1", "2"])):
        with pytest.raises(SafetyRefusal, match=r"moving its wires is refused.*by a licensed"):
            spare(name, used, need, library=library())


def test_no_spare() -> None:
    """All leads in use: nothing can take over."""
    assert spare("OS102011MS2QN1", ["1", "2", "3"], library=library()).ways == ()


@pytest.mark.parametrize(
    ("name", "used", "error", "message"),
    [
        ("OS102011MS2QN1", ["1", "9"], UsageError, "--used: OS102011MS2QN1 has no lead 9; its leads are 1 2 3"),
        ("OS202011MS2QN1", ["1", "4"], UsageError, "--used: the leads 1 4 of OS202011MS2QN1 never join each other"),
        ("OS202011MS2QN1", ["1"], UsageError,
         "--used: name at least two leads that the board is wired to: --used 1,2,3"),
        ("AS22AP", ["1", "2"], DataError, "which contacts of AS22AP join when is not known: xref switch identify"),
    ],
)  # fmt: skip
def test_bad_questions(name: str, used: list[str], error: type[Exception], message: str) -> None:
    """One line: what is wrong, what instead."""
    with pytest.raises(error) as caught:
        spare(name, used, library=library())

    assert str(caught.value) == message


def test_made_switch_helper_is_a_switch() -> None:
    """The helper of these tests makes what it says."""
    assert made("x", {"a": ["1 2"]}).kind == "switch"
