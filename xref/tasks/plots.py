"""The plots of a sheet: level against light, current against distance, pulse against time at the highest rate."""

from __future__ import annotations

import math
from collections.abc import Callable

from xref.adapt.electrical import electrics, relative_law
from xref.adapt.signal import Chain, chain
from xref.model.answers.fit import Fit
from xref.model.part import Part
from xref.model.plot import Band, Curve, Mark, Plot, PlotAxis, Points
from xref.physics.coupling import current_factor
from xref.physics.operating import Corner, operating_point
from xref.physics.timing import TimePoint, switching_time

LIGHT = tuple(0.02 * 1.3**step for step in range(20))
"""Light over that of a typical piece: from 2 % to three times of it."""

DISTANCES = 40
MOST_DISTANCE = 4.0
"""Distances are drawn up to this many times the machine's own."""

STEPS = 60
"""Points of a pulse; it is drawn over two periods."""

EDGE = math.log(9.0)
"""Time constants from 10 to 90 % of a first-order edge."""


def plots(fit: Fit, donor: Part, original: Part | None, link: Chain | None) -> tuple[Plot, ...]:
    """The plots that the known figures allow; none where the board is changed in more than its resistors.

    Args:
        fit: the solved fit
        donor: the part that goes in
        original: the part that it replaces, where known: drawn beside it
        link: the donor on this board, as ``expected.link_of`` gives it
    """
    if link is None or link.transfer is None or link.data.detector is None:
        return ()
    if fit.added or any(cut.do == "move-resistor" for cut in fit.cuts) or link.board.site.room.keep:
        # the drawn circuit is the board as it is: an added stage, a moved load or an old half make another one
        return ()
    before = _before(original, donor, link)
    found = (level_plot(fit, link), distance_plot(fit, link, before), pulse_plot(fit, link, before))
    return tuple(plot for plot in found if plot is not None)


def _before(original: Part | None, donor: Part, link: Chain) -> Chain | None:
    """The original on the same board; None where it is not another known part."""
    if original is None or original.name == donor.name:
        return None
    found = chain(electrics(original), link.board.site)
    return found if found.transfer is not None and found.data.detector is not None else None


def _values(fit: Fit, link: Chain) -> tuple[float, float]:
    """Emitter resistor and load after the fit [ohm]."""
    now = {value.where: value.now_ohm for value in fit.values}
    return now.get("emitter resistor", link.board.emitter_ohm), now.get("load", link.board.load_ohm)


def level_plot(fit: Fit, link: Chain) -> Plot:
    """Output level against light, with both thresholds and the spread of the type."""
    setup = link.setup(*_values(fit, link))

    def line(piece: str) -> Points:
        return tuple((k, operating_point(setup, Corner(part=piece, target=k, temp_c=25.0)).bright_v) for k in LIGHT)

    return Plot(
        title="Output level against light",
        x=PlotAxis(name="light, 1 = a typical piece here", unit="", log=True),
        y=PlotAxis(name="output", unit="V", low=0.0),
        curves=(Curve(name="typical piece", points=line("typical")),),
        bands=(Band(name="spread of the type", low=line("low"), high=line("high")),),
        marks=(*_thresholds(link), Mark(name="now", at=1.0, upright=True)),
        note=f"25 C, nominal resistors; basis {fit.signal.basis if fit.signal else 'assumed'}",
    )


def _thresholds(link: Chain) -> tuple[Mark, Mark]:
    return (
        Mark(name="low below", at=link.thresholds.vil),
        Mark(name="high above", at=link.thresholds.vih),
    )


