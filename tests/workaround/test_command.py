"""``xref workaround`` from the outside: exit codes, one JSON document, files, and the questions."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from xref.cli.main import main
from xref.examples import FOLDER
from xref.job.network_file import load_network

EXAMPLE = str(FOLDER / "ring-selector.yaml")


def run(capsys: pytest.CaptureFixture[str], *args: str) -> tuple[int, str, str]:
    """Exit code, stdout, stderr of one command line."""
    code = main(["workaround", *args])
    out = capsys.readouterr()
    return code, out.out, out.err


def test_the_text_names_plan_loss_undo_and_proof(capsys: pytest.CaptureFixture[str]) -> None:
    """What a technician needs stands in the text, in 80 columns."""
    code, out, _ = run(capsys, EXAMPLE)

    assert code == 0
    assert max(map(len, out.splitlines())) <= 80
    assert out.isascii()
    flat = " ".join(out.split())
    for piece in (
        "Plan 1: jumper from INNER to OUTER (re-checked independently)",
        "Lost: in mode outer, 'outer ring stuck' is no longer noticed",
        "no wiring can bring it back",
        "outer outer ring stuck outer step in 2.5 s (4 Hz) NOT SEEN",
        "- take off the jumper INNER - OUTER",
        "Proof: no wiring of any size can lose less",
        "Refused: cover belongs to a lid or cover interlock",
        "Mode outer, AFTER",
        "power off",
    ):
        assert piece in flat


@pytest.mark.parametrize(
    ("options", "drawn"),
    [
        ((), ["Mode outer, AFTER"]),
        (("--option", "2"), ["Mode outer, AFTER"]),
        (("--draw",), ["Mode inner, BEFORE", "Mode inner, AFTER", "Mode outer, BEFORE", "Mode outer, AFTER"]),
        (("--brief",), []),
    ],
)
def test_one_drawing_unless_asked(
    options: tuple[str, ...], drawn: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """Only the mode that the plan mends, after it; all with --draw, none with --brief."""
    code, out, _ = run(capsys, EXAMPLE, *options)

    assert code == 0
    assert [line for line in out.splitlines() if line.startswith("Mode ")] == drawn


def test_json_is_one_document_with_the_promised_fields(capsys: pytest.CaptureFixture[str]) -> None:
    """options [{actions [{do, nets}], seen_before, seen_after, lost, verified}], refused [{why}]."""
    code, out, err = run(capsys, EXAMPLE, "--json")

    answer = json.loads(out)
    assert (code, err) == (0, "")
    best = answer["options"][0]
    assert (best["actions"][0]["do"], best["actions"][0]["nets"]) == ("jumper", ["INNER", "OUTER"])
    assert best["verified"] is True
    assert [(loss["mode"], loss["what"]) for loss in best["lost"]] == [("outer", "outer ring stuck")]
    assert {"mode", "fault", "input", "sensor", "within_s", "pulse_hz"} <= best["seen_after"][0].keys()
    assert answer["refused"][0]["why"].startswith("cover belongs to a lid or cover interlock")


REFUSALS = [
    ((EXAMPLE, "--try", "jumper COVER 0V"), 4, "touches cover, which belongs to a lid or cover interlock"),
    (
        (EXAMPLE, "--try", "jumper INNER OUTER", "--try", "cut R3"),
        4,
        "'cut the track at one end of R3 (5V)' touches cover",
    ),
    ((EXAMPLE, "--try", "jumper STEP 0V"), 1, "input step sees no living sensor that moves"),
    ((EXAMPLE, "--try", "jumper STEP 5V"), 1, "5 V to 0 V when it conducts"),
    ((EXAMPLE, "--try", "jumpr INNER OUTER"), 2, 'nearest: "jumper from INNER to OUTER"'),
    ((EXAMPLE, "--max-actions", "9"), 2, "--max-actions: 9 changes: expected 1 to 4"),
    ((EXAMPLE, "--option", "77"), 2, "--option: there are only"),
    (("nowhere.yaml",), 3, "nowhere.yaml: no such file"),
]


@pytest.mark.parametrize(("args", "expected", "message"), REFUSALS, ids=[str(row[0][-1]) for row in REFUSALS])
def test_every_no_has_its_exit_code_and_one_line(
    capsys: pytest.CaptureFixture[str], args: tuple[str, ...], expected: int, message: str
) -> None:
    """0 answer, 1 none, 2 command line, 3 file, 4 safety; one line on stderr, the error as data with --json."""
    code, out, err = run(capsys, *args, "--json")

    assert code == expected
    assert message in err
    assert len(err.splitlines()) == 1
    assert json.loads(out)["error"]["message"] in err


def test_the_drawing_is_written_but_never_over_another_file(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """--svg writes a new file; an existing one needs --force."""
    target = tmp_path / "plan.svg"

    assert run(capsys, EXAMPLE, "--brief", "--svg", str(target))[0] == 0
    first = target.read_text()
    assert first.startswith("<?xml")
    assert 'data-is="jumper:jumper"' in first
    code, _, err = run(capsys, EXAMPLE, "--brief", "--svg", str(target))
    assert code == 2
    assert "exists and is kept" in err
    assert run(capsys, EXAMPLE, "--brief", "--svg", str(target), "--force")[0] == 0


def test_a_named_chip_gives_the_levels(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """74LS14 at 5 V: 0.5 V and 1.9 V (DM74LS14 sheet, Fairchild); 2.2 k to 300 ohm gives 0.6 V, no longer low."""
    text = (
        Path(EXAMPLE)
        .read_text()
        .replace("step: {net: STEP, low_below: 0.8V, high_above: 2V", "step: {net: STEP, input: 74LS14")
    )
    chip = tmp_path / "chip.yaml"
    chip.write_text(text)
    weak = tmp_path / "weak.yaml"
    weak.write_text(text.replace("R1: {between: [5V, STEP], value: 10k}", "R1: {between: [5V, STEP], value: 2k2}"))
    odd = tmp_path / "odd.yaml"
    odd.write_text(text.replace("74LS14", "74QQ14"))

    code, out, _ = run(capsys, str(chip), "--brief")
    assert code == 0
    assert "low up to 0.5 V, high from 1.9 V" in " ".join(out.split())
    code, _, err = run(capsys, str(weak), "--brief")
    assert code == 3
    assert "input step sits at 0.60 V, neither low nor high" in err
    code, _, err = run(capsys, str(odd), "--brief")
    assert code == 3
    assert "inputs.step.input" in err


REPLIES = """fraction collector
inner, outer
5V, 0V, INNER, OUTER, STEP, COVER
5V=5V, 0V=0V
drive, inner ring
drive, inner ring, outer ring
inner step
INER
INNER
live
dark
inner ring
8Hz
back
4Hz
1Hz
none
outer step
OUTER
dead
dark
?
dark
outer ring
4Hz
none
cover
COVER
live
dark

