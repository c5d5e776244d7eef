"""From interview answers to a part file's text, and into the user's folder without ever overwriting."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from xref.errors import DataError, StorageError, UsageError
from xref.library.check import check_text
from xref.library.names import canonical
from xref.library.problem import Problem
from xref.library.reader import first
from xref.library.writer import file_text
from xref.model.part import Part
from xref.model.pinout import Pinout


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A file that is ready to be written."""

    path: Path
    text: str
    parts: tuple[Part, ...]
    hides: tuple[str, ...] = ()
    """Shipped parts that these stand in front of."""


def part_from(answers: Mapping[str, Any], pinouts: Mapping[str, Pinout]) -> str:
    """The part file's text for the answers of an interview.

    Raises:
        UsageError: the map of the leads does not suit the grid or the labels
    """
    known = {key: item for key, item in answers.items() if item not in (None, "", [], {})}
    measured = "title" not in known
    source: dict[str, str] = {key: str(known[key]) for key in ("title", "document", "revision", "date") if key in known}
    if measured:
        source = {"title": "own measurement", **dict.fromkeys(("document", "revision", "date"), "not printed")}
    part: dict[str, Any] = {"part": known["name"], "kind": known["kind"]}
    for key in ("maker", "output", "logic"):
        if key in known:
            part[key] = known[key]
    for section, data in (
        ("emitter", _emitter(known, measured)),
        ("detector", _detector(known, measured)),
        ("coupling", _coupling(known, measured)),
        ("slot", {"gap_mm": known["gap"]} if "gap" in known else {}),
        ("geometry", _geometry(known, pinouts)),
        ("contacts", _contacts(known)),
    ):
        if data:
            part[section] = data
    if measured:
        plain = [path for path, section, key in _PLAIN if key in (part.get(section) or {})]
        if plain:
            part["provenance"] = dict.fromkeys(plain, "measured")
    if "notes" in known:
        part["notes"] = known["notes"]
    return file_text([part], {"main": source})


_PLAIN = (
    ("emitter.if_max_ma", "emitter", "if_max_ma"),
    ("emitter.wavelength_nm", "emitter", "wavelength_nm"),
    ("detector.vceo_max_v", "detector", "vceo_max_v"),
    ("slot.gap_mm", "slot", "gap_mm"),
    ("coupling.peak_distance_mm", "coupling", "peak_distance_mm"),
    ("geometry.size_mm", "geometry", "size_mm"),
    ("geometry.leads", "geometry", "leads"),
    ("geometry.leads", "geometry", "pinout"),
)
"""(key path in provenance, section, key): what has no basis of its own."""


def _value(measured: bool, **numbers: Any) -> dict[str, Any]:
    return {**numbers, **({"basis": "measured"} if measured else {})}


def _milli(value: float) -> float:
    return float(f"{value * 1000:.12g}")


def _emitter(known: Mapping[str, Any], measured: bool) -> dict[str, Any]:
    data: dict[str, Any] = {}
    if "wavelength" in known:
        data["wavelength_nm"] = known["wavelength"]
    if "vf" in known:
        data["vf_v"] = [_value(measured, typ=known["vf"].value, if_ma=_milli(known["vf"].current))]
    if "if_max" in known:
        data["if_max_ma"] = _milli(known["if_max"])
    return data


def _detector(known: Mapping[str, Any], measured: bool) -> dict[str, Any]:
    data: dict[str, Any] = {}
    if "vceo" in known:
        data["vceo_max_v"] = known["vceo"]
    if "vcc" in known:
        data["vcc_v"] = _value(measured, min=known["vcc"][0], max=known["vcc"][1])
    if "ift" in known:
        data["ift_ma"] = _value(measured, max=_milli(known["ift"]))
    return data


def _coupling(known: Mapping[str, Any], measured: bool) -> dict[str, Any]:
    data: dict[str, Any] = {}
    if "ic" in known:
        at = {"if_ma": _milli(known["ic"].current)}
        for key, name in (("ic_vce", "vce_v"), ("ic_distance", "distance_mm"), ("ic_target", "target")):
            if key in known:
                at[name] = known[key]
        data["ic_ma"] = [_value(measured, typ=_milli(known["ic"].value), **at)]
    if "peak" in known:
        data["peak_distance_mm"] = known["peak"]
    return data


def _contacts(known: Mapping[str, Any]) -> dict[str, Any]:
    if "action" not in known:
        return {}
    data: dict[str, Any] = {"action": known["action"]}
    if "table" in known:
        data["table"] = known["table"]
        data["positions"] = len(known["table"])
    if "timing" in known:
        data["timing"] = known["timing"]
    rating = {key: known[f"rating_{key}"] for key in ("v", "a") if f"rating_{key}" in known}
    if rating:
        data["ratings"] = [rating]
    return data


