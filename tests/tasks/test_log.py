"""The record after a repair: a level counts as good only when the input behind can read it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from xref.cli.main import main
from xref.errors import UsageError
from xref.job.records import Record, keep
from xref.tasks.expected import limits_of, link_of, spans
from xref.tasks.fit import Question, fit
from xref.tasks.log import earlier, log, records

SITE = """\
format: 1
job: arm park
machine: fraction collector 3
original: blank
site:
  kind: reflective
  pads: {{map: A C / K E, grid: 5.5x2.54mm, seen_from: solder, nets: {{A: +5V, K: LED, C: OUT, E: 0V}}}}
  emitter: {{supply: 5V, resistor: 220R, resistor_side: K}}
  output: {{supply: 5V, load: 33k, load_side: C, low_below: 1.0V, high_above: 3.5V, lit: {lit}}}
  sees: {{distance: 3mm, bright: white card, dark: black, rate: 40Hz}}
  safety: none
"""
"""The input's limits are written in the file: they, not our own figures, decide what is right below."""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job whose donor's worst corners lie far outside what the input reads."""
    path = tmp_path / "arm park.yaml"
    path.write_text(SITE.format(lit="low"), "utf-8")
    return path


@pytest.mark.parametrize(
    ("lit", "dark", "words"),
    [
        ("0.4V", "4.6V", "as expected"),
        ("3.8V", "4.6V", "lit 3.8V is outside (at most 1.00 V): the input cannot read this (low is up to 1.00 V)"),
        ("0.4V", "1.2V", "dark 1.2V is outside (3.50 to 5.25 V): the input cannot read this (high is from 3.50 V)"),
        ("0.4V", "12V", "dark 12V is outside (3.50 to 5.25 V): that is above the rail (5.25 V at most)"),
        ("4.6V", "0.4V", "lit and dark look swapped"),
        ("0V", "0V", "dark 0V is outside"),
    ],
)
def test_a_dead_repair_is_not_as_expected(job: Path, lit: str, dark: str, words: str) -> None:
    """Low up to 1.0 V, high from 3.5 V (both in the file), rail 5 V and 5 %: nothing else is as expected."""
    kept = log(str(job), {"lit": lit, "dark": dark}, donor="RPR-220")

    assert words in kept.verdict
    assert (kept.verdict == "as expected") == (words == "as expected")


def test_the_other_sense_is_judged_the_other_way_round(job: Path) -> None:
    """An input that is high when lit takes 4.6 V lit and 0.4 V dark, and not the reverse."""
    job.write_text(SITE.format(lit="high").replace("load_side: C", "load_side: E"), "utf-8")

    assert log(str(job), {"lit": "4.6V", "dark": "0.4V"}, donor="RPR-220").verdict == "as expected"
    assert "swapped" in log(str(job), {"lit": "0.4V", "dark": "4.6V"}, donor="RPR-220").verdict


def test_no_range_is_wider_than_the_input_reads(job: Path) -> None:
    """For several donors: a good lit level is one that the input reads as low, a good dark level as high."""
    for donor in ("RPR-220", "TCRT5000", "QRE1113", "CNY70"):
        answered = fit(Question(original=str(job), donor=donor))
        link = link_of(answered.donor, answered.site)
        assert link is not None
        found = spans(answered.fit, link)
        assert found["lit"].high is not None
        assert found["lit"].high <= 1.0
        assert found["dark"].low is not None
        assert found["dark"].low >= 3.5
        assert found["dark"].high == pytest.approx(5.0 * 1.05)
        assert limits_of(link).reads(low=True, volts=found["lit"].high)


@pytest.mark.parametrize("date", ["25.11.2026", "2026-13-01", "2026-02-30", "yesterday", "20261125", "2026-W48-3"])
def test_a_date_is_a_date(job: Path, date: str) -> None:
    """ISO 8601 calendar dates only; the file's date is held to the same."""
    with pytest.raises(UsageError, match="is not a date; write year-month-day"):
        log(str(job), {"lit": "0.4V"}, donor="RPR-220", date=date)
    job.write_text(f'date: "{date}"\n' + job.read_text("utf-8"), "utf-8")
    with pytest.raises(UsageError, match="is not a date"):
        log(str(job), {"lit": "0.4V"}, donor="RPR-220")
    assert log(str(job), {"lit": "0.4V"}, donor="RPR-220", date="2026-11-25").date == "2026-11-25"


def test_records_are_listed_by_date() -> None:
    """What was written down later may have happened earlier."""
    for date in ("2026-03-01", "2024-12-31", "2025-10-09", "long ago"):
        keep(Record(date=date, machine="fraction collector 3", donor="RPR-220", verdict="as expected"))

    assert [r.date for r in records()] == ["long ago", "2024-12-31", "2025-10-09", "2026-03-01"]
    lines = earlier("fraction collector 3", "", "")
    assert [line.split(", ")[1][:10] for line in lines] == ["2026-03-01", "2025-10-09", "2024-12-31"]


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        (["--lit", "0.4V", "--dark", "4.6V"], "put the label of the sheet inside the machine"),
        (["--lit", "3.8V", "--dark", "4.6V"], "do not close the machine"),
        (["--supply", "5V"], "read the output lit and dark"),
    ],
)
def test_the_label_comes_only_after_a_good_repair(
    job: Path, readings: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The next step follows the verdict; nothing is wider than 80 columns, however long the note."""
    note = "pad C lifted and glued back, a word about it that is far too long for one line of the screen at the bench"
    assert main(["log", str(job), "--donor", "RPR-220", *readings, "--note", note]) == 0

    out = capsys.readouterr().out
    assert words in " ".join(out.split())
    assert ("put the label" in out) == ("put the label" in words)
    assert all(len(line) <= 80 for line in out.splitlines())


def test_the_verdict_is_in_the_json_too(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Programs read the same verdict."""
    assert main(["log", str(job), "--donor", "RPR-220", "--lit", "3.8V", "--dark", "4.6V", "--json"]) == 0

    assert "the input cannot read this" in json.loads(capsys.readouterr().out)["verdict"]


@pytest.mark.parametrize(("donor", "most"), [("TCST2103", "VF max 1.6 V at 60 mA"), ("H21A1", "VF max 1.7 V at 60 mA")])
def test_a_piece_within_its_sheet_is_not_condemned(tmp_path: Path, donor: str, most: str) -> None:
    """VF max of the sheets (Vishay 81147, Fairchild DS300290); 1.3 V at about 17 mA lies below, 4 V never does."""
    path = tmp_path / "ring.yaml"
    text = SITE.format(lit="low").replace("reflective", "slotted").replace("5.5x2.54mm", "7.6x2.54mm")
    path.write_text(text.replace("distance: 3mm, bright: white card, dark: black, ", ""), "utf-8")

    good, bad = (log(str(path), {"emitter": volts}, donor=donor) for volts in ("1.3V", "4V"))

    assert good.verdict == "as expected"
    assert most in good.expected["emitter"]
    assert "outside" in bad.verdict
