"""Last resort when no wiring of one donor will do: two of them on one actuator, or a relay behind it; computed."""

from __future__ import annotations

from dataclasses import dataclass

from xref.adapt.contacts import Table, poles, table
from xref.adapt.contacts_match import Rule, TooLarge, Way, contains, nodes_of, ways

MOST_LEADS, MOST_POSITIONS = 12, 5
"""Beyond these a last resort is not looked for: nobody wires it."""

MOST_RELAY_POLES = 4
"""Change-over contacts of the largest common small relay (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Aid:
    """``table``: the table of the aid, ``way``: how it plays the wanted one, ``words``: one sentence."""

    what: str
    table: Table
    way: Way
    words: str


def why_not(wanted: Table, donor: Table) -> str:
    """The plainest reason why ``donor`` does not contain ``wanted``."""
    if len(wanted.positions) > len(donor.positions):
        return f"it has {len(donor.positions)} positions, {len(wanted.positions)} are needed"
    rule = Rule()
    free = Table(leads=wanted.leads, positions=wanted.positions, group=wanted.group)
    loose = Table(leads=donor.leads, positions=donor.positions, group=donor.group)
    if wanted.rest is not None and donor.rest is not None and contains(loose, free, rule):
        return (
            f"it springs back to {donor.positions[donor.rest]}, where other leads are joined than in the original's "
            f"rest position {wanted.positions[wanted.rest]}"
        )
    needed = max(sum(len(group) - 1 for group in wanted.groups(p)) for p in range(len(wanted.positions)))
    offered = max(sum(len(group) - 1 for group in donor.groups(p)) for p in range(len(donor.positions)))
    if needed > offered:
        return f"it closes {offered} contact{'s' * (offered != 1)} at a time, {needed} are needed"
    for pole in poles(wanted):
        if not contains(donor, _only(wanted, pole), rule):
            names = ", ".join(wanted.leads[lead] for lead in pole)
            return f"no choice of its leads and positions does what the leads {names} of the original do"
    return f"it can do what each pole of the original does, but not all {len(poles(wanted))} at once"


def last_resort(wanted: Table, donor: Table, name: str) -> list[Aid]:
    """Aids that were computed to play the wanted table, simplest first; empty when none does or it is too large."""
    if len(donor.leads) > MOST_LEADS or len(wanted.positions) > MOST_POSITIONS:
        return []
    found = []
    twice = table(
        {
            position: [[f"{side}.{lead}" for lead in group] for group in donor.groups(number) for side in "ab"]
            for number, position in enumerate(donor.positions)
        },
        leads=[f"{side}.{lead}" for side in "ab" for lead in donor.leads],
        timing=donor.timing,
        rest="" if donor.rest is None else donor.positions[donor.rest],
    )
    try:
        way = next(iter(ways(twice, wanted)), None)
    except TooLarge:
        way = None
    if way is not None:
        words = f"two {name} (a and b) worked by one actuator: {_wiring(wanted, twice, way)}"
        found.append(Aid(what=f"two {name}", table=twice, way=way, words=words))
    relay = _relay(wanted, donor, name)
    return [*found, relay] if relay is not None else found


def _relay(wanted: Table, donor: Table, name: str) -> Aid | None:
    """A relay whose coil hangs on one contact of the donor; only for two wanted positions."""
    if len(wanted.positions) != 2:
        return None
    coil = table({"off": [], "on": [["x", "y"]]}, rest="")
    drive = next(iter(ways(donor, coil)), None)
    if drive is None:
        return None
    ends = [donor.leads[lead] for lead, node in enumerate(drive.nodes) if node >= 0]
    on, off = donor.positions[drive.positions[1]], donor.positions[drive.positions[0]]
    for count in range(1, MOST_RELAY_POLES + 1):
        leads = [f"{word}{pole}" for pole in range(1, count + 1) for word in ("COM", "NC", "NO")]
        relay = table(
            {
                off: [[f"COM{pole}", f"NC{pole}"] for pole in range(1, count + 1)],
                on: [[f"COM{pole}", f"NO{pole}"] for pole in range(1, count + 1)],
            },
            leads=leads,
            timing="non-shorting",
        )
        for way in ways(relay, wanted):
            words = (
                f"a relay with {count} change-over contact{'s' * (count > 1)}, its coil (with a diode across it) fed "
                f"through the contact {' - '.join(ends[:2])} of {name}, which is closed in {on}: "
                f"{_wiring(wanted, relay, way)}; it needs a supply for the coil and stays off when that fails"
            )
            return Aid(what="relay", table=relay, way=way, words=words)
    return None


def _wiring(wanted: Table, offered: Table, way: Way) -> str:
    nodes = nodes_of(wanted)
    words = []
    for lead, node in enumerate(way.nodes):
        if 0 <= node < len(nodes):
            words.append(f"{offered.leads[lead]} to pad {wanted.leads[nodes[node][0]]}")
    bridge = [offered.leads[lead] for lead, node in enumerate(way.nodes) if node == len(nodes)]
    if bridge:
        words.append(f"{' and '.join(bridge)} to each other")
    links = [" and ".join(wanted.leads[pad] for pad in group) for group in nodes if len(group) > 1]
    words += [f"pads {link} joined by a wire" for link in links]
    plays = [
        f"{offered.positions[position]} for {wanted.positions[place]}" for place, position in enumerate(way.positions)
    ]
    return ", ".join(words) + f"; positions {', '.join(plays)}"


def _only(wanted: Table, pole: tuple[int, ...]) -> Table:
    return Table(
        leads=tuple(wanted.leads[lead] for lead in pole),
        positions=wanted.positions,
        group=tuple(tuple(pole.index(_first(row, pole, lead)) for lead in pole) for row in wanted.group),
        rest=wanted.rest,
    )


def _first(row: tuple[int, ...], pole: tuple[int, ...], lead: int) -> int:
    return next(other for other in pole if row[other] == row[lead])
