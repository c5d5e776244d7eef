"""From a YAML file to a checked model instance: the class says what each text means, pydantic has the last word.

Every scalar arrives as text. The hint of the field decides: a number, a word of a list, a quantity with a unit
(``Annotated[float, "ohm"]`` reads ``2k2``). All problems of a file are gathered; each is one line with its place.
"""

from __future__ import annotations

import re
import types
from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass, field, fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

from xref import quantity
from xref.errors import DataError, QuantityError
from xref.library.paths import shown
from xref.library.problem import Problem, clip
from xref.library.tree import Node, read_text, tree
from xref.model.value import Value

T = TypeVar("T")

CONDITIONS = (
    "if_ma", "ic_ma", "vce_v", "vcc_v", "vr_v", "vf_v", "vo_v", "voh_v", "vol_v", "iol_ma", "ioh_ma", "rl_ohm",
    "distance_mm", "gap_mm", "ee_mw_cm2", "temp_c", "pulse_us", "duty_pct", "wavelength_nm", "v_v", "i_ma", "rate_hz",
)  # fmt: skip
"""Conditions that a value may carry; the unit stands in the key."""

MAX_PROBLEMS = 200
"""Problems named of one part or document; whoever has more than these has another kind of file."""

_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?([eE][+-]?\d{1,3})?")
_INTEGER = re.compile(r"[+-]?\d{1,15}")
_HINTS = {
    "measured": "contacts.resistance_measured", "nom": "typ", "nominal": "typ", "minimum": "min", "maximum": "max",
    "typical": "typ", "name": "part", "positions_mm": "leads: [{label, function, at_mm}]", "source": "source",
}  # fmt: skip


