"""Drawings for the terminal: one part, or a fit; pure ASCII when asked, box characters otherwise."""

from __future__ import annotations

from xref.draw.layout import LeadMark, Scene, fit_scene, lead_names, link_numbers, part_scene, wire_numbers
from xref.draw.picture import picture
from xref.draw.stages import staged
from xref.draw.table import table
from xref.draw.words import (
    BEFORE_SOLDER,
    NOT_CONFIRMED,
    View,
    clean,
    function_words,
    side_words,
    to_ascii,
    view_words,
    wrap,
)
from xref.model.answers.fit import Fit
from xref.model.drawing import Board
from xref.model.part import Part

OVER_PAD_MM = 0.7
"""A lead that ends nearer than this to a foreign pad lies over it (common practice, no source: half a 1.4 mm pad)."""


def draw_part(part: Part, *, view: View = "component", ascii: bool = False, width: int = 80) -> str:
    """One part's leads at their places with label and function, the body, a scale in mm, and a list under it.

    Where places are unknown the list stands alone and says so. ``width`` in columns, at least 40.
    """
    say = _ascii_words if ascii else clean
    name = say(part.name)
    scene = part_scene(part, view)
    out = [*_heading(name, view, width), ""]
    missing = [lead for lead in part.geometry.leads if lead.at_mm is None]
    if not part.geometry.leads:
        out.append("The leads of this part are not known: nothing to draw.")
        return "\n".join(out)
    if scene.leads:
        out += picture(scene, ascii=ascii, width=width)
        out.append("")
    if missing:
        out += wrap(
            f"No drawing of {len(missing)} of {len(part.geometry.leads)} leads: their places are unknown.", width
        )
    left, bottom, right, top = scene.extent()
    rows = [
        (
            say(mark.label),
            say(mark.function),
            function_words(say(mark.function)),
            side_words(mark.at_mm, right - left, top - bottom),
            f"{_signed(mark.at_mm[0])}, {_signed(mark.at_mm[1])}",
        )
        for mark in scene.leads
    ]
    rows += [
        (say(lead.label), say(lead.function), function_words(say(lead.function)), "unknown", "unknown")
        for lead in missing
    ]
    out.append(table(("lead", "function", "which is", "seen here", "mm right, up"), rows, width))
    basis = part.basis_of("geometry.leads")
    if basis != "printed":
        out += wrap(f"Lead places: {basis}, not printed as numbers in the data sheet.", width)
    return "\n".join(out)


def draw_fit(
    fit: Fit,
    *,
    original: Board,
    donor: Part,
    view: View = "component",
    ascii: bool = False,
    width: int = 80,
    lead_map: bool = True,
) -> str:
    """The donor over the pads of the board: [ ] pads, ( ) donor leads, numbered wires.

    Under it the lead map and the caution for soldering; ``lead_map`` False leaves both out, for the first of two views.
    """
    say = _ascii_words if ascii else clean
    scene = fit_scene(fit, original, donor, view)
    out = [*_heading(say(scene.title), view, width, scene.far_side), ""]
    if not fit.possible:
        out += wrap(f"Does not go in: {say(fit.because) or 'no reason given'}", width)
        return "\n".join(out)
    if any(lead.at_mm is None for lead in donor.geometry.leads) or not scene.pads:
        out += wrap("No drawing: the places of the leads or pads are not all known. The lead map holds.", width)
    else:
        out += picture(scene, ascii=ascii, width=width)
    if not lead_map:
        return "\n".join(out)
    out += ["", lead_map_table(fit, donor, ascii=ascii, width=width), ""]
    told = any("stands over hole" in warning for warning in fit.warnings)
    doubt = [] if fit.verified else [NOT_CONFIRMED]
    for line in (*doubt, *([] if told else keep_clear(scene)), BEFORE_SOLDER, meter_check(fit, _printed_vf(donor))):
        out += wrap(say(line), width)
    return "\n".join(out)


def meter_check(fit: Fit, reads: str = "its forward voltage") -> str:
    """Which leads to try with the meter before soldering, and what it shows. ``reads``: the value where known."""
    leads = {f: c for c in fit.connections for f in c.function.split("+")}
    if "A" not in leads or "K" not in leads:
        return "Before you solder, check with the meter that one lead is the one it should be."
    red, black = (f"lead {clean(leads[f].lead)} (to pad {clean(leads[f].pad)})" for f in "AK")
    return (
        f"Before you solder, check the light emitter: diode test, red on {red}, black on {black}: {reads}; "
        "the other way round: open."
    )


