"""Many parts from a table: each column is a key path, each row a part, checked like a part file.

``part,kind,maker,emitter.vf_v.typ,emitter.vf_v.if_ma,geometry.size_mm,source.title``: an empty cell is a key left out,
several words in one cell are joined by ``;``. A message names the line of the table and the column.
"""

from __future__ import annotations

import csv
import io
import types
from dataclasses import is_dataclass
from typing import Any, Union, get_args, get_origin

from xref.library.problem import Problem, clip
from xref.library.reader import CONDITIONS, hints_of, nearest
from xref.library.tree import Node
from xref.model.lead import Lead
from xref.model.part import Geometry, Part
from xref.model.value import Source, Value

SOURCE_PREFIX = "source."


def table_parts(text: str, name: str) -> tuple[list[tuple[Node, dict[str, str]]], list[Problem]]:
    """The rows as nodes with the source each names, and what is wrong with the table itself.

    Args:
        text: the table, first line the columns
        name: how messages call it
    """
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    except csv.Error as error:
        return [], [Problem(file=name, what=f"not a table: {error}")]
    if len(rows) < 2:
        return [], [Problem(file=name, what="no parts", expected="expected a line of columns and a line for each part")]
    columns = [column.strip() for column in rows[0]]
    problems = [
        Problem(file=name, line=1, key=clip(column), what=what, expected=expected)
        for column in columns
        for what, expected in _column_problems(column, columns)
    ]
    if "part" not in columns:
        problems.append(Problem(file=name, line=1, key="part", what="no such column", expected="expected it"))
    if problems:
        return [], sorted(set(problems))
    found = []
    for number, row in enumerate(rows[1:], 2):
        if not any(cell.strip() for cell in row):
            continue
        if len(row) > len(columns):
            what = f"{len(row)} cells under {len(columns)} columns"
            problems.append(
                Problem(file=name, line=number, what=what, expected='expected quotes around cells with ","')
            )
            continue
        cells = {column: cell.strip() for column, cell in zip(columns, row, strict=False) if cell.strip()}
        source = {key.removeprefix(SOURCE_PREFIX): cell for key, cell in cells.items() if key.startswith(SOURCE_PREFIX)}
        found.append((_row(cells, number), source))
    return found, problems


def _row(cells: dict[str, str], line: int) -> Node:
    root = Node(line, "", entries={})
    for column, cell in cells.items():
        if column.startswith(SOURCE_PREFIX):
            continue
        steps = column.split(".")
        node, hint = root, Part
        for depth, step in enumerate(steps):
            hint = _hint_of(hint, step)
            last = depth == len(steps) - 1
            entries = node.entries if node.entries is not None else {}
            if last:
                entries[step] = _cell(cell, hint, line, column)
            else:
                node = entries.setdefault(step, _holder(hint, line, ".".join(steps[: depth + 1])))
                if node.items is not None:
                    node = node.items[0]
                    hint = get_args(_bare(hint))[0]
    return root


def _holder(hint: Any, line: int, path: str) -> Node:
    """An empty mapping, inside a list of one where the field takes a list."""
    inner = Node(line, path, entries={})
    return Node(line, path, items=[inner]) if get_origin(_bare(hint)) is tuple else inner


def _cell(cell: str, hint: Any, line: int, column: str) -> Node:
    if get_origin(_bare(hint)) is tuple:
        words = [word.strip() for word in cell.split(";")]
        return Node(line, column, items=[Node(line, column, text=word) for word in words if word])
    return Node(line, column, text=cell)


def _bare(hint: Any) -> Any:
    """The hint without ``| None``."""
    if get_origin(hint) in (Union, types.UnionType):
        return next(arg for arg in get_args(hint) if arg is not type(None))
    return hint


def _hint_of(hint: Any, step: str) -> Any:
    """The hint of a key inside a class or mapping; None where there is no such key."""
    bare = _bare(hint)
    if get_origin(bare) is dict:
        return get_args(bare)[1]
    if not (isinstance(bare, type) and is_dataclass(bare)):
        return None
    if bare is Value and step in CONDITIONS:
        return float
    if bare is Part and step == "part":
        return str
    if bare is Geometry and step == "labels":
        return tuple[str, ...]
    return hints_of(bare).get(step)


def _column_problems(column: str, columns: list[str]) -> list[tuple[str, str]]:
    if columns.count(column) > 1:
        return [("column stands twice", "expected each column once")]
    if column.startswith(SOURCE_PREFIX):
        field = column.removeprefix(SOURCE_PREFIX)
        return (
            []
            if field in hints_of(Source)
            else [("unknown column", "expected source.title, .document, .revision, .date")]
        )
    hint: Any = Part
    for step in column.split("."):
        known = _bare(hint)
        inner = _hint_of(hint, step)
        if inner is None or (known is Part and step in ("name", "origin", "path", "sources")):
            choices = list(hints_of(known)) if isinstance(known, type) and is_dataclass(known) else []
            near = "part" if step == "name" else nearest(step, choices)
            return [("unknown column", f'expected "{near}"' if near else "expected a key path like emitter.vf_v.typ")]
        hint = inner
        bare = _bare(hint)
        if get_origin(bare) is tuple and is_dataclass(get_args(bare)[0]):
            hint = get_args(bare)[0]
    if hint is Lead or (isinstance(_bare(hint), type) and is_dataclass(_bare(hint))):
        return [("is more than one value", "expected a key path like emitter.vf_v.typ")]
    return []
