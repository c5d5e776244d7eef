"""What holds for a pair before any search: how far leads bend, which points stay together, which turns are allowed."""

from __future__ import annotations

import math
from dataclasses import dataclass

from xref.adapt.leadmap import Rules
from xref.adapt.original import Original, halfway
from xref.adapt.poses import turned, turns_for
from xref.adapt.roles import used_half
from xref.errors import UsageError
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

    def __post_init__(self) -> None:
        for name in ("tolerance_mm", "direct_mm", "reach_mm"):
            value = getattr(self, name)
            if value is not None and not 0 <= value < 1000:
                raise UsageError(f"{name.removesuffix('_mm')} {value:g} mm: expected 0 mm or more")
        wrong = [turn for turn in self.turns or () if turn not in (0, 90, 180, 270)]
        if wrong or self.turns == ():
            raise UsageError(f"turn {wrong[0] if wrong else 'none'}: expected 0, 90, 180 or 270")


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


def axes(original: Original, donor: Part) -> tuple[PointMm, PointMm, tuple[str, ...]]:
    """The point of the original and the point of the donor that stay together, and what was assumed of them."""
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


def beam_along_x(original: Original) -> bool:
    """Whether the original's emitter and detector leads stand apart along x rather than along y."""
    beam = _beam([(pad.functions, pad.at_mm) for pad in original.pads])
    return beam is None or abs(beam[0]) >= abs(beam[1])


def turns(original: Original, donor: Part) -> tuple[int, ...]:
    """Turns that keep the sensing direction of this pair."""
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