def _geometry(known: Mapping[str, Any], pinouts: Mapping[str, Pinout]) -> dict[str, Any]:
    data: dict[str, Any] = {}
    if "lead_count" in known:
        data["lead_count"] = known["lead_count"]
    if "size" in known:
        data["size_mm"] = list(known["size"])
    if "pinout" in known:
        functions = [lead.function for lead in pinouts[known["pinout"]].leads]
        data["pinout"] = known["pinout"]
        data["labels"] = _labels(known, functions)
    elif "map" in known:
        places = places_of(known["map"], known["grid"], known["seen_from"])
        labels = _labels(known, [function for function, _ in places])
        data["leads"] = [
            {"label": label, "function": function, "at_mm": list(at)}
            for label, (function, at) in zip(labels, places, strict=True)
        ]
        data["lead_count"] = len(places)
    elif "grid" in known:
        data["row_mm"], data["pitch_mm"] = known["grid"]
    return data


def _labels(known: Mapping[str, Any], functions: list[str]) -> list[str]:
    labels = list(known.get("labels") or functions)
    if len(labels) != len(functions):
        raise UsageError(f"{len(labels)} labels for {len(functions)} leads: give one for each, in the order shown")
    return labels


def places_of(text: str, grid: tuple[float, float], seen_from: str) -> list[tuple[str, tuple[float, float]]]:
    """Function and place (mm, component side, origin in the middle) of each word of a map.

    Args:
        text: rows top to bottom, words left to right, '.' nothing: ``A C / K E``
        grid: step across and step down, in mm
        seen_from: "component" or "solder"; the solder side is mirrored

    Raises:
        UsageError: rows of different length
    """
    rows = [row.split() for row in text.split("/")]
    width = len(rows[0])
    if not width or any(len(row) != width for row in rows):
        raise UsageError("the rows of the map differ in length: write . for a free place")
    across, down = grid
    side = -1 if seen_from == "solder" else 1
    places = []
    for line, row in enumerate(rows):
        for column, word in enumerate(row):
            if word != ".":
                x = side * (column - (width - 1) / 2) * across
                y = ((len(rows) - 1) / 2 - line) * down
                places.append((word, (round(x, 4) + 0.0, round(y, 4) + 0.0)))
    return places


def draft(
    text: str, folder: Path, pinouts: Mapping[str, Pinout], *, name: str, stem: str, shipped: set[str], own: set[str]
) -> Draft:
    """Check a part file's text and say where it would go.

    Args:
        text: the file
        folder: the user's part folder
        pinouts: arrangements by name
        name: how messages call the text
        stem: file name wished, without ending
        shipped: canonical names of shipped parts
        own: canonical names of the user's parts

    Raises:
        DataError: anything is wrong in it, a name is already among the user's own, or the file exists
    """
    entries, problems = check_text(text, name, pinouts)
    for entry in entries:
        if entry.part is not None and canonical(entry.part.name) in own:
            problems.append(
                Problem(
                    file=name, line=entry.node.line, key=entry.node.path,
                    what=f'"{entry.part.name}" is already among your parts',
                    expected="expected a new name; edit your file to change it",
                )
            )  # fmt: skip
    if problems:
        raise first(sorted(problems))
    path = folder / f"{slug(stem)}.yaml"
    if path.exists():
        raise DataError("there is already such a file: nothing was written", str(path))
    parts = tuple(entry.part for entry in entries if entry.part is not None)
    hides = tuple(part.name for part in parts if canonical(part.name) in shipped)
    return Draft(path=path, text=text, parts=parts, hides=hides)


def slug(text: str) -> str:
    """A file name from a part number: small letters, digits and dashes."""
    words = "".join(c if c.isascii() and c.isalnum() else " " for c in text.lower()).split()
    return "-".join(words)[:80] or "part"


def write(ready: Draft) -> None:
    """Write the file as a whole; an existing one is never replaced.

    Raises:
        DataError: the file has appeared meanwhile
        StorageError: the folder cannot be written
    """
    import contextlib
    import tempfile

    try:
        ready.path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(prefix=".new-", dir=ready.path.parent)
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(ready.text)
                file.flush()
                os.fsync(file.fileno())
            try:
                os.link(temporary, ready.path)  # fails where the name is taken, unlike a rename
            except FileExistsError:
                raise
            except OSError:
                with open(ready.path, "x", encoding="utf-8") as file:  # a file system without links
                    file.write(ready.text)
        finally:
            with contextlib.suppress(OSError):
                os.unlink(temporary)
    except FileExistsError:
        raise DataError("there is already such a file: nothing was written", str(ready.path)) from None
    except OSError as error:
        raise StorageError(f"cannot be written: {error.strerror or error}", str(ready.path)) from None
