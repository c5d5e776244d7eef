"""How long a cold command takes, as a multiple of an empty Python and of an empty typer program of the same version.

Measured twice: from this working copy, and from a wheel as users have it (index inside, no folders to look through).
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.bench.measure import Spent, processes, show

ROOT = Path(__file__).parents[2]
EMPTY = """\
import typer
app = typer.Typer(rich_markup_mode=None, pretty_exceptions_enable=False)
@app.command("a")
def a(x: str = typer.Option("", help="x")) -> None: pass
@app.command("b")
def b(x: str = typer.Option("", help="x")) -> None: pass
app()
"""
COMMANDS = {
    "xref --help": "--help",
    "find": "find --kind reflective --body 10.2x5.8x7",
    "find --same --vf": "find --same --kind reflective --vf 1.08V@1mA --body 10.2x5.8x7 --leads 4",
    "find --for": "find --for TCRT5000",
    "part": "part TCRT5000",
    "fit": "fit TCRT5000 CNY70",
    "identify": "identify --leads 4 1:2=1.08V 2:1=OL 3:4@lit=6.8k",
    "switch find": "switch find --joins left=1:2 --joins right=2:3",
}
LIMITS = {"find": 6.5, "fit": 20.0, "identify": 20.0, "part": 20.0, "xref --help": 6.5}
"""Most, as a multiple of an empty Python."""
NOT_MET = {"identify": 55.0}
"""Asked for 20 and not met: numpy and thousands of drawn pieces weigh every reading. It must not become worse."""
FIND_TO_TYPER = 1.15


def measured(env: dict[str, str], folder: Path) -> dict[str, Spent]:
    """The two references and every command, in turn."""
    (folder / "empty.py").write_text(EMPTY)
    commands = {"python -c pass": [sys.executable, "-c", "pass"], "empty typer": [sys.executable, "empty.py", "a"]}
    commands |= {name: [sys.executable, "-m", "xref", *line.split()] for name, line in COMMANDS.items()}
    return processes(commands, env, cwd=str(folder))


def report(title: str, found: dict[str, Spent]) -> None:
    """Print wall and processor time with both ratios (by processor time)."""
    empty, typer = found["python -c pass"], found["empty typer"]
    rows = [
        (name, f"{1e3 * spent.wall:.0f}", f"{1e3 * spent.cpu:.0f}", f"{spent.cpu / empty.cpu:.1f}",
         f"{spent.cpu / typer.cpu:.2f}", LIMITS.get(name, ""))
        for name, spent in found.items()
    ]  # fmt: skip
    show(title, ("cold command", "wall ms", "cpu ms", "x python", "x typer", "most x python"), rows)


@pytest.mark.bench
def test_cold_start(tmp_path: Path) -> None:
    """From the working copy and from a wheel; the limits are asked of the wheel."""
    env = {**os.environ, "XREF_HOME": str(tmp_path / "home")}
    report("Cold start, working copy", measured(env, tmp_path))
    target = tmp_path / "site"
    build = [sys.executable, "-m", "pip", "install", "-q", "--no-deps", "--no-build-isolation", "--target", str(target)]
    if shutil.which("git") is None or subprocess.run([*build, str(ROOT)], check=False, capture_output=True).returncode:
        pytest.skip("no wheel can be built here (needs hatchling in this environment)")
    found = measured({**env, "PYTHONPATH": str(target)}, tmp_path)
    report("Cold start, from a wheel", found)

    empty, typer = found["python -c pass"].cpu, found["empty typer"].cpu
    missed = [
        f"{name}: {found[name].cpu / empty:.1f} > {most}"
        for name, most in LIMITS.items()
        if found[name].cpu > most * empty
    ]
    if found["find"].cpu > FIND_TO_TYPER * typer:
        missed.append(f"find: {found['find'].cpu / typer:.2f} > {FIND_TO_TYPER} x an empty typer program")
    assert not missed, missed
