"""Which contact table contains which: against networkx, against a plain brute force, and the families of the trade."""

from __future__ import annotations

import itertools
import random

import networkx as nx
import pytest
from networkx.algorithms.isomorphism import GraphMatcher

from xref.adapt.contacts import Table, table
from xref.adapt.contacts_match import Rule, contains, nodes_of, ways

Joins = dict[str, list[list[str]]]

PLAIN = Rule(ties=False, links=False, bridge=False)


def random_joins(rng: random.Random, leads: int, positions: int, density: float) -> Joins:
    """Random groups of joined leads for each position."""
    return {
        f"p{position}": [
            [str(lead) for lead in rng.sample(range(leads), rng.randint(2, min(3, leads)))]
            for _ in range(rng.randint(0, round(leads * density)))
        ]
        for position in range(positions)
    }


def pairs(joins: Joins, leads: list[str]) -> dict[str, set[frozenset[str]]]:
    """For each position the joined pairs, by connected components of networkx."""
    found = {}
    for position, groups in joins.items():
        graph = nx.Graph()
        graph.add_nodes_from(leads)
        for group in groups:
            nx.add_path(graph, group)
        found[position] = {
            frozenset(pair) for part in nx.connected_components(graph) for pair in itertools.combinations(part, 2)
        }
    return found


def position_graph(joins: Joins, leads: list[str], order: tuple[str, ...], *, drop_idle: bool) -> nx.Graph:
    """Leads as nodes; an edge carries the set of places in ``order`` where its two leads are joined."""
    joined = pairs(joins, leads)
    graph = nx.Graph()
    graph.add_nodes_from(leads)
    for one, other in itertools.combinations(leads, 2):
        where = frozenset(i for i, name in enumerate(order) if frozenset((one, other)) in joined[name])
        if where:
            graph.add_edge(one, other, where=where)
    if drop_idle:
        graph.remove_nodes_from([node for node in leads if graph.degree(node) == 0])
    return graph


def networkx_contains(donor: Joins, donor_leads: list[str], wanted: Joins, wanted_leads: list[str]) -> bool:
    """Induced subgraph isomorphism over every choice of positions."""
    goal = position_graph(wanted, wanted_leads, tuple(wanted), drop_idle=True)
    for order in itertools.permutations(donor, len(wanted)):
        host = position_graph(donor, donor_leads, order, drop_idle=False)
        if GraphMatcher(host, goal, edge_match=lambda a, b: a["where"] == b["where"]).subgraph_is_isomorphic():
            return True
    return False


def hidden_in(
    rng: random.Random, donor: Joins, leads: list[str], count: int, positions: int
) -> tuple[Joins, list[str]]:
    """A part of the donor under other names: contained for certain, unless it is changed afterwards."""
    chosen = rng.sample(leads, count)
    renamed = {lead: f"w{number}" for number, lead in enumerate(rng.sample(chosen, count))}
    joined = pairs(donor, leads)
    wanted = {
        f"q{number}": [
            [renamed[lead] for lead in pair] for pair in map(sorted, joined[name]) if set(pair) <= set(chosen)
        ]
        for number, name in enumerate(rng.sample(list(donor), positions))
    }
    return wanted, sorted(renamed.values())


def make(joins: Joins, leads: list[str]) -> Table:
    return table(joins, leads=leads)


@pytest.mark.parametrize("seed", range(10))
def test_one_lead_a_pad_agrees_with_networkx(seed: int) -> None:
    """500 random tables up to 12 leads and 5 positions: contained exactly where networkx finds an induced subgraph."""
    rng = random.Random(seed)
    answers = []
    for _ in range(50):
        count, positions = rng.randint(2, 12), rng.randint(1, 5)
        leads = [str(lead) for lead in range(count)]
        donor = random_joins(rng, count, positions, rng.choice((0.2, 0.4)))
        wanted, wanted_leads = hidden_in(rng, donor, leads, rng.randint(2, count), rng.randint(1, positions))
        if rng.random() < 0.6:
            one, other = rng.sample(wanted_leads, 2)
            wanted[rng.choice(list(wanted))].append([one, other])

        answer = contains(make(donor, leads), make(wanted, wanted_leads), PLAIN)

        assert answer == networkx_contains(donor, leads, wanted, wanted_leads)
        answers.append(answer)
    assert 10 < sum(answers) < 48


