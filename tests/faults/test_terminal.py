"""Streams and terminals: closed, full, left early, narrow, in another locale, without anybody to answer."""

from __future__ import annotations

import random
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.faults import inputs
from tests.faults.harness import CODES, MARKS
from tests.faults.process import FIND, environment, xref


def as_process(number: int, home: Path, work: Path) -> str:
    """Run random command line ``number`` as a process; what is wrong with it, or an empty text."""
    for path in inputs.EXAMPLES.glob("*.yaml"):
        shutil.copy(path, work)
    args = inputs.command_line(random.Random(f"process {number}"))
    done = xref(*args, env=environment(home), cwd=work)
    odd = [char for char in done.stdout + done.stderr if char != "\n" and (not char.isprintable() or char in MARKS)]
    if done.returncode not in CODES or "Traceback" in done.stderr or odd:
        return f"{number}: {args!r}: {done.returncode} {odd} {done.stderr[-300:]}"
    return ""


@pytest.mark.parametrize("numbers", [range(20), range(20, 40)])
def test_broken_command_lines_as_processes(numbers: range, warm: Path, tmp_path: Path) -> None:
    """Forty broken command lines through the real entry point."""
    wrong = [found for number in numbers if (found := as_process(number, warm, tmp_path))]

    assert not wrong, "\n".join(wrong)


@pytest.mark.nightly
@pytest.mark.parametrize("block", range(13))
def test_broken_command_lines_as_processes_all_night(block: int, warm: Path, tmp_path: Path) -> None:
    """Two hundred and sixty more."""
    wrong = [
        found for number in range(40 + 20 * block, 60 + 20 * block) if (found := as_process(number, warm, tmp_path))
    ]

    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize(
    "command",
    [
        "part list",
        "part sources",
        "part list --json",
        "find --kind reflective --limit 0 --json",
        "help safety",
        "--help",
    ],
)
def test_the_reader_of_the_pipe_leaves_early(command: str, warm: Path) -> None:
    """``| head -1``: the first line comes, no complaint, no failure."""
    line = f"{sys.executable} -m xref {command} | head -1; echo ${{PIPESTATUS[0]}}"

    done = subprocess.run(["bash", "-c", line], env=environment(warm), capture_output=True, text=True, check=False)

    assert done.stderr == ""
    assert done.stdout.splitlines()[-1] == "0"
    assert len(done.stdout.splitlines()) == 2


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("part list >&-", 0),
        ("part list --json >&-", 0),
        ("--version >&-", 0),
        ("--help >&-", 0),
        ("find --kind x 2>&-", 2),
        ("part add <&-", 2),
        ("identify --leads 4 --ask <&-", 130),
        ("workaround new.yaml --ask <&-", 2),
        ("part list >/dev/full", 3),
        ("part list --json >/dev/full", 3),
        ("--help >/dev/full", 3),
        ("find >/dev/full", 2),
    ],
)
def test_closed_and_full_streams(line: str, code: int, warm: Path, tmp_path: Path) -> None:
    """A stream that is closed or full is no fault of ours, and ends in a documented code."""
    done = subprocess.run(
        ["bash", "-c", f"{sys.executable} -m xref {line}"],
        env=environment(warm),
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )

    assert done.returncode == code, done.stderr
    assert "Traceback" not in done.stderr
    assert "Exception" not in done.stderr


@pytest.mark.parametrize("command", ["part CNY70", "part list --kind slotted", "help views", "find --kind slotted"])
def test_plain_locale(command: str, warm: Path) -> None:
    """In locale C, with Python's rescue of it switched off, the output is ASCII and whole."""
    env = environment(warm, LC_ALL="C", LANG=None, PYTHONCOERCECLOCALE="0", PYTHONUTF8="0", PYTHONIOENCODING=None)

    done = xref(*command.split(), env=env, cwd=warm)

    assert done.returncode == 0
    assert done.stdout.isascii()
    assert done.stdout.count("\n") > 3


@pytest.mark.parametrize("columns", ["20", "1", "0", "-5", "many", ""])
@pytest.mark.parametrize("command", [*map(" ".join, [FIND]), "part CNY70", "fit --help", "--help"])
def test_narrow_terminal(columns: str, command: str, warm: Path) -> None:
    """A terminal of any width gets an answer; drawings and tables keep the width that they need."""
    done = xref(*command.split(), env=environment(warm, COLUMNS=columns), cwd=warm)

    assert done.returncode == 0, done.stderr
    assert done.stderr == ""


@pytest.mark.parametrize("term", ["dumb", "xterm-256color", ""])
def test_no_colour_unless_asked(term: str, warm: Path) -> None:
    """In a pipe no command sends a single control character, whatever the terminal and NO_COLOR say."""
    for no_colour in ("1", None):
        env = environment(warm, TERM=term, NO_COLOR=no_colour, FORCE_COLOR="1")
        for args in (FIND, ("find", "--help"), ("part", "CNY70"), ("fnd",)):
            done = xref(*args, env=env, cwd=warm)
            assert "\x1b" not in done.stdout + done.stderr


def test_no_terminal_to_ask_at(warm: Path, tmp_path: Path) -> None:
    """A question without anybody to answer ends at once."""
    for args in (("part", "add"), ("identify", "--leads", "4", "--ask"), ("workaround", "n.yaml", "--ask")):
        done = xref(*args, env=environment(warm), cwd=tmp_path, timeout=30)
        assert done.returncode in (2, 130)
        assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []
