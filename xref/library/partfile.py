"""Part files and pinouts: what parts have in common is merged under each part, arrangements become leads.

A part file holds its sources once, ``common`` keys, and a list of parts whose own keys stand above the common ones
(mappings merge, lists and values replace). The merge is done on the nodes, so that every message keeps its line.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from xref.errors import DataError
from xref.library.paths import part_files, shown
from xref.library.problem import Problem, clip
from xref.library.reader import MAX_PROBLEMS, Convert, confirm, examine, first, from_error, nearest
from xref.library.tree import MAX_NODES, Node, read_text, tree
from xref.model.part import Geometry, Part
from xref.model.pinout import Pinout
from xref.model.value import Source

TOP_KEYS = ("format", "sources", "common", "parts")
NOT_IN_A_FILE = ("name", "origin", "path")
FORMAT = "1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A part as read, with its nodes for later checks. ``part`` is None when it cannot be used."""

    part: Part | None
    node: Node
    label: str


def load_pinouts(folder: Path) -> tuple[dict[str, Pinout], list[Problem]]:
    """Every arrangement of a folder by its name, and what is wrong in the folder."""
    pinouts: dict[str, Pinout] = {}
    found: list[Problem] = []
    for path in part_files(folder):
        name = shown(path)
        try:
            pinout, wrong = examine(read_text(path), Pinout, name)
        except DataError as error:
            found.append(from_error(error, name))
            continue
        found += wrong
        if pinout is None:
            continue
        if pinout.pinout != path.stem:
            found.append(
                Problem(file=name, key="pinout", what=f'"{clip(pinout.pinout)}"', expected=f'expected "{path.stem}"')
            )
        pinouts[pinout.pinout] = pinout
    return pinouts, found


def read_parts(text: str, name: str, pinouts: Mapping[str, Pinout]) -> tuple[list[Entry], list[Problem]]:
    """The parts of one file's text and every problem in it; a part with a problem has no ``part``.

    Args:
        text: the file
        name: how messages call it
        pinouts: arrangements by name
    """
    try:
        root = tree(text, name)
    except DataError as error:
        return [], [from_error(error, name)]
    convert = Convert(name)
    sources = _frame(root, convert)
    parts = (root.entries or {}).get("parts")
    if parts is None or parts.items is None or not parts.items:
        convert.wrong(parts or root, "no parts", 'parts: and lines that start with "- part: NAME"')
        return [], sorted(convert.problems)
    common = (root.entries or {}).get("common")
    found: set[Problem] = set(convert.problems)
    if common is not None and size(common) * len(parts.items) > MAX_NODES:
        convert.wrong(
            common, f"{size(common)} common values under {len(parts.items)} parts", "a smaller file: split it"
        )
        return [], sorted(convert.problems)
    entries = []
    for node in parts.items:
        if len(found) >= MAX_PROBLEMS:
            break
        entry, wrong = convert_part(node, common, sources, name, pinouts)
        entries.append(entry)
        found.update(wrong)
    return entries, sorted(found)


def _frame(root: Node, convert: Convert) -> dict[str, Source]:
    """Check the keys around the parts and return the sources."""
    from xref.model.decode import decode

    if root.entries is None:
        convert.wrong(root, f"is {root.kind}", "format:, sources:, parts:")
        return {}
    for key, node in root.entries.items():
        if key not in TOP_KEYS:
            near = nearest(key, list(TOP_KEYS))
            listed = f'"{near}"' if near else "one of " + ", ".join(TOP_KEYS)
            convert.wrong(root, "unknown key", listed, key=clip(key), line=root.key_lines.get(key, node.line))
    version = root.entries.get("format")
    if version is None or version.text != FORMAT:
        convert.wrong(version or root, "format is missing" if version is None else f"is {version.kind}", FORMAT)
    listed_sources = root.entries.get("sources")
    if listed_sources is None or not listed_sources.entries:
        convert.wrong(listed_sources or root, "no sources", "sources: and a key for each document")
        return {}
    before = len(convert.problems)
    data = convert.take(listed_sources, dict[str, Source])
    return {} if len(convert.problems) > before else {key: decode(Source, item) for key, item in data.items()}


def size(node: Node) -> int:
    """How many values a node holds, itself among them."""
    inner = [*(node.items or ()), *(node.entries or {}).values()]
    return 1 + sum(size(each) for each in inner)


def merge(under: Node, over: Node) -> Node:
    """``over`` laid on ``under``: mappings merge key by key, anything else replaces."""
    if under.entries is None or over.entries is None:
        return over
    entries = dict(under.entries)
    for key, node in over.entries.items():
        entries[key] = merge(entries[key], node) if key in entries else node
    return Node(over.line, over.path, entries=entries, key_lines={**under.key_lines, **over.key_lines})