def brute_contains(donor: Joins, donor_leads: list[str], wanted: Joins, wanted_leads: list[str]) -> bool:
    """Every wiring of every lead (a group of pads that is always joined, a bridge, or open), every choice of positions.

    Written from the definition alone: wires and closed contacts are edges of a graph, pads of one component are joined.
    """
    joined = pairs(wanted, wanted_leads)
    same = nx.Graph()
    same.add_nodes_from(wanted_leads)
    same.add_edges_from(tuple(pair) for pair in set.intersection(*joined.values()))
    groups = [sorted(part) for part in nx.connected_components(same)]
    inside = pairs(donor, donor_leads)
    for order in itertools.permutations(donor, len(wanted)):
        for wiring in itertools.product(range(-2, len(groups)), repeat=len(donor_leads)):
            for place, name in enumerate(wanted):
                graph = nx.Graph()
                graph.add_nodes_from(("pad", number) for number in range(len(groups)))
                graph.add_edges_from(tuple(pair) for pair in inside[order[place]])
                for lead, end in zip(donor_leads, wiring, strict=True):
                    if end != -2:
                        graph.add_edge(lead, ("pad", end))
                for one, other in itertools.combinations(range(len(groups)), 2):
                    want = frozenset((groups[one][0], groups[other][0])) in joined[name]
                    if want != nx.has_path(graph, ("pad", one), ("pad", other)):
                        break
                else:
                    continue
                break
            else:
                return True
    return False


@pytest.mark.parametrize("seed", range(6))
def test_tied_leads_and_bridges_agree_with_brute_force(seed: int) -> None:
    """Small tables with leads tied together, links between pads and one series bridge: as all wirings tried out say."""
    rng = random.Random(100 + seed)
    for _ in range(7):
        count, positions = rng.randint(2, 4), rng.randint(1, 2)
        leads = [str(lead) for lead in range(count)]
        donor = random_joins(rng, count, positions, 0.5)
        wanted_count = rng.randint(2, 3)
        wanted_leads = [f"w{number}" for number in range(wanted_count)]
        wanted = {
            f"q{number}": [rng.sample(wanted_leads, 2)] if rng.random() < 0.7 else []
            for number in range(rng.randint(1, positions))
        }

        answer = contains(make(donor, leads), make(wanted, wanted_leads))

        assert answer == brute_contains(donor, leads, wanted, wanted_leads)


FAMILIES: dict[str, Joins] = {
    "1 SPDT": {"1": [["1", "2"]], "2": [["2", "3"]]},
    "2 DPDT": {"1": [["2", "1"], ["5", "4"]], "2": [["2", "3"], ["5", "6"]]},
    "3 4PDT": {"1": [["2", "3"], ["5", "6"], ["8", "9"], ["11", "12"]],
               "3": [["2", "1"], ["5", "4"], ["8", "7"], ["11", "10"]]},
    "4 SP3T": {"1": [["1", "2"]], "2": [["2", "3"]], "3": [["2", "4"]]},
    "5 on-on-on, wire 3-5": {"1": [["2", "3"], ["5", "6"]], "2": [["2", "3"], ["5", "4"]],
                             "3": [["2", "1"], ["5", "4"]]},
    "6 common at the end": {"I": [["1", "3"]], "II": [["1", "2"]]},
    "7 centre off": {"1": [["2", "1"]], "2": [], "3": [["2", "3"]]},
    "7b centre off, two poles": {"1": [["2", "1"], ["5", "4"]], "2": [], "3": [["2", "3"], ["5", "6"]]},
    "8 push, primed pole": {"out": [["C", "1"], ["C'", "1'"]], "in": [["C", "2"], ["C'", "2'"]]},
    "9 two poles, three throws": {"1": [["1", "2"], ["5", "6"]], "2": [["2", "3"], ["6", "7"]],
                                  "3": [["2", "4"], ["6", "8"]]},
    "10 tact with joined pairs": {"free": [["1", "2"], ["3", "4"]], "operated": [["1", "2", "3", "4"]]},
    "11 DIP, two sections": {"off": [], "on": [["1", "4"], ["2", "3"]]},
    "12 micro": {"free": [["COM", "NC"]], "operated": [["COM", "NO"]]},
    "13 micro, NO only": {"free": [], "operated": [["COM", "NO"]]},
    "14 double break": {"free": [["1", "2"]], "operated": [["3", "4"]]},
    "15 two-stage tact": {"free": [], "half": [["A", "B"]], "full": [["A", "B", "C"]]},
}  # fmt: skip
"""Contact-table families met in makers' sheets (OS102, 5MD1, 100 toggle, OS103, NKK toggle guide, NK236, 5MS3, 5MD3,
PVB6, Alps rows, SKHH, 78J, SS, D3M, D2D, EVQQ0); a latching reed has no static table and is not among them."""

