"""Names for the marks of a drawing: as they are where they are short; else a number that is explained beside it."""

from __future__ import annotations

from xref.draw.layout import LeadMark, Scene
from xref.draw.words import clean, columns, to_ascii

LIMIT = 12
"""Columns up to which a name is written into the drawing."""

Names = dict[tuple[str, str], str]
"""('lead' or 'pad', label) to the name shown."""


def short_names(scene: Scene, *, ascii: bool = False, limit: int = LIMIT) -> tuple[Names, list[str]]:
    """The names to show, and a line such as '#3 = lead Kathode Ringwähler' for each one that was too long."""
    shown: Names = {}
    lines: list[str] = []
    marks = [("lead", mark.label) for mark in scene.leads] + [("pad", mark.label) for mark in scene.pads]
    for number, (kind, label) in enumerate(marks, 1):
        name = to_ascii(clean(label)) if ascii else clean(label)
        if name and columns(name) <= limit:
            shown[kind, label] = name
        else:
            shown[kind, label] = f"#{number}"
            lines.append(f"#{number} = {kind} {name or 'without a name'}")
    return shown, lines


def lead_name(mark: LeadMark, names: Names, *, ascii: bool = False) -> str:
    """A lead as shown: ``(1 A)``, or ``(A)`` where label and function are the same."""
    name = names["lead", mark.label]
    function = to_ascii(clean(mark.function)) if ascii else clean(mark.function)
    if not function or name == function or columns(function) > LIMIT:
        return f"({name})"
    return f"({name} {function})"
