"""Contact tables as sets: which leads join in each position and on the way between two positions.

Names of positions and leads differ between makers; nothing here compares names. A *pole* is a set of leads that are
connected with each other by joins of any position. Within a pole the timing word of the table holds; between poles it
does not, because no sheet promises that two poles move in the same instant.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from xref.adapt.assemble import names
from xref.model.contacts import Contacts
from xref.model.part import Part

Pair = tuple[int, int]
"""Two nodes, the smaller number first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """``group[p][k]``: number of the group of lead k in position p; leads with one number are joined there.

    ``timing``: '', 'shorting' or 'non-shorting'. ``rest``: the position that a spring returns to, or None.
    """

    leads: tuple[str, ...]
    positions: tuple[str, ...]
    group: tuple[tuple[int, ...], ...]
    timing: str = ""
    rest: int | None = None

    def groups(self, position: int) -> tuple[tuple[str, ...], ...]:
        """The leads that are joined in a position, by name, groups of two or more."""
        row = self.group[position]
        found: dict[int, list[str]] = {}
        for index, number in enumerate(row):
            found.setdefault(number, []).append(self.leads[index])
        return tuple(tuple(group) for group in found.values() if len(group) > 1)


def table(
    joins: Mapping[str, Sequence[Sequence[str]]], *, leads: Sequence[str] = (), timing: str = "", rest: str = ""
) -> Table:
    """Make a table from position names and groups of lead names; overlapping groups of a position are one group.

    Args:
        joins: position name to groups of joined leads
        leads: all leads in order; others that ``joins`` names are added behind
        timing: '', 'shorting' or 'non-shorting'
        rest: name of the position that a spring returns to, or ''
    """
    order = list(dict.fromkeys([*leads, *(name for groups in joins.values() for group in groups for name in group)]))
    index = {name: number for number, name in enumerate(order)}
    positions = tuple(joins)
    rows = [closed(len(order), [[index[name] for name in group] for group in joins[name]]) for name in positions]
    return Table(
        leads=tuple(order),
        positions=positions,
        group=tuple(rows),
        timing=timing,
        rest=positions.index(rest) if rest in positions else None,
    )


def table_of(part: Part) -> Table | None:
    """The contact table of a part with a name for every lead, or None when the part's table is not known."""
    if part.contacts is None or not part.contacts.table:
        return None
    return from_contacts(part.contacts, [lead.label for lead in part.geometry.leads], names(part))


def from_contacts(contacts: Contacts, labels: Sequence[str] = (), unique: Sequence[str] = ()) -> Table:
    """The table of ``contacts``; ``labels`` may repeat (one terminal on two leads), ``unique`` names each lead."""
    named: dict[str, list[str]] = {}
    for label, name in zip(labels, unique, strict=True):
        named.setdefault(label, []).append(name)
    joins = {
        position: [[name for label in group for name in named.get(label, [label])] for group in groups]
        + [each for each in named.values() if len(each) > 1]
        for position, groups in contacts.table.items()
    }
    return table(joins, leads=unique, timing=contacts.timing, rest=contacts.returns_to)


def closed(count: int, groups: Iterable[Sequence[int]]) -> tuple[int, ...]:
    """Group number (its smallest member) of each of ``count`` items after joining every given group."""
    top = list(range(count))
    for group in groups:
        numbers = {top[item] for item in group}
        if len(numbers) > 1:
            least = min(numbers)
            top = [least if number in numbers else number for number in top]
    return tuple(top)


def poles(of: Table) -> list[tuple[int, ...]]:
    """Leads that any position connects with each other; leads that never join anything are in no pole."""
    row = closed(len(of.leads), (members for rows in of.group for members in _members(rows)))
    return [members for members in _members(row) if len(members) > 1]


def always(of: Table) -> list[tuple[int, ...]]:
    """Leads that are joined in every position, as groups (a lead alone is a group of its own)."""
    found: dict[tuple[int, ...], list[int]] = {}
    for index in range(len(of.leads)):
        found.setdefault(tuple(row[index] for row in of.group), []).append(index)
    return [tuple(group) for group in found.values()]


