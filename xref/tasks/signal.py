"""Levels and values added to a fit."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from xref.adapt.electrical import electrics
from xref.adapt.glue import dummy_load, glue, photodiode_stage, pull_up_for
from xref.adapt.signal import chain
from xref.adapt.values import choose
from xref.model.answers.fit import Fit
from xref.model.base import weakest
from xref.tasks.safety import ASK_ONCE, only_same_number

if TYPE_CHECKING:
    from xref.adapt.original import Original
    from xref.model.part import Part
    from xref.model.site import Site

MAY_CHANGE = ("emitter resistor", "load")


def with_signal(
    answer: Fit,
    original: Original,
    donor: Part,
    site: Site,
    *,
    change: tuple[str, ...] | None,
    series: str,
) -> Fit:
    """The fit with resistor values, the signal at the input behind, and what was assumed for both."""
    link = chain(electrics(donor), site)
    may = MAY_CHANGE if change is None else tuple(item for item in change if item in MAY_CHANGE)
    if only_same_number(site.safety):
        may = ()
    chosen = choose(link, change=may, series=series)
    warnings = [*answer.warnings, *chosen.warnings]
    if site.safety == "unknown":
        warnings.append(ASK_ONCE)
    if chosen.window_ohm is not None and link.board.site.emitter.resistor is not None:
        low, high = chosen.window_ohm
        warnings.append(
            f"emitter resistor: not below {low:g} ohm (limit of the emitter), not above {high:g} ohm (level of the "
            "weakest piece)"
        )
    answer = replace(answer, values=chosen.changes, signal=chosen.signal)
    extra = [pull_up_for(link, answer), dummy_load(link, chosen.best.emitter_ohm)]
    added = [*(item for item in extra if item is not None), *photodiode_stage(link, answer)]
    stage = None if may == () and change is None else glue(link, answer, chosen.best.emitter_ohm)
    if stage is not None:
        added += stage.added
        warnings += stage.warnings
        warnings.append(f"lead {stage.detour_lead} does not go into its pad: it goes to the added stage")
        answer = _detoured(answer, stage.detour_lead)
    shown = chosen.signal if stage is None else stage.signal
    return replace(
        answer,
        added=tuple(added),
        signal=shown,
        warnings=tuple(dict.fromkeys(warnings)),
        assumed=tuple(dict.fromkeys((*answer.assumed, *link.assumed))),
        fails_open=fails_open(original, site),
        basis=weakest(answer.basis, shown.basis),
    )


def _detoured(answer: Fit, lead: str) -> Fit:
    """The fit with one lead taken out of its pad, because an added stage stands between."""
    kept = tuple(connection for connection in answer.connections if connection.lead != lead)
    wires = sum(connection.by == "wire" for connection in kept)
    length = sum(connection.length_mm for connection in kept if connection.by == "wire")
    return replace(answer, connections=kept, wire_count=wires + 2, wire_length_mm=length)


def fails_open(original: Original, site: Site) -> str:
    """What the machine does when the new part fails open; asked for when it is not known."""
    return site.if_open or original.if_open or "not known: unplug the sensor once and see what the machine does"
