"""A lead list without geometry: for parts on wires, loose pairs, and where places of leads or pads are not known."""

from __future__ import annotations

from collections.abc import Sequence

from xref.adapt.assemble import names
from xref.adapt.board_change import Change
from xref.adapt.leadmap import Demand
from xref.adapt.loose import remarks
from xref.adapt.original import Original
from xref.adapt.roles import Roles
from xref.model.answers.fit import Connection, Fit, Link
from xref.model.part import Part


def list_only(
    original: Original, donor: Part, change: Change, played: Roles, demand: Demand, jumpers: Sequence[tuple[str, str]]
) -> Fit:
    """Every used lead on its own wire to a pad of its net; lengths and places stay unknown (0 and the origin)."""
    labels = names(donor)
    pads: dict[str, list[tuple[str, tuple[float, float]]]] = {}
    for pad in original.pads:
        net = change.pad_nets.get(pad.label)
        if net is not None:
            pads.setdefault(net, []).append((pad.label, pad.at_mm or (0.0, 0.0)))
    for tap in original.taps:
        pads.setdefault(tap.net, []).append((f"tap {tap.net}", tap.at_mm))
    connections: list[Connection] = []
    used: set[str] = set()
    for index, net in enumerate(demand.nets):
        if net is None:
            continue
        words = set(donor.geometry.leads[index].functions)
        own = [spot for spot in pads[net] if _asks(original, spot[0]) & words]
        free = [spot for spot in (*own, *pads[net]) if spot[0] not in used] or pads[net]
        label, at = free[0]
        used.add(label)
        connections.append(
            Connection(
                lead=labels[index],
                function=donor.geometry.leads[index].function,
                pad=label,
                net=net,
                by="wire",
                length_mm=0.0,
                lead_at_mm=at,
                pad_at_mm=at,
                wire_number=len(connections) + 1,
            )
        )
    connected = {connection.lead for connection in connections}
    links = tuple(
        Link(
            between=(pads[a][0][0], pads[b][0][0]),
            length_mm=0.0,
            why="the original joined these two pads inside itself",
        )
        for a, b in jumpers
    )
    warnings = [*played.notes, *change.notes, *remarks(original, donor)]
    if played.empty_pads:
        warnings.append(f"pad of {' and '.join(played.empty_pads)} stays empty")
    return Fit(
        original=original.name,
        donor=donor.name,
        kind=original.kind,
        possible=True,
        connections=tuple(connections),
        cuts=change.cuts,
        links=links,
        open_leads=tuple(label for label in labels if label not in connected),
        wire_count=len(connections) + len(links),
        warnings=tuple(warnings),
        assumed=(
            *original.assumed,
            *change.assumed,
            *played.assumed,
            f"every lead on a wire: {_why(original, donor)}; a lead list without a drawing, lengths as the place needs",
        ),
        fails_open=original.if_open,
    )


def _asks(original: Original, label: str) -> set[str]:
    return {function for pad in original.pads if pad.label == label for function in pad.functions}


def _why(original: Original, donor: Part) -> str:
    if "panel/wired" in (donor.geometry.mount, original.mount):
        return "the part hangs on its own wires"
    if "pair" in (donor.kind, original.kind):
        return "emitter and detector are loose and go where the light path needs them"
    whose = donor.name if not donor.geometry.wired else original.name
    return f"where the leads of {whose} stand is not known"
