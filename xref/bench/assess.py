"""Which cause is to blame, from readings in the running machine; and the cheapest test that decides most.

Each cause is put into the circuit by physics a few hundred times, with part spread and tolerances; a reading speaks for
a cause as far as the drawn machines show it. A share of every reading is left to mistakes: one slip cannot condemn.
"""

from __future__ import annotations

import math
import random
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from xref.bench.causes import CAUSES, DEFAULT_TESTS, TESTS, BenchTest, Cause, Fault
from xref.bench.circuit import Circuit, Seen, draw
from xref.bench.figures import contradictions, emitter_ma, reserve, transfer
from xref.model.answers.assess import AssessAnswer, LevelsSeen, NextTest, Verdict

DRAWS = 120
SLIP = 0.02
"""Share of readings that are simply wrong (probe on the wrong pin, misread); assumed."""

SETTLED = 0.95
LIKE = {"emitter aged": "weak half", "detector aged": "weak half", "cracked joint": "contact", "connector": "contact"}
"""Causes that share a mending and that few tests part: their shares are added for 'settled'."""

VOLTS = ("supply", "emitter", "emitter_resistor", "lit", "dark", "twin")

VOLT_WORDS = {
    "supply": ("supply at the sensor", "red on the supply pin, black on 0V"),
    "emitter": ("volts across the emitter", "red on the anode, black on the cathode, machine on"),
    "emitter_resistor": ("volts across the emitter resistor", "one probe on each end of the resistor"),
    "lit": ("output, target bright", "red on the output, black on 0V, bright target (or open slot) in front"),
    "dark": ("output, target dark", "red on the output, black on 0V, dark target (or flag) in front"),
    "twin": ("output of a good twin, target bright", "the same reading on the twin sensor"),
}


@dataclass(frozen=True, slots=True)
class _Drawn:
    cause: Cause
    machines: tuple[Seen, ...]
    weights: tuple[float, ...]
    """Likelihood of the volt readings given for each drawn machine."""


def assess(
    circuit: Circuit,
    volts: Mapping[str, float],
    tests: Mapping[str, bool],
    *,
    seed: int = 1,
    assumed: tuple[str, ...] = (),
) -> AssessAnswer:
    """Rank the causes.

    Args:
        circuit: nominal values of this board and part
        volts: readings in volts, keys of VOLTS
        tests: outcomes, keys of the tests in ``causes``; True for the first outcome ('reacts', 'changes', ...)
        seed: of the drawn machines; the same question gives the same answer
        assumed: what was assumed of board and part, in words

    Returns:
        causes by falling probability, the readings for and against each, and the next test
    """
    drawn = _draw(circuit, volts, seed)
    shares = _shares(drawn, tests)
    order = sorted(range(len(drawn)), key=lambda index: -shares[index])
    best = shares[order[0]] + sum(
        shares[other] for other in order[1:] if _group(drawn[other].cause) == _group(drawn[order[0]].cause)
    )
    settled = best >= SETTLED
    return AssessAnswer(
        verdicts=tuple(
            _verdict(drawn, index, shares, volts, tests)
            for index in order[:6]
            if shares[index] >= 0.01 or index == order[0]
        ),
        settled=settled,
        next_test=None if settled else _next(drawn, shares, volts, tests),
        emitter_ma=emitter_ma(circuit, volts),
        transfer=transfer(circuit, volts),
        levels=LevelsSeen(
            bright_v=volts.get("lit"),
            dark_v=volts.get("dark"),
            vil_v=circuit.thresholds.vil,
            vih_v=circuit.thresholds.vih,
        ),
        light_reserve=reserve(circuit, volts),
        contradictions=contradictions(circuit, volts, tests),
        assumed=assumed,
    )


def _group(cause: Cause) -> str:
    return LIKE.get(cause.key, cause.key)


