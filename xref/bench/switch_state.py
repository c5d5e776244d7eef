"""What continuity readings prove: joined is passed on (1-2 and 2-3 give 1-3), open parts whole groups.

Also chooses the next reading. A table of n leads in k groups needs n - k joins and k(k-1)/2 opens to be proved; a
reading is wasted when it parts two groups that another reading had parted under other leads. So likely joins are read
first, while there is nothing to waste.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

Pair = tuple[int, int]


class PositionState:
    """The proofs of one position over leads 0..n-1."""

    def __init__(self, count: int) -> None:
        self.count = count
        self.top = list(range(count))
        self.apart: set[Pair] = set()

    def joined(self, one: int, other: int) -> bool | None:
        """True, False, or None where nothing proves it yet."""
        a, b = self.top[one], self.top[other]
        if a == b:
            return True
        return False if _pair(a, b) in self.apart else None

    def add(self, one: int, other: int, closed: bool) -> bool:
        """Take a reading in; False when it contradicts what was proved before (nothing changes then)."""
        known = self.joined(one, other)
        if known is not None:
            return known == closed
        a, b = self.top[one], self.top[other]
        if not closed:
            self.apart.add(_pair(a, b))
            return True
        least, gone = min(a, b), max(a, b)
        self.top = [least if top == gone else top for top in self.top]
        self.apart = {_pair(*(least if end == gone else end for end in pair)) for pair in self.apart}
        return True

    @property
    def open_pairs(self) -> list[Pair]:
        """Pairs of groups (by their first leads) that nothing parts or joins yet."""
        tops = sorted(set(self.top))
        return [pair for pair in itertools.combinations(tops, 2) if pair not in self.apart]

    @property
    def groups(self) -> list[tuple[int, ...]]:
        """The leads in groups that are proved to be joined."""
        found: dict[int, list[int]] = {}
        for lead, top in enumerate(self.top):
            found.setdefault(top, []).append(lead)
        return [tuple(group) for group in found.values()]

    def wasted_if_joined(self, pair: Pair) -> int:
        """Readings that would turn out to have parted the same two groups."""
        neighbours = [{other for edge in self.apart if top in edge for other in edge if other != top} for top in pair]
        return len(neighbours[0] & neighbours[1])


def least_readings(count: int, groups: int) -> int:
    """Fewest readings that prove a table of ``count`` leads in ``groups`` groups in one position [1]."""
    return groups * (groups - 1) // 2 + count - groups


def next_pair(states: Sequence[PositionState], place: int) -> Pair | None:
    """The pair to read next in position ``place``, as leads; None when the position is proved."""
    state = states[place]
    options = state.open_pairs
    if not options:
        return None
    groups = {group[0]: group for group in state.groups}
    others = [other for number, other in enumerate(states) if number != place]
    return max(
        options,
        key=lambda pair: (
            _chance(state, others, groups[pair[0]], groups[pair[1]]) / (1.0 + state.wasted_if_joined(pair)) ** 0.5,
            -pair[0],
            -pair[1],
        ),
    )


def _chance(
    state: PositionState, others: Sequence[PositionState], first: tuple[int, ...], second: tuple[int, ...]
) -> float:
    """How likely two groups are joined: a rough weight, from how switches are built. It decides the order only."""
    weight = max(_lead_chance(state, others, a, b) for a in first for b in second)
    # a group that already has its partner seldom takes another
    return weight * 0.25 ** ((len(first) > 1) + (len(second) > 1))


def _lead_chance(state: PositionState, others: Sequence[PositionState], one: int, other: int) -> float:
    near = abs(one - other)
    weight = {1: 1.0, 2: 0.5}.get(near, 0.2)
    steps = [(min(group), max(group)) for group in state.groups if len(group) == 2]
    if any(b - a == near and (one - a) % 3 == 0 for a, b in steps):
        # rows of three terminals repeat
        weight *= 3.0
    for past in others:
        mates = [sum(past.joined(lead, k) is True for k in range(past.count) if k != lead) for lead in (one, other)]
        if past.joined(one, other):
            weight *= 0.3
        elif (mates[0] > 0) != (mates[1] > 0):
            # a common lead changes over to a lead that was alone
            weight *= 5.0
        elif mates[0] and mates[1]:
            weight *= 0.1
    return weight


def _pair(one: int, other: int) -> Pair:
    return (one, other) if one < other else (other, one)
