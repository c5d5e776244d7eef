"""Dataclasses from trusted JSON and back, without pydantic: what the index and ``--json`` use.

Only for data that was checked before (a record of the index, an answer of our own); a file goes through
``xref.library.reader``.
"""

from __future__ import annotations

import types
from collections.abc import Callable
from dataclasses import MISSING, fields, is_dataclass
from functools import cache
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin, get_type_hints

T = TypeVar("T")


def decode(cls: type[T], data: Any) -> T:
    """Build ``cls`` from JSON-able data (mappings, lists, text, numbers).

    Raises:
        TypeError: a key that the class does not know, or a needed one that is missing
    """
    hint: Any = cls
    build: Callable[[Any], T] = _builder(hint)
    return build(data)


def encode(value: Any, *, keep_defaults: bool = False) -> Any:
    """JSON-able form of a dataclass (or of lists and mappings of them); fields at their default are dropped.

    Args:
        value: dataclass instance, list, tuple, mapping or plain value
        keep_defaults: every field, also where it says nothing
    """
    if is_dataclass(value) and not isinstance(value, type):
        found = {}
        for name, default in _fields(type(value)):
            item = getattr(value, name)
            if keep_defaults or item != default:
                found[name] = encode(item, keep_defaults=keep_defaults)
        return found
    if isinstance(value, (list, tuple)):
        return [encode(item, keep_defaults=keep_defaults) for item in value]
    if isinstance(value, dict):
        return {str(key): encode(item, keep_defaults=keep_defaults) for key, item in value.items()}
    return value


@cache
def _fields(cls: type) -> tuple[tuple[str, Any], ...]:
    """Name and default of each field; a field without default gets a value that equals nothing."""
    return tuple(
        (
            item.name,
            item.default
            if item.default is not MISSING
            else item.default_factory()
            if item.default_factory is not MISSING
            else MISSING,
        )
        for item in fields(cls)
    )


def _same(data: Any) -> Any:
    return data


@cache
def _builder(hint: Any) -> Callable[[Any], Any]:
    """The function that turns JSON-able data into a value of the hinted type."""
    origin, args = get_origin(hint), get_args(hint)
    if origin is Annotated:
        return _builder(args[0])
    if origin in (Union, types.UnionType):
        inner = [_builder(arg) for arg in args if arg is not type(None)]
        if len(inner) != 1 or inner[0] is _same:
            return _same
        one = inner[0]
        return lambda data: None if data is None else one(data)
    if origin is tuple:
        if len(args) == 2 and args[1] is Ellipsis:
            item = _builder(args[0])
            return tuple if item is _same else lambda data: tuple(item(each) for each in data)
        items = [_builder(arg) for arg in args]
        return lambda data: tuple(build(each) for build, each in zip(items, data, strict=True))
    if origin is dict:
        value = _builder(args[1])
        return dict if value is _same else lambda data: {key: value(each) for key, each in data.items()}
    if is_dataclass(hint) and isinstance(hint, type):
        return _dataclass_builder(hint)
    return _same


def _dataclass_builder(cls: type) -> Callable[[Any], Any]:
    hints: dict[str, Any] = {}
    """Filled on first use: a class may hold itself, and unused classes need no hints."""

    def build(data: Any) -> Any:
        if not hints:
            hints.update(get_type_hints(cls, include_extras=True))
        return cls(**{key: _builder(hints[key])(item) if key in hints else item for key, item in data.items()})

    return build
