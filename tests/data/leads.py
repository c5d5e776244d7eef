"""Leads of a fact against leads of a part: the same places after quarter turns, whatever way they are written."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from xref.model.part import Part

EMITTER = ("A", "K", "A2", "K2")
Point = tuple[float, float]
Difference = tuple[str, Any, Any]


def turned(point: Point, quarters: int) -> Point:
    """The point after so many counter-clockwise quarter turns about the body centre."""
    x, y = point
    for _ in range(quarters % 4):
        x, y = -y, x
    return x, y


def near(one: Point, other: Point) -> bool:
    """The same place within 5 µm."""
    return math.dist(one, other) < 0.005


def functions(entry: dict[str, Any]) -> dict[str, str]:
    """Label to function, with what joins inside one lead as ``K+E``."""
    leads = entry.get("leads") or {}
    found = {str(label): function for label, function in (leads.get("functions") or {}).items()}
    for label, joined in (leads.get("common") or {}).items():
        if len(joined) > 1 and all(word in (*EMITTER, "C", "E") for word in joined):
            found[str(label)] = "+".join(joined)
    return found


def quarter(entry: dict[str, Any], part: Part) -> int | None:
    """By how many quarter turns the part's leads stand turned against the fact's; None when by none of the four."""
    places = {str(label): tuple(at) for label, at in entry["leads"]["positions_mm"].items()}
    shipped = {lead.label: lead.at_mm for lead in part.geometry.leads}
    for turns in range(4):
        if shipped.keys() == places.keys() and all(
            shipped[label] is not None and near(turned(at, turns), shipped[label]) for label, at in places.items()
        ):
            return turns
    return None


def spots(part: Part) -> list[tuple[str, float, float]]:
    """Function and place of every lead that has one."""
    return [(lead.function, *lead.at_mm) for lead in part.geometry.leads if lead.at_mm is not None]


def emitter_left(part: Part) -> bool:
    """True when the middle of the emitter's leads lies left of the middle of the others."""
    places = [spot for spot in spots(part) if spot[0] != "NC"]
    emitter = [x for function, x, _ in places if function.split("+")[0] in EMITTER]
    others = [x for function, x, _ in places if function.split("+")[0] not in EMITTER]
    return not emitter or not others or sum(emitter) / len(emitter) < sum(others) / len(others)


def corners(part: Part) -> dict[str, str]:
    """Functions by corner: UL, LL, UR, LR."""
    return {("U" if y > 0 else "L") + ("L" if x < 0 else "R"): function for function, x, y in spots(part)}


def opposite(part: Part) -> dict[str, str]:
    """For each emitter lead the function on the other side nearest to its height."""
    places = spots(part)
    right = [(function, y) for function, x, y in places if x > 0]
    return {
        function: min(right, key=lambda item: abs(item[1] - y))[0].rstrip("2")
        for function, x, y in places
        if x < 0 and function in EMITTER
    }


def sizes(entry: dict[str, Any], part: Part, quarters: int) -> Iterator[Difference]:
    """Body, axis, holes and uncertainties, turned as the leads are."""
    leads, geometry = entry.get("leads") or {}, part.geometry
    body = list(entry.get("body_mm") or ())
    ships = (*geometry.size_mm, None, None, None)
    whole = body[: body.index(None)] if None in body else body
    if any(figure not in (None, shown) for figure, shown in zip(whole, ships, strict=False)):
        yield "body_mm", body, geometry.size_mm
    if leads.get("body_xy_mm"):
        across = turned(tuple(leads["body_xy_mm"]), quarters)
        if geometry.body_mm is None or not near((abs(across[0]), abs(across[1])), geometry.body_mm):
            yield "leads.body_xy_mm", leads["body_xy_mm"], geometry.body_mm
    axis = entry.get("optical_axis_mm")
    if axis and (geometry.optical_axis_mm is None or not near(turned(axis, quarters), geometry.optical_axis_mm)):
        yield "optical_axis_mm", axis, geometry.optical_axis_mm
    holes = (entry.get("mounting") or {}).get("holes_mm") or []
    shipped = [(hole.kind, hole.at_mm, hole.diameter_mm) for hole in geometry.holes]
    for x, y, diameter in holes:
        place = turned((x, y), quarters)
        if not any(
            kind == entry["mounting"]["kind"] and near(place, at) and diameter in (d, None) for kind, at, d in shipped
        ):
            yield "mounting.holes_mm", [x, y, diameter], shipped
    for label, (x, y) in (leads.get("uncertain_mm") or {}).items():
        size = turned((x, y), quarters)
        at = geometry.uncertain_mm.get(str(label))
        if at is None or not near((abs(size[0]), abs(size[1])), at):
            yield f"leads.uncertain_mm.{label}", [x, y], at


