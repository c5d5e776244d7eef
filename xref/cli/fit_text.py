"""The text of a fit: verdict first, then the drawings, what changes, the signal, and what was assumed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from xref.cli.output import quoted, table, wrap
from xref.model.answers.fit import Fit, Signal
from xref.stock.measured import one_piece

if TYPE_CHECKING:
    from xref.tasks.fit import Answered


SIGNAL_WORDS = {
    True: "Signal: clean.",
    False: "SIGNAL NOT CLEAN: wired like this the machine will not read it.",
    None: "Signal: not decided, see below.",
}


def fit_text(answered: Answered, *, view: str, ascii: bool, site: str = "") -> str:
    """The answer at 80 columns, without colour. ``site``: the file it was asked with, for the next command."""
    fit = answered.fit
    first = [wrap(fit.donor_remark, first="! ", indent="  ")] if fit.donor_remark else []
    if not fit.possible:
        lines = [
            *first,
            f"{fit.donor} does not go in for {fit.original}.",
            wrap(fit.because, first="why: ", indent="     "),
        ]
        if fit.nearest:
            lines.append(wrap(fit.nearest, first="nearest: ", indent="         "))
        return "\n".join(lines)
    safety = [wrap(text, first="! ", indent="  ") for text in fit.warnings if text.startswith("SAFETY FUNCTION")]
    lines = [*safety, *first, _headline(fit), ""]
    sides: list[Literal["component", "solder"]] = ["component", "solder"] if view == "both" else [view]  # type: ignore[list-item]
    lines.append(_drawings(answered, sides, ascii))
    lines += _positions(fit) + _changes(fit)
    if fit.signal is not None:
        lines += ["", *_signal(fit.signal, one_piece(answered.donor))]
    lines += _remarks(fit)
    lines += ["", _next(fit, site)]
    return "\n".join(lines)


def _next(fit: Fit, site: str) -> str:
    """The one sensible next command."""
    donor = quoted(fit.donor_reference or fit.donor)
    if not site:
        return "next: describe the board in a file (xref help site), then add --site FILE"
    if fit.signal is not None and fit.signal.clean is False:
        return f"next: xref find --site {site}, or xref workaround --ask network.yaml"
    return f"next: xref sheet {site} --donor {donor}"


def _headline(fit: Fit) -> str:
    from xref.paper.content import donor_words

    turn = f"turned {fit.pose.turn_deg} deg" if fit.pose is not None else "on wires"
    wires = f"{fit.wire_count} wire{'s' if fit.wire_count != 1 else ''}"
    if fit.wire_count and fit.pose is not None:
        wires += f" ({fit.wire_length_mm:.0f} mm in all, {fit.crossings} crossing{'s' if fit.crossings != 1 else ''})"
    proof = "checked by independent code" if fit.verified else "NOT CONFIRMED by the independent check: do not build it"
    best = "best way proved" if fit.proven_best else "best way found, not proved"
    if fit.pose is None and fit.kind == "switch":
        best = "a lead list without a drawing"
    offset = "" if fit.optical_offset_mm is None else f", optical axis off by {fit.optical_offset_mm:.2g} mm"
    signal = "" if fit.signal is None else f" {SIGNAL_WORDS[fit.signal.clean]}"
    names = f"{donor_words(fit)} in place of {fit.original}"
    return wrap(f"{names}: {turn}, {wires}{offset}. Wiring: {best}; {proof}.{signal}")


def _drawings(answered: Answered, sides: list[Literal["component", "solder"]], ascii: bool) -> str:
    from xref.draw.text import draw_fit

    return "\n\n".join(
        draw_fit(
            answered.fit,
            original=answered.board,
            donor=answered.donor,
            view=side,
            ascii=ascii,
            lead_map=side == sides[-1],
        )
        for side in sides
    )


def _positions(fit: Fit) -> list[str]:
    """A switch: which position of the donor plays which of the original."""
    if not fit.positions:
        return []
    rows = [(item.original, item.donor) for item in fit.positions]
    return ["", table((f"position of {fit.original}", f"is position of {fit.donor}"), rows)]


def _changes(fit: Fit) -> list[str]:
    """What is done besides the leads, numbered in the order of work: cuts first, because they cannot be undone."""
    from xref.draw.stages import joined
    from xref.quantity import show

    steps = [f"{cut.do.replace('-', ' ')}: {cut.where} ({cut.why})" for cut in fit.cuts]
    steps += [f"link {link.between[0]} to {link.between[1]}, {link.length_mm:.0f} mm: {link.why}" for link in fit.links]
    for value in fit.values:
        was = "not known" if value.was_ohm is None else show(value.was_ohm, "ohm")
        steps.append(f"change the {value.where} from {was} to {show(value.now_ohm, 'ohm')}: {value.why}")
    for item in fit.added:
        size = "" if item.value_ohm is None else f" {show(item.value_ohm, 'ohm')}"
        steps.append(f"add {item.what}{size}, {joined(item)}: {item.why}")
    good = fit.signal is None or fit.signal.clean is not False
    head = "To do besides the leads:" if good else "The best that values can do, and it is not enough:"
    lines = ["", head] if steps else []
    lines += [wrap(step, first=f"  {number}. ", indent="     ") for number, step in enumerate(steps, 1)]
    if fit.open_leads:
        lines.append(f"left open, cut short and insulated: {', '.join(fit.open_leads)}")
    return lines


def _signal(signal: Signal, one: bool) -> list[str]:
    words = {True: "clean", False: "NOT CLEAN", None: "not decided, one reading is missing"}
    lines = [f"Signal at the input behind: {words[signal.clean]}  [{signal.basis}]"]
    if signal.low_max_v is not None and signal.high_min_v is not None:
        lines.append(f"  low at most {signal.low_max_v:.2f} V, high at least {signal.high_min_v:.2f} V (worst corners)")
    if signal.light_reserve is not None:
        whose = "this piece" if one else "any piece of the type"
        dark = "" if signal.dark_reserve is None else f", dark reserve {_factor(signal.dark_reserve)}"
        lines.append(f"  light reserve {_factor(signal.light_reserve)}{dark} ({whose})")
    if signal.typical_reserve is not None and not one:
        lines.append(f"  typical piece: reserve {_factor(signal.typical_reserve)}")
    if signal.emitter_ma is not None:
        lines.append(f"  emitter current {signal.emitter_ma[0]:.3g} to {signal.emitter_ma[1]:.3g} mA")
    lines.append(wrap(signal.limited_by, first="  set by: ", indent="          "))
    return lines


def _factor(value: float) -> str:
    return "over 100" if value > 100 else f"{value:.2g}"


def _remarks(fit: Fit) -> list[str]:
    lines: list[str] = []
    if fit.warnings:
        lines += ["", "Mind:"] + [wrap(text, first="  - ", indent="    ") for text in fit.warnings]
    if fit.assumed:
        lines += ["", "Assumed (measure to replace):"]
        lines += [wrap(text, first="  - ", indent="    ") for text in fit.assumed]
    if fit.fails_open:
        lines += ["", wrap(fit.fails_open, first="If the new part fails open: ", indent="  ")]
    for number, other in enumerate(fit.alternatives, 2):
        if other.pose is not None:
            lines.append(
                f"way {number}: turned {other.pose.turn_deg} deg, {other.wire_count} wires, "
                f"{other.wire_length_mm:.0f} mm, axis off {other.optical_offset_mm or 0:.2g} mm"
            )
    return lines