def convert_part(
    node: Node, common: Node | None, sources: dict[str, Source], name: str, pinouts: Mapping[str, Pinout]
) -> tuple[Entry, list[Problem]]:
    """One part from its nodes, the common ones under it, and every problem in it."""
    label = ""
    if node.entries is not None and "part" in node.entries:
        label = node.entries["part"].text or ""
    merged = merge(common, node) if common is not None else node
    convert = Convert(name)
    if node.entries is None or not label.strip():
        convert.wrong(node, '"part" is missing', "part: NAME")
        return Entry(part=None, node=merged, label=label), convert.problems
    entries = dict(merged.entries or {})
    for key in NOT_IN_A_FILE:
        if key in entries:
            convert.wrong(entries.pop(key), "not a key of a part file", '"part"')
    chosen = _chosen_sources(entries.pop("sources", None), sources, convert)
    entries["name"] = entries.pop("part")
    whole = Node(merged.line, merged.path, entries=entries, key_lines=merged.key_lines)
    convert.extra = {Geometry: {"labels": tuple[str, ...]}}
    convert.finish = {Geometry: lambda data, at: _leads(data, at, convert, pinouts)}
    data = convert.take(whole, Part)
    if convert.problems:
        return Entry(part=None, node=whole, label=label), convert.problems
    data["path"] = name
    part, wrong = confirm(data, Part, whole, name)
    if part is not None:
        part = replace(part, sources=chosen)
    return Entry(part=part, node=whole, label=label), wrong


def _chosen_sources(node: Node | None, sources: dict[str, Source], convert: Convert) -> dict[str, Source]:
    """All sources of the file, or those a part lists by key; the first is the one values mean when they name none."""
    if node is None:
        return sources
    chosen = {}
    for item in node.items or ():
        if item.text in sources:
            chosen[item.text] = sources[item.text]
        else:
            convert.wrong(item, f"no source {item.kind}", "one of " + ", ".join(sources))
    if not node.items:
        convert.wrong(node, f"is {node.kind}", "a list of source keys")
    return chosen


def _leads(data: dict[str, Any], node: Node, convert: Convert, pinouts: Mapping[str, Pinout]) -> dict[str, Any]:
    """Labels and the name of an arrangement become leads."""
    labels = data.pop("labels", None)
    name = data.get("pinout")
    if not name:
        if labels is not None:
            convert.wrong(node, "labels without a pinout", "pinout: NAME, or leads written out", key="labels")
        return _coloured(data)
    if data.get("leads"):
        convert.wrong(node, "both pinout and leads", "one of them", key="pinout")
        return data
    pinout = pinouts.get(name)
    if pinout is None:
        near = nearest(name, list(pinouts))
        listed = f'"{near}"' if near else "the name of a file in pinouts/"
        convert.wrong((node.entries or {})["pinout"], f'no pinout "{clip(name)}"', listed)
        return data
    if labels is None or len(labels) != len(pinout.leads):
        count = "no" if labels is None else str(len(labels))
        place = (node.entries or {}).get("labels", node)
        convert.wrong(place, f"{count} labels", f"{len(pinout.leads)}, in the order of pinouts/{name}.yaml")
        return data
    data["leads"] = [
        {"label": label, "function": lead.function, "at_mm": list(lead.at_mm)}
        for label, lead in zip(labels, pinout.leads, strict=True)
    ]
    return _coloured(data)


def _coloured(data: dict[str, Any]) -> dict[str, Any]:
    """Give each lead the colour that ``wire_colours`` has for its label."""
    colours = data.get("wire_colours") or {}
    for lead in data.get("leads") or ():
        if lead and lead.get("label") in colours and not lead.get("colour"):
            lead["colour"] = colours[lead["label"]]
    return data


def load_parts(path: Path, pinouts: Mapping[str, Pinout], origin: str = "shipped") -> tuple[list[Part], list[Problem]]:
    """The usable parts of a file and every problem in it."""
    name = shown(path)
    try:
        entries, found = read_parts(read_text(path), name, pinouts)
    except DataError as error:
        return [], [from_error(error, name)]
    wanted: Any = origin
    return [replace(e.part, origin=wanted, path=str(path)) for e in entries if e.part is not None], found


def load_part_file(path: Path | str, pinouts: Mapping[str, Pinout] | None = None) -> list[Part]:
    """The parts of a file the user names; all must be good.

    Raises:
        DataError: the first problem, and how many more there are
    """
    from xref.library.paths import shipped_root

    known = load_pinouts(shipped_root() / "pinouts")[0] if pinouts is None else pinouts
    parts, found = load_parts(Path(path), known, origin="file")
    if found:
        raise first(found)
    return parts
