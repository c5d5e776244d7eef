"""A user's own YAML or CSV file brought in: all of it, or nothing."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from xref.errors import DataError
from xref.library.csvfile import table_parts
from xref.library.names import canonical
from xref.library.newpart import Draft, draft
from xref.library.partfile import convert_part
from xref.library.paths import shown
from xref.library.problem import Problem, clip
from xref.library.reader import first
from xref.library.rules import part_problems
from xref.library.tree import read_text
from xref.library.writer import file_form, file_text
from xref.model.decode import encode
from xref.model.pinout import Pinout
from xref.model.value import Source


def draft_from_file(
    path: Path, folder: Path, pinouts: Mapping[str, Pinout], *, shipped: set[str], own: set[str]
) -> Draft:
    """Read a part file or a table and say what would be written.

    Args:
        path: ends in .yaml, .yml or .csv
        folder: the user's part folder
        pinouts: arrangements by name
        shipped: canonical names of shipped parts
        own: canonical names of the user's parts

    Raises:
        DataError: the first problem and how many more there are; nothing is written then
    """
    text = read_text(path)
    if path.suffix.lower() == ".csv":
        text, problems = text_from_table(text, shown(path), pinouts)
        if problems:
            raise first(problems)
    elif path.suffix.lower() not in (".yaml", ".yml"):
        raise DataError("is neither YAML nor CSV: expected a name that ends in .yaml or .csv", shown(path))
    return draft(text, folder, pinouts, name=shown(path), stem=path.stem, shipped=shipped, own=own)


def text_from_table(text: str, name: str, pinouts: Mapping[str, Pinout]) -> tuple[str, list[Problem]]:
    """The part file's text for a table, or every problem of the table by line and column."""
    rows, problems = table_parts(text, name)
    sources: dict[str, dict[str, str]] = {}
    parts: list[tuple[str, dict[str, Any]]] = []
    lines: dict[str, int] = {}
    for node, cells in rows:
        if "title" not in cells:
            problems.append(
                Problem(file=name, line=node.line, key="source.title", what="no source", expected="expected its title")
            )
            continue
        source = Source(**cells)
        entry, wrong = convert_part(node, None, {"main": source}, name, pinouts)
        if entry.part is not None:
            wrong = list(part_problems(entry.part, entry.node, name))
        problems += wrong
        if entry.part is None:
            continue
        for word in (entry.part.name, *entry.part.aliases):
            line = lines.setdefault(canonical(word), node.line)
            if line != node.line:
                what = f'"{clip(word)}" stands already in line {line}'
                problems.append(Problem(file=name, line=node.line, key="part", what=what, expected="expected it once"))
        plain = encode(source, keep_defaults=True)
        key = next((key for key, known in sources.items() if known == plain), "")
        if not key:
            key = f"s{len(sources) + 1}" if sources else "main"
            sources[key] = plain
        parts.append((key, file_form(entry.part)))
    if problems:
        return "", sorted(set(problems))
    if len(sources) == 1:
        return file_text([form for _, form in parts], sources), []
    named = [{"part": form.pop("part"), "sources": [key], **form} for key, form in parts]
    return file_text(named, sources), []
