"""Levels and values added to a fit, and the proof of both."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from xref.adapt.electrical import electrics
from xref.adapt.glue import (
    Glue,
    dummy_load,
    glue,
    outside_ends,
    photodiode_stage,
    pull_up_for,
    stands_in,
    with_transistor,
)
from xref.adapt.halves import half_signal
from xref.adapt.roles import settled
from xref.adapt.signal import Chain, chain
from xref.adapt.values import choose, not_allowed
from xref.adapt.verify_signal import verify_signal
from xref.model.answers.fit import Added, Fit, Signal
from xref.model.base import weakest
from xref.tasks.safety import ASK_ONCE, only_same_number

if TYPE_CHECKING:
    from xref.adapt.original import Original
    from xref.model.part import Part
    from xref.model.site import Site

MAY_CHANGE = ("emitter resistor", "load", "across")


def with_signal(
    answer: Fit,
    original: Original,
    donor: Part,
    site: Site,
    *,
    change: tuple[str, ...] | None,
    series: str,
    part: Part | None = None,
) -> Fit:
    """The fit with resistor values, the signal at the input behind, what was assumed for both, and the proof.

    ``part``: the original where it is a known part; the half that stays is then reckoned with.
    """
    before = site
    site = _after_cuts(answer, _with_side(answer, original, site))
    may = _may(site, change)
    warnings = list(answer.warnings)
    if site.safety == "unknown":
        warnings.append(ASK_ONCE)
    half = half_signal(answer, original, donor, site, part=part, change=may, series=series)
    if half is not None and half.added and stands_in(donor, original):
        _, lead = photodiode_stage(answer)
        half = _detoured(half, lead, half.added)
        warnings.append(_aside(lead))
    made = half if half is not None else _sensor(answer, original, donor, site, may, series)
    answer = replace(
        made,
        signal=_behind_driver(answer, site, made.signal),
        warnings=tuple(dict.fromkeys((*warnings, *made.warnings))),
        assumed=tuple(dict.fromkeys((*answer.assumed, *made.assumed))),
        fails_open=fails_open(original, site),
    )
    answer = proved(original, donor, answer, before)
    clean = answer.verified and answer.signal is not None and answer.signal.clean
    return replace(answer, warnings=settled(answer.warnings, clean))


def proved(original: Original, donor: Part, answer: Fit, site: Site) -> Fit:
    """The answer as it is where the independent check confirms it; else not verified, with the reason first."""
    reasons = verify_signal(original, donor, answer, site)
    if not reasons:
        return answer
    signal = answer.signal if answer.signal is None else replace(answer.signal, clean=False, limited_by=reasons[0])
    words = tuple(f"the check of levels and limits does not confirm this: {reason}" for reason in reasons)
    return replace(answer, verified=False, signal=signal, warnings=(*words, *answer.warnings))


def _may(site: Site, change: tuple[str, ...] | None) -> tuple[str, ...]:
    """What may be altered: what the user says; nothing in a safety function; no watched emitter current unasked."""
    if only_same_number(site.safety):
        return ()
    if change is not None:
        return tuple(item for item in change if item in MAY_CHANGE)
    return ("load",) if site.emitter.current_watched else ("emitter resistor", "load")


def _sensor(answer: Fit, original: Original, donor: Part, site: Site, may: tuple[str, ...], series: str) -> Fit:
    """Values, signal and added stages of a whole sensor."""
    link = chain(electrics(donor), site)
    stood_in = bool(may) and stands_in(donor, original) and link.transfer is not None
    link = with_transistor(link) if stood_in else link
    chosen = choose(link, change=may, series=series)
    warnings = [*chosen.warnings]
    if site.emitter.current_watched and "emitter resistor" not in may:
        warnings.append("the board watches the emitter current, so its resistor stays as it is")
    if chosen.window and link.board.site.emitter.resistor is not None:
        warnings.append(chosen.window)
    answer = replace(answer, values=chosen.changes, signal=chosen.signal)
    added: list[Added] = []
    if may:
        answer, added = _extras(answer, original, link, chosen.best.emitter_ohm, chosen.best.load_ohm)
    if stood_in:
        stage, lead = photodiode_stage(answer)
        answer, added = _detoured(answer, lead, stage), [*added, *stage]
        warnings.append(_aside(lead))
    elif may:
        found = glue(link, answer, chosen.best.emitter_ohm, may)
        if found is not None:
            answer, added, warnings = _with_stage(answer, found, added, warnings)
            warnings = [text for text in warnings if text != chosen.window]
            doubt = chosen.best.doubt and not chosen.best.why_not
            if doubt and answer.signal and not any(v.where == "emitter resistor" for v in found.values):
                answer = replace(answer, signal=not_allowed(answer.signal, chosen.best))
    assert answer.signal is not None
    return replace(
        answer, added=tuple(added), warnings=tuple(warnings), assumed=link.assumed,
        basis=weakest(answer.basis, answer.signal.basis),
    )  # fmt: skip


def _extras(
    answer: Fit, original: Original, link: Chain, emitter_ohm: float, load_ohm: float
) -> tuple[Fit, list[Added]]:
    """Single resistors that the board needs besides; a pull-up that is added is no changed load."""
    pull_up, dummy = pull_up_for(link, original, load_ohm), dummy_load(link, emitter_ohm)
    if pull_up is not None:
        answer = replace(answer, values=tuple(value for value in answer.values if value.where != "load"))
    return answer, [item for item in (pull_up, dummy) if item is not None]


def _with_stage(
    answer: Fit, stage: Glue, added: list[Added], warnings: list[str]
) -> tuple[Fit, list[Added], list[str]]:
    answer = replace(answer, values=stage.values, signal=stage.signal)
    warnings = [*warnings, *stage.warnings]
    if stage.detour_lead:
        warnings.append(_aside(stage.detour_lead))
        answer = _detoured(answer, stage.detour_lead, stage.added)
    else:
        answer = replace(answer, wire_count=answer.wire_count + len(stage.added))
    return answer, [*added, *stage.added], warnings


def _aside(lead: str) -> str:
    return f"lead {lead} does not go into its pad: it goes to the added stage"


def _detoured(answer: Fit, lead: str, added: tuple[Added, ...]) -> Fit:
    """The fit with one lead taken out of its pad, because an added stage stands between."""
    kept = tuple(connection for connection in answer.connections if connection.lead != lead)
    wires = sum(connection.by == "wire" for connection in kept) + len(answer.links)
    length = sum(connection.length_mm for connection in kept if connection.by == "wire")
    return replace(
        answer, connections=kept, wire_count=wires + len(outside_ends(added)), wire_length_mm=length,
        staged_leads=(*answer.staged_leads, lead),
    )  # fmt: skip


def _with_side(answer: Fit, original: Original, site: Site) -> Site:
    """Where nothing says on which side the load sits, the pad that a logic output was given says it."""
    if site.output.load_side is not None:
        return site
    asks = {pad.label: pad.functions for pad in original.pads}
    taken = {f for c in answer.connections if c.function == "OUT" for f in asks.get(c.pad, ())} & {"C", "E"}
    if not taken:
        return site
    return replace(site, output=replace(site.output, load_side="E" if taken == {"E"} else "C"))


def _after_cuts(answer: Fit, site: Site) -> Site:
    """The board as it is after the changes that the fit asks for: the load or the emitter resistor may change sides."""
    emitter, output = site.emitter, site.output
    for cut in answer.cuts:
        if cut.do != "move-resistor":
            continue
        if cut.where.startswith("load"):
            was = output.load_side or "C"
            lit = output.lit or ("low" if was == "C" else "high")
            output = replace(output, load_side="E" if was == "C" else "C", lit=lit)
        elif emitter.resistor_side:
            emitter = replace(emitter, resistor_side="K" if emitter.resistor_side == "A" else "A")
    return replace(site, emitter=emitter, output=output)


def _behind_driver(answer: Fit, site: Site, signal: Signal | None) -> Signal | None:
    """A detector that returns through the emitter's driver has its level shifted by the driver's drop."""
    drop = site.emitter.driver_drop or 0.0
    if signal is None or not drop or not any(cut.do == "lift" for cut in answer.cuts):
        return signal
    if signal.low_max_v is None or signal.high_min_v is None:
        return signal
    clean = None if signal.clean else signal.clean
    words = f"{signal.limited_by}; levels shifted by the driver's {drop:g} V: measure both"
    if (site.output.load_side or "C") == "C":
        return replace(signal, low_max_v=signal.low_max_v + drop, clean=clean, limited_by=words)
    return replace(signal, high_min_v=signal.high_min_v - drop, clean=clean, limited_by=words)


def fails_open(original: Original, site: Site) -> str:
    """What the machine does when the new part fails open; asked for when it is not known."""
    return site.if_open or original.if_open or "not known: unplug the sensor once and see what the machine does"
