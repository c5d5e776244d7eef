"""The sheet says first whether the signal is clean, and its steps leave out nothing that the remarks ask for."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pdfplumber
import pytest

from xref.cli.main import main
from xref.model.answers.sheet import Sheet, Verdict
from xref.paper.content import order_of_work
from xref.paper.pdf import pdf
from xref.paper.sheet import NOT_CLEAN, pages
from xref.tasks.fit import Question, fit
from xref.tasks.sheet import sheet

SLOT = """\
format: 1
job: inner ring step sensor
machine: fraction collector 3
site:
  kind: slotted
  pads: {map: A C / K E, grid: 7.2x2.54mm}
  emitter: {supply: 5V, resistor: 180R, resistor_side: A}
  output: {supply: 5V, load: 4k7, load_side: C, low_below: 0.8V, high_above: 2.0V, lit: low}
  taps: {5V: [12mm, 3mm], 0V: [9mm, -4mm]}
  sees: {bright: open slot, dark: flag, rate: 200Hz}
  safety: none
"""
CHECK = "sense and levels need a check"


@pytest.fixture
def job(tmp_path: Path) -> str:
    """The inner ring's step sensor with its input limits written in the file."""
    path = tmp_path / "inner ring.yaml"
    path.write_text(SLOT, "utf-8")
    return str(path)


def printed(made: Sheet) -> list[str]:
    """The words of each page."""
    with pdfplumber.open(io.BytesIO(pdf(pages(made)))) as document:
        return [" ".join(page.extract_text().split()) for page in document.pages]


