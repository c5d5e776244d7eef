"""From functions to demands: the electrically right ways to use a sensor's leads, for the lead map to choose from."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from xref.adapt.leadmap import Demand
from xref.model.lead import Lead


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Leads that are joined inside the donor, and all the functions they carry."""

    leads: tuple[int, ...]
    functions: tuple[str, ...]


def groups(leads: Sequence[Lead]) -> list[Group]:
    """Leads joined inside the part, because they share a function (NC leads stand alone and are not in any group)."""
    found: list[tuple[set[int], set[str]]] = []
    for index, lead in enumerate(leads):
        functions = {function for function in lead.functions if function not in ("NC", "")}
        if not functions:
            continue
        own = ({index}, functions)
        rest = []
        for other in found:
            if other[1] & own[1]:
                own = (own[0] | other[0], own[1] | other[1])
            else:
                rest.append(other)
        found = [*rest, own]
    made = [Group(leads=tuple(sorted(at)), functions=tuple(sorted(words))) for at, words in found]
    return sorted(made, key=lambda group: group.leads)


def demands(
    count: int, parts: Sequence[Group], nets: Mapping[str, str], more: Mapping[str, Sequence[str]]
) -> tuple[list[Demand], list[tuple[str, str]]]:
    """Every right way to use the leads, and the pairs of nets that only a jumper can join.

    Args:
        count: number of leads
        parts: groups of joined leads
        nets: net that each used function must reach
        more: further nets of the same function, which the original joined inside itself

    Of a group one lead is connected; a second one only where the original joined two nets of the board.
    """
    choices: list[list[dict[int, str]]] = []
    jumpers: list[tuple[str, str]] = []
    for group in parts:
        wanted = list(dict.fromkeys(nets[f] for f in group.functions if f in nets))
        wanted += [net for f in group.functions if f in nets for net in more.get(f, ()) if net not in wanted]
        if not wanted:
            continue
        served = min(len(wanted), len(group.leads))
        ways = []
        for reached in itertools.combinations(wanted, served):
            ways += [dict(zip(leads, reached, strict=True)) for leads in itertools.permutations(group.leads, served)]
        choices.append(ways)
        jumpers += [(wanted[0], net) for net in wanted[served:]]
        if served < len(wanted):
            # which net goes without a lead makes no difference to the count; the first ones are reached
            choices[-1] = [way for way in ways if set(way.values()) == set(wanted[:served])]
    made = []
    for combination in itertools.product(*choices):
        target: list[str | None] = [None] * count
        for way in combination:
            for index, net in way.items():
                target[index] = net
        made.append(Demand(nets=tuple(target)))
    return made, jumpers
