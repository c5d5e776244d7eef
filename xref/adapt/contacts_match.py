"""Whether a switch contains another: every choice of leads and positions by which it plays a wanted table.

A wanted lead (pad) is a *node*. Each donor lead is wired to one node or left open; several leads on one node are tied
together there. In each wanted position the donor, standing in the position that plays it, must join exactly the nodes
that are to be joined: no more, no less. If that cannot be, one *bridge* is tried: donor leads tied to each other and to
no pad, so that two contacts work in series.

The search always serves a join that is still missing, the one with the fewest ways first. That is complete: in any
answer the part of a wanted group that is already connected must be tied to the rest of it by some donor contact.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from xref.adapt.contacts import Table, always
from xref.errors import NoSolution

OPEN = -1
MOST_STATES = 30_000
"""Partial wirings looked at in one question; far more than twelve leads and five positions ever needed."""

MORE_LEADS, MORE_STATES = 3, 4_000
"""For the fewest wires, ways with so many extra leads are looked at as well, as long as they are soon told."""

MOST_ORDERS = 1_000
"""Up to this many orders of positions every one is tried; beyond, only those that run up or down."""

ENOUGH_ORDERS = 150
"""With more choices of positions than this, the first that works is taken; all of five positions are tried."""

MOST_WAYS = 400
"""Ways kept for the lead map; more differ only by equal poles changing places."""


class TooLarge(NoSolution):
    """The search was given up; nothing is known of the answer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """``positions[p]``: donor position that plays wanted position p. ``nodes[k]``: node of donor lead k, -1 open.

    A node number equal to the number of nodes is the bridge.
    """

    positions: tuple[int, ...]
    nodes: tuple[int, ...]

    @property
    def used(self) -> int:
        """Number of donor leads that are connected."""
        return sum(1 for node in self.nodes if node != OPEN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """What is allowed. ``ties``: several donor leads on one node. ``links``: pads that are always joined count as one.

    ``order``: '' any, 'same' or 'reversed' as the tables list their positions. ``bridge``: series contacts as a last
    means. ``more``: ways with up to so many leads above the fewest as well (a lead that drops into its hole costs no
    wire).
    """

    ties: bool = True
    links: bool = True
    bridge: bool = True
    order: str = ""
    more: int = 0


def nodes_of(wanted: Table, links: bool = True) -> list[tuple[int, ...]]:
    """The nodes of a wanted table: pads (or groups of pads that are always joined) that ever join another one."""
    groups = always(wanted) if links else [(index,) for index in range(len(wanted.leads))]
    ever = [
        group
        for group in groups
        if any(row[group[0]] == row[other] for row in wanted.group for other in _others(wanted, group))
    ]
    return sorted(ever)


def _others(wanted: Table, group: tuple[int, ...]) -> list[int]:
    return [index for index in range(len(wanted.leads)) if index not in group]


def contains(donor: Table, wanted: Table, rule: Rule | None = None) -> bool:
    """True when some choice of the donor's leads and positions plays ``wanted`` exactly."""
    return next(_all(donor, wanted, rule or Rule(), first=True), None) is not None


def ways(donor: Table, wanted: Table, rule: Rule | None = None) -> list[Way]:
    """Every way that uses the fewest donor leads, same order of positions first; at most ``MOST_WAYS``."""
    return list(_known(_bare(donor), _bare(wanted), rule or Rule()))


def _bare(of: Table) -> Table:
    """The table without names, so that equal switches of many makers are searched once."""
    leads, positions = range(len(of.leads)), range(len(of.positions))
    return Table(leads=tuple(map(str, leads)), positions=tuple(map(str, positions)), group=of.group, rest=of.rest)


@lru_cache(maxsize=512)
def _known(donor: Table, wanted: Table, rule: Rule) -> tuple[Way, ...]:
    found = list(itertools.islice(_all(donor, wanted, rule, first=False), 4 * MOST_WAYS))
    least = min((way.used for way in found), default=0)
    near = [way for way in found if way.used <= least + rule.more]
    near.sort(key=lambda way: way.used)
    return tuple(near[:MOST_WAYS])


def generous(donor: Table, wanted: Table, rule: Rule) -> tuple[list[Way], bool]:
    """Ways with a few leads more than the fewest too, and whether these are all of them."""
    fewest = ways(donor, wanted, rule)
    try:
        found = ways(donor, wanted, replace(rule, more=MORE_LEADS))
    except TooLarge:
        return fewest, False
    return list(dict.fromkeys([*fewest, *found])), len(found) < MOST_WAYS


def doubled(donor: Table, wanted: Table, way: Way, rule: Rule | None = None) -> Way | None:
    """``way`` with a second set of contacts in parallel to every join, or None when too few leads are left."""
    free = [lead for lead, node in enumerate(way.nodes) if node == OPEN]
    rest = Table(
        leads=tuple(donor.leads[lead] for lead in free),
        positions=donor.positions,
        group=tuple(tuple(row[lead] for lead in free) for row in donor.group),
    )
    nodes = nodes_of(wanted, (rule or Rule()).links)
    for second in _fixed(rest, wanted, nodes, way.positions, Rule(bridge=False), False):
        both = list(way.nodes)
        for lead, node in zip(free, second, strict=True):
            both[lead] = node
        search = _Search(donor, wanted, nodes, way.positions, ties=True, bridge=False)
        if search.sound(tuple(both)):
            return Way(positions=way.positions, nodes=tuple(both))
    return None


def in_positions(donor: Table, wanted: Table, positions: tuple[int, ...]) -> list[Way]:
    """Every way with the positions given that uses the fewest donor leads, without a bridge."""
    nodes = nodes_of(wanted)
    found = [Way(positions=positions, nodes=n) for n in _fixed(donor, wanted, nodes, positions, Rule(), False)]
    least = min((way.used for way in found), default=0)
    return [way for way in found if way.used == least][:MOST_WAYS]


def position_maps(wanted: Table, donor: Table, order: str = "") -> Iterator[tuple[int, ...]]:
    """Donor positions for the wanted ones: same order first, then reversed, then any; a rest position stays one."""
    count, offered = len(wanted.positions), len(donor.positions)
    if count > offered:
        return
    rising = list(itertools.combinations(range(offered), count))
    falling = [tuple(reversed(chosen)) for chosen in rising]
    few = count > 2 and math.perm(offered, count) <= MOST_ORDERS
    mixed = list(itertools.permutations(range(offered), count)) if few else []
    every = {"same": rising, "reversed": falling}.get(order, [*rising, *falling, *mixed])
    for chosen in dict.fromkeys(every):
        if wanted.rest is None or donor.rest is None or chosen[wanted.rest] == donor.rest:
            yield chosen


def _all(donor: Table, wanted: Table, rule: Rule, *, first: bool) -> Iterator[Way]:
    nodes = nodes_of(wanted, rule.links)
    steps = [MORE_STATES if rule.more else MOST_STATES]
    for bridge in (False, True) if rule.bridge and rule.ties else (False,):
        hit = False
        maps = list(position_maps(wanted, donor, rule.order))
        for positions in maps:
            if hit and len(maps) > ENOUGH_ORDERS:
                # a selector of many positions: any run of them is as good as the first that works
                return
            for found in _fixed(donor, wanted, nodes, positions, rule, bridge, first=first, steps=steps):
                hit = True
                yield Way(positions=positions, nodes=found)
        if hit:
            return


def _fixed(
    donor: Table,
    wanted: Table,
    nodes: Sequence[tuple[int, ...]],
    positions: tuple[int, ...],
    rule: Rule,
    bridge: bool,
    *,
    first: bool = False,
    steps: list[int] | None = None,
) -> Iterator[tuple[int, ...]]:
    search = _Search(donor, wanted, nodes, positions, ties=rule.ties, bridge=bridge, steps=steps, more=rule.more)
    if search.hopeless():
        return
    yield from search.run(first)


class _Search:
    """The search with the positions fixed."""

    def __init__(
        self,
        donor: Table,
        wanted: Table,
        nodes: Sequence[tuple[int, ...]],
        positions: tuple[int, ...],
        *,
        ties: bool,
        bridge: bool,
        steps: list[int] | None = None,
        more: int = 0,
    ) -> None:
        self.offers = [donor.group[position] for position in positions]
        self.wants = [tuple(row[group[0]] for group in nodes) for row in wanted.group]
        self.count, self.ties, self.bridge = len(nodes), ties, bridge
        self.leads = len(donor.leads)
        self.partners = [_members(row) for row in self.offers]
        self.seen: set[tuple[int, ...]] = set()
        self.steps = [MOST_STATES] if steps is None else steps
        self.best, self.more = self.leads, more

    def hopeless(self) -> bool:
        """Too few leads, or too few donor contacts in some position, whatever is wired."""
        if self.count > self.leads:
            return True
        for offer, want in zip(self.offers, self.wants, strict=True):
            needed = self.count - len(set(want))
            if needed > self.leads - len(set(offer)):
                return True
        return False

    def run(self, first: bool) -> Iterator[tuple[int, ...]]:
        """Assignments; with ``first`` False only those that use no more leads than the best so far."""
        yield from self._extend((OPEN,) * self.leads, first)

    def sound(self, assigned: tuple[int, ...]) -> bool:
        """No two nodes are joined in a position where they must not be."""
        bridge = self.count
        for offer, want in zip(self.offers, self.wants, strict=True):
            label: dict[int, int] = {}
            bridged = {offer[lead] for lead, node in enumerate(assigned) if node == bridge} if self.bridge else ()
            for lead, node in enumerate(assigned):
                if node in (OPEN, bridge):
                    continue
                number = OPEN if offer[lead] in bridged else offer[lead]
                if label.setdefault(number, want[node]) != want[node]:
                    return False
        return True

    def _extend(self, assigned: tuple[int, ...], first: bool) -> Iterator[tuple[int, ...]]:
        if assigned in self.seen:
            return
        self.seen.add(assigned)
        self.steps[0] -= 1
        if self.steps[0] < 0:
            raise TooLarge(
                f"a switch of {self.leads} leads for {self.count} pads in {len(self.wants)} positions is too large to "
                "search; ask for one pole at a time"
            )
        used = sum(1 for node in assigned if node != OPEN)
        served = len({node for node in assigned if 0 <= node < self.count})
        if not first and used + self.count - served > self.best + self.more:
            return
        options = self._options(assigned)
        if options is None:
            if not first:
                self.best = min(self.best, used)
            yield assigned
            return
        for option in options:
            yield from self._extend(option, first)

    def _options(self, assigned: tuple[int, ...]) -> list[tuple[int, ...]] | None:
        """The sound ways to serve the missing join that has the fewest; None when nothing is missing."""
        fewest: list[tuple[int, ...]] | None = None
        for place in range(len(self.wants)):
            for part, rest in self._missing(assigned, place):
                found = self._serve(assigned, place, part, rest)
                if fewest is None or len(found) < len(fewest):
                    fewest = found
                if not fewest:
                    return []
        return fewest

    def _missing(self, assigned: tuple[int, ...], place: int) -> Iterator[tuple[set[int], set[int]]]:
        """(connected part, rest) of every wanted group of a position that is not yet in one piece."""
        want = self.wants[place]
        touching: dict[int, set[int]] = {}
        for lead, node in enumerate(assigned):
            if node != OPEN:
                touching.setdefault(self.offers[place][lead], set()).add(node)
        for members in _members(want):
            if len(members) < 2:
                continue
            part = {members[0]}
            grown = True
            while grown:
                grown = False
                for nodes in touching.values():
                    if nodes & part and not nodes <= part:
                        part |= nodes
                        grown = True
            rest = set(members) - part
            if rest:
                if self.bridge and self.count not in part:
                    rest.add(self.count)
                yield part, rest

    def _serve(self, assigned: tuple[int, ...], place: int, part: set[int], rest: set[int]) -> list[tuple[int, ...]]:
        found: dict[tuple[int, ...], None] = {}
        taken = {node for node in assigned if node != OPEN}
        inner = [node for node in part if self.ties or node not in taken]
        outer = [node for node in rest if self.ties or node not in taken]
        for members in self.partners[place]:
            if len(members) < 2:
                continue
            for one, other in itertools.permutations(members, 2):
                starts = [assigned[one]] if assigned[one] in part else inner if assigned[one] == OPEN else []
                ends = [assigned[other]] if assigned[other] in rest else outer if assigned[other] == OPEN else []
                for start in starts:
                    for end in ends:
                        option = list(assigned)
                        option[one], option[other] = start, end
                        made = tuple(option)
                        if made not in found and made not in self.seen and self.sound(made):
                            found[made] = None
        return list(found)


def _members(row: Sequence[int]) -> list[tuple[int, ...]]:
    found: dict[int, list[int]] = {}
    for index, number in enumerate(row):
        found.setdefault(number, []).append(index)
    return [tuple(group) for group in found.values()]
