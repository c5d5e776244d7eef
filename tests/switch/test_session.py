"""Continuity sessions: the table comes out exactly, with few readings, and the tool stops in time."""

from __future__ import annotations

import functools
import itertools
import random

import networkx as nx
import pytest

from xref.bench.readings import parse_readings
from xref.bench.switch import identify_switch, session
from xref.bench.switch_state import PositionState, least_readings
from xref.errors import DataError, UsageError
from xref.library.store import open_library

Table = dict[str, list[list[str]]]


@functools.cache
def makers_tables() -> list[tuple[str, list[str], Table]]:
    """Every distinct contact table of the shipped switches, as their sheets print it."""
    found = {}
    for part in open_library().parts("switch"):
        if part.contacts is None or not part.contacts.table:
            continue
        groups = {name: [list(group) for group in rows] for name, rows in part.contacts.table.items()}
        leads = [lead.label for lead in part.geometry.leads] or sorted(
            {k for g in groups.values() for r in g for k in r}
        )
        found[str(groups)] = (part.name, leads, groups)
    return list(found.values())


def joined_pairs(leads: list[str], groups: list[list[str]]) -> set[frozenset[str]]:
    """By networkx: every pair in one connected component."""
    graph = nx.Graph()
    graph.add_nodes_from(leads)
    for group in groups:
        nx.add_path(graph, group)
    return {frozenset(pair) for part in nx.connected_components(graph) for pair in itertools.combinations(part, 2)}


def read_all(leads: list[str], table: Table) -> tuple[float, float]:
    """(readings taken, fewest possible) of a session that the tool leads; asserts that the table is exact."""
    truth = {name: joined_pairs(leads, groups) for name, groups in table.items()}

    found, taken = session(leads, list(table), lambda a, b, where: frozenset((a, b)) in truth[where])

    least = 0
    for name in table:
        assert joined_pairs(leads, [list(group) for group in found[name]]) == truth[name]
        groups = len(leads) - sum(len(group) - 1 for group in found[name])
        least += groups * (groups - 1) // 2 + len(leads) - groups
    return taken, least


def test_tool_led_sessions_stay_near_the_bound() -> None:
    """Makers' tables as labelled: exact, on average at most 1.15 times k(k-1)/2 + n-k readings a position."""
    taken, least = zip(*(read_all(leads, table) for _, leads, table in makers_tables()), strict=True)

    assert len(taken) >= 15
    assert sum(taken) <= 1.15 * sum(least)
    assert all(a >= b for a, b in zip(taken, least, strict=True))  # the bound is one


def test_tool_led_sessions_with_shuffled_leads() -> None:
    """The same tables with their leads in random order, so that no numbering helps."""
    rng = random.Random(11)
    taken = least = 0.0
    for _, leads, table in makers_tables():
        for _ in range(6):
            order = rng.sample(leads, len(leads))
            a, b = read_all(order, table)
            taken, least = taken + a, least + b

    assert taken <= 1.15 * least