def words(entry: dict[str, Any], part: Part) -> Iterator[Difference]:
    """Corners, facing and order: from the places where there are some, else as written."""
    leads, geometry = entry.get("leads") or {}, part.geometry
    if leads.get("quadrants"):
        got = corners(part) if geometry.wired else geometry.quadrants
        if got != leads["quadrants"]:
            yield "leads.quadrants", leads["quadrants"], got
    if leads.get("facing"):
        got = opposite(part) if geometry.wired else geometry.facing
        if got != leads["facing"]:
            yield "leads.facing", leads["facing"], got
    if leads.get("order"):
        row = sorted((lead.at_mm[0], lead.label if part.kind == "switch" else lead.function)
                     for lead in geometry.leads if lead.at_mm is not None)  # fmt: skip
        order = [label for _, label in row] if geometry.wired else list(geometry.order)
        if order != [str(word) for word in leads["order"]]:
            yield "leads.order", leads["order"], order


def leads_differ(entry: dict[str, Any], part: Part) -> Iterator[Difference]:
    """Everything about leads and sizes in which the part differs from the fact."""
    leads, geometry = entry.get("leads") or {}, part.geometry
    count = geometry.lead_count or len(geometry.leads)
    if leads.get("count") and count != leads["count"]:
        yield "leads.count", leads["count"], count
    if part.kind == "switch":
        labels = {lead.label for lead in geometry.leads}
        if not functions(entry).keys() <= labels:
            yield "leads.functions", functions(entry), sorted(labels)
    elif functions(entry) and functions(entry) != {lead.label: lead.function for lead in geometry.leads}:
        yield "leads.functions", functions(entry), {lead.label: lead.function for lead in geometry.leads}
    quarters = 0
    if leads.get("positions_mm"):
        found = quarter(entry, part)
        quarters = found or 0
        if found is None:
            yield "leads.positions_mm", leads["positions_mm"], [lead.at_mm for lead in geometry.leads]
        if leads.get("basis") == "drawing" and part.basis_of("geometry.leads") != "printed":
            yield "leads.basis", "drawing", part.basis_of("geometry.leads")
        if leads.get("basis") in ("derived", "text") and part.basis_of("geometry.leads") != "derived":
            yield "leads.basis", leads["basis"], part.basis_of("geometry.leads")
    for key in ("pitch_mm", "row_mm", "mount"):
        if leads.get(key) is not None and getattr(geometry, key) != leads[key]:
            yield f"leads.{key}", leads[key], getattr(geometry, key)
    if leads.get("view") in ("top", "bottom") and geometry.view != leads["view"]:
        yield "leads.view", leads["view"], geometry.view
    for one, other in (leads.get("wire_colours") or {}).items():
        pairs = {(lead.label, lead.colour) for lead in geometry.leads}
        pairs |= {(lead.colour, lead.function) for lead in geometry.leads}
        if (str(one), str(other)) not in pairs:
            yield f"leads.wire_colours.{one}", other, sorted(pairs)
    if entry.get("senses") and geometry.senses != entry["senses"]:
        yield "senses", entry["senses"], geometry.senses
    yield from sizes(entry, part, quarters)
    yield from words(entry, part)
