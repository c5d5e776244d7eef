"""Ruling out loses nothing: with emitters and their feeds too, the search meets every working set of changes."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import combinations

from tests.workaround.networks import random_network
from xref.adapt.workaround_checks import exempt, failures, spared
from xref.adapt.workaround_positions import positions
from xref.adapt.workaround_search import search
from xref.adapt.workaround_wiring import apply, changes, compile_network
from xref.model.network import Contact, Network, NetworkEmitter, NetworkResistor


def with_emitters(seed: int) -> Network:
    """A random network whose sensors have emitters: fed apart, from one resistor, or through the selector."""
    rng = random.Random(seed)
    network = random_network(seed)
    feeds = ["E0"] if rng.random() < 0.5 else ["E0", "E1"]
    resistors = {
        f"RE{i}": NetworkResistor(between=("5V", net), value=rng.choice((220.0, 330.0))) for i, net in enumerate(feeds)
    }
    contacts = dict(network.contacts)
    if rng.random() < 0.5:
        feeds.append("E2")
        closed = tuple(mode for mode in network.modes if rng.random() < 0.6)
        contacts["SE"] = Contact(joins=("E2", "E0"), closed_in=closed, timing="break-before-make", pole="3")
    sensors = {
        name: replace(
            sensor,
            emitter=NetworkEmitter(
                anode=rng.choice(feeds),
                cathode="0V",
                least=rng.choice((3e-3, 3e-3, 6e-3)),
                most=rng.choice((15e-3, 40e-3, 40e-3, 40e-3)),
            ),
        )
        for name, sensor in network.sensors.items()
    }
    return replace(
        network,
        nets=(*network.nets, *feeds),
        contacts=contacts,
        sensors=sensors,
        resistors={**network.resistors, **resistors},
        may=("jumper", "lift", "cut") if seed % 4 else ("move", "cut"),
    )


def every_working_set(network: Network, most: int) -> dict[object, int]:
    """Wiring to fewest changes, by trying every set of up to ``most`` changes."""
    compiled, places = compile_network(network), positions(network)
    spare = exempt(compiled, places)
    found: dict[object, int] = {}
    for size in range(most + 1):
        for chosen in combinations(changes(compiled), size):
            wiring = compiled.start
            for change in chosen:
                after = apply(wiring, change, compiled.start)
                if after is None:
                    break
                wiring = after
            else:
                compiled.memo.clear()  # every wiring measured afresh
                wrong = failures(compiled, wiring, places)
                if wiring not in found and all(spared(number, failure, spare) for number, failure in wrong):
                    found[wiring] = size
    return found


def test_the_search_meets_every_working_set_with_emitters() -> None:
    """Networks of up to nine nets, every pair of changes: the same wirings as without any ruling out."""
    working = solvable = 0
    for seed in range(1, 160):
        network = with_emitters(seed)
        if len(network.nets) > 8 or len(network.sensors) > 2 or seed % 5 == 0:
            continue
        expected = every_working_set(network, 2)

        result = search(network, 2)

        mine = {found.wiring: len(found.changes) for found in result.found}
        assert mine == {wiring: size for wiring, size in expected.items() if size <= result.complete_to}, seed
        working += len(mine)
        solvable += bool(expected)
    assert working >= 20
    assert solvable >= 8
