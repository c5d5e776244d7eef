"""A solution of the lead map written out as an answer: connections, wires with lengths to cut, open leads, remarks."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Literal

from xref.adapt import routes, space
from xref.adapt.assign import Hole, Placed
from xref.adapt.board_change import Change
from xref.adapt.demands import Group
from xref.adapt.leadmap import Solution
from xref.adapt.original import Original
from xref.adapt.roles import Roles
from xref.adapt.setting import MOST_REACH_MM
from xref.model.answers.fit import Connection, Fit, Link, OverHole, Pose
from xref.model.base import weakest
from xref.model.part import Part

BARE_MM = 12.7
"""A bare wire may be this long between its ends (checks.yaml J2; the stricter of J2 and J5)."""

HEIGHT_MM = 3.2
"""Wires lie at most this high above the board (checks.yaml J1)."""

END_MM = 3.0
"""Wire added at each end for stripping and soldering (common practice, no source)."""

SLACK = 1.1
"""Length for bends and rounding corners, as a factor (common practice, no source)."""

SHORT_MM = 2.54
LAP_MM = 1.5
THROUGH_MM = 2.0
"""Up to one grid step a link of stiff bare wire is soldered along the lead (lap) and through the hole: no ends to strip
(common practice, no source)."""

OVER_HOLE_MM = 0.8
"""A lead nearer than this to a foreign hole would slip into it (half of a usual 1.6 mm pad; common practice)."""


def cut_length(route_mm: float) -> float:
    """Length of wire to cut for a route [mm], whole millimetres, slack included; a short link has no ends to strip."""
    if route_mm <= SHORT_MM:
        return float(math.ceil(route_mm + LAP_MM + THROUGH_MM - 1e-9))
    return float(math.ceil(route_mm * SLACK + 2 * END_MM - 1e-9))


def names(part: Part) -> list[str]:
    """A name for every lead that no other lead of the part has: its label, else its number."""
    seen: dict[str, int] = {}
    found = []
    for index, lead in enumerate(part.geometry.leads):
        word = lead.label or str(index + 1)
        seen[word] = seen.get(word, 0) + 1
        found.append(word if seen[word] == 1 else f"{word}-{seen[word]}")
    return found


def build(
    original: Original,
    donor: Part,
    solution: Solution,
    change: Change,
    played: Roles,
    parts: Sequence[Group],
    holes: Sequence[Hole],
    jumpers: Sequence[tuple[str, str]],
    direct_mm: float,
) -> Fit:
    """Write the solution out as a Fit that is not yet verified."""
    labels = names(donor)
    placed = [*solution.placed, *_spare_direct(solution, parts, holes, direct_mm)]
    placed.sort(key=lambda item: item.lead)
    connections = []
    number = 0
    for item in placed:
        wire = item.by == "wire"
        number += wire
        route = routes.path_length(item.path)
        connections.append(
            Connection(
                lead=labels[item.lead],
                function=donor.geometry.leads[item.lead].function,
                pad=item.hole.label,
                net=item.hole.net,
                by=item.by,  # type: ignore[arg-type]
                length_mm=cut_length(route) if wire else round(item.length_mm, 2),
                lead_at_mm=_short(item.at_mm),
                pad_at_mm=item.hole.at_mm,
                route_mm=tuple(_short(point) for point in item.path) if wire else (),
                wire_number=number if wire else None,
                insulated=wire and not _may_be_bare(item, placed),
            )
        )
    used = {connection.lead for connection in connections}
    over = _over_holes(original, change, solution, placed, labels)
    links = tuple(_link(original, change, placed, pair) for pair in jumpers)
    wires, crossings, _, offset = solution.cost
    return Fit(
        original=original.name,
        donor=donor.name,
        kind=original.kind,
        possible=True,
        pose=Pose(
            turn_deg=solution.turn_deg,
            shift_mm=_short(solution.shift_mm),
            side="solder" if solution.mirrored else "component",
        ),
        connections=tuple(connections),
        cuts=change.cuts,
        links=links,
        over_holes=tuple(over),
        open_leads=tuple(label for label in labels if label not in used),
        wire_count=wires + len(links),
        crossings=crossings,
        wire_length_mm=round(
            sum(c.length_mm for c in connections if c.by == "wire") + sum(link.length_mm for link in links), 1
        ),
        optical_offset_mm=None if original.kind == "switch" else round(offset, 3),
        warnings=tuple(_warnings(original, donor, solution, placed, labels, played, over, direct_mm)),
        fails_open=original.if_open,
        basis=weakest(original.basis, donor.basis_of("geometry.leads")),
    )


def _spare_direct(solution: Solution, parts: Sequence[Group], holes: Sequence[Hole], direct_mm: float) -> list[Placed]:
    """Second leads of a function that drop into a free hole of the same net anyway: soldered, for hold."""
    found: list[Placed] = []
    taken = {item.hole.label for item in solution.placed if item.by != "wire"}
    connected = {item.lead for item in solution.placed}
    for group in parts:
        nets = {item.hole.net for item in solution.placed if item.lead in group.leads}
        for index in group.leads:
            here = solution.lead_at_mm[index]
            for hole in holes:
                fits = not hole.wire_only and hole.net in nets and math.dist(here, hole.at_mm) <= direct_mm
                if index not in connected and hole.label not in taken and fits:
                    taken.add(hole.label)
                    connected.add(index)
                    path = (here, hole.at_mm)
                    found.append(Placed(lead=index, hole=hole, by="direct", at_mm=here, path=path, length_mm=0.0))
    return found


def _may_be_bare(item: Placed, placed: Sequence[Placed]) -> bool:
    """A short straight wire that passes over nothing and crosses nothing."""
    return (
        len(item.path) == 2
        and routes.path_length(item.path) <= BARE_MM
        and not item.over
        and not any(
            other is not item and other.by != "direct" and routes.cross(item.path, other.path) for other in placed
        )
    )


def _link(original: Original, change: Change, placed: Sequence[Placed], pair: tuple[str, str]) -> Link:
    """The shortest jumper between a pad of one net and a pad of the other."""
    ends = [
        (math.dist(a.at_mm, b.at_mm), a, b)
        for a in original.pads
        for b in original.pads
        if a.at_mm and b.at_mm and change.pad_nets.get(a.label) == pair[0] and change.pad_nets.get(b.label) == pair[1]
    ]
    _, one, other = min(ends, key=lambda item: (item[0], item[1].label, item[2].label))
    assert one.at_mm is not None
    assert other.at_mm is not None
    route = abs(one.at_mm[0] - other.at_mm[0]) + abs(one.at_mm[1] - other.at_mm[1])
    why = "the original joined these two pads inside itself"
    return Link(between=(one.label, other.label), length_mm=cut_length(route), why=why)


def _warnings(
    original: Original,
    donor: Part,
    solution: Solution,
    placed: Sequence[Placed],
    labels: Sequence[str],
    played: Roles,
    over: Sequence[OverHole],
    direct_mm: float,
) -> list[str]:
    found = space.remarks(original, donor, solution.turn_deg, solution.shift_mm, hole_mm=direct_mm)
    for one in over:
        do = _KEEP_WORDS[one.do]
        found.append(f"lead {one.lead} stands over hole {one.hole}, where it must not go: {do}")
    found += _beside(donor, placed, labels) + _crossed(placed, labels)
    spare = [labels[i] for i in range(len(labels)) if all(item.lead != i for item in placed)]
    if spare:
        found.append(f"open leads {', '.join(spare)}: connected to nothing; cut them short or sleeve them")
    if any(item.by == "formed" for item in placed):
        found.append("sleeve bent leads; bend away from the body, not at its seal")
    if any(item.by == "wire" for item in placed):
        found.append(f"wires lie flat, at most {HEIGHT_MM:g} mm above the board")
    if played.empty_pads:
        found.append(f"pad of {' and '.join(played.empty_pads)} stays empty")
    if donor.emitter.resistor_ohm:
        found.append(
            f"{donor.name} has {donor.emitter.resistor_ohm:g} ohm for its emitter built in: the board's resistor is "
            "then too much; see the values"
        )
    elif original.built_in_ohm:
        found.append(
            f"{original.name} had {original.built_in_ohm:g} ohm for its emitter built in: {donor.name} needs a "
            "resistor in its emitter line"
        )
    return found


_KEEP_WORDS = {
    "bend up": "bend it up and sleeve it",
    "bend over": "bend it over to its own pad first, and sleeve it",
    "cut short": "cut it short",
}


def _crossed(placed: Sequence[Placed], labels: Sequence[str]) -> list[str]:
    """Bent leads that run over each other: bare metal to bare metal."""
    bent = [item for item in placed if item.by == "formed"]
    return [
        f"bent leads {labels[one.lead]} and {labels[other.lead]} run over each other: sleeve both"
        for one, other in itertools.combinations(bent, 2)
        if routes.cross(one.path, other.path)
    ]


def _beside(donor: Part, placed: Sequence[Placed], labels: Sequence[str]) -> list[str]:
    """Leads that all but reach their own hole and still need a link, because too little of them can be bent."""
    full = {item.hole.label for item in placed if item.by != "wire"}
    found = []
    for item in placed:
        far = math.dist(item.at_mm, item.hole.at_mm)
        near = item.by == "wire" and not item.hole.wire_only and far <= MOST_REACH_MM and item.hole.label not in full
        if near and donor.geometry.mount != "smd":
            found.append(
                f"lead {labels[item.lead]} stands {far:.1f} mm beside its own hole {item.hole.label}: too short to "
                f"form safely, so a short link joins them; if yours is longer, try --reach "
                f"{math.ceil(far * 10 - 1e-6) / 10:g}mm"
            )
    return found


_KEPT_OUT: dict[str, Literal["bend up", "bend over", "cut short"]] = {
    "wire": "bend up",
    "formed": "bend over",
    "": "cut short",
}


def _over_holes(
    original: Original, change: Change, solution: Solution, placed: Sequence[Placed], labels: Sequence[str]
) -> list[OverHole]:
    """Leads that would slip into a hole of another net; over a hole of its own net a lead does no harm."""
    inside = {item.lead for item in placed if item.by == "direct"}
    nets = {item.lead: item.hole.net for item in placed}
    ways = {item.lead: item.by for item in placed}
    found = []
    for index, here in enumerate(solution.lead_at_mm):
        under = [
            (math.dist(pad.at_mm, here), pad.label)
            for pad in original.pads
            if pad.functions
            and pad.at_mm
            and math.dist(pad.at_mm, here) < OVER_HOLE_MM
            and (index not in nets or change.pad_nets.get(pad.label) != nets[index])
        ]
        if under and index not in inside:
            found.append(OverHole(lead=labels[index], hole=min(under)[1], do=_KEPT_OUT[ways.get(index, "")]))
    return found


def _short(point: tuple[float, float]) -> tuple[float, float]:
    return round(point[0], 4) + 0.0, round(point[1], 4) + 0.0