def test_tool_led_sessions_on_random_tables() -> None:
    """120 random tables up to 12 leads and 5 positions, hidden: recovered exactly, within 1.15 of the bound."""
    rng = random.Random(12)
    taken = least = 0.0
    for _ in range(120):
        leads = [str(number) for number in range(1, rng.randint(3, 13))]
        table = {
            f"p{place}": [rng.sample(leads, 2) for _ in range(rng.randint(0, len(leads) // 3))]
            for place in range(rng.randint(1, 5))
        }
        a, b = read_all(leads, table)
        taken, least = taken + a, least + b

    assert taken <= 1.15 * least


def implied(leads: list[str], known: dict[frozenset[str], bool]) -> bool:
    """True when every pair follows from the readings; written from the definition with networkx."""
    graph = nx.Graph()
    graph.add_nodes_from(leads)
    graph.add_edges_from(tuple(pair) for pair, closed in known.items() if closed)
    part = {lead: number for number, piece in enumerate(nx.connected_components(graph)) for lead in piece}
    parted = {frozenset(part[lead] for lead in pair) for pair, closed in known.items() if not closed}
    return all(
        part[a] == part[b] or frozenset((part[a], part[b])) in parted for a, b in itertools.combinations(leads, 2)
    )


@pytest.mark.parametrize("seed", range(4))
def test_given_order_stops_at_the_first_sufficient_reading(seed: int) -> None:
    """All pair readings in random order: it is settled after exactly the reading by which everything is implied."""
    rng = random.Random(seed)
    for name, leads, table in rng.sample(makers_tables(), 8):
        if len(leads) > 8:
            continue
        names = {lead: str(number) for number, lead in enumerate(leads, 1)}
        positions = {place: f"p{number}" for number, place in enumerate(table)}
        every = [(a, b, place) for place in table for a, b in itertools.combinations(leads, 2)]
        rng.shuffle(every)
        truth = {place: joined_pairs(leads, groups) for place, groups in table.items()}
        texts, enough = [], None
        known: dict[str, dict[frozenset[str], bool]] = {place: {} for place in table}
        for number, (a, b, place) in enumerate(every, 1):
            closed = frozenset((a, b)) in truth[place]
            known[place][frozenset((a, b))] = closed
            texts.append(f"{names[a]}:{names[b]}@{positions[place]}={'0' if closed else 'OL'}")
            if enough is None and all(implied(leads, known[each]) for each in table):
                enough = number
        numbers = list(names.values())

        answer = identify_switch(numbers, parse_readings(texts, numbers), positions=list(positions.values()))

        assert answer.settled, name
        assert answer.enough_after == enough, name


def test_next_reading_is_one_that_is_not_implied() -> None:
    """Following the proposals from nothing on settles a DPDT, and never asks what follows already."""
    truth = {"left": {frozenset("12"), frozenset("45")}, "right": {frozenset("23"), frozenset("56")}}
    texts: list[str] = []
    leads = list("123456")
    while step := (answer := identify_switch(leads, parse_readings(texts), positions=["left", "right"])).next_reading:
        closed = frozenset((step.one, step.other)) in truth[step.position]
        texts.append(f"{step.one}:{step.other}@{step.position}={'0.1R' if closed else 'OL'}")
        assert len(texts) < 30

    assert answer.name == "DPDT"
    assert [(pole.leads, pole.common, pole.throws) for pole in answer.poles] == [
        (("1", "2", "3"), "2", 2),
        (("4", "5", "6"), "5", 2),
    ]
    assert answer.resistance_mohm == pytest.approx(100)
    assert answer.joins == ("left=1:2,4:5", "right=2:3,5:6")
    assert len(texts) <= 2 * least_readings(6, 4) * 1.3


@pytest.mark.parametrize(
    ("half_way", "timing"),
    [
        (["1:2@left-right=OL", "2:3@left-right=OL", "1:3@left-right=OL"], "non-shorting"),
        (["1:3@left-right=0"], "shorting"),
        (["1:2@left-right=0"], ""),
        ([], ""),
    ],
)
def test_timing_comes_from_readings_half_way(half_way: list[str], timing: str) -> None:
    """Only a reading that no end position has tells how a switch changes over."""
    texts = ["1:2@left=0", "1:3@left=OL", "2:3@right=0", "1:2@right=OL", *half_way]

    answer = identify_switch(list("123"), parse_readings(texts))

    assert answer.settled
    assert answer.timing == timing


def test_ring_selector_names() -> None:
    """The ring selector of the fraction collector, one pole with three throws and an off position, by its readings."""
    leads = ["C", "I", "O", "B"]
    rows = {"inner": "I", "outer": "O", "both": "B"}
    texts = [f"C:{lead}@{place}=0" for place, lead in rows.items()]
    texts += [f"{a}:{b}@{place}=OL" for place in rows for a, b in itertools.combinations(leads, 2)
              if {a, b} != {"C", rows[place]}]  # fmt: skip
    texts += [f"{a}:{b}@off=OL" for a, b in itertools.combinations(leads, 2)]

    answer = identify_switch(leads, parse_readings(texts, leads), returns_to="off")

    assert answer.name == "SP3T, 1 position off"
    assert answer.poles[0].common == "C"
    assert answer.returns_to == "off"


@pytest.mark.parametrize(
    ("texts", "error", "message"),
    [
        (["1:2@a=0", "2:3@a=0", "1:3@a=OL"], DataError,
         "1:3@a=OL contradicts earlier readings, by which they are joined; read it again"),
        (["1:2@a=OL", "1:2@a=0"], DataError,
         "1:2@a=0ohm contradicts earlier readings, by which they are open; read it again"),
        (["1:2@a=4k7"], DataError,
         "1:2@a=4.7kohm is neither a closed contact (up to 100 ohm) nor an open one (from 1 Mohm): take the switch out "
         "of the circuit and read again"),
        (["1:2@a=0.6V"], DataError, "1:2@a=600mV is no continuity reading: expected ohms, 0 or OL, like 1:2@left=0"),
        (["1:2@a=0", "2:3=0"], UsageError, "2:3=0ohm names no position, others do: expected like 2:3@left=0"),
        (["1:7@a=0"], UsageError, '"1:7@a=0": there is no lead 7; the leads are 1 to 3'),
    ],
)  # fmt: skip
def test_bad_readings_say_what_is_wrong(texts: list[str], error: type[Exception], message: str) -> None:
    """One line: which reading, what is wrong, what instead."""
    with pytest.raises(error) as caught:
        identify_switch(list("123"), parse_readings(texts, list("123")))

    assert str(caught.value) == message


def test_contradiction_changes_nothing() -> None:
    """A refused reading leaves the proofs as they were."""
    state = PositionState(3)
    assert state.add(0, 1, True)

    assert not state.add(0, 1, False)
    assert state.joined(0, 1) is True
    assert state.joined(0, 2) is None
