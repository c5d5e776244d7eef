"""The planner against brute force on random networks: the same working wirings, the same losses, the same 'none'."""

from __future__ import annotations

import random

import pytest

from tests.workaround import brute
from tests.workaround.networks import random_network
from xref.adapt.workaround_search import losses, search

NETWORKS = 300
PER_TEST = 10


def planner_key(network, changes):
    """The planner's changes in the key of the brute force."""
    named = []
    for change in changes:
        action = change.action
        where = action.nets if action.do == "jumper" else (action.nets[1] if action.do == "move" else "")
        named.append((action.do, action.of, action.element, action.end, where))
    return brute.key(network, named)


def brute_force(network, most):
    """Key to (size, trouble) of every working wiring, by trying every set."""
    sets = list(brute.all_sets(network, most))
    found = {}
    for number in brute.working(network, sets):
        chosen = sets[number]
        value = (len(chosen), sum(brute.TROUBLE[change[0]] for change in chosen))
        name = brute.key(network, chosen)
        if name not in found or value < found[name][0]:
            found[name] = (value, chosen)
    return found


def compare(network) -> str:
    """Check one network; return 'none', 'as it is', 'nothing lost' or 'at a price'."""
    result = search(network, 3)
    expected = brute_force(network, 3)
    sizes = {key: value[0] for key, (value, _) in expected.items()}
    mine = {planner_key(network, found.changes): len(found.changes) for found in result.found}

    assert mine == {key: size for key, size in sizes.items() if size <= result.complete_to}
    if not result.found:
        assert result.complete_to == 3
        return "none"

    def matter(lost):
        return sum(kind == "user" or network.faults[what].matters for kind, _, what in lost)

    # the price of the best wirings that the planner found, of some others, and of some larger ones that it left out
    chance = random.Random(1)
    rest = result.found[8:]
    shown = result.found[:8] + chance.sample(rest, min(len(rest), 8))
    larger = [key for key, size in sizes.items() if size > result.complete_to]
    left_out = chance.sample(larger, min(len(larger), 20 if losses(result.found[0].price) else 4))
    prices = {key: brute.lost_of(network, expected[key][1]) for key in left_out}
    for found in shown:
        key = planner_key(network, found.changes)
        prices[key] = brute.lost_of(network, expected[key][1])
        assert {(loss.kind, loss.mode, loss.what) for loss in found.price.lost} == prices[key]
    best = min((matter(lost), *expected[key][0]) for key, lost in prices.items())
    assert result.found[0].rank()[:3] == best
    if not result.found[0].changes:
        return "as it is"
    return "nothing lost" if losses(result.found[0].price) == 0 else "at a price"


@pytest.fixture(scope="module")
def verdicts():
    """How often each verdict came up, filled by the comparison below."""
    return {}


@pytest.mark.parametrize("first", range(0, NETWORKS, PER_TEST))
def test_planner_agrees_with_trying_every_set_up_to_three_changes(first, verdicts):
    """Working wirings, losses and best plan equal those of an independent brute force in numpy."""
    for seed in range(first, first + PER_TEST):
        try:
            verdict = compare(random_network(seed))
        except AssertionError as error:
            raise AssertionError(f"network {seed}") from error
        verdicts[verdict] = verdicts.get(verdict, 0) + 1


def test_the_random_networks_meet_every_verdict(verdicts):
    """A comparison that only ever met 'none' would prove nothing."""
    if sum(verdicts.values()) < NETWORKS:
        pytest.skip("runs after all comparisons in one process")
    assert min(verdicts.get(name, 0) for name in ("none", "as it is", "nothing lost", "at a price")) >= 10, verdicts
