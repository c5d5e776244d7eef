"""From a part or a fit to a scene: everything at its place in mm, in the view asked for. Nothing is drawn here.

Text, SVG and PDF only draw scenes. Coordinates come in component-side (x from emitter to detector, y up); the solder
view is the exact mirror, x changes its sign.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

from xref.draw.words import View
from xref.model.answers.fit import Fit, Pose
from xref.model.base import PointMm
from xref.model.drawing import Board
from xref.model.part import Part

By = Literal["", "direct", "formed", "wire"]
EmitterAt = Literal["", "left", "right", "top", "bottom"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PadMark:
    """A pad of the board."""

    label: str
    net: str
    at_mm: PointMm


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadMark:
    """A lead of a part, and the pad it goes to (empty: it stays open, or there is no board)."""

    label: str
    function: str
    at_mm: PointMm
    pad: str = ""
    by: By = ""
    wire: int | None = None
    length_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WireRun:
    """A numbered wire. ``start``: ('lead' or 'pad', label); the points lead from start to end."""

    number: int
    start: tuple[Literal["lead", "pad"], str]
    end: tuple[Literal["lead", "pad"], str]
    points_mm: tuple[PointMm, ...]
    length_mm: float
    insulated: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """A closed line: a body seen along the leads. In a close-up only ``pieces_mm`` of it are left."""

    what: Literal["old body", "body"]
    corners_mm: tuple[PointMm, ...]
    pieces_mm: tuple[tuple[PointMm, PointMm], ...] = ()

    def edges(self) -> tuple[tuple[PointMm, PointMm], ...]:
        """The straight lines to draw."""
        return self.pieces_mm or tuple(zip(self.corners_mm, (*self.corners_mm[1:], *self.corners_mm[:1]), strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """A screw hole or peg of the board or the part."""

    what: str
    at_mm: PointMm
    diameter_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """Where the light looks: the optical axis of the old part or of the new one."""

    what: Literal["old optical axis", "optical axis"]
    at_mm: PointMm


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """One view, ready to draw, in mm as seen (x right, y up). ``emitter_at``: where the emitter lies as seen."""

    title: str
    view: View
    emitter_at: EmitterAt = ""
    far_side: bool = False
    """The new part sits on the solder side of the board."""
    cropped: bool = False
    """Bodies and holes go on beyond the window."""
    pads: tuple[PadMark, ...] = ()
    leads: tuple[LeadMark, ...] = ()
    wires: tuple[WireRun, ...] = ()
    outlines: tuple[Outline, ...] = ()
    holes: tuple[Round, ...] = ()
    axes: tuple[Axis, ...] = ()

    def points(self) -> list[PointMm]:
        """Every point that the drawing must hold."""
        found = [mark.at_mm for mark in self.pads]
        found += [mark.at_mm for mark in self.leads]
        found += [point for wire in self.wires for point in wire.points_mm]
        found += [point for outline in self.outlines for edge in outline.edges() for point in edge]
        found += [axis.at_mm for axis in self.axes]
        for hole in self.holes:
            r = hole.diameter_mm / 2
            found += [(hole.at_mm[0] + dx, hole.at_mm[1] + dy) for dx, dy in ((-r, -r), (r, r))]
        return found

    def extent(self) -> tuple[float, float, float, float]:
        """The box (left, bottom, right, top) around everything, in mm; zeros when there is nothing."""
        points = self.points() or [(0.0, 0.0)]
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        return min(xs), min(ys), max(xs), max(ys)


def mirror(point: PointMm) -> PointMm:
    """The point seen from the other side of the board. Twice gives the start again."""
    return (0.0 - point[0], point[1])


def seen(scene: Scene, view: View) -> Scene:
    """The scene in the view asked for: itself, or its exact mirror."""
    if scene.view == view:
        return scene
    flip: dict[EmitterAt, EmitterAt] = {"left": "right", "right": "left"}
    return replace(
        scene,
        view=view,
        emitter_at=flip.get(scene.emitter_at, scene.emitter_at),
        pads=tuple(replace(m, at_mm=mirror(m.at_mm)) for m in scene.pads),
        leads=tuple(replace(m, at_mm=mirror(m.at_mm)) for m in scene.leads),
        wires=tuple(replace(w, points_mm=tuple(mirror(p) for p in w.points_mm)) for w in scene.wires),
        outlines=tuple(
            replace(
                o,
                corners_mm=tuple(mirror(p) for p in o.corners_mm),
                pieces_mm=tuple((mirror(a), mirror(b)) for a, b in o.pieces_mm),
            )
            for o in scene.outlines
        ),
        holes=tuple(replace(h, at_mm=mirror(h.at_mm)) for h in scene.holes),
        axes=tuple(replace(a, at_mm=mirror(a.at_mm)) for a in scene.axes),
    )


def part_scene(part: Part, view: View = "component") -> Scene:
    """The leads of one part with its body, holes and optical axis. Leads without a place are left out."""
    geometry = part.geometry
    scene = Scene(
        title=part.name,
        view="component",
        emitter_at=_emitter_at(part, Pose(turn_deg=0, shift_mm=(0.0, 0.0))),
        leads=tuple(
            LeadMark(label=name, function=lead.function, at_mm=lead.at_mm)
            for name, lead in zip(lead_names(part), geometry.leads, strict=True)
            if lead.at_mm is not None
        ),
        outlines=_body("body", geometry.body_mm, lambda p: p),
        holes=tuple(Round(what=h.kind, at_mm=h.at_mm, diameter_mm=h.diameter_mm) for h in geometry.holes),
        axes=() if geometry.optical_axis_mm is None else (Axis(what="optical axis", at_mm=geometry.optical_axis_mm),),
    )
    return seen(scene, view)


def fit_scene(fit: Fit, board: Board, donor: Part, view: View = "component") -> Scene:
    """The donor laid over the board as the fit says: pads, donor leads, numbered wires, both bodies.

    Wires that the fit has not numbered get the next free numbers in the order of ``connections``, then the links.
    """
    pose = fit.pose or Pose(turn_deg=0, shift_mm=(0.0, 0.0))
    by_lead = {c.lead: c for c in fit.connections}
    numbers = wire_numbers(fit)
    leads = []
    for name, lead in zip(lead_names(donor), donor.geometry.leads, strict=True):
        used = by_lead.get(name)
        if used is not None:
            leads.append(
                LeadMark(
                    label=name,
                    function=lead.function,
                    at_mm=used.lead_at_mm,
                    pad=used.pad,
                    by=used.by,
                    wire=numbers.get(used.lead),
                    length_mm=used.length_mm,
                )
            )
        elif lead.at_mm is not None:
            leads.append(LeadMark(label=name, function=lead.function, at_mm=placed(lead.at_mm, pose)))
    axes: list[Axis] = []
    if board.optical_axis_mm is not None:
        axes.append(Axis(what="old optical axis", at_mm=board.optical_axis_mm))
    if donor.geometry.optical_axis_mm is not None:
        axes.append(Axis(what="optical axis", at_mm=placed(donor.geometry.optical_axis_mm, pose)))
    scene = Scene(
        title=f"{donor.name} in place of {board.name}",
        view="component",
        emitter_at=_emitter_at(donor, pose),
        far_side=pose.side == "solder",
        pads=tuple(PadMark(label=pad.label, net=pad.net, at_mm=pad.at_mm) for pad in board.pads) + _taps(fit, board),
        leads=tuple(leads),
        wires=_wires(fit, board, numbers),
        outlines=_body("old body", board.body_mm, lambda p: p)
        + _body("body", donor.geometry.body_mm, lambda p: placed(p, pose)),
        holes=tuple(Round(what=h.kind, at_mm=h.at_mm, diameter_mm=h.diameter_mm) for h in board.holes),
        axes=tuple(axes),
    )
    return seen(scene, view)


def placed(point: PointMm, pose: Pose) -> PointMm:
    """A donor point on the board: mirrored if it sits on the solder side, turned counter-clockwise, then shifted."""
    exact = {0: (1.0, 0.0), 90: (0.0, 1.0), 180: (-1.0, 0.0), 270: (0.0, -1.0)}
    turn = pose.turn_deg % 360
    cos, sin = exact.get(turn) or (math.cos(math.radians(turn)), math.sin(math.radians(turn)))
    x, y = mirror(point) if pose.side == "solder" else point
    return (x * cos - y * sin + pose.shift_mm[0], x * sin + y * cos + pose.shift_mm[1])


def lead_names(part: Part) -> list[str]:
    """A name for every lead that no other lead of the part has, as the fit gives them: its label, else its number."""
    seen: dict[str, int] = {}
    found = []
    for number, lead in enumerate(part.geometry.leads, 1):
        word = lead.label or str(number)
        seen[word] = seen.get(word, 0) + 1
        found.append(word if seen[word] == 1 else f"{word}-{seen[word]}")
    return found


def wire_numbers(fit: Fit) -> dict[str, int]:
    """Lead label to wire number for every lead that needs a wire; numbers that the fit gave are kept."""
    given = {c.lead: c.wire_number for c in fit.connections if c.by == "wire" and c.wire_number is not None}
    free = _free_numbers(given.values())
    return {c.lead: given[c.lead] if c.lead in given else next(free) for c in fit.connections if c.by == "wire"}


def link_numbers(fit: Fit) -> tuple[int, ...]:
    """The numbers of the links (jumpers between two places of the board): they follow those of the leads."""
    start = max(wire_numbers(fit).values(), default=0) + 1
    return tuple(range(start, start + len(fit.links)))


def _free_numbers(taken: Iterable[int | None]) -> Iterator[int]:
    used = set(taken)
    return (number for number in range(1, 1000) if number not in used)


def _wires(fit: Fit, board: Board, numbers: dict[str, int]) -> tuple[WireRun, ...]:
    runs = [
        WireRun(
            number=numbers[c.lead],
            start=("lead", c.lead),
            end=("pad", c.pad),
            points_mm=_route(c.lead_at_mm, c.route_mm, c.pad_at_mm),
            length_mm=c.length_mm,
            insulated=c.insulated,
        )
        for c in fit.connections
        if c.by == "wire"
    ]
    places = {**board.taps, **{pad.label: pad.at_mm for pad in board.pads}}
    for number, link in zip(link_numbers(fit), fit.links, strict=True):
        ends = [places.get(name) for name in link.between]
        runs.append(
            WireRun(
                number=number,
                start=("pad", link.between[0]),
                end=("pad", link.between[1]),
                points_mm=tuple(p for p in ends if p is not None) if None not in ends else (),
                length_mm=link.length_mm,
                insulated=link.insulated,
            )
        )
    return tuple(sorted(runs, key=lambda run: run.number))


def _taps(fit: Fit, board: Board) -> tuple[PadMark, ...]:
    """The taps that a wire or link of the fit reaches, drawn like pads."""
    pads = {pad.label for pad in board.pads}
    used = {name for link in fit.links for name in link.between} | {c.pad for c in fit.connections}
    return tuple(PadMark(label=name, net="", at_mm=at) for name, at in board.taps.items() if name in used - pads)


def _route(start: PointMm, corners: tuple[PointMm, ...], end: PointMm) -> tuple[PointMm, ...]:
    """The corner points with both ends, whether or not the fit's route already holds them."""
    middle = [p for p in corners if p not in (start, end)]
    return (start, *middle, end)


