"""Rules that a part must keep beyond its schema. Each problem points at the line where the wrong thing stands."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from xref.library.limits import LIMITS, limit_for
from xref.library.names import canonical
from xref.library.problem import Problem, clip
from xref.library.tree import Node
from xref.model.contacts import Contacts
from xref.model.lead import FUNCTIONS, Lead
from xref.model.part import Geometry, Part
from xref.model.pinout import Pinout
from xref.model.value import Value

MIN_LEAD_GAP_MM = 0.3
"""Two leads nearer than this are one lead entered twice."""

Found = Iterator[tuple[tuple[Any, ...], str, str]]
"""(key path as steps, what is wrong, what was expected)."""


def part_problems(part: Part, node: Node, name: str, folder: str = "") -> Iterator[Problem]:
    """What is wrong in a part that keeps the schema.

    Args:
        part: the part
        node: its nodes, for the lines
        name: how messages call the file
        folder: the folder of shipped parts that the file lies in, which must be their kind; empty: not looked at
    """
    if folder and folder != part.kind:
        yield _problem(name, node, ("kind",), f'"{part.kind}" in the folder {folder}/', f"parts_db/{part.kind}/")
    for rule in (_values, _numbers, _leads, _curves, _sources, _switch, _names, _output):
        for steps, what, expected in rule(part):
            yield _problem(name, node, steps, what, expected)


def pinout_problems(pinouts: Mapping[str, Pinout], folder: str) -> Iterator[Problem]:
    """Wrong functions, leads in one place, two names for one arrangement."""
    seen: dict[Any, str] = {}
    for name, pinout in sorted(pinouts.items()):
        file = f"{folder}/{name}.yaml"
        leads = tuple(Lead(label=str(i), function=at.function, at_mm=at.at_mm) for i, at in enumerate(pinout.leads))
        for steps, what, expected in _lead_rules(leads, sensor=not name.startswith("switch")):
            yield Problem(file=file, key=_path(steps[1:]), what=what, expected=f"expected {expected}")
        same = frozenset((lead.function, lead.at_mm) for lead in pinout.leads)
        earlier = seen.setdefault(same, name)
        if earlier != name:
            yield Problem(file=file, key="leads", what=f"the same as {earlier}", expected="expected one of the two")


def _problem(name: str, node: Node, steps: tuple[Any, ...], what: str, expected: str) -> Problem:
    """The problem with the line and key path of the deepest node that is really there."""
    rest = steps
    for number, step in enumerate(steps):
        inner = None
        if node.entries is not None:
            inner = node.entries.get(str(step))
        elif node.items is not None and isinstance(step, int) and step < len(node.items):
            inner = node.items[step]
        if inner is None:
            break
        node, rest = inner, steps[number + 1 :]
    key = ".".join(piece for piece in (node.path, _path(rest if node.path else steps)) if piece)
    return Problem(file=name, line=node.line, key=key, what=what, expected=f"expected {expected}")


def _path(steps: tuple[Any, ...]) -> str:
    text = ""
    for step in steps:
        text += f"[{step}]" if isinstance(step, int) else f".{step}" if text else str(step)
    return text


def walk(thing: Any, steps: tuple[Any, ...] = ()) -> Iterator[tuple[tuple[Any, ...], Any]]:
    """Every value inside a model instance with its path; dataclasses come before what is in them."""
    yield steps, thing
    if is_dataclass(thing):
        for item in fields(thing):
            yield from walk(getattr(thing, item.name), (*steps, item.name))
    elif isinstance(thing, tuple):
        for number, each in enumerate(thing):
            yield from walk(each, (*steps, number))
    elif isinstance(thing, dict):
        for key, each in thing.items():
            yield from walk(each, (*steps, key))


def _values(part: Part) -> Found:
    """min <= typ <= max, and something known at all."""
    for steps, value in walk(part):
        if not isinstance(value, Value):
            continue
        known = [(word, getattr(value, word)) for word in ("min", "typ", "max") if getattr(value, word) is not None]
        if not known and not value.note:
            yield steps, "neither min, typ nor max", "at least one, or a note for a limit that follows the supply"
        for (low_word, low), (high_word, high) in itertools.pairwise(known):
            if low > high:
                yield steps, f"{low_word} {low:g} is above {high_word} {high:g}", "min <= typ <= max"


def _numbers(part: Part) -> Found:
    """Each number in the span that its unit makes plausible: IF of 60 A, a body of 0.2 mm."""
    for steps, number in walk(part):
        if isinstance(number, bool) or not isinstance(number, int | float):
            continue
        key = limit_for(steps)
        if key is None:
            continue
        low, high = LIMITS[key]
        if "at" in steps:
            low = min(low, 0.0)  # a condition may be "no current": dark
        # sheets count a current out of the part with a minus or without
        if not low <= (abs(number) if key in ("ioh_ma", "ioh_ua") else number) <= high:
            shown_steps = tuple(step for step in steps if step != "at")
            yield shown_steps, f"{number:g} is not plausible", f"{low:g} to {high:g} for {key}: look at the unit"
    for steps, pair in ((("temp_c",), part.temp_c), *((("coupling", "ic_bins_ma", k), v) for k, v in _bins(part))):
        if pair is not None and pair[0] > pair[1]:
            yield steps, f"{pair[0]:g} is above {pair[1]:g}", "the lower end first"


def _bins(part: Part) -> list[tuple[str, tuple[float, float]]]:
    return list(part.coupling.ic_bins_ma.items())


def _leads(part: Part) -> Found:
    geometry = part.geometry
    yield from _lead_rules(geometry.leads, sensor=part.kind != "switch")
    if geometry.lead_count is not None and geometry.leads and geometry.lead_count != len(geometry.leads):
        yield (
            ("geometry", "lead_count"),
            f"{geometry.lead_count} with {len(geometry.leads)} leads written out",
            str(len(geometry.leads)),
        )
    if part.kind != "switch":
        for key in ("facing", "quadrants"):
            for place, function in getattr(geometry, key).items():
                words = (place, function) if key == "facing" else (function,)
                for word in words:
                    if not _known_function(word):
                        yield ("geometry", key, place), f'unknown function "{clip(word)}"', _functions_text()
    for label in geometry.wire_colours:
        if geometry.leads and label not in {lead.label for lead in geometry.leads}:
            yield ("geometry", "wire_colours", label), f'no lead "{clip(label)}"', "a label of leads"
    yield from _body(geometry)


def _lead_rules(leads: tuple[Lead, ...], sensor: bool) -> Found:
    seen: dict[str, int] = {}
    for number, lead in enumerate(leads):
        earlier = seen.setdefault(lead.label, number)
        if earlier != number:
            yield ("geometry", "leads", number, "label"), f'label "{clip(lead.label)}" stands twice', "each label once"
        if sensor and not _known_function(lead.function):
            yield (
                ("geometry", "leads", number, "function"),
                f'unknown function "{clip(lead.function)}"',
                _functions_text(),
            )
    for (i, one), (j, two) in itertools.combinations(enumerate(leads), 2):
        if one.at_mm is None or two.at_mm is None:
            continue
        if math.dist(one.at_mm, two.at_mm) < MIN_LEAD_GAP_MM:
            yield (
                ("geometry", "leads", j, "at_mm"),
                f"lead {two.label} stands where lead {leads[i].label} stands",
                "a place of its own",
            )


def _known_function(text: str) -> bool:
    return all(word in FUNCTIONS for word in text.split("+"))


def _functions_text() -> str:
    return "one of " + " ".join(FUNCTIONS) + ", joined by + where one lead carries both"


def _body(geometry: Geometry) -> Found:
    if len(geometry.size_mm) > 3:
        yield ("geometry", "size_mm"), f"{len(geometry.size_mm)} numbers", "length, width, height as far as known"
    largest = max((*geometry.size_mm, *(geometry.body_mm or ())), default=None)
    axis = geometry.optical_axis_mm
    if axis is not None and largest is not None and max(abs(axis[0]), abs(axis[1])) > largest / 2 + 0.01:
        yield ("geometry", "optical_axis_mm"), f"{axis[0]:g}, {axis[1]:g} is outside the body", "a place in the body"


def _curves(part: Part) -> Found:
    curve = part.coupling.distance_curve
    for number, (before, after) in enumerate(itertools.pairwise(curve)):
        if after[0] <= before[0]:
            steps = ("coupling", "distance_curve", number + 1)
            yield steps, f"distance {after[0]:g} after {before[0]:g}", "distances that rise"
    for number, (distance, share) in enumerate(curve):
        if distance < 0 or not 0 <= share <= 1.05:
            steps = ("coupling", "distance_curve", number)
            yield steps, f"[{distance:g}, {share:g}]", "distance from 0 mm, relative current 0 to 1"


def _sources(part: Part) -> Found:
    if not part.sources:
        yield ("part",), "no source", "a key in sources: at the top of the file"
    for steps, value in walk(part):
        if isinstance(value, Value) and value.source and value.source not in part.sources:
            yield (*steps, "source"), f'no source "{clip(value.source)}"', "one of " + ", ".join(part.sources)
    for key in ("provenance", "stated_in"):
        for path in getattr(part, key):
            if not _exists(part, path):
                yield (key, path), "no such key path", 'one like "geometry.leads"'
    for path, source in part.stated_in.items():
        if source not in part.sources:
            yield ("stated_in", path), f'no source "{clip(source)}"', "one of " + ", ".join(part.sources)


def _exists(part: Part, path: str) -> bool:
    """True when a key path names a field of a part."""
    thing: Any = part
    for step in path.split("."):
        if isinstance(thing, dict):
            return True
        if step == "labels":
            return True
        if not is_dataclass(thing) or step not in {item.name for item in fields(thing)}:
            return False
        thing = getattr(thing, step)
    return True


def _switch(part: Part) -> Found:
    contacts = part.contacts
    if contacts is None:
        if part.kind == "switch":
            yield ("contacts",), "a switch without contacts", "contacts: with at least action"
        return
    if part.kind != "switch":
        yield ("contacts",), f"contacts on a {part.kind}", "kind: switch"
    labels = {lead.label for lead in part.geometry.leads}
    for position, groups in contacts.table.items():
        steps = ("contacts", "table", position)
        used = [label for group in groups for label in group]
        for label in sorted({label for label in used if used.count(label) > 1}):
            yield steps, f'lead "{clip(label)}" stands twice in one position', "one group for leads that join"
        for group in groups:
            if len(set(group)) < 2:
                yield steps, f"a group of {len(group)}", "two or more leads that join"
        for label in used:
            if labels and label not in labels:
                yield steps, f'no lead "{clip(label)}"', "a label of leads"
    yield from _positions(contacts)


def _positions(contacts: Contacts) -> Found:
    if contacts.table and contacts.positions is not None and len(contacts.table) != contacts.positions:
        yield ("contacts", "positions"), f"{contacts.positions} with {len(contacts.table)} in the table", "the same"
    if contacts.returns_to and contacts.table and contacts.returns_to not in contacts.table:
        yield ("contacts", "returns_to"), f'no position "{clip(contacts.returns_to)}"', "a position of the table"


def _names(part: Part) -> Found:
    if not canonical(part.name):
        yield ("part",), f'"{clip(part.name)}" has neither letter nor digit', "a part number"
    seen = {part.name}
    for number, alias in enumerate(part.aliases):
        if alias in seen:
            yield ("aliases", number), f'"{clip(alias)}" stands twice', "each name once"
        seen.add(alias)


def _output(part: Part) -> Found:
    if part.kind in ("emitter", "switch") and part.output is not None:
        yield ("output",), f"an output on a {part.kind}", "no output"
    if part.logic and not (part.output or "").startswith("logic"):
        yield ("logic",), f"logic on a {part.output or part.kind}", "a logic output, or no logic"
