"""Sheets for the tests of paper: one plain, one for a part in its own place, and as many by lot as wanted."""

from __future__ import annotations

import random
from dataclasses import replace

from drawing_cases import HOSTILE, board_of, eight, plain_fit, seeded

from xref.model.answers.fit import Added, Cut, ValueChange
from xref.model.answers.sheet import Expected, Sheet
from xref.model.part import Part
from xref.model.plot import Curve, Mark, Plot, PlotAxis
from xref.paper.content import changes_of, label_of, order_of_work, undo_of, wires_of

WORDS = (
    "Ausgang gegen Masse messen, während die Karte davor liegt", "出力電圧を測定する", "센서 출력",
    "supply at the plug", "Ringwähler in Stellung außen", HOSTILE, "x" * 90, "across the emitter",
    "card in front, 3 mm", "power on",
)  # fmt: skip


def plot() -> Plot:
    """A small plot."""
    return Plot(
        title="Pulse at the highest rate",
        x=PlotAxis(name="time", unit="ms"),
        y=PlotAxis(name="output", unit="V"),
        curves=(Curve(name="output", points=tuple((t / 10, 5 * (t % 20) / 20) for t in range(60))),),
        marks=(Mark(name="high above", at=2.0), Mark(name="low below", at=0.8)),
    )


def own_place(made: Part) -> Sheet:
    """The sheet of a part that goes back into its own pads: every lead stands on its pad."""
    board = board_of(made)
    return Sheet(original=made.name, donor=made.name, board=board, donor_part=made, fit=plain_fit(board, made))


def ordinary() -> Sheet:
    """A job as most are: four wires or fewer, three readings, two cautions. It must fit on one page."""
    board, donor, fit = next(found for found in map(seeded, range(99)) if len(found[1].geometry.leads) == 4)
    fit = replace(
        fit,
        cuts=(Cut(do="cut", where="track between pad P1 and the 0 V plane", why="the donor joins K and E"),),
        values=(ValueChange(where="emitter resistor", was_ohm=220.0, now_ohm=150.0, why="weaker coupling"),),
        added=(Added(what="pull-up", between=("OUT", "5 V"), why="open collector", value_ohm=4700.0),),
    )
    return filled(Sheet(board=board, donor_part=donor, fit=fit, original=board.name, donor="QX12"))


def filled(sheet: Sheet) -> Sheet:
    """The sheet with wires, steps, undo and label taken from its fit, and the usual text."""
    assert sheet.fit is not None
    return replace(
        sheet,
        job="arm park",
        machine="fraction collector 2",
        date="2026-11-25",
        cautions=("Power off and unplug before you open the cover.", "The emitter sends invisible light."),
        wires=wires_of(sheet.fit, {1: "BK"}),
        changes=changes_of(sheet.fit),
        steps=order_of_work(sheet.fit),
        undo=undo_of(sheet.fit),
        label=label_of(sheet.fit, "2026-11-25"),
        readings=(
            Expected(point="across the emitter", when="power on", expect="1.1 to 1.4 V"),
            Expected(point="output to 0 V", when="card in front, 3 mm", expect="0.1 to 0.5 V"),
            Expected(point="output to 0 V", when="nothing in front", expect="4.2 to 5.0 V"),
        ),
        assumptions=("Temperature 10 to 45 C.",),
        sources=("QX12 sensor, document 81234, rev. 1.2, 2009-05-04",),
    )


def by_lot(seed: int) -> Sheet:
    """Any sheet: long and foreign words, few and many rows, with and without plots, A4 and Letter."""
    lot = random.Random(seed)
    board, donor, fit = seeded(seed)
    if seed % 10 == 0:
        donor = eight()
        board = board_of(donor)
        fit = plain_fit(board, donor, 180)

    def some(most: int) -> tuple[str, ...]:
        return tuple(lot.choice(WORDS) for _ in range(lot.randrange(0, most + 1)))

    sheet = filled(Sheet(board=board, donor_part=donor, fit=fit, original=board.name, donor=donor.name))
    return replace(
        sheet,
        job=lot.choice(WORDS),
        machine=lot.choice(WORDS),
        cautions=sheet.cautions + some(5),
        readings=sheet.readings + tuple(Expected(point=w, when=lot.choice(WORDS), expect="1 to 2 V") for w in some(5)),
        assumptions=some(6),
        sources=some(4),
        plots=(plot(),) * lot.randrange(0, 4),
        paper=lot.choice(("A4", "letter")),
    )