def _body(
    what: Literal["old body", "body"], size: tuple[float, float] | None, place: Callable[[PointMm], PointMm]
) -> tuple[Outline, ...]:
    if size is None:
        return ()
    half_x, half_y = size[0] / 2, size[1] / 2
    corners = ((-half_x, half_y), (half_x, half_y), (half_x, -half_y), (-half_x, -half_y))
    return (Outline(what=what, corners_mm=tuple(place(corner) for corner in corners)),)


def _emitter_at(part: Part, pose: Pose) -> EmitterAt:
    """Where the light comes from as the part lies: from the middle of its emitter leads to that of the others."""
    if part.kind not in ("reflective", "slotted"):
        return ""
    light: list[PointMm] = []
    other: list[PointMm] = []
    for lead in part.geometry.leads:
        if lead.at_mm is not None and lead.function != "NC":
            (light if {"A", "K", "A2", "K2"} & set(lead.functions) else other).append(placed(lead.at_mm, pose))
    if not light or not other:
        return ""
    dx = sum(p[0] for p in other) / len(other) - sum(p[0] for p in light) / len(light)
    dy = sum(p[1] for p in other) / len(other) - sum(p[1] for p in light) / len(light)
    if max(abs(dx), abs(dy)) < 0.3:
        return ""
    if abs(dx) >= abs(dy):
        return "left" if dx > 0 else "right"
    return "bottom" if dy > 0 else "top"
