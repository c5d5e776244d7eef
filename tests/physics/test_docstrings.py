"""Every public physics function states units, validity and source."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable
from typing import Any

import pytest

import xref.physics


def public_functions() -> list[tuple[str, Callable[..., Any]]]:
    """Public functions, and public methods of public classes, of every module of the room."""
    found: list[tuple[str, Callable[..., Any]]] = []
    for module_info in pkgutil.iter_modules(xref.physics.__path__):
        if module_info.name.startswith("_"):
            continue
        module = importlib.import_module(f"xref.physics.{module_info.name}")
        for name, thing in vars(module).items():
            if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__:
                continue
            if inspect.isfunction(thing):
                found.append((f"{module_info.name}.{name}", thing))
            elif inspect.isclass(thing):
                found += [
                    (f"{module_info.name}.{name}.{key}", value)
                    for key, value in vars(thing).items()
                    if inspect.isfunction(value) and not key.startswith("_")
                ]
    return found


FUNCTIONS = public_functions()


def section(text: str, title: str) -> str:
    """Indented block under a title, without its blank end."""
    match = re.search(rf"^{title}:\n((?:[ ]+.*\n?)+)", text, re.MULTILINE)
    return match.group(1) if match else ""


@pytest.mark.parametrize(("name", "function"), FUNCTIONS, ids=[f[0] for f in FUNCTIONS])
def test_units_validity_source(name: str, function: Callable[..., Any]) -> None:
    """Each argument and the return end in a unit; Valid and Source are there."""
    text = inspect.getdoc(function) or ""
    entries = re.split(r"\n    (?=\w)", "\n" + section(text, "Args").rstrip())[1:]
    described = {entry.split(":", 1)[0]: entry for entry in entries}
    wanted = [p for p in inspect.signature(function).parameters if p != "self"]

    assert sorted(described) == sorted(wanted), f"{name}: arguments in the docstring"
    for argument, entry in described.items():
        assert re.search(r"\[[^\[\]]+\]$", entry), f"{name}: {argument} has no unit"
    assert re.search(r"\[[^\[\]]+\]$", section(text, "Returns").rstrip()), f"{name}: the return has no unit"
    assert re.search(r"^Valid: \S", text, re.MULTILINE), f"{name}: no Valid"
    assert re.search(r"^Source: \S", text, re.MULTILINE), f"{name}: no Source"


def test_the_walk_finds_the_room() -> None:
    """The walk sees the whole room: a broken walk would pass everything above."""
    names = {name.split(".")[0] for name, _ in FUNCTIONS}

    assert len(FUNCTIONS) >= 70
    assert {"emitter", "series", "coupling", "distance", "detector", "load", "logic_input", "operating", "corners",
            "timing", "contact", "optics", "standard_values"} <= names  # fmt: skip


def test_public_classes_are_documented() -> None:
    """Every public class of the room has a docstring of its own, not the generated one."""
    for module_info in pkgutil.iter_modules(xref.physics.__path__):
        module = importlib.import_module(f"xref.physics.{module_info.name}")
        for name, thing in vars(module).items():
            if inspect.isclass(thing) and thing.__module__ == module.__name__ and dataclasses.is_dataclass(thing):
                assert thing.__doc__, name
                assert not thing.__doc__.startswith(f"{name}("), f"{name} has no docstring"
