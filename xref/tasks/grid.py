"""Places for a part whose facing is known but whose millimetres are not: the grid comes from the calipers."""

from __future__ import annotations

from dataclasses import replace

from xref.errors import UsageError
from xref.model.lead import Lead
from xref.model.part import Geometry, Part

CORNERS = {"UL": (-0.5, 0.5), "LL": (-0.5, -0.5), "UR": (0.5, 0.5), "LR": (0.5, -0.5)}
"""Upper and lower, left and right as shares of the grid: component side, emitter on the left, zero in the middle."""


def placed_by_grid(
    part: Part,
    grid_mm: tuple[float, float],
    upper_left: str = "",
    option: str = "--donor-grid",
    ask: str = "--donor-upper-left",
) -> Part:
    """Give the leads of a four-lead part their places on a typed grid.

    Args:
        part: its sheet tells which lead faces which, or which stands in which corner
        grid_mm: across and down, middle to middle of the leads [mm]
        upper_left: which emitter lead (A or K) stands upper left, seen from the component side with the emitter on the
            left; needed where a sheet tells what faces what but not the mirror image
        option: the option that gave the grid, for messages
        ask: the option that answers the mirror image, for messages

    Raises:
        UsageError: places known already, facing unknown, leads besides the four, or the mirror image open
    """
    geometry = part.geometry
    if geometry.wired:
        raise UsageError(
            f"where the leads of {part.name} stand is known; leave the option away, or write a part file of your own",
            option,
        )
    corners = _corners(part, upper_left, option, ask)
    across, down = grid_mm
    place = {function: (CORNERS[c][0] * across, CORNERS[c][1] * down) for c, function in corners.items()}
    named = {lead.function: lead for lead in geometry.leads}
    count = len(geometry.leads) or geometry.lead_count or len(place)
    if set(corners) != set(CORNERS) or count != len(place) or (named and set(named) != set(place)):
        raise UsageError(f"{part.name} has leads besides the four that face each other; write a part file", option)
    leads = tuple(
        Lead(label=named[function].label if function in named else function, function=function, at_mm=spot)
        for function, spot in place.items()
    )
    placed = replace(geometry, leads=leads, pitch_mm=down, row_mm=across)
    return replace(part, geometry=placed, provenance={**part.provenance, "geometry.leads": "measured"})


def _corners(part: Part, upper_left: str, option: str, ask: str) -> dict[str, str]:
    """Corner to function; from the corners of the sheet, else from its facing and the answer about the mirror."""
    geometry = part.geometry
    if geometry.quadrants:
        return dict(geometry.quadrants)
    facing = _both_ways(geometry)
    if not {"A", "K"} <= set(facing):
        raise UsageError(
            f"it is not known which lead of {part.name} faces which; run xref identify and write a part file", option
        )
    if upper_left not in ("A", "K"):
        raise UsageError(
            f"the mirror image of {part.name} is not known: look at the part from above with the emitter on the "
            f"left and say which of its leads is the upper one: {ask} A or K",
            option,
        )
    lower = "K" if upper_left == "A" else "A"
    return {"UL": upper_left, "LL": lower, "UR": facing[upper_left], "LR": facing[lower]}


def _both_ways(geometry: Geometry) -> dict[str, str]:
    """A sheet may name a pair from either end."""
    return {**{other: one for one, other in geometry.facing.items()}, **geometry.facing}
