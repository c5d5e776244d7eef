"""The dialogue in a pseudo-terminal: asks, corrects, skips, and loses nothing when it is broken off."""

from __future__ import annotations

import json
import os
import re
import signal
import sys
from pathlib import Path

import pexpect
import pytest
import typer

from xref.bench.readings import Reading

ANSWERS = {("1", "2"): "1.08V", ("3", "4"): "0.12V"}
"""Diode test on a part with 1 = A, 2 = K, 3 = C, 4 = E; the second pair only when lit."""
ASKED = re.compile(r"(\d+)\. (diode test|ohms range|5 V through (\w+), volts over\s+the part), (torch on|detector\s+"
                   r"covered): red\s+on\s+(\w), black\s+on\s+(\w)\s+shows: ")  # fmt: skip


def start(home: Path, *args: str) -> pexpect.spawn[str]:
    """xref identify in a terminal of 80 columns."""
    env = {**os.environ, "XREF_HOME": str(home), "COLUMNS": "80"}
    return pexpect.spawn(sys.executable, ["-m", "xref", "identify", *args], env=env, encoding="utf-8", timeout=60,
                         echo=False)  # fmt: skip


def reply(match: re.Match[str]) -> str:
    """What the meter shows on the part above."""
    what, series, light, red, black = match[2], match[3], match[4], match[5], match[6]
    lit, pair = light == "torch on", (red, black)
    if what == "diode test":
        return ANSWERS[pair] if pair in ANSWERS and (lit or pair == ("1", "2")) else "OL"
    if what == "ohms range":
        return {("3", "4"): "450R", ("4", "3"): "27k"}.get(pair, "OL") if lit else "OL"
    if pair == ("1", "2"):
        return "1.04V" if series == "10k" else "1.07V"
    return "0.15V" if pair == ("3", "4") and lit else "5V"