ALL = "1 2 3 4 5 6 7 7b 8 9 10 11 12 13 14 15"
CHANGE_OVER = "1 2 3 4 5 6 7 7b 8 9 12 14"

BY_HAND: dict[str, str] = {
    # wanted: the donors that contain it, reasoned contact by contact from the tables above (leads may be tied)
    "1": CHANGE_OVER,  # 14: one end of each contact tied; 10, 11, 13, 15 open nothing that another position needs
    "2": "2 3 5 7b 8 9",  # two change-overs; 5: between its outer positions both poles change
    "3": "3",
    "4": "4 5 9",  # three throws; 5 with the wire 3-5
    "5": "5 9",  # 9: throws tied in pairs
    "6": CHANGE_OVER,
    "7": "4 5 7 7b 9",  # three positions, one of which joins nothing that is wired
    "7b": "7b 9",
    "8": "2 3 5 7b 8 9",
    "9": "9",
    "10": ALL,  # its pairs are always joined: one normally open contact and two links
    "11": "2 3 5 7b 8 9 11",  # two contacts that close together and share nothing
    "12": CHANGE_OVER,
    "13": ALL,
    "14": "2 3 5 7b 8 9 14",  # two separate contacts, one in each position
    "15": "5 7b 9 15",  # three positions and two contacts that are closed together in one of them
}


@pytest.mark.parametrize("wanted", FAMILIES)
def test_families_of_the_trade(wanted: str) -> None:
    """A family contains another exactly where reasoning by hand says so."""
    goal = table(FAMILIES[wanted])

    found = [name.split()[0] for name, joins in FAMILIES.items() if contains(table(joins), goal)]

    assert found == [name for name in ALL.split() if name in BY_HAND[wanted.split()[0]].split()]


@pytest.mark.parametrize(
    "donor", ["1 SPDT", "4 SP3T", "10 tact with joined pairs", "14 double break", "15 two-stage tact"]
)
@pytest.mark.parametrize("wanted", ["1 SPDT", "7 centre off", "10 tact with joined pairs", "15 two-stage tact"])
def test_families_against_brute_force(wanted: str, donor: str) -> None:
    """Families of at most four leads: the same answer as from trying every wiring."""
    leads = [sorted({lead for groups in FAMILIES[name].values() for group in groups for lead in group})
             for name in (donor, wanted)]  # fmt: skip
    if len(FAMILIES[wanted]) > len(FAMILIES[donor]):
        assert not contains(table(FAMILIES[donor]), table(FAMILIES[wanted]))
        return

    assert contains(table(FAMILIES[donor]), table(FAMILIES[wanted])) == brute_contains(
        FAMILIES[donor], leads[0], FAMILIES[wanted], leads[1]
    )


def test_equal_tables_are_isomorphic_graphs() -> None:
    """Two tables contain each other with one lead a pad exactly when networkx calls their graphs isomorphic."""
    for (_, one), (_, other) in itertools.combinations(FAMILIES.items(), 2):
        if len(one) != len(other):
            continue
        first, second = table(one), table(other)
        both = contains(first, second, PLAIN) and contains(second, first, PLAIN)
        graphs = [position_graph(one, list(first.leads), tuple(one), drop_idle=True)]
        graphs += [position_graph(other, list(second.leads), order, drop_idle=True)
                   for order in itertools.permutations(other)]  # fmt: skip

        same = any(
            nx.is_isomorphic(graphs[0], graph, edge_match=lambda a, b: a["where"] == b["where"]) for graph in graphs[1:]
        )

        assert both == same


def test_fewest_leads_are_used() -> None:
    """A change-over out of a 4PDT uses three leads, and a pole more in parallel is found when asked for."""
    donor, wanted = table(FAMILIES["3 4PDT"]), table(FAMILIES["1 SPDT"])

    found = ways(donor, wanted)

    assert {way.used for way in found} == {3}
    assert len(found) == 8  # four poles, each straight or reversed
    assert len(nodes_of(wanted)) == 3
