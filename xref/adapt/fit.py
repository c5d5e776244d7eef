"""How a donor goes in where the original was: joins board changes, roles, poses, lead map, checks."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from xref.adapt import board_change, space
from xref.adapt.assemble import build
from xref.adapt.assign import Hole
from xref.adapt.board_change import Change
from xref.adapt.demands import Group, demands, groups
from xref.adapt.leadmap import Demand, Outcome, Rules, Solution, solve
from xref.adapt.original import Original, halfway
from xref.adapt.poses import turned, turns_for
from xref.adapt.roles import Roles, channels, function_nets, roles, used_half
from xref.adapt.unplaced import list_only
from xref.adapt.verify import verify
from xref.model.answers.fit import Fit
from xref.model.base import PointMm
from xref.model.part import Part

ASSUMED_LEAD_MM = 5.0
"""Free lead length taken when a sheet does not give it (common practice, no source)."""

BOARD_MM = 1.6
SOLDER_MM = 0.5
BEND_AWAY_MM = 2.0
MOST_REACH_MM = 2.0
"""What a lead loses before it can be bent aside: board, solder end, straight piece at the body; and the most that is
asked of a bare bent lead, under one grid step (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FitOptions:
    """What the user allows. ``reach_mm`` None: from the donor's free lead length. ``turns`` None: all that keep the
    view.

    ``keep``: halves of the original that stay (``emitter``, ``detector``), or its ``housing``; joined to the site's.
    ``solder_side``: the donor is put on the solder side of the board.
    """

    tolerance_mm: float = 1.0
    direct_mm: float = 0.3
    reach_mm: float | None = None
    turns: tuple[int, ...] | None = None
    solder_side: bool = False
    keep: tuple[str, ...] = ()
    alternatives: int = 3
    time_cap_s: float = 0.5


def fit(original: Original, donor: Part, options: FitOptions | None = None) -> Fit:
    """The best way to put ``donor`` where ``original`` was, with its next-best alternatives, verified.

    Best: fewest board changes, then fewest wires, fewest crossings, shortest bent leads and wires, axis nearest to the
    original's within ``tolerance_mm``.
    """
    options = options or FitOptions()
    keep = tuple(dict.fromkeys((*original.keep, *options.keep)))
    original = replace(original, keep=keep)
    if original.kind == "switch" and donor.kind == "switch":
        from xref.adapt.contacts_fit import fit_switch

        return fit_switch(original, donor, options)
    if original.kind == "switch" or donor.kind == "switch":
        from xref.adapt.contacts_fit import fit_switch

        return fit_switch(original, donor, options)
    refused = _refused(original, donor, keep)
    if refused:
        return _impossible(original, donor, *refused)
    leads = donor.geometry.leads
    parts = _used(groups(leads), donor, keep)
    board = function_nets(original)
    first = {function: nets[0] for function, nets in board.items()}
    more = {function: nets[1:] for function, nets in board.items() if len(nets) > 1}
    open_ways: list[tuple[Change, Roles, list[Demand], list[tuple[str, str]]]] = []
    for level in board_change.changes(original, first):
        for change in level:
            for channel in channels(original, donor):
                played = roles(original, donor, change.nets, keep, channel)
                if channel == 1 and (played.missing or played.needs_supply):
                    return _impossible(original, donor, *_lacks(original, donor, played))
                conflict = board_change.joined_conflict([group.functions for group in parts], played.nets)
                if conflict is None and not played.missing:
                    made, jumpers = demands(len(leads), parts, played.nets, more)
                    open_ways.append((change, played, made, jumpers))
        if open_ways:
            break
    if not open_ways:
        return _impossible(original, donor, *_joined(original, donor, parts, keep))
    allowed, too_big = space.body_limit(original, donor)
    if too_big:
        return _impossible(original, donor, too_big, "a donor with a smaller body, or its halves in the old housing")
    if not _placed(original, donor):
        change, played, made, jumpers = open_ways[0]
        return _proved(original, donor, list_only(original, donor, change, played, made[0], jumpers))
    rules, reach_text = reach_rules(original, donor, options)
    axis, donor_axis, axis_text = _axes(original, donor)
    outcomes: list[tuple[Solution, int]] = []
    proven = True
    for index, (change, _, made, _) in enumerate(open_ways):
        holes = _board_holes(original, change)
        outcome: Outcome = solve(
            holes,
            [lead.at_mm or (0.0, 0.0) for lead in leads],
            made,
            turns=options.turns if options.turns is not None else _turns(original, donor),
            axis_mm=axis,
            donor_axis_mm=donor_axis,
            rules=rules,
            mirrored=options.solder_side,
            allowed=allowed,
        )
        proven = proven and outcome.proven
        outcomes += [(solution, index) for solution in outcome.solutions]
    if not outcomes:
        because = f"in no turn does the body of {donor.name} stay within the room of {_size(original.room_mm)}"
        return _impossible(original, donor, because, "a larger --tolerance, or a donor with a smaller body")
    outcomes.sort(key=lambda item: (item[0].cost, item[1], item[0].turn_deg))
    answers = []
    for solution, index in outcomes[: 1 + options.alternatives]:
        change, played, _, jumpers = open_ways[index]
        made_fit = build(
            original, donor, solution, change, played, parts, _board_holes(original, change), jumpers, options.direct_mm
        )
        said = (*original.assumed, *axis_text, *reach_text, *change.assumed, *played.assumed)
        side = ("the donor sits on the solder side and looks the other way",) if options.solder_side else ()
        warnings = (*side, *played.notes, *change.notes, *made_fit.warnings)
        answers.append(_proved(original, donor, replace(made_fit, assumed=said, warnings=warnings, proven_best=proven)))
    return replace(answers[0], alternatives=tuple(answers[1:]))


def reach(lead_length_mm: float) -> float:
    """How far from its hole a lead of this free length can be bent [mm], 0 to 2."""
    return min(max(lead_length_mm - BOARD_MM - SOLDER_MM - BEND_AWAY_MM, 0.0), MOST_REACH_MM)


def reach_rules(original: Original, donor: Part, options: FitOptions) -> tuple[Rules, tuple[str, ...]]:
    """The rules of the lead map for this pair, and what was assumed for them."""
    text: tuple[str, ...] = ()
    bend = options.reach_mm
    if bend is None:
        length = donor.geometry.lead_length_mm
        if length is None:
            length = ASSUMED_LEAD_MM
            text = (f"free lead length of {donor.name}: {length:g} mm (not known; measure one lead)",)
        bend = 0.0 if donor.geometry.mount == "smd" else reach(length)
    holes = [(hole.at_mm, hole.diameter_mm / 2) for hole in original.holes]
    rules = Rules(
        direct_mm=options.direct_mm,
        reach_mm=bend,
        tolerance_mm=options.tolerance_mm,
        time_cap_s=options.time_cap_s,
        bodies=(*(box for _, box in original.bodies), *((x - r, y - r, x + r, y + r) for (x, y), r in holes)),
    )
    return rules, text


def _axes(original: Original, donor: Part) -> tuple[PointMm, PointMm, tuple[str, ...]]:
    half = "emitter" in original.keep or "detector" in original.keep
    if half:
        own = [pad for pad in original.pads if used_half(frozenset(pad.functions), original.kind, original.keep)]
        his = [x for x in donor.geometry.leads if used_half(frozenset(x.functions), donor.kind, original.keep)]
        ours = halfway([(pad.functions, pad.at_mm) for pad in own])
        theirs = halfway([(lead.functions, lead.at_mm) for lead in his])
        if ours is not None and theirs is not None:
            return ours, theirs, ("the new half sits where the old half's leads were (its lens may be elsewhere)",)
    mine = donor.geometry.optical_axis_mm
    text: tuple[str, ...] = ()
    if mine is None:
        mine = halfway([(lead.functions, lead.at_mm) for lead in donor.geometry.leads]) or (0.0, 0.0)
        if donor.kind != "switch":
            text = (f"optical axis of {donor.name}: midway between its emitter and detector leads (not known)",)
    return original.optical_axis_mm or (0.0, 0.0), mine, text


def _turns(original: Original, donor: Part) -> tuple[int, ...]:
    beams = [
        _beam([(pad.functions, pad.at_mm) for pad in original.pads]),
        _beam([(lead.functions, lead.at_mm) for lead in donor.geometry.leads]),
    ]
    if original.keep and original.keep != ("housing",):
        same = [turn for turn in (0, 90, 180, 270) if original.kind != "slotted" or _same_way(beams, turn)]
        return tuple(same)
    return turns_for(original.kind, beams[0], beams[1], original.senses == "side")


def _same_way(beams: list[PointMm | None], turn: int) -> bool:
    """Whether the turn lets a lone half of a slot look the way the old one did; True when that is not known."""
    old, new = beams
    if old is None or new is None:
        return True
    x, y = turned(new, turn)
    return x * old[0] + y * old[1] > 0.5 * math.hypot(x, y) * math.hypot(*old)


def _beam(leads: list[tuple[tuple[str, ...], PointMm | None]]) -> PointMm | None:
    """Direction from the emitter leads to the others, or None."""
    sides = [
        halfway([item for item in leads if bool(set(item[0]) & {"A", "K"}) is emitting and item[0] != ("NC",)])
        for emitting in (True, False)
    ]
    if sides[0] is None or sides[1] is None or math.dist(sides[0], sides[1]) < 0.1:
        return None
    return sides[1][0] - sides[0][0], sides[1][1] - sides[0][1]


def _board_holes(original: Original, change: Change) -> list[Hole]:
    holes = [
        Hole(label=pad.label, net=change.pad_nets.get(pad.label, f"unused:{pad.label}"), at_mm=pad.at_mm)
        for pad in original.pads
        if pad.at_mm is not None
    ]
    return holes + [Hole(label=f"tap {tap.net}", net=tap.net, at_mm=tap.at_mm, wire_only=True) for tap in original.taps]


def _used(parts: list[Group], donor: Part, keep: tuple[str, ...]) -> list[Group]:
    """The groups of the half that is used; the leads of the other half are left open."""
    every = frozenset(function for group in parts for function in group.functions)
    used = used_half(every, donor.kind, keep)
    return [group for group in parts if used & set(group.functions)]


def _placed(original: Original, donor: Part) -> bool:
    loose = "panel/wired" in (donor.geometry.mount, original.mount) or "pair" in (donor.kind, original.kind)
    return not loose and original.placed and donor.geometry.wired


def _refused(original: Original, donor: Part, keep: tuple[str, ...]) -> tuple[str, str] | None:
    """(because, nearest) when the question makes no sense for these two."""
    if not any(lead.function for lead in donor.geometry.leads):
        return f"which lead of {donor.name} is what is not known", "identify its leads first, then give a part file"
    if all(not lead.function for lead in donor.geometry.leads if lead.function != "NC"):
        return f"{donor.name} has no lead with a function", "identify its leads first"
    half = "emitter" in keep or "detector" in keep
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
    return (
        f"{donor.name} needs a supply of its own and no single point for it is known",
        "name the points: taps: {5V: [x, y], 0V: [x, y]} in the site file",
    )


def _joined(original: Original, donor: Part, parts: list[Group], keep: tuple[str, ...]) -> tuple[str, str]:
    first = {function: nets[0] for function, nets in function_nets(original).items()}
    played = roles(original, donor, first, keep)
    found = board_change.joined_conflict([group.functions for group in parts], played.nets)
    words = "+".join(function for function in found[0] if function in played.nets) if found else "?"
    nets = " and ".join(found[1]) if found else "?"
    because = f"{donor.name} joins {words} inside and the board has them on {nets}"
    if not original.resistor_side or not original.load_side:
        return because, (
            "measure whether these pads read 0 ohm to each other (then give them one net), and on which side of the "
            "emitter its resistor sits (resistor_side) and the load of the detector (load_side)"
        )
    return because, "a donor with separate leads, or one that joins what the board joins"


def _impossible(original: Original, donor: Part, because: str, nearest: str) -> Fit:
    return Fit(
        original=original.name,
        donor=donor.name,
        kind=original.kind,
        possible=False,
        because=because,
        nearest=nearest,
        assumed=original.assumed,
        fails_open=original.if_open,
    )


def _proved(original: Original, donor: Part, answer: Fit) -> Fit:
    """The answer with the verifier's word; what it does not confirm is never possible."""
    reasons = verify(original, donor, answer)
    if reasons:
        return replace(answer, possible=False, verified=False, because=f"the check of the wiring failed: {reasons[0]}")
    return replace(answer, verified=True)


def _size(room: tuple[float, ...]) -> str:
    return " x ".join(f"{side:g}" for side in room) + " mm"
