"""Bad input gets one clear line with place, cause and what instead, and the right exit code; full text compared."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path

import pytest

from xref.cli.find_text import find_text
from xref.cli.fit_text import _next as fit_next
from xref.cli.main import main
from xref.examples import FOLDER
from xref.model.answers.find import FindAnswer
from xref.model.answers.fit import Fit, Signal

NEED_GRID = 'xref: fit: --map "A C / K E" needs --grid ACROSSxDOWN, such as 5.5x2.54mm'

CASES: tuple[tuple[list[str], int, str], ...] = (
    (["fnd"], 2, "xref: no command 'fnd'; nearest: find"),
    (["--nope"], 2, "xref: No such option: --nope (see xref --help)"),
    (["find"], 2, "xref: say what kind of part: --kind reflective, slotted, pair, emitter, detector or switch"),
    (["find", "--kind", "reflektive"], 2,
     "xref: --kind: 'reflektive' is not one of reflective, slotted, pair, emitter, detector, switch; "
     "nearest: reflective"),
    (["find", "--kind", "slotted", "--gap", "-3mm"], 2,
     "xref: --gap: '-3mm' is not above 0; expected a length such as 3.1mm"),
    (["find", "--kind", "slotted", "--gap", "nan"], 2,
     'xref: "nan" is not a number: expected a length like 2.54mm or 0.1in'),
    (["find", "--kind", "slotted", "--gap", "3,1mm"], 2, 'xref: "3,1mm" has a comma: write a dot: "3.1mm"'),
    (["find", "--same", "--vf", "1.18mA"], 2, 'xref: "1.18mA" is a current: expected a voltage like 1.18V'),
    (["find", "--kind", "slotted", "--ic", "0.3mA"], 2,
     "xref: --ic: say the emitter current that it was read at: 0.3mA@10mA"),
    (["find", "--kind", "slotted", "--leads", "four"], 2, "xref: --leads: 'four' is not a whole number from 1 to 16"),
    (["find", "--kind", "slotted", "--body", "0x5x7"], 2,
     'xref: "0x5x7" is not a size: every length must be above 0'),
    (["find", "--kind", "slotted", "--lit", "low", "--blocked", "low"], 2,
     "xref: --lit: the output cannot be low both lit and blocked"),
    (["find", "--kind", "slotted", "--from", "shelf"], 2,
     "xref: --from shelf: expected one of published, stock, all"),
    (["find", "--site", "nofile.yaml"], 3, "xref: nofile.yaml: no such file"),
    (["fit", "TCRT5000"], 2, "xref: fit: Missing argument 'donor' (see xref fit --help)"),
    (["fit", "TCRT5OOO", "CNY70"], 1,
     'xref: no part "TCRT5OOO"; nearest: TCRT5000, TCRT5000L, TCRT1000, TCRT1010, TCND5000'),
    (["fit", "blank", "CNY70"], 2, 'xref: fit: ORIGINAL is blank: give its pads with --map "A C / K E" --grid '
     "5.5x2.54mm, or a site file"),
    (["fit", "blank", "CNY70", "--map", "A C / K E"], 2, NEED_GRID),
    (["fit", "TCRT5000", "CNY70", "--view", "top"], 2, "xref: --view: 'top' is not one of component, solder, both"),
    (["fit", "TCRT5000", "stock:999"], 1, ""),
    (["sheet", "arm-park.yaml"], 3,
     f"xref: arm-park.yaml: no such file; the shipped example is {FOLDER / 'arm-park.yaml'}"),
    (["log", "show", "x"], 2, "xref: log show: 'x' is not the number of a record; xref log list shows them"),
    (["log", "show", "7"], 1, "xref: no record 7; xref log list shows what is there"),
    (["help", "vews"], 2, "xref: help: no topic 'vews'; nearest: views"),
)  # fmt: skip


@pytest.mark.parametrize(
    ("args", "code", "line"), CASES, ids=lambda value: " ".join(value)[:40] if isinstance(value, list) else ""
)
def test_one_line_and_exit_code(args: list[str], code: int, line: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The whole line on stderr, nothing on stdout, the documented exit code."""
    got = main(args)
    streams = capsys.readouterr()

    assert got == code
    assert streams.out == ""
    assert streams.err.count("\n") == 1
    assert not line or streams.err.rstrip("\n") == line


def test_errors_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    """With --json the error is also a document on stdout."""
    assert main(["fit", "TCRT5OOO", "CNY70", "--json"]) == 1
    streams = capsys.readouterr()

    assert json.loads(streams.out)["error"]["kind"] == "not-found"
    assert streams.err.startswith("xref: no part")


