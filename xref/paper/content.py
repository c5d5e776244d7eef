"""What a fit means for the hands: wires to cut, order of work, how to undo it; all of it from the fit itself."""

from __future__ import annotations

import math
from collections.abc import Mapping

from xref.draw.layout import link_numbers, wire_numbers
from xref.draw.stages import called, joined, staged
from xref.draw.text import meter_check
from xref.draw.words import clean, ohms
from xref.model.answers.fit import Fit
from xref.model.answers.sheet import PartChange, SheetWire


def wires_of(fit: Fit, colours: Mapping[int, str] | None = None) -> tuple[SheetWire, ...]:
    """The wires to cut, by number, at the length that the fit gives (ends and slack are in it).

    ``colours``: wire number to IEC 60757 letters of a wire that the user has.
    """
    named = colours or {}
    numbers = wire_numbers(fit)
    found = [
        SheetWire(
            number=numbers[c.lead],
            length_mm=c.length_mm,
            start=f"lead {clean(c.lead)} ({clean(c.function)})",
            end=f"pad {clean(c.pad)}",
            insulated=c.insulated,
            colour=named.get(numbers[c.lead], ""),
        )
        for c in fit.connections
        if c.by == "wire"
    ]
    found += [
        SheetWire(
            number=number,
            length_mm=link.length_mm,
            start=clean(link.between[0]),
            end=clean(link.between[1]),
            insulated=link.insulated,
            colour=named.get(number, ""),
        )
        for number, link in zip(link_numbers(fit), fit.links, strict=True)
    ]
    return tuple(sorted(found, key=lambda wire: wire.number))


def changes_of(fit: Fit) -> tuple[PartChange, ...]:
    """Resistors that change and parts that are added."""
    found = [
        PartChange(
            where=clean(v.where) + (", added in parallel" if v.parallel else ""),
            old="unknown" if v.was_ohm is None else ohms(v.was_ohm),
            new=ohms(v.now_ohm),
            why=clean(v.why),
        )
        for v in fit.values
    ]
    found += [
        PartChange(
            where=joined(a),
            old="",
            new=called(a),
            why=clean(a.why),
        )
        for a in fit.added
    ]
    return tuple(found)


def order_of_work(fit: Fit, reads: str = "its forward voltage") -> tuple[str, ...]:
    """The steps of this fit, in the order in which one try succeeds: open the board, then bend, wire, solder, check.

    ``reads``: what the meter shows across the donor's emitter, with unit and basis. Every cut, bend, wire, link and
    changed part of the fit has its step; what the fit does not need has none.
    """
    numbers = wire_numbers(fit)
    steps = ["Power off and unplug; let supply capacitors discharge and measure that they have."]
    steps.append(
        "Photograph the old part in place. Unsolder it with wick or a pump, one lead at a time, without pulling: "
        "the pads are needed."
    )
    doing = {"cut": "Cut the track", "lift": "Lift", "move-resistor": "Move the resistor"}
    steps += [f"{doing[c.do]}: {clean(c.where)} ({clean(c.why)}). Measure that it is open." for c in fit.cuts]
    for change in changes_of(fit):
        was = f" instead of {change.old}" if change.old else ""
        steps.append(f"Fit {change.new}{was}: {change.where}.")
    joined = [
        f"{number} from {clean(link.between[0])} to {clean(link.between[1])}"
        for number, link in zip(link_numbers(fit), fit.links, strict=True)
    ]
    if joined:
        steps.append(f"Solder link {', link '.join(joined)}.")
    steps.append(meter_check(fit, reads))
    over = {one.lead: f", away from hole {clean(one.hole)}" for one in fit.over_holes if one.do == "bend over"}
    bent = [
        f"{clean(c.lead)} by {c.length_mm:.1f} mm to pad {clean(c.pad)}{over.get(c.lead, '')}"
        for c in fit.connections
        if c.by == "formed"
    ]
    if bent:
        steps.append(f"Bend lead {', lead '.join(bent)}; hold the lead with pliers at the body while bending.")
    steps += _kept_out(fit)
    wired = [c for c in fit.connections if c.by == "wire"]
    if wired:
        listed = ", ".join(f"wire {numbers[c.lead]} on lead {clean(c.lead)}" for c in wired)
        steps.append(f"Tin and solder {listed}; push a sleeve over each joint.")
    if fit.open_leads:
        steps.append(f"Cut lead {', '.join(clean(lead) for lead in fit.open_leads)} short and insulate: it stays open.")
    if fit.pose is not None and fit.pose.side == "solder":
        steps.append("The part goes on the solder side of the board and looks the other way than the old one.")
    if fit.pose is not None and fit.pose.turn_deg % 360:
        steps.append(
            f"Turn the part {fit.pose.turn_deg % 360} degrees anticlockwise against the old one, "
            f"seen from the component side{_turned_words(fit)}."
        )
    direct = [f"{clean(c.lead)} in pad {clean(c.pad)}" for c in fit.connections if c.by == "direct"]
    steps.append(
        (f"Set the part: lead {', lead '.join(direct)}. " if direct else "Set the part. ")
        + "Solder one lead, check with the meter that it is the right one, then the others."
    )
    if wired:
        ends = ", ".join(f"wire {numbers[c.lead]} to pad {clean(c.pad)}" for c in wired)
        steps.append(f"Solder {ends}.")
    steps.append("With power still off: measure each lead to its pad (near 0 ohm) and neighbours against each other.")
    return tuple(steps)


