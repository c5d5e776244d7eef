"""``xref part``: what it prints, its exit codes, and that adding never loses or overwrites anything."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest

from tests.library.samples import GOOD
from xref.cli.main import main
from xref.library.newpart import places_of
from xref.places import parts_dir

OWN = GOOD.replace("pinout: four-test\n      labels: [1, 2, 3, 4]", "lead_count: 4")

SHOWN = """\
RS100   Invented Works   reflective sensor, phototransistor
also: RS100L
from your own parts: {path}

Emitter
  VF      1 V min, 1.2 V typ, 1.5 V max at IF 20 mA
  IF max  50 mA

Detector
  VCEO max     30 V
  ICEO (dark)  100 nA max at VCE 20 V; [drawing]

Emitter to detector
  IC              0.3 mA min at IF 10 mA, VCE 5 V, distance 3 mm, white card
  mm:share of IC  1:0.5, 2:1, 4:0.6

Body
  l x w x h  10.2 x 5.8 x 7 mm

Works from -20 to 70 C

Not known                                how to find out
  which lead is which                    meter: xref identify
  the distance of the strongest signal   its data sheet, or a card and calipers

Sources
[main] "Ring sensor sheet", document 12, revision A, 1986-03-01
[drawing] "Ring sensor drawing", document/revision/date not read by us
next: xref find --for RS100
"""


def own(text: str = OWN, name: str = "own.yaml") -> Path:
    """A file in the user's parts folder."""
    parts_dir().mkdir(parents=True, exist_ok=True)
    (parts_dir() / name).write_text(text)
    return parts_dir() / name


def run(*args: str, typed: str = "", monkeypatch: pytest.MonkeyPatch | None = None) -> int:
    """One command line in this process."""
    if monkeypatch is not None:
        monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
    return main(["part", *args])


def test_a_part_in_full(capsys: pytest.CaptureFixture[str]) -> None:
    """Every value with unit, conditions and source; what is missing with the measurement that settles it."""
    path = own()

    assert run("rs-100") == 0
    shown = capsys.readouterr().out
    # the path of the file takes one or two lines, as long as it is
    head, _, rest = shown.partition("\n\n")
    lines = [line for line in head.split("\n")[:2] if not line.startswith("from your")] + ["", *rest.split("\n")]
    expected = [line for line in SHOWN.split("\n") if not line.startswith("from your")]
    assert lines == expected
    assert str(path).replace("/", "") in shown.replace("\n", "").replace(" ", "").replace("/", "")


def test_every_shipped_part_fits_80_columns(capsys: pytest.CaptureFixture[str]) -> None:
    """No line over 80 columns, no control character, for each part with its drawing."""
    from xref.library.store import open_library

    for name in open_library().names()[::7]:
        assert main(["part", "show", name, "--ascii"]) == 0
        for line in capsys.readouterr().out.split("\n"):
            assert len(line) <= 80, (name, line)
            assert line.isprintable()


def test_a_part_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    """One document with every field, the conditions in it."""
    own()

    assert run("RS100", "--json") == 0
    answer = json.loads(capsys.readouterr().out)

    assert answer["part"]["emitter"]["vf_v"][0]["at"] == {"if_ma": 20.0}
    assert answer["part"]["origin"] == "user"
    assert answer["wired"] is False
    assert answer["missing"][0]["what"] == "which lead is which"


def test_an_unknown_part_suggests(capsys: pytest.CaptureFixture[str]) -> None:
    """One line, exit 1, the nearest names; never a silent pick."""
    own()

    assert run("R5100") == 1
    assert capsys.readouterr().err.startswith('xref: no part "R5100"; nearest: RS100')


def test_the_list_filters(capsys: pytest.CaptureFixture[str]) -> None:
    """Each filter leaves what it names; nothing left is exit 1; a wrong word is exit 2."""
    own()

    assert run("list", "--from", "user", "--json") == 0
    assert [item["part"] for item in json.loads(capsys.readouterr().out)["parts"]] == ["RS100"]
    assert run("list", "--kind", "slotted", "--wired", "--output", "logic", "--json") == 0
    found = json.loads(capsys.readouterr().out)["parts"]
    assert found
    assert all(i["kind"] == "slotted" and i["wired"] and i["output"].startswith("logic") for i in found)
    assert run("list", "no such part") == 1
    assert run("list", "--kind", "slot") == 2
    assert "--kind" in capsys.readouterr().err


def test_sources_name_their_parts(capsys: pytest.CaptureFixture[str]) -> None:
    """Every document once, with what rests on it."""
    own()

    assert run("sources", "ring sensor", "--json") == 0
    answer = json.loads(capsys.readouterr().out)

    assert [(d["source"]["title"], d["parts"], d["complete"]) for d in answer["documents"]] == [
        ("Ring sensor drawing", ["RS100"], False),
        ("Ring sensor sheet", ["RS100"], True),
    ]
    assert run("sources", "no such sheet") == 1