def _printed_vf(donor: Part) -> str:
    """The known typical forward voltage as a bound for a meter, whose current is smaller; without one no value."""
    rows = [
        (v.at["if_ma"], v.typ, "measured" if v.basis == "measured" else f"typ, {v.basis}")
        for v in donor.emitter.vf_v
        if v.typ is not None and v.at.get("if_ma", 0.0) >= 1.0
    ]
    if not rows or donor.emitter.resistor_ohm:
        return "its forward voltage"
    current, volts, basis = min(rows)
    if current == 1.0:
        return f"about {volts:g} V ({basis} at 1 mA)"
    return f"a little below {volts:g} V ({basis} at {current:g} mA; a meter drives about 1 mA)"


def lead_map_table(fit: Fit, donor: Part | None = None, *, ascii: bool = False, width: int = 80) -> str:
    """Which donor lead goes to which pad, how, by which wire and how long; links and open leads as well."""
    rows = [tuple(to_ascii(cell) if ascii else cell for cell in row) for row in lead_map_rows(fit, donor)]
    return table(("lead", "function", "to pad", "net", "how", "wire", "length"), rows, width)


def lead_map_rows(fit: Fit, donor: Part | None = None) -> list[tuple[str, ...]]:
    """The lead map as cells: lead, function, pad, net, how, wire number, length with unit.

    ``donor`` gives the function of leads that go to an added stage.
    """
    does = {} if donor is None else dict(zip(lead_names(donor), donor.geometry.leads, strict=True))
    numbers = wire_numbers(fit)
    rows: list[tuple[str, ...]] = []
    for c in fit.connections:
        how = {
            "direct": "drops into the hole",
            "formed": "bend the lead over",
            "wire": "wire, insulated" if c.insulated else "wire, bare",
        }[c.by]
        rows.append(
            (
                clean(c.lead),
                clean(c.function),
                clean(c.pad),
                clean(c.net) or "-",
                how,
                str(numbers[c.lead]) if c.lead in numbers else "-",
                "-" if c.by == "direct" or not c.length_mm else f"{c.length_mm:.1f} mm",
            )
        )
    for one in staged(fit):
        function = clean(does[one.lead].function) if one.lead in does else "-"
        not_pad = f", not to pad {clean(one.not_pad)}" if one.not_pad else ""
        rows.append((clean(one.lead), function, "->", "-", f"to {one.to}{not_pad}", "-", "-"))
    for number, link in zip(link_numbers(fit), fit.links, strict=True):
        how = "link on the board, " + ("insulated" if link.insulated else "bare")
        start, end = (clean(name) for name in link.between)
        rows.append((f"pad {start}", "-", end, "-", how, str(number), f"{link.length_mm:.1f} mm"))
    rows += [(clean(lead), "-", "none", "-", "stays open: cut short, insulate", "-", "-") for lead in fit.open_leads]
    return rows


def keep_clear(scene: Scene) -> list[str]:
    """One sentence that names every lead ending over a pad which is not its own; empty when there is none."""
    found = []
    for lead in scene.leads:
        for pad in scene.pads:
            near = abs(lead.at_mm[0] - pad.at_mm[0]) < OVER_PAD_MM and abs(lead.at_mm[1] - pad.at_mm[1]) < OVER_PAD_MM
            if near and pad.label != lead.pad and not _same_net(scene, lead, pad.net):
                found.append(f"lead {clean(lead.label)} over pad {clean(pad.label)}")
    if not found:
        return []
    return [
        f"Over a pad that is not theirs: {', '.join(found)}. Keep them out of those holes: bend up and put a sleeve on."
    ]


def _same_net(scene: Scene, lead: LeadMark, net: str) -> bool:
    own = next((pad.net for pad in scene.pads if pad.label == lead.pad), "")
    return bool(net) and own == net


def _heading(title: str, view: View, width: int, far_side: bool = False) -> list[str]:
    return [*wrap(title, width), *wrap(view_words(view, far_side), width)]


def _ascii_words(text: str) -> str:
    return to_ascii(clean(text))


def _signed(mm: float) -> str:
    return "0" if abs(mm) < 0.0005 else f"{mm:+.3f}".rstrip("0").rstrip(".")
