"""Drawings that cannot mislead: labels at their own marks, leads at their true places, no wire through a label."""

from __future__ import annotations

import math
import re
import statistics
from dataclasses import replace

import pytest
from drawing_cases import part, seeded, wired_parts

from xref.adapt.fit import fit
from xref.adapt.original import Original, Tap, from_typed
from xref.draw.figure import enlarged
from xref.draw.labels import Placer
from xref.draw.layout import fit_scene, seen
from xref.draw.picture import NO_PICTURE
from xref.draw.shapes import Label
from xref.draw.stages import staged
from xref.draw.text import draw_fit, lead_map_rows, meter_check
from xref.model.answers.fit import Added, Fit
from xref.model.drawing import Board
from xref.model.part import Part
from xref.model.value import Value
from xref.tasks.fit import board_of

Spot = tuple[float, float]
PILL = re.compile(r"\[(?P<pad>tap \w+|\w+)(?P<inside>(?: ~?\([\w+]+\))*)\]|~?\((?P<lead>[\w+]+)(?: [\w+]+)?\)")


def board(text: str, grid: Spot, kind: str) -> Original:
    """A blank board with points for supply and ground beside it."""
    taps = (Tap(net="5V", at_mm=(12.0, 3.0)), Tap(net="0V", at_mm=(9.0, -4.0)))
    return replace(from_typed(text, grid, kind=kind), taps=taps, load_side="C")


BOARDS = (
    board("A C / K E", (7.2, 2.54), "slotted"),
    board("A E / K C", (7.2, 2.54), "slotted"),
    board("A C / K E", (5.5, 2.54), "reflective"),
    board("C K / E A", (2.54, 2.54), "reflective"),
)


def labels(text: str) -> tuple[float, list[tuple[set[str], Spot]]]:
    """Columns a mm, and of each label: the names in it ('pad A', 'lead 1') with its middle in mm, from any origin."""
    lines = text.split("\n")
    ruler = next(line for line in lines if "one step = 1 mm" in line)
    scale = float(ruler.split("|")[1].count("-") + 1)
    start, stop = next(i for i, line in enumerate(lines) if not line), lines.index(ruler)
    found = []
    for row, line in enumerate(lines[start:stop]):
        for match in PILL.finditer(line):
            names = {f"pad {match['pad']}"} if match["pad"] else {f"lead {match['lead']}"}
            names |= {f"lead {name}" for name in re.findall(r"\(([\w+]+)\)", match["inside"] or "")}
            middle = match.start() + len(match.group()) // 2
            found.append((names, (middle / scale, -2 * row / scale)))
    return scale, found


def misplaced(answer: Fit, drawn: Board, donor: Part, view: str) -> list[str]:
    """Labels whose middle lies nearer to another drawn pad or lead than to their own; a cell of rounding is allowed."""
    text = draw_fit(answer, original=drawn, donor=donor, view=view, ascii=True)  # type: ignore[arg-type]
    if NO_PICTURE[:20] in text:
        return []
    scene = fit_scene(answer, drawn, donor, view)  # type: ignore[arg-type]
    true = {f"pad {m.label}": m.at_mm for m in scene.pads} | {f"lead {m.label}": m.at_mm for m in scene.leads}
    scale, shown = labels(text)
    assert {name for names, _ in shown for name in names} == set(true), text
    first = [(sorted(names)[-1], at) for names, at in shown]
    dx, dy = (statistics.median(true[name][i] - at[i] for name, at in first) for i in (0, 1))
    wrong = []
    for names, (x, y) in shown:
        here = (x + dx, y + dy)
        own = min(math.dist(here, true[name]) for name in names)
        nearest = min((n for n in true if n not in names), key=lambda n: math.dist(here, true[n]))
        if math.dist(here, true[nearest]) < own - 1 / scale:
            wrong.append(f"{donor.name}: {names} stands at {nearest}")
        inside = [name for name in names if name.startswith("lead")]
        for lead in inside if any(name.startswith("pad") for name in names) else []:
            others = [math.dist(here, true[n]) for n in true if n.startswith("lead") and n not in names]
            if min(others, default=9.0) < math.dist(here, true[lead]) - 1 / scale:
                wrong.append(f"{donor.name}: {lead} is written where another lead stands")
    return wrong


@pytest.mark.parametrize("where", range(len(BOARDS)))
def test_every_label_stands_at_its_own_mark(where: int) -> None:
    """For every wired donor of the library on each board: the nearest pad or lead to a label is its own."""
    here, drawn = BOARDS[where], board_of(BOARDS[where])
    checked = 0
    for donor in wired_parts():
        answer = fit(here, donor)
        if not answer.possible or answer.pose is None or any(len(m.label) > 3 for m in donor.geometry.leads):
            continue
        for view in ("component", "solder"):
            assert not misplaced(answer, drawn, donor, view)
        checked += 1
    assert checked > 20