def _draw(circuit: Circuit, volts: Mapping[str, float], seed: int) -> list[_Drawn]:
    return [
        _Drawn(cause, machines, tuple(_fits(machine, volts) for machine in machines))
        for cause, machines in zip(CAUSES, _machines(circuit, seed), strict=True)
    ]


@lru_cache(maxsize=8)
def _machines(circuit: Circuit, seed: int) -> tuple[tuple[Seen, ...], ...]:
    """The drawn machines of every cause; readings only weigh them, so they are drawn once for a session."""
    rng = random.Random(seed)
    return tuple(
        tuple(
            draw(circuit, cause.faults[number % len(cause.faults)], rng, levels_fine=_fine(cause, number))
            for number in range(DRAWS)
        )
        for cause in CAUSES
    )


def _fine(cause: Cause, number: int) -> bool:
    """Causes that leave the levels at the sensor as they are: nothing is wrong with this draw's circuit."""
    return cause.faults[number % len(cause.faults)] == Fault()


def _sigma(value: float) -> float:
    return 0.04 + 0.03 * abs(value)


def _fits(machine: Seen, volts: Mapping[str, float]) -> float:
    """Likelihood of all volt readings in one drawn machine."""
    product = 1.0
    for name, value in volts.items():
        product *= _density(getattr(machine, name), value)
    return product


def _density(expected: float, value: float) -> float:
    sigma = _sigma(value)
    bell = math.exp(-0.5 * ((value - expected) / sigma) ** 2) / sigma
    return (1 - SLIP) * bell + SLIP * 0.2


def _test_share(cause: Cause, key: str, outcome: bool) -> float:
    share = cause.tests.get(key, DEFAULT_TESTS[key])
    return share if outcome else 1 - share


def _shares(drawn: list[_Drawn], tests: Mapping[str, bool]) -> list[float]:
    raw = []
    for item in drawn:
        value = item.cause.prior * sum(item.weights) / len(item.weights)
        for key, outcome in tests.items():
            value *= _test_share(item.cause, key, outcome)
        raw.append(value)
    total = sum(raw) or 1.0
    return [value / total for value in raw]


def _verdict(
    drawn: list[_Drawn], index: int, shares: list[float], volts: Mapping[str, float], tests: Mapping[str, bool]
) -> Verdict:
    item = drawn[index]
    because: list[str] = []
    against: list[str] = []
    for name, value in volts.items():
        own = sum(_density(getattr(machine, name), value) for machine in item.machines) / DRAWS
        rest = sum(
            sum(_density(getattr(machine, name), value) for machine in other.machines) / DRAWS * other.cause.prior
            for other in drawn
        ) / sum(other.cause.prior for other in drawn)
        _sort(own / rest, f"{VOLT_WORDS[name][0]} {value:.2f} V", because, against)
    for key, outcome in tests.items():
        own = _test_share(item.cause, key, outcome)
        rest = sum(_test_share(other.cause, key, outcome) * other.cause.prior for other in drawn)
        rest /= sum(other.cause.prior for other in drawn)
        test = next(test for test in TESTS if test.key == key)
        _sort(own / rest, f"{key}: {test.yes if outcome else test.no}", because, against)
    return Verdict(
        cause=item.cause.text,
        probability=round(shares[index], 4),
        because=tuple(because),
        against=tuple(against),
        mend=item.cause.mend,
    )


def _sort(ratio: float, words: str, because: list[str], against: list[str]) -> None:
    if ratio > 1.3:
        because.append(words)
    elif ratio < 0.6:
        against.append(words)


