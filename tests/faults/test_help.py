"""Help that helps: an example for every command, and each example runs as it stands."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path
from typing import Any

import pytest

from tests.faults import inputs
from tests.faults.harness import Typed, run

COMMANDS = inputs.commands()


@pytest.mark.parametrize(
    ("path", "command"), COMMANDS, ids=lambda value: " ".join(value) if isinstance(value, tuple) else ""
)
def test_help_shows_an_example(path: tuple[str, ...], command: Any) -> None:
    """``--help`` says what the command does, every option in words, and one example; in 80 columns."""
    done = run([*path, "--help"])

    assert done.code == 0
    assert f"xref {' '.join(path)}" in done.out
    assert inputs.examples_of(command), f"no example in {path}"
    assert "Example: " in done.out
    assert max(map(len, done.out.splitlines())) <= 80
    assert [item.name for item in command.params if item.param_type_name == "option" and not item.help] == []


def prepared(folder: Path) -> None:
    """What the examples name: the shipped example files, a table, and some pieces on the shelf."""
    for path in inputs.EXAMPLES.glob("*.yaml"):
        shutil.copy(path, folder)
    (folder / "drawer.csv").write_text("what,part,count,place\npiece,TCRT5000,3,drawer 1\n")
    for _ in range(2):
        assert run(["stock", "add", "TCRT5000", "--new-board", "old controller", "--count", "10"]).code == 0
        for _ in range(9):
            assert run(["stock", "add", "CNY70"]).code == 0


EXAMPLES = [(path, line) for path, command in COMMANDS for line in inputs.examples_of(command)]


@pytest.mark.parametrize(("path", "line"), EXAMPLES, ids=[" ".join(path) for path, _ in EXAMPLES])
def test_examples_run(path: tuple[str, ...], line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The example gives an answer (0), or honestly none (1); it is no usage error and no data error."""
    monkeypatch.chdir(tmp_path)
    if path[0] == "stock":
        prepared(tmp_path)
    else:
        for file in inputs.EXAMPLES.glob("*.yaml"):
            shutil.copy(file, tmp_path)
        (tmp_path / "drawer.csv").write_text(inputs.TABLE)
        (tmp_path / "drawer.yaml").write_text(inputs.part_files()[0])
    args = [
        str(tmp_path / word.lstrip("/").replace("/", "-")) if word.startswith("/") else word
        for word in shlex.split(line)
    ]
    if path[-1] == "restore":
        assert run(["stock", "backup", args[-1]]).code == 0
    if path[-1] == "return":
        assert run(["stock", "take", args[-1]]).code == 0

    done = run(args[1:], Typed("y\n", tty=path[-1] == "restore"))

    assert args[0] == "xref"
    assert tuple(args[1 : 1 + len(path)]) == path
    assert done.code in (0, 1), done.err


def test_the_list_of_commands_is_that_of_the_program() -> None:
    """``xref --help`` names every command with what it is for."""
    shown = run(["--help"]).out

    for path, _ in COMMANDS:
        assert re.search(rf"^  {path[0]} +\S", shown, re.MULTILINE)


@pytest.mark.parametrize(
    ("typed", "nearest"), [("fnd", "find"), ("identfy", "identify"), ("stok", "stock"), ("workarround", "workaround")]
)
def test_a_mistyped_command_is_answered_with_the_nearest(typed: str, nearest: str) -> None:
    """One line, and what was most likely meant."""
    done = run([typed])

    assert done.code == 2
    assert done.err == f"xref: no command {typed!r}; nearest: {nearest}\n"


def test_a_mistyped_option_is_answered_with_the_nearest() -> None:
    """The parser's own suggestion comes through."""
    done = run(["find", "--kindd", "slotted"])

    assert done.code == 2
    assert "--kind" in done.err
    assert done.err.count("\n") == 1
