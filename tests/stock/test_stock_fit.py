"""A piece of stock as a donor: its state is said first, its values are its own, its reference stays."""

from __future__ import annotations

import io
from pathlib import Path

import pdfplumber
import pytest

from xref.cli.main import main
from xref.library.store import open_library
from xref.tasks.fit import Question, fit
from xref.tasks.references import resolve
from xref.tasks.stock import item_part

SITE = """format: 1
job: inner ring step sensor
original: H21A1
site:
  kind: slotted
  safety: none
  pads: {nets: {A: LED, K: 0V, C: OUT, E: 0V}}
  emitter: {supply: 5V, resistor: 220R, resistor_side: A}
  output: {supply: 5V, load: 10k, load_side: C, input: 74HC14, lit: low, must_change: true}
  sees: {gap: 3mm, flag: 1mm}
"""


@pytest.fixture
def job(home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A job file in a folder of its own, with an empty stock."""
    monkeypatch.chdir(tmp_path)
    Path("ring.yaml").write_text(SITE, "utf-8")
    return "ring.yaml"


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(list(words))
    captured = capsys.readouterr()
    return code, captured.out, captured.err


@pytest.mark.parametrize("command", [("fit", "ring.yaml", "stock:1"), ("sheet", "ring.yaml", "--donor", "stock:1")])
def test_a_dead_piece_is_refused(command: tuple[str, ...], job: str, capsys: pytest.CaptureFixture[str]) -> None:
    """One line that says why, exit 1, and nothing is written."""
    run(capsys, "stock", "add", "H21A2", "--condition", "dead")

    code, out, err = run(capsys, *command)

    assert (code, out) == (1, "")
    assert err == (
        "xref: stock:1: H21A2 is marked dead and kept for its housing: it is not fitted; xref stock list shows others\n"
    )
    assert not Path("ring.pdf").exists()


@pytest.mark.parametrize(
    ("words", "first"),
    [
        (("set", "1", "--condition", "doubtful"), "! stock:1 is marked doubtful: test it before you solder."),
        (("take", "1"), "! stock:1: 0 left on the shelf, all were taken or scrapped: this is a plan only."),
        (("set", "1", "--condition", "good"), ""),
    ],
)
def test_what_is_wrong_with_the_piece_is_the_first_line(
    words: tuple[str, ...], first: str, job: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Doubtful or used up: said before the answer, on screen and among the cautions of the sheet; else nothing."""
    run(capsys, "stock", "add", "H21A2")
    assert run(capsys, "stock", *words)[0] == 0

    for command in (("fit", job, "stock:1"), ("sheet", job, "--donor", "stock:1", "--force")):
        code, out, _ = run(capsys, *command)
        assert code == 0
        assert (out.splitlines()[0] == first) if first else not out.startswith("!")
    text = printed("ring.pdf")
    assert (first.removeprefix("! ").split(":")[-1].strip(" .") in text) if first else "marked" not in text


def test_a_dead_switch_is_refused_too(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same line for a switch."""
    run(capsys, "stock", "add", "OS202011MS2QN1", "--condition", "dead")

    code, out, err = run(capsys, "switch", "fit", "OS202011MS2QN1", "stock:1")

    assert (code, out) == (1, "")
    assert "stock:1: OS202011MS2QN1 is marked dead" in err


def printed(path: str) -> str:
    """All words of a PDF, read back."""
    with pdfplumber.open(io.BytesIO(Path(path).read_bytes())) as document:
        return " ".join(" ".join(page.extract_text().split()) for page in document.pages)


def test_one_measured_piece_does_not_speak_for_the_others(job: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Five pieces, one measured at 0.9 mA: one entry with the reading, four with the printed spread, not tested."""
    code, out, _ = run(capsys, "stock", "add", "TCST1103", "-n", "5", "--ic", "0.9mA@10mA", "--gap", "3.1mm")

    assert code == 0
    assert "stock:1  TCST1103, 1 left, used, tested" in out
    assert "stock:2  TCST1103, 4 left, used, not tested" in out
    own, others, listed = item_part("stock:1"), item_part("stock:2"), open_library().get("TCST1103")
    assert [(value.min, value.max) for value in own.coupling.ic_ma] == [(0.9, 0.9)]
    assert others.coupling.ic_ma == listed.coupling.ic_ma
    assert own.slot.gap_mm == others.slot.gap_mm == 3.1
    assert "(this piece)" in run(capsys, "fit", job, "stock:1")[1]
    assert "(any piece of the type)" in run(capsys, "fit", job, "stock:2")[1]


@pytest.mark.parametrize(
    ("words", "state"),
    [(("--vf", "1.2V@10mA"), "not tested"), (("--ic", "0.9mA@10mA"), "tested"), (("--vf", "1V", "--tested"), "tested")],
)
def test_a_forward_voltage_alone_is_no_test(
    words: tuple[str, ...], state: str, job: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A diode test sees only the emitter: the piece is not tested by it, when added or later."""
    assert f"used, {state}" in run(capsys, "stock", "add", "TCST1103", *words)[1]
    run(capsys, "stock", "add", "TCST1103")
    assert f"used, {state}" in run(capsys, "stock", "set", "stock:2", *words)[1]


def test_the_piece_keeps_its_reference(job: str, capsys: pytest.CaptureFixture[str]) -> None:
    """What is typed next, the title and the label of the sheet name the piece, so its values are not lost."""
    run(capsys, "stock", "add", "TCST2103", "--ic", "2mA@10mA")

    out = run(capsys, "fit", job, "stock:1")[1]
    assert out.splitlines()[-1] == "next: xref sheet ring.yaml --donor stock:1"
    assert fit(Question(original=job, donor="stock:1")).fit.donor_reference == "stock:1"
    assert run(capsys, "sheet", job, "--donor", "stock:1")[0] == 0
    text = printed("ring.pdf")
    assert "of what is needed (this piece)" in text
    assert text.startswith("TCST2103 (stock:1) in place of H21A1")
    assert "TCST2103 (stock:1) fitted in place of H21A1" in text


def test_a_piece_without_a_number_is_asked_for_by_its_reference(job: str, capsys: pytest.CaptureFixture[str]) -> None:
    """No command finds 'unknown slotted'; the reference is what can be typed."""
    run(capsys, "stock", "add", "--kind", "slotted", "--leads", "1=A,2=K,3=C,4=E", "--gap", "3mm")

    assert run(capsys, "part", "stock:1")[1].splitlines()[-1] == "next: xref find --for stock:1"
    assert run(capsys, "find", "--for", "stock:1", "--limit", "1")[0] == 0
    assert run(capsys, "fit", job, "stock:1")[1].splitlines()[-1].endswith("--donor stock:1")


def test_a_piece_is_looked_up_in_the_library_at_hand(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The type of a piece comes from the library that the caller gives."""
    run(capsys, "stock", "add", "TCST2103")

    class Given:
        """A library that notes what it is asked."""

        def __init__(self) -> None:
            self.asked: list[str] = []
            self.real = open_library()

        def get(self, name: str) -> object:
            self.asked.append(name)
            return self.real.get(name)

    library = Given()
    resolve("stock:1", library)  # type: ignore[arg-type]
    assert library.asked == ["TCST2103"]
