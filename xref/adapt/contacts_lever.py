"""Which way a lever works: from the places of the leads that it joins, so that the new one moves like the old one."""

from __future__ import annotations

from collections.abc import Sequence

from xref.adapt.contacts import Table, poles
from xref.adapt.contacts_match import Way
from xref.adapt.original import Original
from xref.adapt.poses import turned
from xref.model.base import PointMm
from xref.model.contact_need import ContactNeed
from xref.model.part import Part

TURNS = (0, 90, 180, 270)
SIDE = {"slide": 1.0, "toggle": -1.0}
"""A slider stands over the leads that it joins, the tip of a toggle points away (common practice, no source)."""

SEEN_MM = 0.5
"""A smaller movement than this between the joined leads says nothing."""


def lever_turns(
    original: Original, donor: Part, wanted: Table, offered: Table, ways: Sequence[Way], need: ContactNeed
) -> tuple[dict[int, list[Way]], tuple[str, ...]]:
    """For each turn of the donor the ways in which its lever moves as before; and what was assumed for that.

    With ``need.lever`` the user has tried the donor in its place, so the order holds as asked; turned by half a turn
    it is the other one. Where the movement cannot be told, every way stays.
    """
    free = {turn: list(ways) for turn in TURNS}
    if need.lever:
        flipped = [way for way in ways if _runs(way) == (1 if need.lever == "same" else -1)]
        return {0: flipped}, (f"the lever of {donor.name} runs as stated (--lever {need.lever}), not turned",)
    old = movement(wanted, [pad.at_mm for pad in original.pads], _action(original))
    new = movement(
        offered, [lead.at_mm for lead in donor.geometry.leads], donor.contacts.action if donor.contacts else ""
    )
    last = len(wanted.positions) - 1
    told = old is not None and new is not None and last > 0
    if not told or old is None or new is None:
        return free, ()
    start = _between(old, 0, last)
    if start is None:
        return free, ()
    kept: dict[int, list[Way]] = {}
    for turn in TURNS:
        for way in ways:
            step = _between(new, way.positions[0], way.positions[last])
            if step is None:
                return free, ()
            moved = turned(step, turn)
            if moved[0] * start[0] + moved[1] * start[1] > SEEN_MM**2:
                kept.setdefault(turn, []).append(way)
    text = (
        "the lever works as before: a slider stands over the leads it joins, a toggle's tip points away from them "
        "(try it with the meter)"
    )
    if kept:
        return kept, (text,)
    return free, ("in no turn does the lever work as before: it moves the other way or across",)


def movement(of: Table, at: Sequence[PointMm | None], action: str) -> list[PointMm | None] | None:
    """Where the lever points in each position, or None where this cannot be told; a position without joins is None."""
    sign = SIDE.get(action)
    if sign is None or any(place is None for place in at) or len(at) != len(of.leads):
        return None
    spots = [place for place in at if place is not None]
    middles = {lead: _middle([spots[k] for k in pole]) for pole in poles(of) for lead in pole}
    found: list[PointMm | None] = []
    for row in of.group:
        joined = [lead for lead in range(len(row)) if row.count(row[lead]) > 1]
        if not joined:
            found.append(None)
            continue
        here = _middle([(spots[lead][0] - middles[lead][0], spots[lead][1] - middles[lead][1]) for lead in joined])
        found.append((sign * here[0], sign * here[1]))
    return found


def _between(points: list[PointMm | None], start: int, end: int) -> PointMm | None:
    one, other = points[start], points[end]
    if one is None or other is None:
        return None
    step = other[0] - one[0], other[1] - one[1]
    return step if max(abs(step[0]), abs(step[1])) >= SEEN_MM else None


def _middle(points: Sequence[PointMm]) -> PointMm:
    return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)


def _runs(way: Way) -> int:
    """1 when the donor's positions rise with the wanted ones, -1 when they fall, 0 when mixed; 1 for one position."""
    steps = {1 if b > a else -1 for a, b in zip(way.positions, way.positions[1:], strict=False)}
    return 1 if not steps else next(iter(steps)) if len(steps) == 1 else 0


def _action(original: Original) -> str:
    return original.contacts.action if original.contacts is not None else ""