@pytest.mark.parametrize(
    ("text", "code", "line"),
    [
        ("format: 1\nsite: {kind: reflektive}\n", 3, ":2: site.kind:"),
        ("format: 1\nsite:\n  kind: reflective\n  emiter: {supply: 5V}\n", 3, ":4: site.emiter:"),
        ("format: 1\nsite:\n  kind: reflective\n  emitter: {supply: 5A}\n", 3, ":4: site.emitter.supply:"),
        ("format: 99\nsite: {kind: reflective}\n", 3, "format 99 is newer than this xref reads (1)"),
        ("format: 1\njob: nothing here\n", 2, "the file has no site: block"),
        ("format: 1\nformat: 1\n", 3, ":2:"),
        ("- a list\n", 3, ":1:"),
        ("format: 1\nsite: {kind: reflective, emitter: &a {supply: 5V}, output: *a}\n", 3, ":2:"),
    ],
)
def test_a_wrong_job_file_names_file_and_line(
    text: str, code: int, line: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every fault in a job file is one line that starts with the file's name and the line."""
    path = tmp_path / "job.yaml"
    path.write_text(text)

    assert main(["fit", str(path), "CNY70"]) == code
    error = capsys.readouterr().err

    assert error.count("\n") == 1
    assert str(path) in error
    assert line in error


SAFETY = "format: 1\nsite:\n  kind: slotted\n  safety: {what}\n  pads: {{map: A C / K E, grid: 7.2x2.54mm}}\n"


@pytest.mark.parametrize("what", ["lid", "laser", "gas", "guard", "heat"])
def test_safety_functions_are_refused(what: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A stand-in by behaviour and a fit are refused with exit code 4 and one sentence that says whom to ask."""
    path = tmp_path / "lid.yaml"
    path.write_text(SAFETY.format(what=what))

    for args in (["find", "--site", str(path)], ["fit", str(path), "H21A1"]):
        assert main(args) == 4
        error = capsys.readouterr().err
        assert "licensed technician" in error
        assert error.count("\n") == 1
        assert len(error) <= 161


def test_a_safety_sensor_may_be_the_same_number(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Only the same number is shown, and no value is changed."""
    path = tmp_path / "lid.yaml"
    path.write_text(SAFETY.format(what="lid"))

    assert main(["find", "--site", str(path), "--for", "H21A1", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["candidates"]

    assert {item["part"] for item in found} == {"H21A1"}


def test_an_existing_file_is_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--svg never overwrites unasked, and what was there stays as it was."""
    path = tmp_path / "out.svg"
    path.write_text("mine")

    assert main(["fit", "TCRT5000", "RPR-220", "--svg", str(path)]) == 2
    assert "exists and is kept" in capsys.readouterr().err
    assert path.read_text() == "mine"
    assert main(["fit", "TCRT5000", "RPR-220", "--svg", str(path), "--force"]) == 0
    assert path.read_text().startswith("<svg") or path.read_text().startswith("<?xml")


@pytest.mark.parametrize("group", ["switch", "part", "stock"])
def test_a_group_alone_shows_its_help(group: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A group without a sub-command answers like xref alone: its help on stdout as lines, exit code 0."""
    code = main([group])
    streams = capsys.readouterr()

    assert (code, streams.err) == (0, "")
    assert streams.out.startswith(f"Usage: xref {group} ")
    assert len(streams.out.splitlines()) > 8
    assert max(map(len, streams.out.splitlines())) <= 80


def test_a_doubtful_safety_is_said_once_beside_the_answer(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The remark goes to stderr, so that --json stays one document."""
    path = tmp_path / "job.yaml"
    path.write_text(SAFETY.format(what="none").replace("site:", "job: lid of the fraction collector\nsite:"))

    assert main(["expect", str(path), "--json"]) == 0
    streams = capsys.readouterr()

    json.loads(streams.out)
    assert streams.err.count("you said safety: none, but the name says") == 1
    assert len(streams.err.splitlines()) == 1


@pytest.mark.parametrize("command", [["fit", "FILE", "H21A1"], ["assess", "FILE", "--lit", "4.5V"], ["expect", "FILE"]])
def test_a_safety_function_is_named_first(
    command: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where the same number may go in, the first line says what it protects and who does it."""
    path = tmp_path / "lid.yaml"
    path.write_text("format: 1\noriginal: H21A1\nsite: {kind: slotted, safety: lid, output: {load: 4k7}}\n")

    assert main([str(path) if word == "FILE" else word for word in command]) == 0
    first = capsys.readouterr().out.split("share  cause")[0]

    assert first.startswith("! SAFETY FUNCTION (a lid or cover interlock)")
    assert "licensed" in " ".join(first.split())


def test_assess_names_no_change_for_a_safety_function(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """No mending by another value or part is named where a sensor protects people."""
    path = tmp_path / "lid.yaml"
    path.write_text("format: 1\nsite: {kind: slotted, safety: laser, output: {load: 4k7}}\n")

    assert main(["assess", str(path), "--lit", "4.5V", "--json"]) == 0
    mends = [verdict["mend"] for verdict in json.loads(capsys.readouterr().out)["verdicts"]]

    assert not [mend for mend in mends if "xref" in mend or "lower the" in mend or "change the" in mend]


NOT_CLEAN = Signal(low_max_v=None, high_min_v=None, light_reserve=0.5, dark_reserve=2.0, limited_by="", clean=False)


@pytest.mark.parametrize(
    "text",
    [
        find_text(FindAnswer(question="stand-in", candidates=(), refused=(), searched=3, alike=0, agree=0)),
        fit_next(Fit(original="a", donor="b", kind="slotted", possible=True, signal=NOT_CLEAN), "job.yaml"),
    ],
)
def test_the_workaround_named_next_starts(
    text: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command is taken from the text as it stands; it asks its first question instead of missing an argument."""
    command = re.search(r"xref (workaround --ask.*)$", text, re.MULTILINE)
    assert command is not None
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO(""))

    main(command[1].split())
    error = capsys.readouterr().err

    assert "Name of the machine" in error
    assert "Missing argument" not in error