def _kept_out(fit: Fit) -> list[str]:
    """Leads to bend up before the part goes in, because the hole under them is not theirs; short ones are cut."""
    away = {one.lead: one for one in staged(fit)}
    steps = [
        f"Bend up lead {clean(over.lead)} and sleeve it: it stands over hole {clean(over.hole)}, where it must not go."
        for over in fit.over_holes
        if over.do == "bend up" and over.lead not in away
    ]
    steps += [
        f"Bend up lead {clean(lead)} and sleeve it: it goes to {one.to}"
        + (f", not into pad {clean(one.not_pad)}." if one.not_pad else ", not into its pad.")
        for lead, one in away.items()
    ]
    return steps


def _turned_words(fit: Fit) -> str:
    """The turn as a place: by which pad the first lead then stands."""
    if not fit.connections:
        return ""
    first = min(fit.connections, key=lambda c: (len(c.lead), c.lead))
    pad = min(fit.connections, key=lambda c: math.dist(c.pad_at_mm, first.lead_at_mm)).pad
    return f": lead {clean(first.lead)} then points towards pad {clean(pad)}"


def undo_of(fit: Fit) -> tuple[str, ...]:
    """How to take the change back, last step first."""
    steps = ["Power off, unsolder the new part and all wires of this sheet."]
    if fit.links:
        steps.append(f"Take off link {', '.join(str(n) for n in link_numbers(fit))}.")
    for change in changes_of(fit):
        if change.old and change.old != "unknown":
            steps.append(f"Put back {change.old}: {change.where}.")
        elif change.old:
            steps.append(f"Put back the old part of {change.where}: keep it, its value is not known.")
        else:
            steps.append(f"Take out {change.new}: {change.where}.")
    back = {"cut": "Bridge the cut track again", "lift": "Solder back", "move-resistor": "Move the resistor back"}
    steps += [f"{back[c.do]}: {clean(c.where)}." for c in reversed(fit.cuts)]
    return tuple(steps)


def donor_words(fit: Fit) -> str:
    """The donor's name, with the shelf number of a piece from stock."""
    piece = fit.donor_reference.startswith("stock:") and fit.donor_reference not in fit.donor
    return clean(fit.donor) + (f" ({clean(fit.donor_reference)})" if piece else "")


def label_of(fit: Fit, date: str = "") -> tuple[str, ...]:
    """The words for inside the machine: what was fitted, what changed, when."""
    lines = [f"{donor_words(fit)} fitted in place of {clean(fit.original)}" + (f", {clean(date)}" if date else "")]
    if fit.pose is not None and fit.pose.turn_deg % 360:
        lines.append(f"turned {fit.pose.turn_deg % 360} degrees; pin order differs from the old part")
    elif fit.wire_count:
        lines.append("pin order differs from the old part")
    lines += [f"{c.where}: {c.new}" + (f" (was {c.old})" if c.old else " (added)") for c in changes_of(fit)]
    if fit.cuts:
        lines.append("changed on the board: " + "; ".join(clean(c.where) for c in fit.cuts))
    return tuple(lines)