@dataclass(slots=True)
class Convert:
    """Converts nodes of one file by type hints and gathers what is wrong.

    ``extra`` names keys that a class takes besides its fields, with their hints; ``finish`` may reshape the converted
    mapping of a class (for instance labels and a pinout into leads).
    """

    name: str
    problems: list[Problem] = field(default_factory=list)
    extra: Mapping[type, Mapping[str, Any]] = field(default_factory=dict)
    finish: Mapping[type, Callable[[dict[str, Any], Node], dict[str, Any]]] = field(default_factory=dict)

    def wrong(self, node: Node, what: str, expected: str = "", key: str = "", line: int = 0) -> None:
        """Note a problem at a node."""
        if len(self.problems) >= MAX_PROBLEMS:
            return
        path = ".".join(step for step in (node.path, key) if step)
        self.problems.append(
            Problem(
                file=self.name,
                line=line or node.line,
                key=path,
                what=what,
                expected=expected and f"expected {expected}",
            )
        )

    def take(self, node: Node, hint: Any) -> Any:
        """JSON-able data of the hinted type; None where it is wrong (the problem is noted)."""
        origin, args = get_origin(hint), get_args(hint)
        if origin is Annotated:
            return self._quantity(node, args[0], args[1])
        if origin in (Union, types.UnionType):
            inner = [arg for arg in args if arg is not type(None)]
            if node.empty and len(inner) < len(args):
                return None
            return self.take(node, inner[0])
        if origin is Literal:
            return self._word(node, args)
        if origin is tuple:
            return self._list(node, args)
        if origin is dict:
            return self._mapping(node, args[1])
        if isinstance(hint, type) and is_dataclass(hint):
            return self._object(node, hint)
        return self._scalar(node, hint)

    def _scalar(self, node: Node, hint: Any) -> Any:
        if node.text is None:
            self.wrong(
                node, f"is {node.kind}", {str: "a text", float: "a number", int: "a whole number"}.get(hint, "a word")
            )
            return None
        text = node.text.strip() if node.plain else node.text
        if hint is str:
            return "" if node.plain and text == "~" else text
        if hint is float:
            return self._float(node, text)
        if hint is int:
            if _INTEGER.fullmatch(text):
                return int(text)
            self.wrong(node, f'"{clip(text)}" is not a whole number', "one like 2")
            return None
        if hint is bool:
            if text in ("true", "false", "yes", "no"):
                return text in ("true", "yes")
            self.wrong(node, f'"{clip(text)}" is neither yes nor no', "yes or no")
        return None

    def _float(self, node: Node, text: str) -> float | None:
        if _NUMBER.fullmatch(text) and abs(float(text)) < 1e15:
            return float(text)
        hint = f"{text.replace(',', '.', 1)}" if re.fullmatch(r"[+-]?\d+,\d+", text) else "a number like 1.25"
        self.wrong(node, f'"{clip(text)}" is not a number' if text else "has no value", hint)
        return None

    def _word(self, node: Node, words: tuple[Any, ...]) -> Any:
        if node.text in words:
            return node.text
        choices = [str(word) for word in words if word]
        near = nearest(node.text or "", choices)
        listed = f'"{near}"' if near else "one of " + ", ".join(choices)
        if len(choices) == 2:
            # the nearer of two may be the wrong one
            listed = f"{choices[0]} or {choices[1]}"
        self.wrong(node, f"is {node.kind}", listed)
        return None

    def _quantity(self, node: Node, hint: Any, unit: str) -> Any:
        if unit == "text":
            return self._scalar(node, str)
        if node.text is None:
            self.wrong(node, f"is {node.kind}", "a quantity like 5V, 220R, 3mm")
            return None
        kind, _, of = unit.partition(":")
        try:
            if kind == "range":
                return list(quantity.parse_range(node.text, of))
            if kind == "size":
                return list(quantity.parse_size(node.text))
            if kind == "grid":
                return list(quantity.parse_grid(node.text))
            return quantity.parse(node.text, unit)
        except QuantityError as error:
            what, _, expected = error.message.partition(": ")
            self.wrong(node, what, expected.removeprefix("expected "))
            return None

    def _list(self, node: Node, args: tuple[Any, ...]) -> list[Any] | None:
        repeated = len(args) == 2 and args[1] is Ellipsis
        if node.items is None:
            size = "a list" if repeated else f"a list of {len(args)}"
            like = '[a, b] or lines that start with "- "'
            if not repeated:
                like = "[" + ", ".join(_like(arg, number) for number, arg in enumerate(args)) + "]"
            self.wrong(node, f"is {node.kind}", f"{size}, like {like}")
            return None
        if not repeated and len(node.items) != len(args):
            self.wrong(node, f"has {len(node.items)} entr{'y' if len(node.items) == 1 else 'ies'}", str(len(args)))
            return None
        hints = [args[0]] * len(node.items) if repeated else args
        return [self.take(item, hint) for item, hint in zip(node.items, hints, strict=True)]

    def _mapping(self, node: Node, hint: Any) -> dict[str, Any] | None:
        if node.entries is None:
            self.wrong(node, f"is {node.kind}", "keys and values")
            return None
        found = {}
        for key, item in node.entries.items():
            comma = split_by_comma(node, key)
            if comma:
                self.wrong(item, "a comma ends a value here", comma, line=node.key_lines.get(key, 0))
            else:
                found[key] = self.take(item, hint)
        return found

    def _object(self, node: Node, cls: type) -> dict[str, Any] | None:
        if node.entries is None:
            self.wrong(node, f"is {node.kind}", "keys and values, like " + ", ".join(list(hints_of(cls))[:3]))
            return None
        known = {**hints_of(cls), **self.extra.get(cls, {})}
        conditions: dict[str, Any] = {}
        found: dict[str, Any] = {}
        for key, item in node.entries.items():
            if cls is Value and key in CONDITIONS:
                conditions[key] = self.take(item, float)
            elif key in known and not (cls is Value and key == "at"):
                found[key] = self.take(item, known[key])
            else:
                self._unknown(node, item, key, cls, known)
        for needed in needed_of(cls):
            if needed not in node.entries:
                self.wrong(node, f'"{needed}" is missing', "it")
        if conditions:
            found["at"] = conditions
        reshape = self.finish.get(cls)
        return reshape(found, node) if reshape else found

    def _unknown(self, node: Node, item: Node, key: str, cls: type, known: Mapping[str, Any]) -> None:
        if len(self.problems) >= MAX_PROBLEMS:
            return
        comma = split_by_comma(node, key)
        if comma:
            self.wrong(item, "unknown key: a comma ends a value here", comma, line=node.key_lines.get(key, 0))
            return
        choices = [*known, *(CONDITIONS if cls is Value else ())]
        near = _HINTS.get(key) or nearest(key, choices)
        if near == key:
            near = ""
        listed = f'"{near}"' if near else "one of " + ", ".join(choices[:12]) + (", ..." if len(choices) > 12 else "")
        self.wrong(item, "unknown key", listed, line=node.key_lines.get(key, 0))


@cache
def hints_of(cls: type) -> dict[str, Any]:
    """Field name to type hint, units kept."""
    hints = get_type_hints(cls, include_extras=True)
    return {item.name: hints[item.name] for item in fields(cls)}


@cache
def needed_of(cls: type) -> tuple[str, ...]:
    """Fields without a default."""
    return tuple(f.name for f in fields(cls) if f.default is MISSING and f.default_factory is MISSING)