def distance_plot(fit: Fit, link: Chain, before: Chain | None = None) -> Plot | None:
    """Collector current of a typical piece against distance, donor and original; None where no law is known."""
    distance = link.board.site.sees.distance
    if link.data.part.kind != "reflective" or distance is None:
        return None
    emitter, _ = _values(fit, link)
    wanted = [(link.data.part.name, link, emitter)]
    if before is not None:
        wanted.append((f"{before.data.part.name} as it was", before, before.board.emitter_ohm))
    curves = [
        Curve(name=name, points=points) for name, one, ohms in wanted if (points := _over_distance(one, ohms, distance))
    ]
    if not curves:
        return None
    return Plot(
        title="Collector current against distance",
        x=PlotAxis(name="distance", unit="mm", low=0.0),
        y=PlotAxis(name="IC", unit="mA", low=0.0),
        curves=tuple(curves),
        marks=(Mark(name="target", at=distance, upright=True),),
        note="typical piece at 25 C, unsaturated, on the machine's bright target; shape "
        + ("as drawn in the sheet" if link.data.part.coupling.distance_curve else "assumed from the best distance"),
    )


def _over_distance(link: Chain, emitter_ohm: float, here: float) -> Points:
    """(mm, mA) of a typical piece where its distance law holds; empty where it does not hold at ``here``."""
    law = relative_law(link.data.part)
    assert link.transfer is not None
    if law is None or not law(here).valid or law(here).value <= 0:
        return ()
    current = link.forward_current(emitter_ohm)
    if current <= 0:
        return ()
    light = link.transfer.typical * link.transfer.bright * current_factor(current, link.transfer.if_ref).value
    steps = [MOST_DISTANCE * here * step / DISTANCES for step in range(DISTANCES + 1)]
    return tuple((mm, light * 1e3 * law(mm).value / law(here).value) for mm in steps if law(mm).valid)


def pulse_plot(fit: Fit, link: Chain, before: Chain | None = None) -> Plot | None:
    """Output of a typical piece against time at the machine's highest rate; None where rate or edges are not known."""
    rate = link.board.site.sees.rate
    if rate is None or not link.data.rise or not link.data.fall:
        return None
    curves = [Curve(name=link.data.part.name, points=_pulse(link, *_values(fit, link), rate))]
    if before is not None and before.data.rise and before.data.fall:
        old = _pulse(before, before.board.emitter_ohm, before.board.load_ohm, rate)
        curves.append(Curve(name=f"{before.data.part.name} as it was", points=old))
    return Plot(
        title=f"Output at {rate:g} Hz, the highest rate",
        x=PlotAxis(name="time", unit="ms", low=0.0),
        y=PlotAxis(name="output", unit="V", low=0.0),
        curves=tuple(curves),
        marks=_thresholds(link),
        note="typical piece at 25 C, half of each period bright; edges first-order (assumed) with the sheet's times",
    )


def _pulse(link: Chain, emitter_ohm: float, load_ohm: float, rate: float) -> Points:
    """(ms, V) over two periods, bright first, after the swing has settled."""
    point = operating_point(link.setup(emitter_ohm, load_ohm), Corner(part="typical", temp_c=25.0))
    lit = _edge(point.bright_v, _constant(link.data.rise, load_ohm))
    dark = _edge(point.dark_v, _constant(link.data.fall, load_ohm))
    half = 0.5 / rate
    level = point.dark_v
    # each half brings the start nearer to its final value; slow edges need some periods until nothing changes
    for _ in range(50):
        level = dark(lit(level, half), half)
    points = []
    for step in range(STEPS + 1):
        time = 2 / rate * step / STEPS
        phase = time % (2 * half)
        volts = lit(level, phase) if phase < half else dark(lit(level, half), phase - half)
        points.append((time * 1e3, volts))
    return tuple(points)


def _edge(target: float, constant: float) -> Callable[[float, float], float]:
    """Volts after a time, from a start towards ``target`` with that time constant [s]."""
    return lambda start, time: target + (start - target) * math.exp(-time / constant)


def _constant(points: tuple[TimePoint, ...], load_ohm: float) -> float:
    return max(switching_time(points, load_ohm).value / EDGE, 1e-12)
