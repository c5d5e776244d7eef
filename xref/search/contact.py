"""Switches by what joins when: hard gates, then an explained distance, in the way of ``rank``.

What a contact table contains and whether a contact suits a load is handed in (``plays``, ``suits``): the search knows
neither wiring nor stock.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from xref.model.answers.find import FindAnswer
from xref.model.part import Part
from xref.model.row import Row
from xref.model.switch_want import SwitchWant
from xref.model.want import Want
from xref.search.criteria import criteria
from xref.search.criterion import Criterion
from xref.search.rank import rank_by

# Weights: ours; what joins when and what the contact may carry decide before size and feel.
WEIGHTS = {
    "contacts": 5.0, "on the way": 3.0, "smallest load": 4.0, "rating": 4.0, "contact resistance": 2.0, "action": 2.5,
    "spring return": 2.5, "pitch": 2.5, "force": 1.0, "travel": 1.0, "bounce": 1.0, "mount": 1.5,
}  # fmt: skip

PITCH_MET_MM, PITCH_FAR_MM = 0.15, 2.0
FORCE_RATIO = 2.0
TRAVEL_MM = 1.0
AV_SPREAD = 0.2
"""Force and travel may drift by a fifth over the life (Panasonic AV3 manual): that much counts as met."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opinion:
    """One quantity of one part: ``distance`` 0 met to 1 (refused where it is a gate), None unknown."""

    quantity: str
    distance: float | None
    wanted: float | str | None
    offered: float | str | None
    unit: str
    why: str


Judge = Callable[[Part], Sequence[Opinion]]
"""Opinions of a part; always the same quantities in the same order."""


PartOf = Callable[[Row], Part]


def find_switches(
    donors: Iterable[tuple[Row, Part]],
    want: SwitchWant,
    *,
    judges: Sequence[tuple[tuple[str, ...], Judge]] = (),
    limit: int = 10,
) -> FindAnswer:
    """Rank switches.

    Args:
        donors: row and part of each, of any origin
        want: the request
        judges: (quantities, judge) pairs that speak of contacts and load; every quantity is a gate
        limit: how many candidates, 0 for all

    Returns:
        candidates by rising score, every refused one with its first reason
    """
    listed = list(donors)
    parts = {row.reference: part for row, part in listed}

    def part_of(row: Row) -> Part:
        return parts[row.reference]

    wishes = [wish for quantities, judge in judges for wish in _judged(quantities, judge, part_of)]
    asked = (_action, _springs, _mount, _pitch, _force, _travel, _bounce)
    wishes += [item for item in (make(want, part_of) for make in asked) if item is not None]
    plain = Want(kind="switch", body_mm=want.body_mm, leads=want.leads)
    wishes += criteria(plain)
    ranked = rank_by((row for row, _ in listed), wishes, limit=limit)
    return FindAnswer(
        question="stand-in",
        candidates=ranked.candidates,
        refused=ranked.refused,
        searched=ranked.searched,
        alike=len(ranked.alike),
        agree=ranked.agree,
    )


def _judged(quantities: tuple[str, ...], judge: Judge, part_of: PartOf) -> list[Criterion]:
    """One criterion a quantity; the judge is asked once a part."""
    asked: dict[str, dict[str, Opinion]] = {}

    def opinion(row: Row, quantity: str) -> Opinion:
        if row.reference not in asked:
            asked[row.reference] = {item.quantity: item for item in judge(part_of(row))}
        none = Opinion(quantity=quantity, distance=0.0, wanted=None, offered=None, unit="", why="")
        return asked[row.reference].get(quantity, none)

    def criterion(quantity: str) -> Criterion:
        def words(row: Row) -> tuple[float | str | None, float | str | None, str, str]:
            item = opinion(row, quantity)
            return item.wanted, item.offered, item.unit, item.why

        return Criterion(quantity, WEIGHTS[quantity], lambda row: opinion(row, quantity).distance, words, True)

    return [criterion(quantity) for quantity in quantities]


def _action(want: SwitchWant, part_of: PartOf) -> Criterion | None:
    if not want.action:
        return None
    wanted = want.action

    def offered(row: Row) -> str:
        contacts = part_of(row).contacts
        return contacts.action if contacts else ""

    def measure(row: Row) -> float | None:
        return None if not offered(row) else float(offered(row) != wanted)

    def words(row: Row) -> tuple[str, str | None, str, str]:
        action = offered(row)
        if not action:
            return wanted, None, "", "how it is worked is not known"
        return wanted, action, "", f"{action} as wanted" if action == wanted else f"{action} switch, wanted {wanted}"

    return Criterion("action", WEIGHTS["action"], measure, words, True)


def _springs(want: SwitchWant, part_of: PartOf) -> Criterion | None:
    if not want.springs:
        return None
    wanted = want.springs

    def offered(row: Row) -> str:
        contacts = part_of(row).contacts
        if contacts is None:
            return ""
        if contacts.returns_to or "momentary" in contacts.function or "(ON)" in contacts.function:
            return "back"
        latched = any(word in contacts.function for word in ("latching", "push-push", "self-lock", "ON-ON", "ON-OFF"))
        # a slider, toggle or coded switch stays unless its sheet says that it springs back
        return "stays" if latched or contacts.action in ("slide", "toggle", "rotary", "dip") else ""

    def measure(row: Row) -> float | None:
        return None if not offered(row) else float(offered(row) != wanted)

    def words(row: Row) -> tuple[str, str | None, str, str]:
        text = {"back": "springs back", "stays": "stays where it is put", "": "spring return not known"}[offered(row)]
        return wanted, offered(row) or None, "", text

    return Criterion("spring return", WEIGHTS["spring return"], measure, words, True)


