"""From part files to the records of the index. The only road on which pydantic and YAML are loaded."""

from __future__ import annotations

import json
from collections import defaultdict
from dataclasses import replace
from pathlib import Path
from typing import Any

from xref.library.names import canonical
from xref.library.partfile import load_parts, load_pinouts
from xref.library.paths import part_files, shipped_root, shown
from xref.library.problem import Problem
from xref.model.decode import encode
from xref.model.part import Part
from xref.model.row import pack, row_of


def compile_parts(folder: Path, origin: str) -> dict[str, str]:
    """Every record of the index by key, as JSON text.

    Keys: ``names`` [[name, maker, kind, aliases]], ``keys`` {canonical name: name}, ``rows:KIND``, ``part:NAME``,
    ``problems`` [[file, line, key, what, expected]]. A part with a problem is left out; the others stay.
    """
    parts, problems = read_folder(folder, origin)
    return records(parts, problems)


def read_folder(folder: Path, origin: str) -> tuple[list[Part], list[Problem]]:
    """All usable parts below a folder in the order of their files, and every problem of the files."""
    pinouts, problems = load_pinouts(shipped_root() / "pinouts")
    if origin != "shipped":
        problems = []
    elif folder != shipped_root():
        pinouts, problems = load_pinouts(folder / "pinouts")
    parts: list[Part] = []
    taken: dict[str, Part] = {}
    for path in part_files(folder / "parts_db" if origin == "shipped" else folder):
        found, wrong = load_parts(path, pinouts, origin)
        problems += wrong
        if origin == "shipped":
            found = [replace(part, path=str(path.relative_to(folder))) for part in found]
        for part in found:
            earlier = taken.setdefault(canonical(part.name), part)
            if earlier is part:
                parts.append(part)
            else:
                problems.append(
                    Problem(
                        file=shown(path),
                        key=part.name,
                        what=f"stands already in {shown(earlier.path)}",
                        expected="expected each name once",
                    )
                )
    return parts, problems


def records(parts: list[Part], problems: list[Problem]) -> dict[str, str]:
    """The records for these parts."""
    keys: dict[str, str] = {}
    rows: defaultdict[str, list[Any]] = defaultdict(list)
    found: dict[str, str] = {}
    for part in parts:
        keys[canonical(part.name)] = part.name
        rows[part.kind].append(pack(row_of(part)))
        found[f"part:{part.name}"] = _text(encode(replace(part, origin="shipped")))
    for part in parts:
        for alias in part.aliases:
            keys.setdefault(canonical(alias), part.name)
    found["names"] = _text([[part.name, part.maker, part.kind, list(part.aliases)] for part in parts])
    found["keys"] = _text(keys)
    found["problems"] = _text([[p.file, p.line, p.key, p.what, p.expected] for p in problems])
    for kind, packed in rows.items():
        found[f"rows:{kind}"] = _text(packed)
    return found


def _text(data: Any) -> str:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"))
