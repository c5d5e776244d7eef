"""Places for a part whose facing is known but whose millimetres are not: the grid comes from the calipers."""

from __future__ import annotations

from dataclasses import replace

from xref.errors import UsageError
from xref.model.lead import Lead
from xref.model.part import Part

CORNERS = {"UL": (-0.5, 0.5), "LL": (-0.5, -0.5), "UR": (0.5, 0.5), "LR": (0.5, -0.5)}


def placed_by_grid(part: Part, grid_mm: tuple[float, float], upper_left: str = "") -> Part:
    """Give the leads of a four-lead part their places on a typed grid (across x down, middle to middle).

    ``upper_left``: which emitter lead (A or K) stands upper left, seen from the component side with the emitter on
    the left; needed where a sheet tells what faces what but not the mirror image.

    Raises:
        UsageError: facing unknown, or the mirror image open and not answered
    """
    geometry = part.geometry
    corners = dict(geometry.quadrants)
    if not corners:
        facing = {**geometry.facing, **{other: one for one, other in geometry.facing.items()}}
        if not {"A", "K"} <= set(facing):
            raise UsageError(
                f"it is not known which lead of {part.name} faces which; run xref identify and write a part file",
                "--donor-grid",
            )
        if upper_left not in ("A", "K"):
            raise UsageError(
                f"the mirror image of {part.name} is not known: look at the part from above with the emitter on the "
                "left and say which of its leads is the upper one: --donor-upper-left A or K",
                "--donor-grid",
            )
        lower = "K" if upper_left == "A" else "A"
        corners = {"UL": upper_left, "LL": lower, "UR": facing[upper_left], "LR": facing[lower]}
    across, down = grid_mm
    place = {
        function: (CORNERS[c][0] * across, CORNERS[c][1] * down) for c, function in corners.items() if c in CORNERS
    }
    named = {lead.function: lead for lead in geometry.leads}
    wanted = set(place) if not named else set(named)
    if wanted != set(place):
        raise UsageError(
            f"{part.name} has leads besides the four that face each other; write a part file", "--donor-grid"
        )
    leads = tuple(
        Lead(label=named[function].label if function in named else function, function=function, at_mm=spot)
        for function, spot in place.items()
    )
    provenance = {**part.provenance, "geometry.leads": "measured"}
    return replace(part, geometry=replace(geometry, leads=leads, pitch_mm=down, row_mm=across), provenance=provenance)
