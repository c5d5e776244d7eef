"""What a fit takes from options and from a job file, what it refuses, and the fixed keys of its JSON."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from xref.cli.main import main
from xref.errors import SafetyRefusal, UsageError
from xref.examples import FOLDER
from xref.tasks.fit import Question, fit

EXAMPLE = (FOLDER / "arm-park.yaml").read_text("utf-8")
LID = (
    "format: 1\noriginal: {name}\nsite:\n  kind: slotted\n  safety: lid\n  pads: {{map: A C / K E, grid: 7.6x2.54mm}}\n"
)


def job(tmp_path: Path, text: str) -> str:
    """A job file."""
    path = tmp_path / "job.yaml"
    path.write_text(text, "utf-8")
    return str(path)


def test_the_fixed_keys_of_fit(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The keys that other programs rely on, each with its unit."""
    assert main(["fit", job(tmp_path, EXAMPLE), "RPR-220", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)

    assert {
        "original", "donor", "possible", "pose", "connections", "cuts", "open_leads", "wire_count", "crossings",
        "optical_offset_mm", "values", "added", "signal", "verified", "warnings", "alternatives", "positions", "kind",
        "assumed", "because", "fails_open",
    } <= set(answer)  # fmt: skip
    assert {"turn_deg", "shift_mm"} <= set(answer["pose"])
    for connection in answer["connections"]:
        assert {"lead", "function", "pad", "net", "by", "length_mm"} <= set(connection)
        assert connection["by"] in ("direct", "formed", "wire")
    for value in answer["values"]:
        assert {"where", "was_ohm", "now_ohm", "why"} <= set(value)
    assert {"low_max_v", "high_min_v", "light_reserve", "limited_by"} <= set(answer["signal"])
    assert answer["fails_open"] == "arm is taken as parked"


def test_an_impossible_fit_says_why(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An honest none is exit code 1 with one sentence, also as JSON."""
    assert main(["fit", job(tmp_path, EXAMPLE.replace("11x7x8mm", "2x2x2mm")), "CNY70", "--json"]) == 1
    answer = json.loads(capsys.readouterr().out)

    assert answer["possible"] is False
    assert answer["because"]


@pytest.mark.parametrize(
    ("words", "wrong"),
    [
        ("load, emitter", "'emitter' is not one of WORDS; nearest: emitter resistor"),
        ("everything", "'everything' is not one of WORDS"),
        ("nothin", "'nothin' is not one of WORDS; nearest: nothing"),
    ],
)
def test_what_may_be_changed_is_checked(
    words: str, wrong: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A slip in --change or in change: of the file would otherwise allow less than was meant, without a word."""
    line = wrong.replace("WORDS", "emitter resistor, load, across, nothing")
    path = job(tmp_path, EXAMPLE.replace("change: [emitter resistor, load]", f"change: [{words}]"))

    assert main(["fit", path, "RPR-220", "--change", words]) == 2
    assert capsys.readouterr().err == f"xref: --change: {line}\n"
    assert main(["fit", path, "RPR-220"]) == 2
    assert capsys.readouterr().err == f"xref: {path}: {line}\n"


def test_options_go_before_the_file(tmp_path: Path) -> None:
    """--change nothing holds against the file's change: list, and without it the list of the file holds."""
    path = job(tmp_path, EXAMPLE)

    assert fit(Question(original=path, donor="RPR-220", change=())).fit.values == ()
    assert fit(Question(original=path, donor="RPR-220")).fit.values != ()
    kept = job(tmp_path, EXAMPLE.replace("change: [emitter resistor, load]", "change: [nothing]"))
    assert fit(Question(original=kept, donor="RPR-220")).fit.values == ()


def test_a_named_original_with_its_own_pads(tmp_path: Path) -> None:
    """Pads of the file stay the board's geometry; the number only adds what is known of the part."""
    path = job(tmp_path, EXAMPLE.replace("original: blank", "original: TCRT5000"))

    answered = fit(Question(original=path, donor="RPR-220"))

    assert answered.original is not None
    assert answered.original.name == "TCRT5000"
    assert {pad.at_mm[0] for pad in answered.board.pads} == {-2.75, 2.75}


def test_same_with_a_named_original(tmp_path: Path) -> None:
    """'same' keeps the part that the file names and solves the values only; with a blank one it asks for the name."""
    named = job(tmp_path, EXAMPLE.replace("original: blank", "original: TCRT5000"))
    assert fit(Question(original=named, donor="same")).fit.donor == "TCRT5000"

    with pytest.raises(UsageError, match="'same' keeps the part"):
        fit(Question(original=job(tmp_path, EXAMPLE), donor="same"))


def test_the_same_number_may_go_into_a_safety_function(tmp_path: Path) -> None:
    """Also where the pads are written out: the number decides, nothing is changed, and another number is refused."""
    path = job(tmp_path, LID.format(name="H21A1"))

    answer = fit(Question(original=path, donor="H21A1")).fit
    assert answer.possible
    assert answer.values == ()
    with pytest.raises(SafetyRefusal, match="fitting H21A2 is refused"):
        fit(Question(original=path, donor="H21A2"))
    with pytest.raises(SafetyRefusal, match="changing the load is refused"):
        fit(Question(original=path, donor="H21A1", change=("load",)))
    with pytest.raises(SafetyRefusal, match="fitting H21A1 is refused"):
        fit(Question(original=job(tmp_path, LID.format(name="blank")), donor="H21A1"))


@pytest.mark.parametrize(
    ("args", "line"),
    [
        (
            ["--kind", "slot"],
            "--kind: 'slot' is not one of reflective, slotted, pair, emitter, detector, switch; nearest: slotted",
        ),
        (["--donor-upper-left", "C"], "--donor-upper-left: 'C' is not one of A, K"),
        (["--keep", "lid"], "--keep: 'lid' is not one of emitter, detector, housing"),
        (["--series", "E6"], "--series: 'E6' is not one of E12, E24, E96; nearest: E96"),
    ],
)
def test_wrong_words_are_refused(args: list[str], line: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A word that means nothing is never passed over."""
    assert main(["fit", "TCRT5000", "RPR-220", *args]) == 2
    assert capsys.readouterr().err == f"xref: {line}\n"
