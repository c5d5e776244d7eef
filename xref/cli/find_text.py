"""The text of a search answer: a table for the bench, one reason a line."""

from __future__ import annotations

from xref.cli.output import quoted, table, wrap
from xref.model.answers.find import FindAnswer, Found


def find_text(answer: FindAnswer, *, show_refused: bool = False, site: str = "", original: str = "") -> str:
    """The answer at 80 columns, without colour."""
    same = answer.question == "same"
    head = "Which part is this?" if same else "What can stand in?"
    lines = [f"{head}  {answer.searched} parts compared, {len(answer.refused)} refused."]
    lines += [wrap(note, first="! ", indent="  ") for note in (*answer.notes, *answer.assumed)]
    if same and answer.candidates:
        lines.append(_alike(answer))
    if not answer.candidates:
        lines.append("No candidate.")
    else:
        rows = [_row(found) for found in answer.candidates]
        lines += ["", table(("score", "part", "maker", "known", "why"), rows)]
        lines.append("score: 0 = all that was asked is met; known: how much of it could be compared")
        lines += _currents(answer)
    if show_refused and answer.refused:
        lines += ["", table(("refused", "why"), [(item.part, item.why) for item in answer.refused])]
    elif answer.refused:
        lines.append(f"{len(answer.refused)} refused: --refused shows each with its reason")
    lines += ["", _next(answer, site, original)]
    return "\n".join(lines)


def _alike(answer: FindAnswer) -> str:
    text = f"{answer.alike} parts are alike within your readings"
    text += f", {answer.agree} of them known in everything asked."
    if answer.part_best_by:
        text += f" Measuring {answer.part_best_by} would part them best."
    return wrap(text)


def _currents(answer: FindAnswer) -> list[str]:
    """Emitter currents with the old resistor, and what has to change where one of them does not do."""
    seen = [(found.part, check) for found in answer.candidates for check in found.checks]
    said = dict.fromkeys(
        f"{part} {check.offered:.3g} mA" if check.verdict == "meets" else f"{part}: {check.why}"
        for part, check in seen
        if check.quantity == "emitter current" and isinstance(check.offered, float)
    )
    return [wrap(", ".join(said), first="IF with the old resistor: ", indent="  ")] if said else []


def _row(found: Found) -> tuple[str, str, str, str, str]:
    known = sum(check.verdict != "unknown" for check in found.checks)
    mark = "" if found.basis == "printed" else f" [{found.basis}]"
    where = f" ({found.where}, {found.count} left)" if found.where else ""
    name = found.part if found.reference == found.part else f"{found.reference} {found.part}"
    return f"{found.score:.2f}", name, found.maker[:14], f"{known}/{len(found.checks)}", found.reason + mark + where


def _next(answer: FindAnswer, site: str, original: str) -> str:
    if not answer.candidates:
        if answer.searched == 0:
            return "next: no part of this kind is known; loose halves: --kind emitter, --kind detector"
        return "next: ask less exactly, or xref workaround --ask network.yaml"
    # the part itself meets its own need best, but it is the one that cannot be had
    first = next((found for found in answer.candidates if found.part != original), answer.candidates[0])
    if answer.question == "same":
        return f"next: xref part {quoted(first.part)}"
    if site or original:
        # a file with the board side says more than the part's name
        return f"next: xref fit {quoted(site or original)} {quoted(first.reference)}"
    return f"next: xref fit ORIGINAL {quoted(first.reference)}\n      (ORIGINAL: a part name, a site file, or --map)"