def _mount(want: SwitchWant, part_of: PartOf) -> Criterion | None:
    if not want.mount:
        return None
    wanted = want.mount

    def measure(row: Row) -> float | None:
        return None if not row.mount else float(row.mount != wanted) * 0.7

    def words(row: Row) -> tuple[str, str | None, str, str]:
        return wanted, row.mount or None, "", f"{row.mount or 'mounting not known'} for {wanted}"

    return Criterion("mount", WEIGHTS["mount"], measure, words, False)


def _pitch(want: SwitchWant, part_of: PartOf) -> Criterion | None:
    if want.pitch_mm is None:
        return None
    wanted = want.pitch_mm

    def pitch(row: Row) -> float | None:
        # a single row of leads lies across: its step is the smallest distance between two leads
        spots = [lead.at_mm for lead in part_of(row).geometry.leads if lead.at_mm is not None]
        printed = part_of(row).geometry.pitch_mm
        if printed is not None or len(spots) < 2:
            return printed
        return round(min(math.dist(a, b) for a, b in itertools.combinations(spots, 2)), 3)

    def measure(row: Row) -> float | None:
        offered = pitch(row)
        if offered is None:
            return None
        off = abs(offered - wanted)
        return 0.0 if off <= PITCH_MET_MM else min(off / PITCH_FAR_MM, 0.95)

    def words(row: Row) -> tuple[float, float | None, str, str]:
        offered = pitch(row)
        if offered is None:
            return wanted, None, "mm", "lead pitch not known; measure it"
        ease = "" if abs(offered - wanted) <= PITCH_MET_MM else " (bend the leads or use wires)"
        return wanted, offered, "mm", f"lead pitch {offered:g} mm for {wanted:g} mm{ease}"

    return Criterion("pitch", WEIGHTS["pitch"], measure, words, False)


def _force(want: SwitchWant, part_of: PartOf) -> Criterion | None:
    if want.force is None or want.force <= 0:
        return None
    wanted = want.force

    def offered(row: Row) -> float | None:
        contacts = part_of(row).contacts
        value = None if contacts is None or contacts.force_n is None else contacts.force_n
        return None if value is None else value.typ if value.typ is not None else value.best

    def measure(row: Row) -> float | None:
        value = offered(row)
        if value is None or value <= 0:
            return None
        ratio = max(value / wanted, wanted / value)
        return 0.0 if ratio <= 1 + AV_SPREAD else min((ratio - 1) / (2 * FORCE_RATIO), 0.95)

    def words(row: Row) -> tuple[float, float | None, str, str]:
        value = offered(row)
        text = "operating force not known" if value is None else f"operating force {value:g} N for {wanted:g} N"
        return wanted, value, "N", text

    return Criterion("force", WEIGHTS["force"], measure, words, False)


def _travel(want: SwitchWant, part_of: PartOf) -> Criterion | None:
    if want.travel_mm is None:
        return None
    wanted = want.travel_mm

    def offered(row: Row) -> float | None:
        contacts = part_of(row).contacts
        if contacts is None:
            return None
        for key in ("total", "stroke"):
            if key in contacts.travel_mm:
                return contacts.travel_mm[key].best
        parts = [contacts.travel_mm[key].best for key in ("pretravel", "overtravel") if key in contacts.travel_mm]
        return sum(value or 0.0 for value in parts) if len(parts) == 2 else None

    def measure(row: Row) -> float | None:
        value = offered(row)
        if value is None:
            return None
        off = abs(value - wanted)
        return 0.0 if off <= AV_SPREAD * wanted else min(off / (2 * TRAVEL_MM), 0.95)

    def words(row: Row) -> tuple[float, float | None, str, str]:
        value = offered(row)
        text = "travel not known" if value is None else f"travel {value:g} mm for {wanted:g} mm"
        return wanted, value, "mm", text

    return Criterion("travel", WEIGHTS["travel"], measure, words, False)


def _bounce(want: SwitchWant, part_of: PartOf) -> Criterion | None:
    if want.bounce is None:
        return None
    wanted = want.bounce * 1e3

    def offered(row: Row) -> float | None:
        contacts = part_of(row).contacts
        value = None if contacts is None else contacts.bounce_ms
        return None if value is None else value.max if value.max is not None else value.best

    def measure(row: Row) -> float | None:
        value = offered(row)
        return None if value is None else 0.0 if value <= wanted else 0.7

    def words(row: Row) -> tuple[float, float | None, str, str]:
        value = offered(row)
        text = "bounce not known" if value is None else f"bounces up to {value:g} ms, {wanted:g} ms allowed"
        return wanted, value, "ms", text

    return Criterion("bounce", WEIGHTS["bounce"], measure, words, False)