def _next(
    drawn: list[_Drawn], shares: list[float], volts: Mapping[str, float], tests: Mapping[str, bool]
) -> NextTest | None:
    """The test or reading with the most information for its effort; a volt reading costs the least effort."""
    best, choice = 1e-3, None
    for test in TESTS:
        if test.key not in tests:
            gain = _gain_of_test(drawn, shares, test.key) / test.effort
            if gain > best:
                best, choice = gain, _as_next(drawn, shares, test)
    for name in VOLTS:
        # the drop over the resistor follows from supply and emitter; read it only in their place
        follows = name == "emitter_resistor" and {"supply", "emitter"} <= set(volts)
        if name not in volts and not follows:
            gain = _gain_of_reading(drawn, shares, name) / (1.5 if name == "twin" else 0.8)
            if gain > best:
                best, choice = gain, _as_reading(drawn, shares, name)
    return choice


def _entropy(shares: list[float]) -> float:
    """Entropy over groups of causes that share a mending [bit]."""
    groups: dict[str, float] = {}
    for cause, share in zip(CAUSES, shares, strict=True):
        groups[_group(cause)] = groups.get(_group(cause), 0.0) + share
    return -sum(p * math.log2(p) for p in groups.values() if p > 0)


def _gain_of_test(drawn: list[_Drawn], shares: list[float], key: str) -> float:
    left = 0.0
    for outcome in (True, False):
        joint = [share * _test_share(item.cause, key, outcome) for item, share in zip(drawn, shares, strict=True)]
        total = sum(joint)
        if total > 0:
            left += total * _entropy([value / total for value in joint])
    return _entropy(shares) - left


def _gain_of_reading(drawn: list[_Drawn], shares: list[float], name: str) -> float:
    """Information of a volt reading: drawn machines, weighted by what is already read, sorted into steps of 2 sigma."""
    bins: dict[int, list[float]] = {}
    for index, item in enumerate(drawn):
        total = sum(item.weights) or 1.0
        for machine, weight in zip(item.machines, item.weights, strict=True):
            step = _step(getattr(machine, name))
            # spread over the neighbours, or a hundred draws would look better parted than they are
            for near, part in ((step - 1, 0.25), (step, 0.5), (step + 1, 0.25)):
                bins.setdefault(near, [0.0] * len(drawn))[index] += part * shares[index] * weight / total
    left = sum(
        sum(joint) * _entropy([value / sum(joint) for value in joint]) for joint in bins.values() if sum(joint) > 0
    )
    return _entropy(shares) - left


def _step(value: float) -> int:
    """Steps that grow with the reading as its uncertainty does."""
    return round(math.asinh(value * 0.03 / 0.04) / 0.12)


def _as_next(drawn: list[_Drawn], shares: list[float], test: BenchTest) -> NextTest:
    lines = []
    for outcome, word in ((True, test.yes), (False, test.no)):
        joint = [share * _test_share(item.cause, test.key, outcome) for item, share in zip(drawn, shares, strict=True)]
        top = max(range(len(joint)), key=lambda index: joint[index])
        lines.append(f"{word}: {drawn[top].cause.text} ({100 * joint[top] / (sum(joint) or 1.0):.0f} %)")
    return NextTest(what=test.key, how=test.how, expect=tuple(lines), caution=test.caution)


def _as_reading(drawn: list[_Drawn], shares: list[float], name: str) -> NextTest:
    """What the likeliest causes would show."""
    lines = []
    for index in sorted(range(len(drawn)), key=lambda index: -shares[index])[:3]:
        item = drawn[index]
        pairs = sorted(
            (getattr(machine, name), weight) for machine, weight in zip(item.machines, item.weights, strict=True)
        )
        low, high = _quantile(pairs, 0.1), _quantile(pairs, 0.9)
        lines.append(f"{low:.2f} to {high:.2f} V: {item.cause.text}")
    what, how = VOLT_WORDS[name]
    caution = "clip the leads on with the power off; keep clear of moving parts"
    return NextTest(what=what, how=how, expect=tuple(lines), caution=caution)


def _quantile(pairs: list[tuple[float, float]], share: float) -> float:
    total = sum(weight for _, weight in pairs)
    running = 0.0
    for value, weight in pairs:
        running += weight
        if running >= share * total:
            return value
    return pairs[-1][0]