lid

S1-in
INNER, STEP
inner
break-before-make
none
S1-out
OUTER, STEP
outer
break-before-make
none

R1
5V, STEP
10k
R2
5V, COVER
10k

step
STEP
yes
2.5s
tube counter
outer ring
none
cover in
COVER
no


none

cover open
jam
inner ring, outer ring

"""


def test_the_questions_make_a_file_that_plans(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A whole dialogue with a slip (INER), a correction by back, and an unknown; then the plan of the example."""
    target = tmp_path / "mine.yaml"
    monkeypatch.setattr("sys.stdin", io.StringIO(REPLIES))

    code, out, err = run(capsys, str(target), "--ask", "--brief")

    assert code == 0, err
    assert 'expected "INNER"' in err
    network = load_network(target)
    assert network.sensors["inner step"].sees == {"inner ring": {"inner": 4.0, "outer": 1.0}}
    assert network.sensors["cover"].safety == "lid"
    assert set(network.faults) == {"cover open", "jam", "drive stuck", "inner ring stuck", "outer ring stuck"}
    assert "Plan 1: jumper from INNER to OUTER" in out
    assert "tube counter" in out


def test_the_questions_stop_cleanly_when_the_input_ends(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Nothing is written, exit 2."""
    target = tmp_path / "mine.yaml"
    monkeypatch.setattr("sys.stdin", io.StringIO("back\nfraction collector\n"))

    code, _, err = run(capsys, str(target), "--ask")

    assert code == 2
    assert "this is the first question" in err
    assert not target.exists()


def test_an_existing_file_is_not_asked_over(capsys: pytest.CaptureFixture[str]) -> None:
    """--ask refuses before the first question."""
    code, _, err = run(capsys, EXAMPLE, "--ask")

    assert code == 2
    assert "exists and is kept" in err