def go_on(child: pexpect.spawn[str]) -> str:
    """Answer until it is settled; the text of the answer."""
    for _ in range(40):
        seen = child.expect([ASKED, "settled, probability"])
        if seen:
            break
        child.sendline(reply(child.match))
    child.expect(pexpect.EOF)
    child.close()
    return str(child.before)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A home with a saved meter."""
    figures = {"format": 1, "diode": 0.001, "open": 3.0, "overload": 2.0, "ohms_red": "plus"}
    (tmp_path / "meter.json").write_text(json.dumps(figures))
    return tmp_path


def test_it_asks_until_it_is_settled(home: Path) -> None:
    """Without readings on a terminal it asks; the answer says which lead is which; no session is left behind."""
    child = start(home, "--leads", "4")

    text = go_on(child)

    assert child.exitstatus == 0
    assert re.search(r"1\s+A\s+2\s+K\s+3\s+C\s+4\s+E", text)
    assert "next: xref find --same --vf 1.08V@1mA --output transistor --leads 4" in text
    assert not (home / "sessions" / "identify.json").exists()


def test_a_wrong_entry_is_told_and_taken_back(home: Path) -> None:
    """What cannot be read is asked again; back takes the last reading back; the answer is the right one."""
    child = start(home, "--leads", "4", "--ask")
    child.expect(ASKED)
    child.sendline("1,08V")
    child.expect("has a comma: write a dot")
    child.sendline("1.95V")
    child.expect(ASKED)
    child.sendline("back")
    child.expect("taken back: 1:2@lit=1.95V")
    child.expect(ASKED)
    assert child.match[1] == "1"
    child.sendline(reply(child.match))

    text = go_on(child)

    assert re.search(r"1\s+A\s+2\s+K\s+3\s+C\s+4\s+E", text)


def test_a_skipped_reading_is_not_asked_again(home: Path) -> None:
    """unknown skips; the same reading does not come again, and it still ends right."""
    child = start(home, "--leads", "4", "--ask")
    child.expect(ASKED)
    first = child.match.groups()[1:]
    child.sendline("unknown")
    asked = []
    for _ in range(40):
        if child.expect([ASKED, "settled, probability"]):
            break
        asked.append(child.match.groups()[1:])
        child.sendline(reply(child.match))

    assert first not in asked
    child.expect(pexpect.EOF)


def test_an_own_reading_may_be_typed(home: Path) -> None:
    """A whole reading instead of the value of the proposed one is taken as it is."""
    child = start(home, "--leads", "4", "--ask")
    child.expect(ASKED)
    child.sendline("3:4@lit=0.12V")
    child.expect(ASKED)
    child.sendline("show")
    child.expect("3:4@lit=120mV: from")
    child.sendline("stop")
    child.expect("kept; go on with: xref identify --resume")
    child.expect(pexpect.EOF)
    child.close()

    assert child.exitstatus == 0


@pytest.mark.parametrize("how", ["ctrl-c", "ctrl-d", "killed"])
def test_nothing_is_lost(home: Path, how: str) -> None:
    """Ctrl-C, end of input or a kill after two readings: --resume goes on with the third."""
    child = start(home, "--leads", "4", "--ask")
    for _ in range(2):
        child.expect(ASKED)
        child.sendline(reply(child.match))
    child.expect(ASKED)
    if how == "killed":
        child.kill(signal.SIGKILL)
    elif how == "ctrl-c":
        child.sendintr()
        child.expect("kept; go on with: xref identify --resume")
    else:
        child.sendeof()
        child.expect("kept; go on with: xref identify --resume")
    child.expect(pexpect.EOF)
    child.close()
    assert how == "killed" or child.exitstatus == 130

    child = start(home, "--resume")
    child.expect(ASKED)
    assert child.match[1] == "3"
    child.sendline(reply(child.match))
    text = go_on(child)

    assert re.search(r"1\s+A\s+2\s+K\s+3\s+C\s+4\s+E", text)
    assert not (home / "sessions" / "identify.json").exists()


def test_nothing_to_resume(home: Path) -> None:
    """Without a kept session --resume says how to start, exit code 1."""
    child = start(home, "--resume")
    child.expect("no identification was broken off; start one: xref identify --leads 4 --ask")
    child.expect(pexpect.EOF)
    child.close()

    assert child.exitstatus == 1


def test_the_other_range_is_questioned_once(home: Path) -> None:
    """Ohms at a diode-test prompt are asked back; typed again they are taken as ohms."""
    child = start(home, "--leads", "4", "--ask")
    child.expect(r"body\s+towards\s+you,\s+leads\s+away\s+from\s+you")
    child.expect(r"--together\s+1:2,3:4")
    child.expect(ASKED)
    child.sendline("6.8k")
    child.expect(r"6\.8k\s+is\s+ohms,\s+but\s+the\s+diode\s+test\s+was\s+asked\s+for")
    child.sendline("6.8k")
    child.expect(ASKED)
    child.sendline("show")
    child.expect("6.8kohm: from")
    child.sendline("stop")
    child.expect(pexpect.EOF)


def test_nothing_is_lost_when_it_cannot_be_saved(home: Path) -> None:
    """The name is taken: the lead map is shown, the readings stay, and --resume saves them under another name."""
    child = start(home, "--leads", "4", "1:2=1.08V", "2:1=OL", "3:4@lit=0.12V", "4:3@lit=OL", "--save", "RS9")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0

    child = start(home, "--leads", "4", "--ask", "--save", "RS9", "--map", "1 2 / 3 4", "--grid", "5.5x2.54mm")
    text = go_on(child)
    assert child.exitstatus == 3
    assert re.search(r"1\s+A\s+2\s+K\s+3\s+C\s+4\s+E", text)
    assert "not saved; the readings are kept: xref identify --resume --save NAME" in text
    assert (home / "sessions" / "identify.json").exists()

    child = start(home, "--resume", "--save", "RS10", "--map", "1 2 / 3 4", "--grid", "5.5x2.54mm")
    text = go_on(child)
    assert child.exitstatus == 0
    assert (home / "parts" / "rs10.yaml").exists()
    assert not (home / "sessions" / "identify.json").exists()


@pytest.mark.parametrize("typed", ["1,08V", "5.2k", "1:2@5V/220R=1.2V", "-3V", "1:9=OL"])
def test_what_is_said_at_the_prompt_fits_the_terminal(home: Path, typed: str, capsys: pytest.CaptureFixture[str],
                                                      monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    """No line on stderr is longer than 80 columns, whatever the range that was asked for."""
    from xref.cli.identify_ask import dialogue
    from xref.model.job import Meter
    from xref.tasks.identify import Ask, Running

    monkeypatch.setenv("XREF_HOME", str(home))
    running = Running(Ask(labels=("1", "2", "3", "4"), meter=Meter()))
    monkeypatch.setattr(running, "proposed", lambda answer: Reading(
        red="1", black="2", mode="supply", light="lit", supply=5.0, series=10_000.0))  # fmt: skip
    words = iter([typed, "stop"])
    monkeypatch.setattr("builtins.input", lambda: next(words))

    with pytest.raises(typer.Exit):
        dialogue(running)

    # on a terminal the user's Enter ends the prompt's line
    lines = capsys.readouterr().err.replace("shows: ", "shows:\n").splitlines()
    assert len(lines) > 8
    assert max(map(len, lines)) <= 80, max(lines, key=len)
