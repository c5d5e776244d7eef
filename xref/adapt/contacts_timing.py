"""What a donor does on the way between two positions that the original never did, and whether that may be."""

from __future__ import annotations

from dataclasses import dataclass, replace

from xref.adapt.contacts import Table, seen, travel
from xref.adapt.contacts_match import Way, nodes_of
from xref.model.contact_need import ContactNeed

DAMAGE = frozenset({"outputs", "supplies", "motor", "mains", "interlock"})
"""What can be destroyed, or hurt someone, when two throws meet or all let go at the wrong moment."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """One difference on the way between two wanted positions: pairs of pads joined, pads let go of, by name."""

    between: tuple[str, str]
    joins: tuple[str, ...]
    opens: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """``refuse`` '' where the donor may go in; ``warnings`` for the bench; ``weight`` orders ways (0 clean)."""

    refuse: str = ""
    warnings: tuple[str, ...] = ()
    weight: int = 0


def needed(wanted: Table, need: ContactNeed) -> Table:
    """The wanted table with the timing that holds: stated by the user, else the original's own.

    Where two outputs or supplies meet on a common and nothing is known, they must not be joined on the way.
    """
    said = {"open": "non-shorting", "joined": "shorting"}.get(need.between)
    if said is None and not wanted.timing and need.drives in ("outputs", "supplies"):
        said = "non-shorting"
    return wanted if said is None else replace(wanted, timing=said)


def crossings(wanted: Table, donor: Table, way: Way) -> list[Crossing]:
    """Every pair of pads that the donor may join, and every pad it may leave, where the original never does."""
    nodes = nodes_of(wanted)
    node_of_pad = [-1] * len(wanted.leads)
    for number, group in enumerate(nodes):
        for pad in group:
            node_of_pad[pad] = number
    name = [wanted.leads[group[0]] for group in nodes]
    found = []
    for place in range(len(wanted.positions) - 1):
        goal = travel(wanted, place, place + 1, node_of_pad, len(nodes))
        offer = travel(donor, way.positions[place], way.positions[place + 1], way.nodes, len(nodes) + 1, len(nodes))
        more = [f"{name[one]} and {name[other]}" for one, other in sorted(offer.joins - goal.joins)]
        less = [name[node] for node in offer.released(goal)]
        if more or less:
            ends = wanted.positions[place], wanted.positions[place + 1]
            found.append(Crossing(between=ends, joins=tuple(more), opens=tuple(less)))
    return found


def idle(wanted: Table, donor: Table, way: Way) -> list[tuple[str, tuple[str, ...]]]:
    """Donor positions that play nothing, with the pads joined there that the original never joins."""
    nodes = nodes_of(wanted)
    ever = {
        (one, other)
        for row in wanted.group
        for one in range(len(nodes))
        for other in range(one + 1, len(nodes))
        if row[nodes[one][0]] == row[nodes[other][0]]
    }
    found: list[tuple[str, tuple[str, ...]]] = []
    for position, name in enumerate(donor.positions):
        if position in way.positions:
            continue
        row = seen(donor.group[position], way.nodes, len(nodes) + 1)
        bad = [
            f"{wanted.leads[nodes[one][0]]} and {wanted.leads[nodes[other][0]]}"
            for one in range(len(nodes))
            for other in range(one + 1, len(nodes))
            if row[one] == row[other] and (one, other) not in ever
        ]
        found.append((name, tuple(bad)))
    return found


def timing(wanted: Table, donor: Table, way: Way, need: ContactNeed) -> Timing:
    """Judge one way of wiring.

    A donor whose sheet says the contrary of what is needed is refused. One whose sheet says nothing may be either: it
    is refused where a wrong moment does damage, else named.
    """
    if need.between == "any":
        return Timing()
    goal = needed(wanted, need)
    damage = need.drives in DAMAGE
    like_for_like = not wanted.timing and not donor.timing and not need.between
    refuse, warnings, weight = "", [], 0
    for crossing in crossings(goal, donor, way):
        for pairs, verb, known in (
            (crossing.joins, "joins", "shorting"),
            (crossing.opens, "lets go of", "non-shorting"),
        ):
            if not pairs:
                continue
            weight += 1
            sure = donor.timing == known
            where = f"between {crossing.between[0]} and {crossing.between[1]}"
            what = f"{'' if sure else 'may '}{verb if sure else verb.replace('joins', 'join').replace('lets', 'let')}"
            text = f"{where} it {what} {_listed(pairs)}, which the original never does{_why(wanted, need, goal)}"
            if sure or (damage and not like_for_like):
                refuse = refuse or text
            else:
                warnings.append(f"{text}; its timing is not given: watch it with the meter while moving slowly")
    for name, bad in idle(wanted, donor, way):
        if bad:
            weight += 1
            text = f"its position {name} is not used and joins {_listed(bad)}, which the original never does"
            refuse = refuse or (text if damage else "")
            warnings.append(f"{text}: block that position")
        else:
            warnings.append(f"its position {name} is not used: nothing is joined there that must not be")
    if not wanted.timing and not need.between and _has_common(wanted):
        warnings.append(
            "whether the original let go first or joined first is not known; if two supplies or outputs meet on its "
            "common, say so: --drives supplies"
        )
    return Timing(refuse=refuse, warnings=tuple(dict.fromkeys(warnings)), weight=weight)


def _why(wanted: Table, need: ContactNeed, goal: Table) -> str:
    if goal.timing == "shorting":
        source = "--between joined" if need.between else "make before break"
        return f" ({source}: shorting)" if need.between else f" (it is shorting: {source})"
    if goal.timing == "non-shorting":
        if need.between:
            return " (--between open: non-shorting)"
        if not wanted.timing:
            return f" (two {need.drives} must not meet)"
        return " (it is non-shorting: break before make)"
    return ""


def _has_common(wanted: Table) -> bool:
    """True when some pad joins different partners in different positions, so that timing means something."""
    groups = nodes_of(wanted)
    for mine in groups:
        partners = {
            tuple(other for other in groups if other != mine and row[other[0]] == row[mine[0]]) for row in wanted.group
        } - {()}
        if len(partners) > 1:
            return True
    return False


def _listed(words: tuple[str, ...]) -> str:
    return "; ".join(words[:3]) + (f" and {len(words) - 3} more" if len(words) > 3 else "")
