"""A close-up of a scene: pads, leads and wires large, bodies and holes only as far as they reach into the window."""

from __future__ import annotations

from dataclasses import replace

from xref.draw.layout import Outline, Scene
from xref.model.base import PointMm

AROUND_MM = 2.5
"""How much of the surroundings is kept round the pads and leads."""

_WORTH = 1.4
"""Cropped only when the whole is this many times as wide or as tall as the close-up."""

Edge = tuple[PointMm, PointMm]


def close_up(scene: Scene) -> Scene:
    """The scene with bodies and holes cut at a window round its marks, where that makes the marks clearly larger.

    A scene without pads is left whole: there the body is what the reader looks at.
    """
    points = [pad.at_mm for pad in scene.pads] + [lead.at_mm for lead in scene.leads]
    points += [point for wire in scene.wires for point in wire.points_mm]
    if not scene.pads or not points:
        return scene
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    box = (min(xs) - AROUND_MM, min(ys) - AROUND_MM, max(xs) + AROUND_MM, max(ys) + AROUND_MM)
    left, low, right, high = scene.extent()
    if right - left <= _WORTH * (box[2] - box[0]) and high - low <= _WORTH * (box[3] - box[1]):
        return scene
    return replace(
        scene,
        cropped=True,
        outlines=tuple(_cut(outline, box) for outline in scene.outlines),
        holes=tuple(h for h in scene.holes if _holds(box, h.at_mm, h.diameter_mm / 2)),
        axes=tuple(a for a in scene.axes if _holds(box, a.at_mm, 0.5)),
    )


def _holds(box: tuple[float, float, float, float], at: PointMm, radius: float) -> bool:
    return box[0] + radius <= at[0] <= box[2] - radius and box[1] + radius <= at[1] <= box[3] - radius


def _cut(outline: Outline, box: tuple[float, float, float, float]) -> Outline:
    """What of the outline's edges lies inside the box."""
    kept = tuple(edge for start, end in outline.edges() if (edge := _inside(start, end, box)) is not None)
    return replace(outline, pieces_mm=kept, corners_mm=())


def _inside(start: PointMm, end: PointMm, box: tuple[float, float, float, float]) -> Edge | None:
    """The part of a straight edge inside the box (clipping by the four sides in turn), or None."""
    enter, leave = 0.0, 1.0
    dx, dy = end[0] - start[0], end[1] - start[1]
    for step, room in (
        (-dx, start[0] - box[0]),
        (dx, box[2] - start[0]),
        (-dy, start[1] - box[1]),
        (dy, box[3] - start[1]),
    ):
        if step == 0:
            if room < 0:
                return None
            continue
        share = room / step
        if step < 0:
            enter = max(enter, share)
        else:
            leave = min(leave, share)
    if enter >= leave:
        return None
    return (
        (start[0] + enter * dx, start[1] + enter * dy),
        (start[0] + leave * dx, start[1] + leave * dy),
    )
