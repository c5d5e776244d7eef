"""How a donor goes in where the original was: joins board changes, roles, poses, lead map, checks."""

from __future__ import annotations

from dataclasses import replace

from xref.adapt import loose, setting, space
from xref.adapt.assemble import build
from xref.adapt.assign import Hole
from xref.adapt.board_change import Change
from xref.adapt.leadmap import Solution, solve
from xref.adapt.original import Original
from xref.adapt.poses import turned
from xref.adapt.setting import ASSUMED_LEAD_MM as ASSUMED_LEAD_MM
from xref.adapt.setting import FitOptions as FitOptions
from xref.adapt.setting import reach as reach
from xref.adapt.unplaced import list_only
from xref.adapt.verify import verify
from xref.adapt.ways import NoWay, Way, open_ways, used_groups
from xref.model.answers.fit import Fit
from xref.model.base import PointMm
from xref.model.part import Part

_SMALLER = "a donor with a smaller body, or its halves in the old housing"


def fit(original: Original, donor: Part, options: FitOptions | None = None) -> Fit:
    """The best way to put ``donor`` where ``original`` was, with its next-best alternatives, verified.

    Best: fewest board changes, then fewest wires, fewest crossings, shortest bent leads and wires, axis nearest to the
    original's within ``tolerance_mm``. The alternatives are the best of the other turns (and of equal board changes).
    """
    options = options or FitOptions()
    if "switch" in (original.kind, donor.kind):
        from xref.adapt.contacts_fit import fit_switch

        return fit_switch(original, donor, options)
    original = replace(original, keep=tuple(dict.fromkeys((*original.keep, *options.keep))))
    try:
        ways = open_ways(original, donor)
    except NoWay as none:
        return _impossible(original, donor, none.because, none.nearest)
    allowed, too_big = space.body_limit(original, donor)
    if too_big:
        return _impossible(original, donor, too_big, _SMALLER)
    narrow, wider = space.slot_limit(original, donor)
    if narrow:
        return _impossible(original, donor, narrow, wider)
    if not _placed(original, donor):
        too_big = loose.body_limit(original, donor)
        if too_big:
            return _impossible(original, donor, too_big, _SMALLER)
        way = ways[0]
        return _proved(original, donor, list_only(original, donor, way.change, way.roles, way.demands[0], way.jumpers))
    rules, reach_text = setting.reach_rules(original, donor, options)
    axis, donor_axis, axis_text = setting.axes(original, donor)
    outcomes: list[tuple[Solution, Way]] = []
    proven = True
    for way in ways:
        outcome = solve(
            _board_holes(original, way.change),
            [lead.at_mm or (0.0, 0.0) for lead in donor.geometry.leads],
            way.demands,
            turns=options.turns if options.turns is not None else setting.turns(original, donor),
            axis_mm=axis,
            donor_axis_mm=donor_axis,
            rules=rules,
            mirrored=options.solder_side,
            allowed=allowed,
        )
        proven = proven and outcome.proven
        outcomes += [(solution, way) for solution in outcome.solutions]
    if not outcomes:
        return _impossible(original, donor, *_no_room(original, donor))
    order = {id(way): index for index, way in enumerate(ways)}
    outcomes.sort(key=lambda item: (item[0].cost, order[id(item[1])], item[0].turn_deg))
    said = (*original.assumed, *axis_text, *reach_text)
    answers = [
        _written(original, donor, solution, way, options, said, _moved(solution, axis, donor_axis))
        for solution, way in outcomes[: 1 + options.alternatives]
    ]
    answers = [replace(answer, proven_best=proven) for answer in answers]
    return replace(answers[0], alternatives=tuple(answers[1:]))


def _moved(solution: Solution, axis: PointMm, donor_axis: PointMm) -> PointMm:
    """How far the solution puts the donor's axis from the original's, x and y in mm."""
    x, y = turned(donor_axis, solution.turn_deg, solution.mirrored)
    return x + solution.shift_mm[0] - axis[0], y + solution.shift_mm[1] - axis[1]


def _written(
    original: Original,
    donor: Part,
    solution: Solution,
    way: Way,
    options: FitOptions,
    said: tuple[str, ...],
    moved: PointMm,
) -> Fit:
    """One solution as a verified answer."""
    parts, holes = used_groups(original, donor), _board_holes(original, way.change)
    made = build(original, donor, solution, way.change, way.roles, parts, holes, way.jumpers, options.direct_mm)
    side = ("the donor sits on the solder side and looks the other way",) if options.solder_side else ()
    answer = replace(
        made,
        assumed=(*said, *way.change.assumed, *way.roles.assumed),
        warnings=(
            *side,
            *way.roles.notes,
            *way.change.notes,
            *space.beam_moved(original, moved, setting.beam_along_x(original)),
            *made.warnings,
        ),
    )
    return _proved(original, donor, answer)


def _board_holes(original: Original, change: Change) -> list[Hole]:
    holes = [
        Hole(label=pad.label, net=change.pad_nets.get(pad.label, f"unused:{pad.label}"), at_mm=pad.at_mm)
        for pad in original.pads
        if pad.at_mm is not None
    ]
    return holes + [Hole(label=f"tap {tap.net}", net=tap.net, at_mm=tap.at_mm, wire_only=True) for tap in original.taps]


def _placed(original: Original, donor: Part) -> bool:
    loose = "panel/wired" in (donor.geometry.mount, original.mount) or "pair" in (donor.kind, original.kind)
    return not loose and original.placed and donor.geometry.wired


def _no_room(original: Original, donor: Part) -> tuple[str, str]:
    where = f"the room of {' x '.join(f'{side:g}' for side in original.room_mm)} mm" if original.room_mm else ""
    near = f"clear of {' and '.join(name for name, _ in original.bodies)}" if original.bodies else ""
    places = " and ".join(text for text in (where and f"within {where}", near) if text)
    return (
        f"in no turn does the body of {donor.name} stay {places}",
        "a larger --tolerance, or a donor with a smaller body",
    )


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
