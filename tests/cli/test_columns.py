"""Every command that only reads keeps to the 80 columns of the bench terminal, on examples and shipped parts."""

from __future__ import annotations

import io
import shlex
from pathlib import Path

import pytest

from xref.cli.main import COMMANDS, main
from xref.draw.words import columns
from xref.examples import FOLDER
from xref.guide import topics

PARTS = ("TCRT5000", "H21A1", "EE-SX1041", "OS202011MS2QN1", "ESB30B132")
LINES = (
    "",
    "part list",
    "part list --kind switch",
    "part list --kind slotted --wired",
    "part sources",
    "part check",
    *(f"part {name}" for name in PARTS),
    "part TCRT5000 --view solder --ascii",
    "find --site arm-park.yaml",
    "find --site arm-park.yaml --refused",
    "find --for H21A1",
    "find --same --kind reflective --vf 1.03V --body 10.2x5.8x7 --leads 4",
    "fit arm-park.yaml RPR-220",
    "fit TCRT5000 CNY70 --ascii",
    "expect arm-park.yaml",
    "assess arm-park.yaml",
    "identify --leads 4 1:2=1.08V 2:1=OL 3:4@lit=6.8k",
    "identify --leads 4 1:2=1.08V 2:1=OL 4:3@lit=0.6V 3:4@lit=OL 3:4@dark=OL",
    "identify --job arm-park.yaml",
    "meter",
    "switch identify --leads 3 1:2@left=0 1:3@left=OL 2:3@right=0",
    "switch identify --leads 12 1:2@left=0",
    "switch find --joins left=1:2 --joins right=2:3 --load 5V/0.5mA",
    "switch find --joins left=1:2 --joins right=2:3 --load 5V/0.5mA --refused",
    "switch fit OS202011MS2QN1 5MD1 --load 12V/50mA",
    "switch fit OS202011MS2QN1 ESB30B132",
    "switch spare OS202011MS2QN1 --used 1,2,3",
    "workaround ring-selector.yaml",
    "workaround ring-selector.yaml --draw",
    "workaround ring-selector.yaml --option 3 --brief",
    "stock list",
    "stock where slotted",
    "log list",
    "demo",
    *(f"help {topic}" for topic in ("", *topics())),
    *(f"{name} --help" for name in COMMANDS),
    *(f"switch {name} --help" for name in ("identify", "find", "fit", "spare")),
    *(f"part {name} --help" for name in ("show", "list", "sources", "check", "add")),
)


@pytest.mark.parametrize("line", LINES, ids=lambda line: line or "xref alone")
def test_no_line_is_wider_than_the_terminal(
    line: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """80 cells a line on stdout, wide characters counted as two; only a path may be longer than that."""
    monkeypatch.chdir(FOLDER)

    assert main(shlex.split(line)) in (0, 1)
    shown = capsys.readouterr().out

    assert shown
    assert [text for text in shown.splitlines() if columns(text) > 80 and str(FOLDER) not in text] == []


@pytest.mark.parametrize("line", ["part add", "stock add", "workaround new.yaml --ask", "identify --leads 4 --ask"])
def test_no_prompt_is_wider_than_the_terminal(
    line: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a dialogue says before its first answer keeps to 80 columns too; then the input ends."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO(""))

    assert main(shlex.split(line)) in (2, 130)
    said = capsys.readouterr().err

    assert said
    prompts = said.partition("xref: ")[0]
    assert [text for text in prompts.splitlines() if columns(text) > 80] == []
