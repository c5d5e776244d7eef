"""A network in plain ASCII, at most 80 columns: nets run across, elements hang between them."""

from __future__ import annotations

from xref.draw.network_layout import Column, Ladder
from xref.draw.words import to_ascii

WIDTH = 80
CELL = 10
MOST_NAME = 12

MARKS = {
    "sensor": "S",
    "dead": "X",
    "closed": "|",
    "open": "/",
    "resistor": "R",
    "emitter": "E",
    "input": "v",
    "jumper": "#",
}
LEGEND = (
    "o joined   | conducts   : does not   / open contact   S sensor   X dead",
    "R resistor   E emitter   # new or old jumper   v read by the controller",
    "a line that passes behind another without o is not joined to it",
)


def network_text(ladder: Ladder) -> str:
    """Draw one network in one mode; many columns are drawn in several pieces below each other."""
    left = min(max(len(_ascii(row)) for row in ladder.rows), MOST_NAME) + 1
    fits = max((WIDTH - left) // CELL, 1)
    pieces = [ladder.columns[i : i + fits] for i in range(0, len(ladder.columns), fits)] or [()]
    blocks = [_ascii(ladder.title)]
    for number, columns in enumerate(pieces):
        if number:
            blocks.append("(the same nets, continued)")
        blocks.append(_piece(ladder.rows, columns, left))
    return "\n".join(blocks)


def legend() -> str:
    """Say what the marks mean."""
    return "\n".join(LEGEND)


def _ascii(text: str) -> str:
    return to_ascii(text)


def _piece(rows: tuple[str, ...], columns: tuple[Column, ...], left: int) -> str:
    lines = _heading(columns, left)
    for number, row in enumerate(rows):
        name = _ascii(row)
        name = name if len(name) <= MOST_NAME else name[: MOST_NAME - 1] + "."
        cells = "".join(_on_net(column, number).center(CELL, "-") for column in columns)
        lines.append(name.ljust(left) + cells)
        if number < len(rows) - 1:
            between = "".join(_below_net(column, number).center(CELL) for column in columns)
            lines.append((" " * left + between).rstrip())
    return "\n".join(lines)


def _heading(columns: tuple[Column, ...], left: int) -> list[str]:
    folded = [_folded(_ascii(column.name)) for column in columns]
    tall = max((len(lines) for lines in folded), default=0)
    rows = []
    for number in range(tall):
        words = [lines[number - tall + len(lines)] if number >= tall - len(lines) else "" for lines in folded]
        rows.append((" " * left + "".join(word.center(CELL) for word in words)).rstrip())
    notes = [("*" if column.changed else "") + _ascii(column.note) for column in columns]
    rows.append((" " * left + "".join(note[: CELL - 1].center(CELL) for note in notes)).rstrip())
    return rows


def _folded(name: str) -> list[str]:
    lines: list[str] = []
    for word in name.split():
        if lines and len(lines[-1]) + 1 + len(word) < CELL:
            lines[-1] += " " + word
        else:
            lines.append(word[: CELL - 1])
    return lines[:3]


def _on_net(column: Column, row: int) -> str:
    if row in column.rows:
        return "v" if column.symbol == "input" else "#" if column.symbol == "jumper" else "o"
    if len(column.rows) == 2 and min(column.rows) < row < max(column.rows):
        return _line(column)
    return "-"


def _below_net(column: Column, row: int) -> str:
    if column.symbol in ("sensor", "dead") and len(column.rows) == 1 and row == column.rows[0]:
        return MARKS[column.symbol]
    if len(column.rows) != 2 or not min(column.rows) <= row < max(column.rows):
        return " "
    return MARKS[column.symbol] if row == min(column.rows) else _line(column)


def _line(column: Column) -> str:
    return "#" if column.symbol == "jumper" else "|" if column.conducts else ":"