def test_check_says_every_problem(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """All problems in one run, then the count; exit 3, or 0 when all is good."""
    path = tmp_path / "mine.yaml"
    path.write_text(OWN.replace("typ: 1.2", "typ: 1.6").replace("if_max_ma: 50", "if_max_ma: 60000"))

    assert run("check", str(path)) == 3
    assert capsys.readouterr().out == (
        f"{path}:13: parts[0].emitter.if_max_ma: 60000 is not plausible: "
        "expected 1 to 1000 for if_max_ma: look at the unit\n"
        f"{path}:15: parts[0].emitter.vf_v[0]: typ 1.6 is above max 1.5: expected min <= typ <= max\n"
        "1 files, 1 parts: 2 problems\n"
    )
    path.write_text(OWN)
    assert run("check", str(path)) == 0
    assert run("check", str(tmp_path / "none.yaml")) == 3
    assert capsys.readouterr().err == f"xref: {tmp_path / 'none.yaml'}: no such file or folder\n"


ANSWERS = """\
AP 7
reflective
Invented Works

phototransistor
50mA
1.2V
1.2V@20mA
0.3V/33k@10mA
back
0.5mA@10mA
5V
3mm
white card
?
30V
10x6x7mm
4
7x3.3mm
A C / K E
solder
1 2 3 4
off the arm park
y
"""


def test_the_interview(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Questions for the kind only; a bad answer is asked again; back works; the file is shown before it is written."""
    assert run("add", typed=ANSWERS, monkeypatch=monkeypatch) == 0
    streams = capsys.readouterr()

    path = parts_dir() / "ap-7.yaml"
    assert '"1.2V" lacks the emitter current: add it, like @20mA' in streams.err
    assert streams.err.index("- part: AP 7") < streams.err.index("Write it?")
    assert f"written: {path}" in streams.out
    assert run("AP7", "--json") == 0
    part = json.loads(capsys.readouterr().out)["part"]
    assert part["emitter"]["vf_v"][0] == {
        "min": None, "typ": 1.2, "max": None, "at": {"if_ma": 20.0}, "target": "", "basis": "measured", "source": "",
        "note": "",
    }  # fmt: skip
    assert part["coupling"]["ic_ma"][0]["typ"] == 0.5
    places = {lead["function"]: lead["at_mm"] for lead in part["geometry"]["leads"]}
    # seen from the solder side A is upper left, so from the component side it is upper right
    assert places == {"A": [3.5, 1.65], "C": [-3.5, 1.65], "K": [3.5, -1.65], "E": [-3.5, -1.65]}


def test_a_map_is_turned_to_the_component_side() -> None:
    """Rows from top to bottom, a dot is a free place, the solder side is mirrored; steps of the grid in mm."""
    assert places_of("A . C", (2.54, 1.0), "component") == [("A", (-2.54, 0.0)), ("C", (2.54, 0.0))]
    assert places_of("A . C", (2.54, 1.0), "solder") == [("A", (2.54, 0.0)), ("C", (-2.54, 0.0))]


@pytest.mark.parametrize("typed", [ANSWERS[: ANSWERS.rindex("y")] + "n\nn\n", ANSWERS[:60]])
def test_nothing_is_written_without_a_yes(typed: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """No, or the end of the input: no file."""
    assert run("add", typed=typed, monkeypatch=monkeypatch) in (1, 2)
    assert not list(parts_dir().glob("*")) if parts_dir().exists() else True


SWITCH_ANSWERS = """\
SEL-9
switch

Selector sheet
77
?
1985-01-01
12x6x5mm
slide
left=1:2,4 right=2:3
left=1:2 right=2:3
non-shorting
30V
0.1A
3
?
0

y
"""


def test_the_interview_for_a_switch(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """A switch is asked for its contacts, not for an emitter."""
    assert run("add", typed=SWITCH_ANSWERS, monkeypatch=monkeypatch) == 0
    streams = capsys.readouterr()

    assert "a join names two leads or more" in streams.err
    assert "emitter current" not in streams.err
    assert run("SEL9", "--json") == 0
    part = json.loads(capsys.readouterr().out)["part"]
    assert part["contacts"]["table"] == {"left": [["1", "2"]], "right": [["2", "3"]]}
    assert part["contacts"]["timing"] == "non-shorting"
    assert part["sources"]["main"]["document"] == "77"


def test_a_yaml_file_is_taken_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A good file goes into the user's folder as it is; a second time it is refused, and nothing changes."""
    source = tmp_path / "ring.yaml"
    source.write_text(OWN)

    assert run("add", "--from", str(source), monkeypatch=monkeypatch) == 0
    target = parts_dir() / "ring.yaml"
    assert target.read_text() == OWN
    capsys.readouterr()
    source.write_text(OWN.replace("RS100", "RS900"))
    assert run("add", "--from", str(source), monkeypatch=monkeypatch) == 3
    assert capsys.readouterr().err == f"xref: {target}: there is already such a file: nothing was written\n"
    assert target.read_text() == OWN
    other = tmp_path / "other.yaml"
    other.write_text(OWN)
    assert run("add", "--from", str(other), monkeypatch=monkeypatch) == 3
    assert '"RS100" is already among your parts' in capsys.readouterr().err


TABLE = """\
part,kind,maker,output,aliases,emitter.if_max_ma,emitter.vf_v.typ,emitter.vf_v.if_ma,geometry.size_mm,source.title
QA1,slotted,Invented Works,phototransistor,QA1L; QA1M,50,1.2,20,12; 6; 10,Slot sheet
QA2,reflective,Invented Works,photodarlington,,40,,,,Ring sheet
"""


def test_a_table_becomes_a_part_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Columns are key paths; each part keeps its own source; words in one cell are joined by a semicolon."""
    source = tmp_path / "drawer.csv"
    source.write_text(TABLE)

    assert run("add", "--from", str(source), monkeypatch=monkeypatch) == 0
    capsys.readouterr()
    assert run("QA1M", "--json") == 0
    first = json.loads(capsys.readouterr().out)["part"]
    assert run("QA2", "--json") == 0
    second = json.loads(capsys.readouterr().out)["part"]
    assert first["geometry"]["size_mm"] == [12.0, 6.0, 10.0]
    assert first["emitter"]["vf_v"][0]["at"] == {"if_ma": 20.0}
    assert [s["title"] for s in first["sources"].values()] == ["Slot sheet"]
    assert [s["title"] for s in second["sources"].values()] == ["Ring sheet"]
    assert second["emitter"]["vf_v"] == []


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("QA2,reflective", "QA2,reflectiv", ':3: kind: is "reflectiv": expected "reflective"'),
        (",40,", ",40mA,", ':3: emitter.if_max_ma: "40mA" is not a number: expected a number like 1.25'),
        ("emitter.if_max_ma", "emitter.if_mx_ma", ':1: emitter.if_mx_ma: unknown column: expected "if_max_ma"'),
        ("maker", "kind", ":1: kind: column stands twice: expected each column once"),
        (",Ring sheet", ",", ":3: source.title: no source: expected its title"),
        ("QA2", "QA1", ':3: part: "QA1" stands already in line 2: expected it once'),
        ("QA2,", '"QA2,', ": not a table: "),
    ],
)
def test_a_table_with_a_mistake_writes_nothing(
    old: str,
    new: str,
    message: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """All or nothing: one wrong cell, no file; line and column are named."""
    source = tmp_path / "drawer.csv"
    source.write_text(TABLE.replace(old, new, 1))

    assert run("add", "--from", str(source), monkeypatch=monkeypatch) == 3
    error = capsys.readouterr().err
    assert "drawer.csv" in error
    assert message in error
    assert not parts_dir().exists() or not list(parts_dir().iterdir())


def test_markup_and_escapes_stay_harmless(capsys: pytest.CaptureFixture[str]) -> None:
    """An escape in a file is refused; markup is shown as the characters it is."""
    own(OWN.replace("Invented Works", "'[red]<b>Works</b>'"))
    own(OWN.replace("RS100", "RS400").replace("Invented Works", '"\\e[31mWorks"'), "bad.yaml")

    assert run("RS100") == 0
    assert "[red]<b>Works</b>" in capsys.readouterr().out
    assert run("RS400") == 1
    assert run("check", str(parts_dir())) == 3
    streams = capsys.readouterr()
    assert "control character U+001B" in streams.out
    assert "\x1b" not in streams.out + streams.err
    assert run("RS\x1b[31m9") == 1
    assert "\x1b" not in capsys.readouterr().err


def test_a_mistake_in_an_own_file_is_told_once(capsys: pytest.CaptureFixture[str]) -> None:
    """The answer comes, and one line on stderr says which file to look at; JSON stays one document."""
    own()
    bad = own(OWN.replace("RS100", "RS400").replace("typ: 1.2", "typ: x"), "bad.yml")

    assert run("RS100", "--json") == 0
    streams = capsys.readouterr()

    assert json.loads(streams.out)["part"]["name"] == "RS100"
    place = f"{bad}:15"
    assert streams.err == f"xref: note: 1 problem(s) in your part files, first in {place}; see: xref part check\n"


def test_at_a_terminal(tmp_path: Path) -> None:
    """A file is shown and asked for at a terminal; Ctrl-C in the questions writes nothing and leaves no traceback."""
    import pexpect

    source = tmp_path / "ring.yaml"
    source.write_text(OWN)
    child = pexpect.spawn(sys.executable, ["-m", "xref", "part", "add", "--from", str(source)], timeout=30)
    child.expect("part: RS100")
    child.expect_exact("Write it? [y/N] ")
    child.sendline("n")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 1
    assert b"not written" in child.before
    child = pexpect.spawn(sys.executable, ["-m", "xref", "part", "add"], timeout=30)
    child.expect("Part number as printed")
    child.sendintr()
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 130
    assert b"Traceback" not in child.before
    assert not parts_dir().exists()