def split_by_comma(node: Node, key: str) -> str:
    """What to write instead of a value that a comma has cut in two ({load: 4,7k} reads as load: 4 and a key 7k)."""
    entries = node.entries or {}
    keys = list(entries)
    before = entries[keys[keys.index(key) - 1]].text if keys.index(key) else None
    if not entries[key].empty or before is None or not re.fullmatch(r"[+-]?\d+", before):
        return ""
    tail = re.fullmatch(r"(\d+)\s*([A-Za-z]*)", key)
    if tail is None:
        return ""
    unit = tail[2] if tail[2] in ("k", "M", "R") else ""
    code = f"{before}{unit}{tail[1]} or " if unit else ""
    return f"{code}{before}.{tail[1]}{tail[2]}, never a comma; two numbers stand in brackets, [{before}, {key}]"


def _like(hint: Any, number: int) -> str:
    """An example of one entry of a list of fixed length."""
    args = get_args(hint)
    unit = args[1] if get_origin(hint) is Annotated else ""
    return f"{(12, 3, 8, 4)[number % 4]}{unit}" if unit in ("mm", "V") else "abcd"[number % 4]


def nearest(word: str, choices: list[str]) -> str:
    """The choice that ``word`` was most likely meant to be, or an empty text."""
    import difflib

    if len(word) > 80:
        return ""
    lowered = {choice.lower(): choice for choice in choices}
    hits = difflib.get_close_matches(word.lower(), list(lowered), n=1, cutoff=0.6)
    return lowered[hits[0]] if hits else ""


@cache
def adapter(cls: type) -> Any:
    """pydantic's strict check of a class."""
    from pydantic import TypeAdapter

    return TypeAdapter(cls)


def confirm(data: Any, cls: type[T], node: Node, name: str) -> tuple[T | None, list[Problem]]:
    """The instance as pydantic builds it from converted data, or what it refuses."""
    import json

    from pydantic import ValidationError

    hint: Any = cls
    try:
        built: T = adapter(hint).validate_json(json.dumps(data, allow_nan=False))
    except ValidationError as error:
        return None, [
            Problem(
                file=name,
                line=line_of(node, detail["loc"]),
                key=".".join(str(step) for step in detail["loc"]),
                what=detail["msg"].splitlines()[0],
            )
            for detail in error.errors(include_url=False, include_context=False)
        ]
    return built, []


def line_of(node: Node, steps: tuple[Any, ...]) -> int:
    """The line of the value behind a key path, or of the last step that is there."""
    for step in steps:
        inner: Node | None = None
        if node.entries is not None:
            inner = node.entries.get(str(step))
        elif node.items is not None and isinstance(step, int) and step < len(node.items):
            inner = node.items[step]
        if inner is None:
            break
        node = inner
    return node.line


def examine(text: str, cls: type[T], name: str) -> tuple[T | None, list[Problem]]:
    """The instance, or every problem of the text; problems sorted by line."""
    try:
        root = tree(text, name)
    except DataError as error:
        return None, [from_error(error, name)]
    convert = Convert(name)
    data = convert.take(root, cls)
    if convert.problems:
        return None, sorted(convert.problems)
    return confirm(data, cls, root, name)


def from_error(error: DataError, name: str) -> Problem:
    """A problem from an error that was raised with its place."""
    place, colon, line = error.where.rpartition(":")
    if colon and line.isdigit():
        return Problem(file=place, line=int(line), what=error.message)
    return Problem(file=error.where or name, what=error.message)


def load_text(text: str, cls: type[T], where: str = "<text>") -> T:
    """Read a document from text.

    Raises:
        DataError: the first problem, and how many more there are
    """
    built, found = examine(text, cls, where)
    if built is None:
        raise first(found)
    return built


def load(path: Path | str, cls: type[T]) -> T:
    """Read a document from a file.

    Raises:
        DataError: the first problem, and how many more there are
    """
    return load_text(read_text(Path(path)), cls, shown(path))


def problems(path: Path | str, cls: type) -> list[Problem]:
    """Everything that is wrong in a file, an empty list when nothing is."""
    try:
        return examine(read_text(Path(path)), cls, shown(path))[1]
    except DataError as error:
        return [from_error(error, shown(path))]


def first(found: list[Problem]) -> DataError:
    """One error for many problems: the first by line, with the number of the others."""
    error = found[0].error()
    if len(found) == 1:
        return error
    rest = len(found) - 1
    return DataError(f"{error.message} (and {rest} more problem{'s' if rest > 1 else ''})", error.where)
