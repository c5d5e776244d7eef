"""Every arrangement of every device type on a number of leads, as sets of placed building blocks.

What cannot be told apart by any reading is one hypothesis from the start: a symmetric block counts once, and a dead
half is the same as leads that go nowhere. Each hypothesis keeps the names that it may have.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache

from xref.bench.hypotheses_types import SYMMETRIC, TYPES, DeviceType

MOST_SPARE = 2

Placement = tuple[str, tuple[int, ...]]
"""A block kind and the lead numbers of its roles."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Naming:
    """One way to name a hypothesis: the device, the function of each lead, its prior."""

    device: str
    functions: tuple[str, ...]
    prior: float


@dataclass(slots=True, kw_only=True)
class Hypothesis:
    """Placed blocks, and the namings that no reading can part, likeliest first."""

    blocks: tuple[Placement, ...]
    prior: float = 0.0
    namings: list[Naming] = field(default_factory=list)
    device: str = ""
    """The likeliest device."""
    devices: tuple[str, ...] = ()
    """All devices that this may be, likeliest first."""
    functions: tuple[str, ...] = ()
    """Function of each lead for the likeliest device; what cannot be told is joined by 'or'."""

    def finish(self) -> None:
        """Sort the namings, likeliest device first, and join what cannot be told by 'or'."""
        totals: dict[str, float] = {}
        for naming in self.namings:
            totals[naming.device] = totals.get(naming.device, 0.0) + naming.prior
        self.namings.sort(key=lambda naming: (-totals[naming.device], naming.device, naming.functions))
        self.devices = tuple(dict.fromkeys(naming.device for naming in self.namings))
        self.device = self.devices[0]
        same = [naming.functions for naming in self.namings if naming.device == self.device]
        self.functions = tuple(" or ".join(dict.fromkeys(column)) for column in zip(*same, strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class Hypotheses:
    """All hypotheses for a number of leads, and the placements that they use."""

    leads: int
    all: tuple[Hypothesis, ...]
    placements: tuple[Placement, ...]
    index: tuple[tuple[int, ...], ...]
    """For each hypothesis the numbers of its placements."""


@lru_cache(maxsize=16)
def hypotheses(leads: int, *, switch: bool = False, together: tuple[tuple[int, int], ...] = ()) -> Hypotheses:
    """Every arrangement on that many leads.

    Args:
        leads: number of leads, 2 to 8
        switch: include switches, which only readings in named positions can tell from links
        together: pairs of lead numbers that are known to belong to one half
    """
    found: dict[tuple[Placement, ...], Hypothesis] = {}
    weights = _type_priors(leads, switch)
    for kind, weight in weights:
        names = _placed(kind, leads, together)
        for blocks, functions in names:
            item = found.setdefault(blocks, Hypothesis(blocks=blocks))
            prior = weight / len(names)
            item.prior += prior
            item.namings.append(Naming(device=kind.name, functions=functions, prior=prior))
    for item in found.values():
        item.finish()
    chosen = tuple(found.values())
    placements = tuple(sorted({block for item in chosen for block in item.blocks}))
    number = {block: place for place, block in enumerate(placements)}
    index = tuple(tuple(number[block] for block in item.blocks) for item in chosen)
    return Hypotheses(leads=leads, all=chosen, placements=placements, index=index)


def _type_priors(leads: int, switch: bool) -> list[tuple[DeviceType, float]]:
    found = []
    for kind in TYPES:
        spare = leads - kind.leads
        if 0 <= spare <= (0 if kind.exact else MOST_SPARE) and (switch or not kind.switch):
            found.append((kind, kind.weight * kind.spare**spare))
    total = sum(weight for _, weight in found)
    return [(kind, weight / total) for kind, weight in found]


def _placed(
    kind: DeviceType, leads: int, together: tuple[tuple[int, int], ...]
) -> list[tuple[tuple[Placement, ...], tuple[str, ...]]]:
    """Blocks and functions of every arrangement; arrangements that differ only in the order of spare leads are one."""
    out = []
    seen = set()
    for order in _orders(kind, leads, together):
        if any(order[one] > order[other] for one, other in kind.twins):
            continue
        functions = ["NC"] * leads
        for lead, function in zip(order, kind.functions, strict=True):
            functions[lead] = function
        blocks = []
        for block, roles in kind.blocks:
            at = tuple(order[role] for role in roles)
            if block in SYMMETRIC:
                head = SYMMETRIC[block]
                at = (*at[:head], *sorted(at[head:]))
            blocks.append((block, at))
        key = (tuple(sorted(blocks)), tuple(functions))
        if key not in seen:
            seen.add(key)
            out.append(key)
    return out


def _orders(kind: DeviceType, leads: int, together: tuple[tuple[int, int], ...]) -> Iterator[tuple[int, ...]]:
    """Lead of each role, block by block; a block that would part a pair of ``together`` is not gone into."""
    partner = {one: other for pair in together for one, other in (pair, pair[::-1])}
    used = {role for _, roles in kind.blocks for role in roles}
    groups = [roles for _, roles in kind.blocks] + [tuple(role for role in range(kind.leads) if role not in used)]
    order = [0] * kind.leads

    def place(number: int, free: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        if number == len(groups):
            yield tuple(order)
            return
        for at in itertools.permutations(free, len(groups[number])):
            if number < len(kind.blocks) and any(partner.get(lead, lead) not in at for lead in at):
                continue
            for role, lead in zip(groups[number], at, strict=True):
                order[role] = lead
            yield from place(number + 1, tuple(lead for lead in free if lead not in at))

    yield from place(0, tuple(range(leads)))
