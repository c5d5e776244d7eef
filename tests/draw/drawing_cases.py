"""Parts, boards and fits for the drawing tests. Invented ones beside the library's bring the hard cases."""

from __future__ import annotations

import math
import random
from functools import cache

from xref.library.store import open_library
from xref.model.answers.fit import Connection, Fit, Link, Pose
from xref.model.drawing import Board, BoardPad
from xref.model.lead import Lead
from xref.model.part import Geometry, Part

LONG = ("erste Anode (grün/weiß, außen)", "陰極", "コレクタ側リード", "이미터", "Kathode Ringwähler", "C2-übergeordnet")
HOSTILE = '<b onclick="x">&amp;\x1b[31m\x07]]>\u202e'
FUNCTIONS = ("A", "K", "C", "E", "A2", "K2", "C2", "E2")


def part(name: str, leads: list[tuple[str, str, tuple[float, float]]], kind: str = "slotted") -> Part:
    """A part from (label, function, place)."""
    made = tuple(Lead(label=label, function=function, at_mm=at) for label, function, at in leads)
    return Part(name=name, kind=kind, geometry=Geometry(leads=made, body_mm=(13.0, 9.0)))  # type: ignore[arg-type]


def eight(labels: tuple[str, ...] = ("1", "2", "3", "4", "5", "6", "7", "8")) -> Part:
    """Eight leads in two rows."""
    return part(
        "eight leads, Größe Ø 12 回転検出器",
        [(labels[i], FUNCTIONS[i], (-3.81 + 2.54 * (i % 4), 2.54 if i < 4 else -2.54)) for i in range(8)],
    )


@cache
def wired_parts() -> tuple[Part, ...]:
    """Every wired part of the library, and eight leads with plain and with long names."""
    own = [eight(), eight((*LONG, "g", "h"))]
    return (*(p for p in open_library().parts() if p.geometry.wired), *own)


def board_of(original: Part) -> Board:
    """The pads under a part, each its own net."""
    return Board(
        name=original.name,
        pads=tuple(
            BoardPad(label=lead.label, at_mm=lead.at_mm, net=f"N{i}", needs=lead.function)
            for i, lead in enumerate(original.geometry.leads)
            if lead.at_mm is not None
        ),
        body_mm=original.geometry.body_mm,
        optical_axis_mm=original.geometry.optical_axis_mm,
    )


def plain_fit(board: Board, donor: Part, turn: int = 0, links: tuple[Link, ...] = ()) -> Fit:
    """Lead to the first unused pad of its function, else to any: not a good wiring, but one to draw."""
    angle = math.radians(turn)
    free = list(board.pads)
    connections = []
    for lead in donor.geometry.leads:
        pad = next((p for p in free if p.needs == lead.function), None)
        if pad is None or lead.at_mm is None:
            continue
        free.remove(pad)
        x, y = lead.at_mm
        at = (x * math.cos(angle) - y * math.sin(angle), x * math.sin(angle) + y * math.cos(angle))
        far = math.dist(at, pad.at_mm)
        connections.append(
            Connection(
                lead=lead.label,
                function=lead.function,
                pad=pad.label,
                net=pad.net,
                by="direct" if far < 0.3 else "formed" if far < 1.3 else "wire",
                length_mm=far,
                lead_at_mm=at,
                pad_at_mm=pad.at_mm,
                insulated=len(connections) % 3 != 2,
            )
        )
    used = {c.lead for c in connections}
    return Fit(
        original=board.name,
        donor=donor.name,
        kind=donor.kind,
        possible=True,
        pose=Pose(turn_deg=turn, shift_mm=(0.0, 0.0)),
        connections=tuple(connections),
        links=links,
        open_leads=tuple(lead.label for lead in donor.geometry.leads if lead.label not in used),
        wire_count=sum(c.by == "wire" for c in connections),
        verified=True,
    )


def seeded(seed: int) -> tuple[Board, Part, Fit]:
    """A board, a donor and a fit drawn by lot: up to 8 leads, up to 12 wires, short and long names."""
    lot = random.Random(seed)
    count = lot.choice((2, 3, 4, 4, 5, 6, 8))
    labels = list(lot.choice((("1", "2", "3", "4", "5", "6", "7", "8"), (*LONG, "g", "h"), FUNCTIONS)))[:count]
    spots = lot.sample([(2.54 * i - 6.35, 2.54 * j - 2.54) for i in range(6) for j in range(3)], 2 * count)
    donor = part(
        lot.choice(("Lichtschranke für Außenring", "回転検出器 3号", "QX12", "a" * 60)),
        [(labels[i], FUNCTIONS[i], spots[i]) for i in range(count)],
        lot.choice(("slotted", "reflective")),
    )
    board = Board(
        name=lot.choice(("blank, black", "Originalteil ohne Aufdruck, schwarz, mit einer sehr langen Bezeichnung")),
        pads=tuple(
            BoardPad(label=f"P{i + 1}", at_mm=spots[count + i], net=f"net{i}", needs=FUNCTIONS[i]) for i in range(count)
        ),
        body_mm=(11.0, 7.0) if lot.random() < 0.7 else None,
        taps={"Prüfpunkt 5 V beim Elko": (8.0, 6.0)},
    )
    pads = [pad.label for pad in board.pads]
    links = tuple(
        Link(between=(pads[i], pads[-1 - i]), length_mm=9.0, why="joined inside the old part")
        for i in range(min(lot.randrange(0, 5), count // 2))
    )
    if lot.random() < 0.3:
        links = (*links, Link(between=(pads[0], "Prüfpunkt 5 V beim Elko"), length_mm=7.0, why="supply"))
    return board, donor, plain_fit(board, donor, lot.choice((0, 180)), links[: 12 - count])
