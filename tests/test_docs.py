"""What the README shows is run, and the examples of the Python functions too."""

from __future__ import annotations

import doctest
import re
import shlex
from dataclasses import is_dataclass
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest

import xref.api
from xref.cli.main import COMMANDS, main
from xref.examples import FOLDER as EXAMPLES
from xref.model.job import Job
from xref.model.network import Network

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text("utf-8")
GUIDE = {path.stem: path.read_text("utf-8") for path in sorted((ROOT / "xref" / "guide").glob("*.txt"))}
CONSOLE = re.findall(r"^```console\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def commands() -> list[tuple[str, str]]:
    """(command line, output shown) of every console block."""
    found = []
    for block in CONSOLE:
        for piece in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            line, _, shown = piece.partition("\n")
            found.append((line, shown))
    return found


@pytest.mark.parametrize(("line", "shown"), commands(), ids=lambda text: text[:40])
def test_readme_command(
    line: str, shown: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each command shown answers, and prints what the README shows below it."""
    monkeypatch.chdir(ROOT / "xref" / "examples")
    words = shlex.split(line)
    assert words[0] == "xref"

    code = main(words[1:])
    printed = capsys.readouterr().out

    assert code == 0
    assert "\n".join(row.rstrip() for row in printed.splitlines()).strip() == shown.strip() or not shown.strip()


def test_the_readme_shows_commands() -> None:
    """The parser above finds what is there."""
    assert len(commands()) == README.count("\n$ xref ")
    assert len(commands()) >= 4


def test_the_two_commands_of_the_readme() -> None:
    """One command sets up and runs the job, one sets up and passes the tests; CI calls the second."""
    run = re.search(r"<!-- run -->\n```sh\n(.*?)\n```", README, re.DOTALL)
    test = re.search(r"<!-- test -->\n```sh\n(.*?)\n```", README, re.DOTALL)

    assert run is not None
    assert "xref demo" in run.group(1)
    assert test is not None
    assert "pytest" in test.group(1)


def test_every_command_has_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    """--help of every command shows one real example."""
    for name in COMMANDS:
        assert main([name, "--help"]) == 0
        assert "xref " + name in capsys.readouterr().out, name


def test_examples_of_the_python_functions() -> None:
    """The examples in the docstrings run, and there are at least six of them."""
    result = doctest.testmod(xref.api, optionflags=doctest.NORMALIZE_WHITESPACE)

    assert result.failed == 0
    assert result.attempted >= 12


@pytest.mark.parametrize("topic", sorted(GUIDE))
def test_guide_pages(topic: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Every page is shown whole, at 80 columns, in plain ASCII."""
    assert main(["help", topic]) == 0
    printed = capsys.readouterr().out

    assert printed.rstrip("\n") == GUIDE[topic].rstrip("\n").replace("{examples}", f"  {EXAMPLES}")
    assert max(len(line) for line in printed.splitlines() if str(EXAMPLES) not in line) <= 80
    assert printed.isascii()


def keys_of(hint: Any) -> set[str]:
    """Every key of a document class and of the classes inside it."""
    if is_dataclass(hint):
        hints = get_type_hints(hint)
        return set(hints).union(*(keys_of(each) for each in hints.values()))
    return set().union(*(keys_of(each) for each in get_args(hint)))


@pytest.mark.parametrize(("topic", "form"), [("site", Job), ("network", Network)])
def test_every_key_of_a_file_is_explained(topic: str, form: type) -> None:
    """What a message may ask for (taps, room, if_open, low_below ...) stands in the page of that file."""
    words = set(re.findall(r"[a-z_]+", GUIDE[topic]))

    assert keys_of(form) - words == set()


@pytest.mark.parametrize("topic", ["start", "files", "network"])
def test_where_the_examples_lie(topic: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The files that every --help names can be found."""
    assert main(["help", topic]) == 0
    printed = capsys.readouterr().out

    assert f"  {EXAMPLES}\n" in printed
    for name in set(re.findall(r"[a-z-]+\.yaml", printed)):
        assert (EXAMPLES / name).is_file()


@pytest.mark.parametrize("topic", sorted(GUIDE))
def test_guide_commands_exist(topic: str) -> None:
    """A command named in a page is a command of the program."""
    for name in re.findall(r"(?:^ .*|: )xref ([a-z]+)", GUIDE[topic], re.MULTILINE):
        assert name in COMMANDS, name
