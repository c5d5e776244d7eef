"""The stock as a table: one line a board, one line a piece; readable in a spreadsheet, exact on the way back."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator

from xref.errors import DataError
from xref.model.stock import Board, Dump, Item
from xref.stock.cells import as_meant, harmless
from xref.stock.forms import MOST_TEXT, packed
from xref.stock.measured import WORDS

EXPORTED = (
    "what", "id", "part", "kind", "count", "board", "source", "photo", "place", "condition", "tested", "notes", "added",
    "state", "description",
)  # fmt: skip
TYPED = ("output", "logic", "leads", "map", "grid", "seen_from", "joins", "readings", *WORDS)
COLUMNS = (*EXPORTED, *TYPED)
"""Columns that an import knows. Nobody needs more than ``part`` and ``count``."""


def table_text(dump: Dump) -> str:
    """Boards and pieces; the history is only in the JSON export."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(EXPORTED)
    for board in dump.boards:
        writer.writerow([harmless(cell) for cell in _board_cells(board)])
    for item in dump.items:
        writer.writerow([harmless(cell) for cell in _item_cells(item)])
    return out.getvalue()


def _board_cells(board: Board) -> list[str]:
    cells = {"what": "board", "id": str(board.id), "source": board.source, "photo": board.photo, "place": board.place,
             "notes": board.notes, "added": board.added, "state": board.state}  # fmt: skip
    return [cells.get(column, "") for column in EXPORTED]


def _item_cells(item: Item) -> list[str]:
    profile = item.profile
    about: dict[str, object] = {}
    if profile.record or profile.measured or not profile.part:
        about = {"known": bool(profile.part), "record": profile.record, "measured": profile.measured}
    cells = {
        "what": "piece", "id": str(item.id), "part": profile.part or profile.name, "kind": profile.kind,
        "count": str(item.count), "board": "" if item.board is None else str(item.board.id), "place": item.place,
        "condition": item.condition, "tested": "yes" if item.tested else "no", "notes": item.notes, "added": item.added,
        "description": packed(about) if about else "",
    }  # fmt: skip
    return [cells.get(column, "") for column in EXPORTED]


def lines_of(text: str, where: str) -> Iterator[tuple[int, dict[str, str]]]:
    """Line number and cells of each line of a table, as they were meant; the separator is , or ; or a tab.

    Raises:
        DataError: not a table, a column that is not known or stands twice
    """
    csv.field_size_limit(MOST_TEXT * 2)
    head = text.splitlines()[0] if text.strip() else ""
    mark = max(",;\t", key=head.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    columns: list[str] = []
    number = 1
    try:
        for row in reader:
            line, number = number, reader.line_num + 1
            if not columns:
                columns = [cell.strip().lower() for cell in row]
                _check_columns(columns, f"{where}:{line}")
                continue
            if not any(cell.strip() for cell in row):
                continue
            if len(row) > len(columns):
                raise DataError(
                    f'{len(row)} cells under {len(columns)} columns; expected quotes around a cell with "{mark}"',
                    f"{where}:{line}",
                )
            yield line, {column: as_meant(cell) for column, cell in zip(columns, row, strict=False)}
    except csv.Error as error:
        raise DataError(f"not a table: {error}", f"{where}:{number}") from error
    if not columns:
        raise DataError(f"empty; expected a line of columns such as part,count,place ({', '.join(COLUMNS)})", where)


def _check_columns(columns: list[str], where: str) -> None:
    for column in columns:
        if column not in COLUMNS:
            import difflib

            near = difflib.get_close_matches(column, COLUMNS, 1)
            tail = f"; nearest: {near[0]}" if near else f"; known: {', '.join(COLUMNS)}"
            raise DataError(f"no column {column[:30]!r}{tail}", where)
        if columns.count(column) > 1:
            raise DataError(f"the column {column} stands twice", where)
    if "part" not in columns and "kind" not in columns and "source" not in columns:
        raise DataError("no column part; expected at least part, kind or source", where)


def about(text: str) -> dict[str, object]:
    """The description of a piece as :func:`table_text` wrote it.

    Raises:
        DataError: not such a description
    """
    try:
        found = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise DataError(f"description: not JSON ({error}); leave it empty and use the other columns") from error
    if not isinstance(found, dict) or set(found) != {"known", "record", "measured"}:
        raise DataError("description: expected known, record and measured as an export writes them")
    if not isinstance(found["known"], bool) or not all(isinstance(found[key], dict) for key in ("record", "measured")):
        raise DataError("description: known is true or false, record and measured are mappings")
    return found
