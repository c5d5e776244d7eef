"""The answer of ``workaround`` in words: what to do, what it costs, how to undo it, and the drawings."""

from __future__ import annotations

from collections.abc import Sequence

from xref.cli.output import table, wrap
from xref.draw.network_layout import Ladder, ladder
from xref.draw.network_text import legend, network_text
from xref.model.answers.workaround import Seen, WorkaroundAnswer, WorkaroundOption
from xref.model.network import Network

HEAD = ("mode", "fault", "seen before", "seen after")


def workaround_text(answer: WorkaroundAnswer, number: int = 1) -> str:
    """Write the answer; plan ``number`` (from 1) in full, the others in one paragraph each."""
    lines = [wrap(f"Workaround for {answer.machine}" if answer.machine else "Workaround"), ""]
    for why in answer.because:
        lines.append(wrap(f"As it stands, {why}.", indent="  ", first=""))
    if not answer.because and answer.max_actions and not any(option.actions for option in answer.options[:1]):
        lines.append("As it stands, the machine runs.")
    for count, option in enumerate(answer.options, 1):
        lines += ["", *_option(option, count, full=count == number)]
    if len(answer.options) > 1:
        lines += ["", wrap(f"Plan {number} is shown in full; another one: --option N.")]
    lines += ["", wrap(f"Proof: {answer.proof}.", indent="  ", first="")]
    for row in answer.refused:
        left = f" {row.actions_left_out} possible changes were left out." if row.actions_left_out else ""
        lines.append(wrap(f"Refused: {row.why}.{left} Ask {row.ask}.", indent="  ", first=""))
    lines += _list("Assumed:", answer.assumed) + _list("Before you start:", answer.cautions)
    return "\n".join(lines)


def _list(head: str, items: Sequence[str]) -> list[str]:
    return ["", head, *(wrap(item, indent="    ", first="  - ") for item in items)] if items else []


def _option(option: WorkaroundOption, number: int, *, full: bool) -> list[str]:
    what = "; ".join(action.text for action in option.actions) or "change nothing"
    checked = "re-checked independently" if option.verified else "NOT confirmed by the independent check: do not use"
    lines = [wrap(f"Plan {number}: {what}  ({checked})", indent="  ", first="")]
    if not option.lost:
        lines.append("  Nothing lost." if option.nothing_lost else "  Loss: none found, but not proved.")
    for loss in option.lost:
        tail = "" if loss.curable else "; no wiring can bring it back"
        kind = "Lost" if loss.matters else "Lost (does not matter to you)"
        lines.append(wrap(f"{kind}: {loss.text}{tail}.", indent="    ", first="  "))
    if not full:
        return lines
    gained = sorted({(r.mode, r.fault) for r in option.seen_after} - {(r.mode, r.fault) for r in option.seen_before})
    for mode, fault in gained:
        lines.append(
            wrap(f"New: in mode {mode}, '{fault}' is noticed and stops the machine too.", indent="    ", first="  ")
        )
    for text in option.warnings:
        lines.append(wrap(f"Watch: {text}.", indent="    ", first="  "))
    rows = _price_rows(option)
    if rows:
        lines += ["", table(HEAD, rows)]
    lines += _levels(option)
    if option.undo:
        lines += _list("Undo:", option.undo)
    return lines


def _price_rows(option: WorkaroundOption) -> list[tuple[str, str, str, str]]:
    keys = list(dict.fromkeys((row.mode, row.fault) for row in (*option.seen_before, *option.seen_after)))
    return [
        (mode, fault, _seen(option.seen_before, mode, fault), _seen(option.seen_after, mode, fault))
        for mode, fault in keys
    ]


def _seen(rows: tuple[Seen, ...], mode: str, fault: str) -> str:
    found = [row for row in rows if (row.mode, row.fault) == (mode, fault)]
    return ", ".join(f"{row.sensor} {_when(row)}" for row in found) or "NOT SEEN"


def _when(row: Seen) -> str:
    if row.within_s == 0:
        return "at once"
    rate = "" if row.pulse_hz is None else f" ({row.pulse_hz:g} Hz)"
    return (f"in {row.within_s:g} s" if row.within_s is not None else "in unknown time") + rate


def _levels(option: WorkaroundOption) -> list[str]:
    lines = []
    for row in option.signals:
        rate = "" if row.pulse_hz is None else f" at {row.pulse_hz:g} Hz"
        low = "never low" if row.low_max_v is None else f"low at most {row.low_max_v:.2f} V"
        high = "never high" if row.high_min_v is None else f"high at least {row.high_min_v:.2f} V"
        lines.append(
            wrap(
                f"mode {row.mode}: input {row.input} follows {row.sensor}{rate}; {low}, {high}",
                indent="      ",
                first="  - ",
            )
        )
    return ["", "Levels after (calculated):", *lines] if lines else []


def ladders(before: Network, after: Network, option: WorkaroundOption) -> list[Ladder]:
    """Return the drawings, mode by mode, before and after."""
    drawn = []
    for mode in before.modes:
        drawn.append(ladder(before, mode, f"Mode {mode}, BEFORE"))
        if option.actions:
            drawn.append(ladder(after, mode, f"Mode {mode}, AFTER", option.actions))
    return drawn


def decisive(panels: list[Ladder], before: Network, answer: WorkaroundAnswer, option: WorkaroundOption) -> list[Ladder]:
    """The one drawing that shows the plan: after it, in the mode that does not run as it is, or that pays."""
    named = [mode for mode in before.modes for why in answer.because if f"in mode {mode} " in why]
    lost = [loss.mode for loss in option.lost]
    mode = next((name for name in (*named, *lost) if name in before.modes), before.modes[0])
    each = 2 if option.actions else 1
    place = before.modes.index(mode) * each + each - 1
    return panels[place : place + 1]


def drawings(panels: list[Ladder]) -> str:
    """Return the drawings as text, with what the marks mean."""
    return "\n\n".join([*map(network_text, panels), legend()])