def seen(rows: Sequence[int], node_of: Sequence[int], count: int) -> tuple[int, ...]:
    """Group numbers of ``count`` nodes when lead k (group ``rows[k]``) is wired to node ``node_of[k]`` (-1: open)."""
    wired: dict[int, list[int]] = {}
    for lead, node in enumerate(node_of):
        if node >= 0:
            wired.setdefault(rows[lead], []).append(node)
    return closed(count, wired.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class Moments:
    """What may be on the way: ``joins``: pairs that may be joined; ``company[n]``: what node n may be joined to."""

    joins: frozenset[Pair]
    company: tuple[frozenset[frozenset[int]], ...]

    def released(self, other: Moments) -> list[int]:
        """Nodes that here may be joined to less than ``other`` ever leaves them."""
        return [
            node
            for node, (mine, theirs) in enumerate(zip(self.company, other.company, strict=False))
            if any(not any(least <= few for least in theirs) for few in mine)
        ]


def travel(of: Table, start: int, end: int, node_of: Sequence[int], count: int, shown: int | None = None) -> Moments:
    """What may be joined on the way between two positions, both ends included.

    The way leads through every position between them in the order of the table. ``node_of``: node of each lead, -1
    for an open lead; ``count``: number of nodes, of which the first ``shown`` are told.
    """
    shown = count if shown is None else shown
    step = 1 if end >= start else -1
    joins: set[Pair] = set()
    company: list[set[frozenset[int]]] = [set() for _ in range(shown)]
    for here in range(start, end, step):
        for cluster in _clusters(of, node_of):
            choices = [_pole_states(of, pole, here, here + step) for pole in cluster]
            touched = {node_of[lead] for pole in cluster for lead in pole} & set(range(shown))
            for states in itertools.product(*choices):
                row = list(range(len(of.leads)))
                for pole, state in zip(cluster, states, strict=True):
                    for lead, number in zip(pole, state, strict=True):
                        row[lead] = number
                wired = [node if any(lead in pole for pole in cluster) else -1 for lead, node in enumerate(node_of)]
                nodes = seen(row, wired, count)
                for one in touched:
                    others = frozenset(k for k in touched if k != one and nodes[k] == nodes[one])
                    company[one].add(others)
                    joins.update((one, k) for k in others if k > one)
    return Moments(joins=frozenset(joins), company=tuple(frozenset(each) for each in company))


def _clusters(of: Table, node_of: Sequence[int]) -> list[list[tuple[int, ...]]]:
    """Wired poles that share nodes, together; poles of different clusters cannot meet, whatever they do."""
    found: list[tuple[set[int], list[tuple[int, ...]]]] = []
    for pole in poles(of):
        nodes = {node_of[lead] for lead in pole} - {-1}
        if not nodes:
            continue
        near = [each for each in found if each[0] & nodes]
        found = [each for each in found if not each[0] & nodes]
        found.append((nodes.union(*(each[0] for each in near)), [*(one for each in near for one in each[1]), pole]))
    return [members for _, members in found]


def _pole_states(of: Table, pole: tuple[int, ...], here: int, there: int) -> list[tuple[int, ...]]:
    """What one pole may look like on the way: as it was, as it will be, and between the two."""
    first = [of.group[here][lead] for lead in pole]
    second = [of.group[there][lead] for lead in pole]
    states = {_numbered(pole, first), _numbered(pole, second)}
    if of.timing != "shorting":
        both = list(zip(first, second, strict=True))
        states.add(_numbered(pole, both))
    if of.timing != "non-shorting":
        merged = closed(len(pole), [*_places(first), *_places(second)])
        states.add(_numbered(pole, merged))
    return sorted(states)


def _numbered(pole: tuple[int, ...], marks: Sequence[object]) -> tuple[int, ...]:
    """Each lead of the pole numbered by the first lead that has the same mark."""
    first: dict[object, int] = {}
    return tuple(first.setdefault(mark, lead) for lead, mark in zip(pole, marks, strict=True))


def _places(marks: Sequence[int]) -> list[list[int]]:
    found: dict[int, list[int]] = {}
    for place, mark in enumerate(marks):
        found.setdefault(mark, []).append(place)
    return list(found.values())


def _members(row: Sequence[int]) -> list[tuple[int, ...]]:
    return [tuple(group) for group in _places(row)]
