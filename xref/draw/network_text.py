"""A network in plain ASCII, at most 80 columns: nets run across, elements hang between them."""

from __future__ import annotations

from xref.draw.network_layout import Column, Ladder
from xref.draw.words import to_ascii

WIDTH = 80
WIDEST_CELL, MOST_NAME = 10, 13

MARKS = {"sensor": "S", "dead": "X", "closed": "|", "open": "/", "resistor": "R", "emitter": "E", "jumper": "#"}
LEGEND = (
    "o joined (lines that cross without o are not)   | conducts   : does not conduct",
    "/ open contact   S sensor or switch   X dead   R resistor   E emitter   # jumper",
    ">name read by this input of the controller   * changed (off: lifted or cut)",
)


def network_text(ladder: Ladder) -> str:
    """Draw one network in one mode; many columns are drawn in several pieces below each other."""
    gutter = [_short(to_ascii(row), MOST_NAME) for row in ladder.rows]
    inputs = [_short(">" + to_ascii(",".join(names)), MOST_NAME) if names else "" for names in ladder.reads]
    left = max(map(len, gutter + inputs)) + 1
    longest = max((len(word) for column in ladder.columns for word in to_ascii(column.name).split()), default=0)
    room = WIDTH - left
    cell = max(min(room // max(len(ladder.columns), 1), WIDEST_CELL), min(longest + 1, WIDEST_CELL), 7)
    fits = room // cell
    pieces = [ladder.columns[i : i + fits] for i in range(0, len(ladder.columns), fits)] or [()]
    blocks = [to_ascii(ladder.title)]
    for number, columns in enumerate(pieces):
        if number:
            blocks.append("(the same nets, continued)")
        blocks.append("\n".join(_heading(columns, left, cell) + _rows(gutter, inputs, columns, left, cell)))
    return "\n".join(blocks)


def legend() -> str:
    """Say what the marks mean."""
    return "\n".join(LEGEND)


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1] + "."


def _rows(gutter: list[str], inputs: list[str], columns: tuple[Column, ...], left: int, cell: int) -> list[str]:
    lines = []
    for number, name in enumerate(gutter):
        lines.append(name.ljust(left) + "".join(_on_net(column, number).center(cell, "-") for column in columns))
        between = "".join(_below_net(column, number).center(cell) for column in columns)
        lines.append((inputs[number].ljust(left) + between).rstrip())
    return lines if lines[-1] else lines[:-1]


def _heading(columns: tuple[Column, ...], left: int, cell: int) -> list[str]:
    folded = [_folded(to_ascii(column.name), cell) for column in columns]
    tall = max((len(lines) for lines in folded), default=0)
    rows = []
    for number in range(tall):
        words = [lines[number - tall + len(lines)] if number >= tall - len(lines) else "" for lines in folded]
        rows.append((" " * left + "".join(word.center(cell) for word in words)).rstrip())
    notes = [("*" if column.changed else "") + to_ascii(column.note) for column in columns]
    rows.append((" " * left + "".join(note[: cell - 1].center(cell) for note in notes)).rstrip())
    return rows


def _folded(name: str, cell: int) -> list[str]:
    lines: list[str] = []
    for word in name.split():
        if lines and len(lines[-1]) + 1 + len(word) < cell:
            lines[-1] += " " + word
        else:
            lines.append(_short(word, cell - 1))
    return lines if len(lines) <= 4 else [*lines[:3], _short(" ".join(lines[3:]), cell - 1)]


def _on_net(column: Column, row: int) -> str:
    if row in column.rows:
        return "o"
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