def test_a_sheet_that_is_not_clean_does_not_look_finished(
    job: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """H22LTB is the buffer of its series, high when lit (Fairchild H22L sheet), and the board wants low: big words on
    top and on every page, no label to cut out, exit code 0, and the terminal says it too."""
    made = sheet(job, donor="H22LTB")
    texts = printed(made)

    assert made.verdict is not None
    assert made.verdict.clean is False
    assert texts[0].index(NOT_CLEAN) < texts[0].index("CAUTION")
    assert all(NOT_CLEAN in text for text in texts)
    assert "Label for inside the machine" not in " ".join(texts)
    assert made.label == ()
    assert main(["sheet", job, "--donor", "H22LTB", "--out", str(tmp_path / "x.pdf")]) == 0
    out = capsys.readouterr().out
    assert NOT_CLEAN in out
    assert "print it at 100 %" not in out
    assert all(len(line) <= 80 for line in out.splitlines() if "/" not in line)


def test_the_box_has_levels_limits_and_reserve(job: str) -> None:
    """Low up to 0.8 V and high from 2.0 V are the file's; levels and reserve are those of the fit."""
    made = sheet(job, donor="GP1A57HRJ00F")
    assert made.fit is not None
    signal = made.fit.signal
    assert signal is not None
    assert signal.low_max_v is not None
    text = printed(made)[0]

    assert "SIGNAL CLEAN at the input behind" in text
    assert text.index("SIGNAL CLEAN") < text.index("CAUTION")
    assert f"low at most {signal.low_max_v:.2f} V, high at least {signal.high_min_v:.2f} V" in text
    assert "low up to 0.80 V, high from 2.00 V" in text
    assert f"reserve: lit {signal.light_reserve:.2g} times" in text
    assert any("Label for inside the machine" in page for page in printed(made))
    assert not any(CHECK in warning for warning in made.fit.warnings)


@pytest.mark.parametrize(
    ("clean", "words"), [(True, "SIGNAL CLEAN"), (None, "SIGNAL NOT DECIDED: measure before"), (False, NOT_CLEAN)]
)
def test_each_verdict_has_its_words(clean: bool | None, words: str) -> None:
    """Clean, not decided, not clean: exactly one of the three is printed."""
    made = Sheet(donor="D", verdict=Verdict(clean=clean, lines=("output levels: not known",)))
    text = printed(made)[0]

    assert words in text
    assert sum(other in text for other in ("SIGNAL CLEAN", "NOT DECIDED", "NOT CLEAN")) == 1
    assert "SIGNAL" not in printed(replace(made, verdict=None))[0]


def test_the_order_of_work_has_every_bend_that_the_remarks_ask_for(job: str) -> None:
    """Lead 3 over hole E is bent up, leads 4 and 5 are bent away from foreign holes, all before the part goes in."""
    made = sheet(job, donor="H22LTB")
    steps = list(made.steps)
    set_in = next(i for i, step in enumerate(steps) if step.startswith("Set the part"))

    up = next(i for i, step in enumerate(steps) if step.startswith("Bend up lead 3 and sleeve it"))
    assert "stands over hole E" in steps[up]
    assert up < set_in
    assert "lead 5 by 1.9 mm to pad E, away from hole C" in " ".join(steps[:set_in])


def test_a_staged_lead_is_kept_out_of_its_hole(job: str) -> None:
    """Lead 4 goes to the base resistor: the step says so before the part goes in, the lead map has its row."""
    made = sheet(job, donor="GP1A57HRJ00F")
    assert made.fit is not None
    assert made.fit.staged_leads == ("4",)
    steps = list(made.steps)
    bend = next(i for i, step in enumerate(steps) if step.startswith("Bend up lead 4"))

    assert "not into pad C" in steps[bend]
    assert bend < next(i for i, step in enumerate(steps) if step.startswith("Set the part"))
    assert "4 OUT -> - to resistor" in printed(made)[0]


def test_the_remark_on_logic_stays_until_the_signal_is_clean(job: str) -> None:
    """H22LTB is not clean, so its sense and levels still need a check; every logic donor gets its 100 nF."""
    answered = fit(Question(original=job, donor="H22LTB"))

    assert any(CHECK in warning for warning in answered.fit.warnings)
    assert any(warning.startswith("100 nF between VCC and GND") for warning in answered.fit.warnings)
    assert any("totem pole must never share a line" in warning for warning in answered.fit.warnings)


def test_the_meter_check_says_what_to_read(tmp_path: Path) -> None:
    """RPR-220 (ROHM, Rev.B): VF typ 1.34 V at 50 mA; at a meter's 1 mA an infrared emitter reads 0.9 to 1.2 V."""
    path = tmp_path / "park.yaml"
    text = SLOT.replace("slotted", "reflective").replace("7.2x2.54mm", "5.5x2.54mm").replace("open slot", "white card")
    path.write_text(text.replace("dark: flag", "dark: black, distance: 3mm"), "utf-8")
    made = sheet(str(path), donor="RPR-220")
    step = next(step for step in made.steps if "diode test" in step)
    leads = {c.function: c.lead for c in made.fit.connections} if made.fit else {}

    assert f"red on lead {leads['A']} (to pad A), black on lead {leads['K']} (to pad K)" in step
    volts = float(step.split("about ")[1].split(" V")[0])
    assert 0.9 < volts < 1.2
    assert "at 1 mA; " in step


def test_a_turn_is_also_told_as_a_place(job: str) -> None:
    """Turned by 180 degrees, the first lead (at A before) points towards the pad across: E. By geometry alone."""
    made = sheet(job, donor="GP1A57HRJ00F")
    assert made.fit is not None
    turned = next(other for other in made.fit.alternatives if other.pose is not None and other.pose.turn_deg == 180)

    steps = " ".join(order_of_work(turned))
    assert "Turn the part 180 degrees anticlockwise" in steps
    assert "lead 1 then points towards pad E" in steps


def test_a_file_that_is_there_is_kept_and_the_option_named(
    job: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The message names --out, the option of this command."""
    out = tmp_path / "park.pdf"
    out.write_text("mine")

    assert main(["sheet", job, "--donor", "H22LTB", "--out", str(out)]) == 2
    assert "--out: " in capsys.readouterr().err
    assert out.read_text() == "mine"
