"""The posterior: against direct enumeration, whatever the order of readings and the names of leads."""

from __future__ import annotations

import itertools
import math
import random

import numpy as np
import pytest
from devices import MAKERS

from xref.bench.hypotheses import hypotheses
from xref.bench.identify import Identifier
from xref.bench.likelihood import BINS, nothing_between, piece_likelihood, slip_density
from xref.bench.meters import MeterModel, meter_model
from xref.bench.next_reading import Gains, proposals
from xref.bench.readings import Reading, parse_readings
from xref.model.job import Meter

METER = meter_model(Meter(diode=1e-3, open=3.0, overload=2.0))
READINGS = ["1:2@dark=1.08V", "2:1=OL", "2:3@lit=0.2V", "3:2@lit=21k", "3:1@dark=OL V"]


def bench(leads: int, texts: list[str], meter: MeterModel = METER) -> Identifier:
    """An identification with these readings."""
    labels = [str(number + 1) for number in range(leads)]
    found = Identifier(labels, meter)
    found.add_all(parse_readings(texts, labels))
    return found


@pytest.mark.parametrize("name", [name for name, _ in MAKERS])
def test_every_arrangement_of_every_type_is_a_hypothesis(name: str) -> None:
    """Whatever order the leads of a device on the bench have, one hypothesis names exactly that."""
    maker = dict(MAKERS)[name]
    device = maker(random.Random(1))
    kind = device.kind.replace(", detector dead", "").replace("photodiode pair", "photodiode")
    named = {(naming.device, naming.functions) for item in hypotheses(device.leads).all for naming in item.namings}
    alike = {"E2": "E", "R2": "R1", "S2": "S1"}
    plain = {(what, tuple(alike.get(word, word) for word in functions)) for what, functions in named}

    for order in itertools.permutations(device.functions):
        wanted = tuple(alike.get(word, word) for word in order)
        assert any(what.startswith(kind) and functions == wanted for what, functions in plain), wanted


def direct(leads: int, readings: list[Reading]) -> np.ndarray:
    """Probability of each hypothesis by plain enumeration: pieces of every block, readings one after the other."""
    reference = bench(leads, [])
    tables, space = reference.tables, reference.space
    found = []
    for item in space.all:
        total = 0.0
        for variant in range(tables.variants):
            product = 1.0
            silent = list(readings)
            for kind, at in item.blocks:
                pieces = None
                for reading in readings:
                    red, black = int(reading.red) - 1, int(reading.black) - 1
                    if red in at and black in at:
                        likely = piece_likelihood(tables, (kind, at.index(red), at.index(black)), reading)
                        pieces = likely if pieces is None else pieces * likely
                        silent.remove(reading)
                if pieces is not None:
                    product *= float(pieces[variant :: tables.variants].mean())
            product *= math.prod(nothing_between(reading, METER) for reading in silent)
            total += product / tables.variants
        found.append(item.prior * total)
    strange = 1e-3 * math.prod(slip_density(reading, METER) for reading in readings)
    return np.array(found) / (sum(found) + strange)


@pytest.mark.parametrize("count", [1, 3, 5])
def test_the_product_form_equals_enumeration(count: int) -> None:
    """Working with placements gives the same probabilities as enumerating each hypothesis by itself."""
    readings = parse_readings(READINGS[:count], ("1", "2", "3"))
    found = bench(3, READINGS[:count]).posterior()[0]

    np.testing.assert_allclose(found, direct(3, readings), rtol=1e-9, atol=1e-15)


def test_the_order_of_readings_does_not_matter() -> None:
    """Readings in any order leave the same probabilities."""
    found = [bench(3, list(order)).posterior()[0] for order in itertools.permutations(READINGS)][::17]

    for other in found[1:]:
        np.testing.assert_allclose(found[0], other, rtol=1e-9, atol=1e-15)


def test_back_forgets_the_last_reading_only() -> None:
    """After back the probabilities are those before the reading."""
    before = bench(3, READINGS[:3])
    after = bench(3, READINGS[:4])

    after.back()

    np.testing.assert_allclose(before.posterior()[0], after.posterior()[0], rtol=1e-12)


def test_other_labels_give_the_same_answer() -> None:
    """Turning the labels round turns the answer round and changes no probability."""
    turned = [text[:3].translate(str.maketrans("123", "312")) + text[3:] for text in READINGS]
    one, other = bench(3, READINGS).ranked(1e-6), bench(3, turned).ranked(1e-6)

    assert [item.probability for item in one] == pytest.approx([item.probability for item in other])
    functions = one[0].hypothesis.functions
    assert other[0].hypothesis.functions == (functions[1], functions[2], functions[0])


def entropy(chance: np.ndarray) -> float:
    """Bits."""
    known = chance[chance > 0]
    return float(-(known * np.log2(known)).sum())


@pytest.mark.parametrize("mode", ["diode", "ohms"])
def test_information_equals_enumeration(mode: str) -> None:
    """Bits of a reading equal the mutual information worked out hypothesis by hypothesis."""
    state = bench(3, READINGS[:2])
    gains = Gains(state)
    told = gains.bits(mode, 0.0, 0.0, 2)
    probability = state.posterior()[0] / state.posterior()[0].sum()
    for red, black in ((1, 2), (2, 0)):
        mixed, inside = np.zeros(BINS), 0.0
        for chance, blocks in zip(probability, (item.blocks for item in state.space.all), strict=True):
            outcome = np.zeros(BINS)
            outcome[-1] = 1.0
            for number, (kind, at) in enumerate(state.space.placements):
                if (kind, at) in blocks and red in at and black in at:
                    found = state.tables.outcomes((kind, at.index(red), at.index(black)), mode, 0.0, 0.0, 2)
                    if found is not None:
                        order, starts, present = found
                        outcome[-1] = 0.0
                        outcome[present] = np.add.reduceat(state.piece_weights(number)[order], starts)
            mixed += chance * outcome
            inside += chance * entropy(outcome)

        assert told[(red, black)] == pytest.approx(entropy(mixed) - inside, abs=0.01)


def test_nothing_is_asked_twice() -> None:
    """A reading that was taken or cannot be taken is not proposed again."""
    state = bench(2, ["1:2@lit=OL V", "2:1@lit=OL V"])

    found = proposals(state, top=50)
    taken = {("1", "2", "diode", "lit"), ("2", "1", "diode", "lit")}

    assert found
    assert not taken & {(p.reading.red, p.reading.black, p.reading.mode, p.reading.light) for p in found}


def test_what_no_reading_parts_is_a_class() -> None:
    """Without a torch and ohms a base lead and a logic receiver read alike (V15): both are named, none is chosen."""
    from xref.tasks.identify import Ask, Running

    meter = Meter(diode=1e-3, open=3.0, overload=2.0, ohms_red="plus")
    readings = ["3:1@dark=0.618V", "3:2@dark=0.648V"]
    readings += [f"{pair}@dark=OL V" for pair in ("1:3", "2:3", "1:2", "2:1")]
    running = Running(Ask(labels=("1", "2", "3"), meter=meter, supply=False), readings)
    for red, black in itertools.permutations("123", 2):
        for mode, light in (("diode", "lit"), ("ohms", "lit"), ("ohms", "dark")):
            running.skip(Reading(red=red, black=black, mode=mode, light=light))

    answer = running.answer()

    assert answer.settled
    assert answer.next_reading is None
    assert answer.device.startswith("phototransistor with base or logic-")
    assert answer.leads["3"] == "B or GND"
    assert answer.probability >= 0.99
    assert any(other.same for other in answer.alternatives)