@pytest.mark.parametrize("name", ["H22LTB", "H21LOI"])
def test_bent_leads_are_drawn_where_they_stand(name: str) -> None:
    """Leads 5, 4 and 3 of these parts stand between and below the pads C and E: in that order, top to bottom."""
    donor = next(p for p in wired_parts() if p.name == name)
    answer = fit(BOARDS[0], donor)
    text = draw_fit(answer, original=board_of(BOARDS[0]), donor=donor, ascii=True)

    rows = {key: next(i for i, line in enumerate(text.split("\n")) if key in line) for key in
            ("[C]", "~(5 GND)", "~(4 OUT)", "[E]", "(3 VCC)")}  # fmt: skip
    assert list(rows.values()) == sorted(set(rows.values()))
    assert {(o.lead, o.hole, o.do) for o in answer.over_holes} == {
        ("3", "E", "bend up"),
        ("4", "E", "bend over"),
        ("5", "C", "bend over"),
    }
    assert "bent leads 4 and 5 run over each other: sleeve both" in answer.warnings


def crossed(label: Label, legs: list[tuple[Spot, Spot]]) -> bool:
    """Whether a straight leg runs through the box of a text: sampled, no geometry of the drawing's own."""
    left, low, right, high = label.box
    return any(
        left < a[0] + (b[0] - a[0]) * t / 200 < right and low < a[1] + (b[1] - a[1]) * t / 200 < high
        for a, b in legs
        for t in range(201)
    )


def wires_of(figure) -> list[tuple[Spot, Spot]]:  # type: ignore[no-untyped-def]
    """The legs of every wire as drawn."""
    runs = [s.points for s in figure.shapes if getattr(s, "name", "").startswith("wire:")]
    return [(points[i], points[i + 1]) for points in runs for i in range(len(points) - 1)]


@pytest.mark.parametrize("where", range(len(BOARDS)))
def test_no_wire_runs_through_a_label(where: int) -> None:
    """On paper, up to four wires: no wire runs through the name of a pad or lead."""
    here, drawn = BOARDS[where], board_of(BOARDS[where])
    for donor in wired_parts():
        answer = fit(here, donor)
        if not answer.possible or answer.pose is None or answer.wire_count > 4:
            continue
        scene = fit_scene(answer, drawn, donor)
        for view in (scene, seen(scene, "solder")):
            figure = enlarged(view, width=91, height=82, text=3.0)
            legs = wires_of(figure)
            names = [s for s in figure.shapes if isinstance(s, Label) and s.text[0] in "(["]
            assert not [name.text for name in names if crossed(name, legs)], donor.name


def test_a_label_takes_the_free_place_even_when_it_is_further_away() -> None:
    """Wires through a mark and 4 mm above and below it: the text, 4 mm high, goes beyond them."""
    placer = Placer((0.0, 0.0, 100.0, 100.0), 3.0)
    for points in (((0.0, 50.0), (100.0, 50.0)), ((0.0, 46.0), (100.0, 46.0)), ((0.0, 54.0), (100.0, 54.0))):
        placer.keep_off_line(points)

    text = next(s for s in placer.label("(5 GND)", (50.0, 50.0), 1.0, (50.0, 0.0)) if isinstance(s, Label))
    assert text.box[1] > 54.0 or text.box[3] < 46.0


def test_a_lead_to_an_added_stage_is_in_the_lead_map() -> None:
    """Lead 4 goes to the base resistor and not to pad C: a row says both, with its function."""
    donor = part("D", [("1", "A", (0, 0)), ("2", "K", (0, 2)), ("4", "OUT", (5, 0)), ("5", "GND", (5, 2))])
    _, _, plain = seeded(3)
    answer = replace(
        plain,
        connections=(),
        links=(),
        staged_leads=("4",),
        added=(
            Added(what="NPN transistor Q1", between=("collector: pad C", "base: base of Q1", "emitter: 0V"), why="w"),
            Added(what="resistor", between=("lead 4", "base of Q1"), why="w", value_ohm=5100.0),
        ),
    )

    row = next(row for row in lead_map_rows(answer, donor) if row[0] == "4")
    assert row[:3] == ("4", "OUT", "->")
    assert row[4] == "to resistor 5.1 kohm, not to pad C"
    assert [(one.lead, one.not_pad) for one in staged(answer)] == [("4", "C")]


def test_the_meter_check_names_leads_and_colours() -> None:
    """Red on the anode lead, black on the cathode lead, with the value when it is known."""
    donor = next(p for p in wired_parts() if p.name == "RPR-220")
    answer = fit(BOARDS[2], donor)
    leads = {c.function: c for c in answer.connections}

    text = meter_check(answer, "about 1.05 V")
    assert f"red on lead {leads['A'].lead} (to pad {leads['A'].pad})" in text
    assert f"black on lead {leads['K'].lead} (to pad {leads['K'].pad}): about 1.05 V" in text
    # ROHM RPR-220 Rev.B prints VF typ 1.34 V at 50 mA: a meter's smaller current shows less
    drawn = " ".join(draw_fit(answer, original=board_of(BOARDS[2]), donor=donor, ascii=True).split())
    assert "a little below 1.34 V (typ, printed at 50 mA; a meter drives about 1 mA)" in drawn


def test_a_measured_forward_voltage_is_called_measured() -> None:
    """The word follows the basis: what the user read is not said to be printed."""
    donor = next(p for p in wired_parts() if p.name == "RPR-220")
    read = Value(typ=1.1, at={"if_ma": 10.0}, basis="measured")
    donor = replace(donor, emitter=replace(donor.emitter, vf_v=(read,)))
    answer = fit(BOARDS[2], donor)

    drawn = " ".join(draw_fit(answer, original=board_of(BOARDS[2]), donor=donor, ascii=True).split())

    assert "a little below 1.1 V (measured at 10 mA; a meter drives about 1 mA)" in drawn
