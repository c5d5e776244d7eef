"""The electrically right ways to use a donor, on the least changed board that has one; or why there is none."""

from __future__ import annotations

from dataclasses import dataclass, replace

from xref.adapt import board_change
from xref.adapt.board_change import Change
from xref.adapt.demands import Group, demands, groups
from xref.adapt.leadmap import Demand
from xref.adapt.original import Original
from xref.adapt.roles import Roles, channels, function_nets, roles, supplies, used_half
from xref.model.lead import FUNCTIONS
from xref.model.part import Part

_OTHER = {"C": "E", "E": "C"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One board (changed or not), the roles of the donor's functions on it, and the demands that follow.

    ``jumpers``: pairs of nets that only a link can join.
    """

    change: Change
    roles: Roles
    demands: tuple[Demand, ...]
    jumpers: tuple[tuple[str, str], ...]


class NoWay(Exception):
    """There is none: ``because`` in one sentence, and what is ``nearest``."""

    def __init__(self, because: str, nearest: str) -> None:
        super().__init__(because)
        self.because, self.nearest = because, nearest


def used_groups(original: Original, donor: Part) -> list[Group]:
    """The joined leads of the half that is used; the leads of the other half are left open."""
    parts = groups(donor.geometry.leads)
    every = frozenset(function for group in parts for function in group.functions)
    used = used_half(every, donor.kind, original.keep)
    return [group for group in parts if used & set(group.functions)]


def open_ways(original: Original, donor: Part) -> list[Way]:
    """All ways on the board with the fewest changes that has any.

    Raises:
        NoWay: no board change brings the donor's joined leads onto one net, or the donor lacks a function
    """
    refused = _refused(original, donor)
    if refused:
        raise NoWay(*refused)
    parts = used_groups(original, donor)
    board = function_nets(original)
    first = {function: nets[0] for function, nets in board.items()}
    more = {function: nets[1:] for function, nets in board.items() if len(nets) > 1}
    for level in board_change.changes(original, first):
        found = []
        for change in level:
            there = {*change.pad_nets.values(), *(tap.net for tap in original.taps)}
            for played in _roles(original, donor, change):
                conflict = board_change.joined_conflict([group.functions for group in parts], played.nets)
                if conflict is None and there.issuperset(played.nets.values()):
                    made, jumpers = demands(len(donor.geometry.leads), parts, played.nets, more)
                    found.append(Way(change=change, roles=played, demands=tuple(made), jumpers=tuple(jumpers)))
        if found:
            return found
    raise NoWay(*_joined(original, donor, parts))


def _roles(original: Original, donor: Part, change: Change) -> list[Roles]:
    """The roles that lack nothing, one a channel; what the board as it is cannot give, no cut gives."""
    here = replace(original, load_side=_OTHER[original.load_side]) if change.inverts else original
    found = []
    for channel in channels(original, donor):
        played = roles(here, donor, change.nets, original.keep, channel)
        lacks = bool(played.missing or played.needs_supply)
        if lacks and channel == 1 and not change.cuts:
            raise NoWay(*_lacks(here, donor, played))
        if not lacks:
            found.append(played)
    return found


def _refused(original: Original, donor: Part) -> tuple[str, str] | None:
    """(because, nearest) when the question makes no sense for these two."""
    if not any(lead.function for lead in donor.geometry.leads):
        return f"which lead of {donor.name} is what is not known", "identify its leads first, then give a part file"
    if all(not lead.function for lead in donor.geometry.leads if lead.function != "NC"):
        return f"{donor.name} has no lead with a function", "identify its leads first"
    half = "emitter" in original.keep or "detector" in original.keep
    if original.kind != donor.kind and not half and {original.kind, donor.kind} != {"detector", "two-state resistor"}:
        return (
            f"{donor.name} is {_kind(donor.kind)}, the original is {_kind(original.kind)}: they do not see the same",
            f"{_kind(original.kind)}; or keep one half of the original and use one half of this one",
        )
    if {original.senses, donor.geometry.senses} == {"up", "side"} and not half:
        return (
            f"{donor.name} looks {_look(donor.geometry.senses)}, the original {_look(original.senses)}",
            f"a part that looks {_look(original.senses)}",
        )
    return None


def _kind(kind: str) -> str:
    return {"pair": "a loose pair", "emitter": "a lone emitter", "detector": "a lone detector"}.get(
        kind, f"a {kind} part"
    )


def _look(senses: str) -> str:
    return "along the board" if senses == "side" else "away from the board"


def _lacks(original: Original, donor: Part, played: Roles) -> tuple[str, str]:
    if played.missing:
        words = " and ".join(played.missing)
        return f"the board needs {words} and {donor.name} has no such lead", "a donor with the same functions"
    there = supplies(original)
    if len(there) > 1:
        named = " and ".join(f"{net} ({where})" for net, where in there.items())
        return (
            f"{donor.name} needs a supply of its own and several are named: {named}",
            f"name only the one that {donor.name} takes, where the wire goes: taps: {{{next(iter(there))}: [x, y], "
            "0V: [x, y]} in the site file",
        )
    return (
        f"{donor.name} needs a supply of its own and no single point for it is known",
        "name the points: taps: {5V: [x, y], 0V: [x, y]} in the site file",
    )


def _joined(original: Original, donor: Part, parts: list[Group]) -> tuple[str, str]:
    first = {function: nets[0] for function, nets in function_nets(original).items()}
    played = roles(original, donor, first, original.keep)
    found = board_change.joined_conflict([group.functions for group in parts], played.nets)
    words = "+".join(function for function in found[0] if function in played.nets) if found else "?"
    nets = " and ".join(found[1]) if found else "?"
    because = f"{donor.name} joins {words} inside and the board has them on {nets}"
    own_names = found is not None and all(net in FUNCTIONS for net in found[1])
    if own_names:
        because = f"{donor.name} joins {words} inside, and whether the board joins them too is not known"
    if own_names or not original.resistor_side or not original.load_side:
        return because, (
            "measure whether these pads read 0 ohm to each other (then give them one net), and on which side of the "
            "emitter its resistor sits (resistor_side) and the load of the detector (load_side)"
        )
    return because, "a donor with separate leads, or one that joins what the board joins"
