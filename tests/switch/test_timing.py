"""What happens between positions: the solver and the independent check agree on random switches, and on known ones."""

from __future__ import annotations

import itertools
import random

import pytest

from tests.switch.test_fit import made
from xref.adapt.contacts import table, travel
from xref.adapt.contacts_fit import fit_switch
from xref.adapt.contacts_verify import verify_contacts
from xref.adapt.original import from_part
from xref.model.contact_need import ContactNeed
from xref.model.part import Part

WORDS = ("", "shorting", "non-shorting")


def random_switch(rng: random.Random, name: str, most: int) -> Part:
    """One or two poles, change-over or plain, two or three positions, any timing word."""
    positions = [f"{name}{number}" for number in range(rng.choice((2, 2, 3)))]
    groups: dict[str, list[str]] = {position: [] for position in positions}
    for pole in range(rng.randint(1, most)):
        for number, position in enumerate(positions):
            if rng.random() < 0.85:
                groups[position].append(f"C{pole} {number}{'xyz'[pole]}")
    if not any(groups.values()):
        groups[positions[0]].append("C0 0x")
    return made(name, groups, timing=rng.choice(WORDS))


@pytest.mark.parametrize("seed", range(4))
def test_solver_and_check_agree_on_the_way_between_positions(seed: int) -> None:
    """300 random pairs: what the solver offers the check confirms; what it refuses for its timing the check refuses."""
    rng = random.Random(seed)
    offered = refused = 0
    for _ in range(75):
        original, donor = random_switch(rng, "a", 2), random_switch(rng, "b", 3)
        need = ContactNeed(
            drives=rng.choice(("", "logic", "supplies", "motor")), between=rng.choice(("", "", "open", "joined"))
        )
        waived = fit_switch(from_part(original), donor, None, ContactNeed(between="any"))

        answer = fit_switch(from_part(original), donor, None, need)

        assert "the check of the wiring failed" not in answer.because
        if answer.possible:
            offered += 1
            assert answer.verified
        elif waived.possible:
            refused += 1
            assert verify_contacts(from_part(original), donor, waived, need), answer.because
    assert offered > 5
    assert refused > 5


@pytest.mark.parametrize(
    ("timing", "joins", "alone"),
    [("shorting", {(0, 1), (1, 2), (0, 2)}, False), ("non-shorting", {(0, 1), (1, 2)}, True),
     ("", {(0, 1), (1, 2), (0, 2)}, True)],
)  # fmt: skip
def test_words_of_the_trade(timing: str, joins: set[tuple[int, int]], alone: bool) -> None:
    """Shorting = make before break, non-shorting = break before make (Alps FAQ, E-Switch glossary); unsaid = either."""
    change_over = table({"left": [["1", "2"]], "right": [["2", "3"]]}, timing=timing)

    moments = travel(change_over, 0, 1, (0, 1, 2), 3)

    assert moments.joins == joins
    assert (frozenset() in moments.company[1]) == alone


def test_travel_of_separate_poles_by_hand() -> None:
    """Two plain contacts that change in the same step: any of the four combinations may be there for a moment."""
    pair = table({"a": [["1", "2"]], "b": [["3", "4"]]}, timing="non-shorting")

    moments = travel(pair, 0, 1, (0, 1, 1, 2), 3)

    assert moments.joins == {(0, 1), (1, 2), (0, 2)}
    assert moments.company[1] == {frozenset(), frozenset({0}), frozenset({2}), frozenset({0, 2})}


def test_all_orders_of_three_throws_keep_the_common() -> None:
    """A three-throw selector by one with its throws in another order: positions and throws follow each other."""
    original = made("sel", {"a": ["C 1"], "b": ["C 2"], "c": ["C 3"]}, timing="non-shorting")
    for order in itertools.permutations("123"):
        donor = made(
            "don", {place: [f"K {throw}"] for place, throw in zip("xyz", order, strict=True)}, timing="non-shorting"
        )

        answer = fit_switch(from_part(original), donor)

        assert answer.verified
        assert next(wire.lead for wire in answer.connections if wire.pad == "C") == "K"
