"""The rooms import one way, and only the command line prints."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent / "xref"
BASE = {"errors", "_version"}
MAY = {
    "errors": set(), "_version": set(), "quantity": set(), "places": set(), "examples": set(),
    "dialogue": set(),
    "model": {"quantity"},
    "physics": set(),
    "library": {"model", "quantity", "places", "examples", "dialogue"},
    "bench": {"model", "physics", "quantity"},
    "search": {"model", "physics", "library", "quantity"},
    "adapt": {"model", "physics", "quantity"},
    "stock": {"model", "quantity", "places"}, "guide": {"examples"},
    "job": {"model", "physics", "quantity", "places", "library", "examples"},
    "draw": {"model"},
    "paper": {"model", "draw"},
    "tasks": {"model", "physics", "library", "bench", "search", "adapt", "stock", "job", "draw", "paper", "quantity",
              "places", "dialogue"},
    "cli": {"tasks", "model", "quantity", "draw", "paper", "job", "library", "places", "stock", "examples", "guide",
            "dialogue"},
    "__main__": {"cli"}, "__init__": {"api"},
    "api": {"tasks", "model", "library", "job", "examples"},
}  # fmt: skip
"""What each room may import of ours, itself and errors apart (DEVELOPERS.md, Rooms)."""

FILES = sorted(ROOT.rglob("*.py"))


def room_of(path: Path) -> str:
    """The first folder below xref/, or the file's own name."""
    first = path.relative_to(ROOT).parts[0]
    return first.removesuffix(".py")


def imported_rooms(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """Every room of ours that a module imports, also inside functions."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "xref":
            parts = node.module.split(".")
            yield from ((node.lineno, parts[1] if len(parts) > 1 else alias.name) for alias in node.names)
        elif isinstance(node, ast.Import):
            for alias in node.names:
                if alias.name.startswith("xref."):
                    yield node.lineno, alias.name.split(".")[1]


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_run_one_way(path: Path) -> None:
    """A room imports only the rooms below it."""
    room = room_of(path)
    allowed = MAY[room] | BASE | {room}

    wrong = [(line, other) for line, other in imported_rooms(ast.parse(path.read_text())) if other not in allowed]

    assert not wrong


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_only_the_command_line_prints(path: Path) -> None:
    """print and sys.stdout belong to cli."""
    if room_of(path) == "cli":
        return
    tree = ast.parse(path.read_text())

    prints = [n.lineno for n in ast.walk(tree) if isinstance(n, ast.Call) and getattr(n.func, "id", "") == "print"]
    streams = [n.lineno for n in ast.walk(tree) if isinstance(n, ast.Attribute) and n.attr in ("stdout", "stderr")]

    assert not prints
    assert not streams


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_files_have_one_job(path: Path) -> None:
    """A file over 400 lines has two jobs; every file says its job in its first line."""
    text = path.read_text()

    assert len(text.splitlines()) <= 400
    assert ast.get_docstring(ast.parse(text))
