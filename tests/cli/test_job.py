"""The job on paper and the record: what is written, what is kept, what is found again."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from xref.cli.main import main
from xref.examples import FOLDER
from xref.job.file import MARKER, load_job, users_part

EXAMPLE = FOLDER / "arm-park.yaml"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A copy of the example with its own comments and order."""
    path = tmp_path / "arm-park.yaml"
    path.write_text(EXAMPLE.read_text("utf-8"), "utf-8")
    return path


def test_sheet_as_pdf_html_and_svg(job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each form is written; the job's words and the donor are in the self-contained HTML."""
    for suffix in (".pdf", ".html", ".svg"):
        assert main(["sheet", str(job), "--donor", "RPR-220", "--out", str(tmp_path / f"out{suffix}")]) == 0

    assert (tmp_path / "out.pdf").read_bytes().startswith(b"%PDF-")
    html = (tmp_path / "out.html").read_text("utf-8")
    assert "RPR-220" in html
    assert "//" not in html.replace("http://www.w3.org", "")
    assert list(tmp_path.glob("out*.svg"))
    assert "next: print it" in capsys.readouterr().out


def test_plots_do_not_cost_a_page_unasked(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The sheet of this job is one page; asked for, the plots follow on a second."""
    out = str(job.parent / "one.pdf")

    assert main(["sheet", str(job), "--donor", "RPR-220", "--out", out, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["pages"] == 1
    assert main(["sheet", str(job), "--donor", "RPR-220", "--out", out, "--force", "--with-plots", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["pages"] == 2


def test_log_keeps_the_user_text(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Results go below the marker; what the user wrote stays byte for byte, also the second time."""
    before = job.read_text("utf-8")
    command = ["log", str(job), "--donor", "RPR-220", "--lit", "0.2V", "--dark", "4.8V", "--write"]

    assert main(command) == 0
    assert main(command) == 0
    after = job.read_text("utf-8")

    assert users_part(after).rstrip("\n") == before.rstrip("\n")
    assert after.count(MARKER) == 1
    assert load_job(job) == load_job(EXAMPLE)


def test_log_says_what_is_off(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A lit level that never falls is outside what was expected, and the record says so."""
    assert main(["log", str(job), "--donor", "RPR-220", "--lit", "4.5V", "--dark", "4.8V", "--json"]) == 0

    assert "lit 4.5V is outside" in json.loads(capsys.readouterr().out)["verdict"]


def test_records_are_found_again(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An earlier job of the same machine is shown when a new sheet is made."""
    assert (
        main(["log", str(job), "--donor", "RPR-220", "--lit", "0.2V", "--dark", "4.8V", "--note", "pad C lifted"]) == 0
    )
    capsys.readouterr()

    assert main(["log", "list"]) == 0
    assert "RPR-220" in capsys.readouterr().out
    assert main(["log", "show", "1"]) == 0
    assert "pad C lifted" in capsys.readouterr().out
    assert main(["sheet", str(job), "--donor", "TCRT5000", "--out", str(job.parent / "x.pdf")]) == 0
    assert "earlier: record 1" in capsys.readouterr().out


def test_no_record_is_an_honest_none(capsys: pytest.CaptureFixture[str]) -> None:
    """An empty list is exit code 1."""
    assert main(["log", "list"]) == 1


OWN_PART = """\
format: 1
sources:
  main: {title: own measurement, document: not printed, revision: not printed, date: not printed}
parts:
  - part: RPR-220
    kind: reflective
    output: phototransistor
    geometry:
      leads:
        - {label: "1", function: A, at_mm: [-6, -1.25]}
        - {label: "2", function: K, at_mm: [-6, 1.25]}
        - {label: "3", function: E, at_mm: [6, 1.25]}
        - {label: "4", function: C, at_mm: [6, -1.25]}
"""


def test_demo_follows_the_data() -> None:
    """The demo runs the real functions: an own part file with other lead places changes what it says."""
    from xref.cli.demo_story import story
    from xref.places import parts_dir

    plain = "\n".join(story(ascii=True))
    parts_dir().mkdir(parents=True, exist_ok=True)
    (parts_dir() / "rpr-220.yaml").write_text(OWN_PART)

    assert "\n".join(story(ascii=True)) != plain
