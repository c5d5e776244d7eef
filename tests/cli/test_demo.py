"""The demo tells what the commands really say: each command that it shows is run and compared."""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path

import pytest

from xref.cli.demo_story import story
from xref.cli.main import main
from xref.examples import FOLDER


@pytest.fixture(scope="module")
def told() -> str:
    """The whole story."""
    return "\n".join(story(ascii=True))


def shown(told: str, name: str) -> list[str]:
    """The words of the command of that name, as the story shows it."""
    line = re.search(rf"^   \$ xref ({name} .*)$", told.replace("\\\n", " "), re.MULTILINE)
    assert line is not None
    return shlex.split(line.group(1))


def run(words: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    """What the command prints, run beside the examples."""
    assert main(words) == 0
    return capsys.readouterr().out


@pytest.fixture(autouse=True)
def _beside_the_examples(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(FOLDER)


def test_the_blame_is_that_of_assess(told: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The three causes and their shares."""
    verdicts = json.loads(run([*shown(told, "assess"), "--json"], capsys))["verdicts"]

    for verdict in verdicts[:3]:
        assert f"{100 * verdict['probability']:3.0f} %  {verdict['cause']}" in told


def test_the_leads_are_those_of_identify(told: str, capsys: pytest.CaptureFixture[str]) -> None:
    """With the meter that the story names, the leads of the command are those of the story."""
    assert main(["meter", "--diode", "1mA", "--open", "3V", "--overload", "2V", "--ohms-red", "plus"]) == 0
    capsys.readouterr()

    leads = json.loads(run([*shown(told, "identify"), "--json"], capsys))["leads"]

    assert ", ".join(f"{label} = {function}" for label, function in leads.items()) in told


def test_the_candidates_are_those_of_find(told: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Part, score and reason of each candidate, in order."""
    candidates = json.loads(run([*shown(told, "find"), "--json"], capsys))["candidates"]
    plain = " ".join(told.split())
    places = [plain.index(f"{item['part']} ({item['maker']}), score {item['score']:.2f}: ") for item in candidates]

    assert len(candidates) == 3
    assert places == sorted(places)


def test_the_wiring_is_that_of_fit(told: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The text of the fit, line by line."""
    printed = run([*shown(told, "fit"), "--ascii"], capsys)

    for line in printed.rstrip().splitlines():
        assert line in told


def test_it_fits_the_terminal(told: str) -> None:
    """80 columns, plain ASCII where that was asked for; but for a path, which cannot be folded."""
    lines = [line for line in told.splitlines() if str(Path(FOLDER)) not in line]

    assert max(len(line) for line in lines) <= 80
    assert all(line.isascii() for line in lines)
