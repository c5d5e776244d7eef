"""From a way of wiring to demands of the lead map, and back to an answer with wires; or to a lead list."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from xref.adapt.assemble import build, cut_length
from xref.adapt.board_change import Change
from xref.adapt.contacts import Table, always
from xref.adapt.contacts_match import OPEN, Way, nodes_of
from xref.adapt.fit import ASSUMED_LEAD_MM, FitOptions, reach
from xref.adapt.leadmap import Demand, Hole, Rules, Solution, solve
from xref.adapt.original import Original
from xref.adapt.roles import Roles
from xref.model.answers.fit import Added, Connection, Fit, Position
from xref.model.base import PointMm
from xref.model.part import Part

MOST_DEMANDS = 600


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wiring:
    """One way with every net given to a lead; ``jumpers``: nets that only a link on the board can join."""

    way: Way
    nets: tuple[str | None, ...]
    jumpers: tuple[tuple[str, str], ...]


def place(
    original: Original,
    donor: Part,
    wanted: Table,
    offered: Table,
    by_turn: Mapping[int, Sequence[Way]],
    options: FitOptions,
    allowed: Callable[[int, PointMm], bool] | None,
) -> tuple[Fit, Way] | None:
    """The answer with the fewest wires over all ways, poses and pads; None when no pose is allowed."""
    holes = [Hole(label=pad.label, net=pad.net, at_mm=pad.at_mm) for pad in original.pads if pad.at_mm is not None]
    leads = [lead.at_mm or (0.0, 0.0) for lead in donor.geometry.leads]
    rules, assumed = _rules(donor, options)
    found: list[tuple[tuple[float, ...], int, Solution, _Wiring]] = []
    proven = True
    for turn, ways in by_turn.items():
        if options.turns is not None and turn not in options.turns:
            continue
        wirings = list(itertools.islice(_all(original, wanted, offered, ways), MOST_DEMANDS))
        for links in sorted({len(wiring.jumpers) + bool(_bridge(wiring.way, wanted)) for wiring in wirings}):
            level = [w for w in wirings if len(w.jumpers) + bool(_bridge(w.way, wanted)) == links]
            outcome = solve(
                holes,
                leads,
                [Demand(nets=wiring.nets, tag=wiring) for wiring in level],
                turns=[turn],
                axis_mm=_centre([hole.at_mm for hole in holes]),
                donor_axis_mm=_centre(leads),
                rules=rules,
                mirrored=options.solder_side,
                allowed=allowed,
            )
            proven = proven and outcome.proven
            for solution in outcome.solutions:
                wires, crossings, length, offset = solution.cost
                wiring = solution.demand.tag
                assert isinstance(wiring, _Wiring)
                found.append(((wires + links, crossings, length, offset), turn, solution, wiring))
    if not found:
        return None
    found.sort(key=lambda item: item[:2])
    answers = [
        _answer(original, donor, wanted, offered, solution, wiring, holes, options)
        for _, _, solution, wiring in found[: 1 + options.alternatives]
    ]
    best = replace(
        answers[0], assumed=(*original.assumed, *assumed), proven_best=proven, alternatives=tuple(answers[1:])
    )
    return best, found[0][3].way


def unplaced(original: Original, donor: Part, wanted: Table, offered: Table, ways: Sequence[Way]) -> Fit:
    """A lead list without places: every used lead on a wire; the first way, because no drawing can tell them apart."""
    wiring = min(_all(original, wanted, offered, ways[:1]), key=lambda item: len(item.jumpers))
    functions = {lead.label: lead.function for lead in donor.geometry.leads}
    free: dict[str, list[str]] = {}
    for pad in original.pads:
        free.setdefault(pad.net, []).append(pad.label)
    connections: list[Connection] = []
    for index, net in enumerate(wiring.nets):
        if net is None:
            continue
        labels = free[net]
        label = labels.pop(0) if len(labels) > 1 else labels[0]
        at = next(item.at_mm for item in original.pads if item.label == label) or (0.0, 0.0)
        name = offered.leads[index]
        connections.append(
            Connection(
                lead=name, function=functions.get(name, name), pad=label, net=net, by="wire", length_mm=0.0,
                lead_at_mm=at, pad_at_mm=at, wire_number=len(connections) + 1,
            )
        )  # fmt: skip
    added = _added(original, wanted, offered, wiring)
    used = {connection.lead for connection in connections} | _bridge_names(wiring.way, wanted, offered)
    whose = donor.name if not donor.geometry.wired else original.name
    why = f"where the leads of {whose} stand is not known"
    if "panel/wired" in (donor.geometry.mount, original.mount):
        why = "the switch hangs on its own wires"
    return Fit(
        original=original.name,
        donor=donor.name,
        kind="switch",
        possible=True,
        connections=tuple(connections),
        added=added,
        open_leads=tuple(name for name in offered.leads if name not in used),
        wire_count=len(connections) + _wires(added),
        positions=_positions(wanted, offered, wiring.way),
        assumed=(
            *original.assumed,
            f"every lead on a wire: {why}; a lead list without a drawing, lengths as the place needs",
        ),
        fails_open=original.if_open,
    )


def _answer(
    original: Original,
    donor: Part,
    wanted: Table,
    offered: Table,
    solution: Solution,
    wiring: _Wiring,
    holes: Sequence[Hole],
    options: FitOptions,
) -> Fit:
    nothing = Change(nets={}, pad_nets={pad.label: pad.net for pad in original.pads})
    built = build(original, donor, solution, nothing, Roles(nets={}), [], holes, [], options.direct_mm)
    added = _added(original, wanted, offered, wiring)
    tied = _bridge_names(wiring.way, wanted, offered)
    return replace(
        built,
        kind="switch",
        added=added,
        open_leads=tuple(name for name in built.open_leads if name not in tied),
        wire_count=built.wire_count + _wires(added),
        optical_offset_mm=None,
        positions=_positions(wanted, offered, wiring.way),
    )


def _all(original: Original, wanted: Table, offered: Table, ways: Sequence[Way]) -> Iterator[_Wiring]:
    """Every way with nets; where one node has several nets, leads that are always joined reach them one each."""
    net_of = {pad.label: pad.net for pad in original.pads}
    nodes = nodes_of(wanted)
    nets = [list(dict.fromkeys(net_of[wanted.leads[pad]] for pad in group)) for group in nodes]
    twins = {lead: group for group in always(offered) for lead in group}
    # pads that the original only ever joined to each other: a link on the board takes over
    apart = [
        list(dict.fromkeys(net_of[wanted.leads[k]] for k in group)) for group in always(wanted) if group not in nodes
    ]
    bridged = [(names[0], name) for names in apart for name in names[1:]]
    for way in ways:
        choices: list[list[tuple[dict[int, str], list[tuple[str, str]]]]] = []
        for node, wished in enumerate(nets):
            own = [lead for lead, at in enumerate(way.nodes) if at == node]
            spare = [k for lead in own for k in twins[lead] if way.nodes[k] == OPEN]
            choices.append(_shares(own, list(dict.fromkeys(spare)), wished))
        for combination in itertools.product(*choices):
            row: list[str | None] = [None] * len(way.nodes)
            jumpers = list(bridged)
            for share, missing in combination:
                for lead, net in share.items():
                    row[lead] = net
                jumpers += missing
            yield _Wiring(way=way, nets=tuple(row), jumpers=tuple(jumpers))


def _shares(own: list[int], spare: list[int], nets: list[str]) -> list[tuple[dict[int, str], list[tuple[str, str]]]]:
    """Ways to bring the nets of one node to its leads; with them the pairs of nets that a link must join."""
    if len(nets) == 1:
        return [(dict.fromkeys(own, nets[0]), [])]
    pool = own + spare
    served = min(len(pool), len(nets))
    found = []
    for reached in itertools.permutations(nets, served):
        for leads in itertools.combinations(pool, served):
            share = dict(zip(leads, reached, strict=True))
            share.update({lead: reached[0] for lead in own if lead not in share})
            found.append((share, [(reached[0], net) for net in nets if net not in reached]))
    return found


def _added(original: Original, wanted: Table, offered: Table, wiring: _Wiring) -> tuple[Added, ...]:
    """Links between pads that the original joined inside itself, and the wire between leads that work in series."""
    pad_of: dict[str, str] = {}
    for pad in original.pads:
        pad_of.setdefault(pad.net, pad.label)
    found = [
        Added(
            what="wire",
            between=(f"pad {pad_of[one]}", f"pad {pad_of[other]}"),
            why="the original joined these pads inside itself" + _distance(original, pad_of[one], pad_of[other]),
        )
        for one, other in wiring.jumpers
    ]
    tied = [name for name in offered.leads if name in _bridge_names(wiring.way, wanted, offered)]
    if tied:
        why = "these leads are joined to each other and to no pad: two contacts work in series"
        found.append(Added(what="wire", between=tuple(f"lead {name}" for name in tied), why=why))
    return tuple(found)


def _distance(original: Original, one: str, other: str) -> str:
    spots = {pad.label: pad.at_mm for pad in original.pads}
    a, b = spots[one], spots[other]
    if a is None or b is None:
        return ""
    return f"; cut {cut_length(abs(a[0] - b[0]) + abs(a[1] - b[1])):g} mm"


def _wires(added: Sequence[Added]) -> int:
    return sum(len(item.between) - 1 for item in added)


def _bridge(way: Way, wanted: Table) -> bool:
    return len(nodes_of(wanted)) in way.nodes


def _bridge_names(way: Way, wanted: Table, offered: Table) -> set[str]:
    count = len(nodes_of(wanted))
    return {offered.leads[lead] for lead, node in enumerate(way.nodes) if node == count}


def _positions(wanted: Table, offered: Table, way: Way) -> tuple[Position, ...]:
    return tuple(
        Position(original=name, donor=offered.positions[place])
        for name, place in zip(wanted.positions, way.positions, strict=True)
    )


def _rules(donor: Part, options: FitOptions) -> tuple[Rules, tuple[str, ...]]:
    length = donor.geometry.lead_length_mm
    text: tuple[str, ...] = ()
    if options.reach_mm is None and length is None and donor.geometry.mount != "smd":
        length = ASSUMED_LEAD_MM
        text = (f"free lead length of {donor.name}: {length:g} mm (not known; measure one lead)",)
    bend = options.reach_mm if options.reach_mm is not None else reach(length or 0.0)
    rules = Rules(
        direct_mm=options.direct_mm, reach_mm=bend, tolerance_mm=options.tolerance_mm, time_cap_s=options.time_cap_s
    )
    return rules, text


def _centre(points: Sequence[PointMm]) -> PointMm:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
