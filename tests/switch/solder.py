"""What a wired-up switch joins, from wires and contacts alone: the tests' own road, with networkx."""

from __future__ import annotations

import itertools

import networkx as nx

from xref.model.answers.fit import Fit
from xref.model.part import Part


def lead_names(part: Part) -> list[tuple[str, str]]:
    """(label, name) of each lead; a repeated label gets -2, -3."""
    seen: dict[str, int] = {}
    found = []
    for lead in part.geometry.leads:
        seen[lead.label] = seen.get(lead.label, 0) + 1
        found.append((lead.label, lead.label if seen[lead.label] == 1 else f"{lead.label}-{seen[lead.label]}"))
    if not found and part.contacts is not None:
        labels = {label for groups in part.contacts.table.values() for group in groups for label in group}
        found = [(label, label) for label in sorted(labels)]
    return found


def contact_graph(part: Part, position: str, prefix: str) -> nx.Graph:
    """Closed contacts of one position as edges between the part's leads."""
    graph = nx.Graph()
    graph.add_nodes_from(f"{prefix}{name}" for _, name in lead_names(part))
    assert part.contacts is not None
    for group in part.contacts.table[position]:
        names = [f"{prefix}{name}" for label, name in lead_names(part) if label in group]
        nx.add_path(graph, names)
    for label, name in lead_names(part):
        if label != name:
            graph.add_edge(f"{prefix}{label}", f"{prefix}{name}")
    return graph


def pairs(graph: nx.Graph, among: list[str]) -> set[frozenset[str]]:
    """Pairs of the given nodes that hang together."""
    graph.add_nodes_from(among)
    return {frozenset(pair) for pair in itertools.combinations(among, 2) if nx.has_path(graph, *pair)}


def same_joins(original: Part, donor: Part, fit: Fit) -> bool:
    """True when in every position the donor with its wires joins exactly the pads that the original joined."""
    pads = [f"pad:{name}" for _, name in lead_names(original)]
    if {item.original for item in fit.positions} != set(original.contacts.table):  # type: ignore[union-attr]
        return False
    for item in fit.positions:
        before = pairs(contact_graph(original, item.original, "pad:"), pads)
        board = contact_graph(donor, item.donor, "lead:")
        for wire in fit.connections:
            board.add_edge(f"lead:{wire.lead}", f"pad:{wire.pad}")
        for added in fit.added:
            nx.add_path(board, [end.replace(" ", ":", 1) for end in added.between])
        if pairs(board, pads) != before:
            return False
    return True
