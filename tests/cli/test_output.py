"""What is printed is harmless to a terminal, fits 80 columns, and is one JSON document where that was asked for."""

from __future__ import annotations

import json
from dataclasses import dataclass

import pytest

from xref.cli.output import document, emit, one_line, table, visible, wrap


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("plain", "plain"),
        ("two\nlines", "two\nlines"),
        ("a\x1b[31mred", "a?[31mred"),
        ("c1 \x9b31m", "c1 ?31m"),
        ("bell\x07, back\x08", "bell?, back?"),
        ("turned \u202eback", "turned ?back"),
        ("tab\there", "tab here"),
        ("Umlaute äöü, 漢字", "Umlaute äöü, 漢字"),
        ("return\rover", "return?over"),
    ],
)
def test_nothing_steers_the_terminal(text: str, shown: str) -> None:
    """Control characters (ISO 6429 sets C0 and C1) and marks of direction (Unicode bidi) never pass."""
    assert visible(text) == shown


@dataclass(frozen=True, kw_only=True)
class Answer:
    """A made-up answer."""

    name: str
    value: float | None = None
    items: tuple[str, ...] = ()


def test_json_is_harmless_too(capsys: pytest.CaptureFixture[str]) -> None:
    """A name with control characters comes back whole from the JSON, but none of them is on the screen raw."""
    name = "x\x1b[2J\x9b2J\u202e\x7f é"

    emit(Answer(name=name), "", as_json=True)
    out = capsys.readouterr().out

    assert json.loads(out)["name"] == name
    assert visible(out) == out
    assert "é" in out


def test_json_writes_every_field() -> None:
    """A field without a value is there as null or empty, so that a reader need not guess its name."""
    assert document(Answer(name="n")) == {"name": "n", "value": None, "items": []}


def test_json_hides_binary_arithmetic() -> None:
    """0.1 + 0.2 is 0.3 on the bench (IEEE 754 double: 0.30000000000000004)."""
    assert document(Answer(name="n", value=0.1 + 0.2))["value"] == 0.3


def test_a_table_keeps_to_the_width() -> None:
    """Long cells are folded, in the last column and in all others; no word is lost."""
    long = "word " * 40
    text = table(("a", "b"), [("x" * 100, long), ("y", "short")])

    assert max(len(line) for line in text.splitlines()) <= 80
    assert text.count("word") == 40
    assert text.count("x") == 100


def test_wide_characters_keep_the_columns() -> None:
    """East Asian characters take two cells (Unicode annex 11), so the column behind them still lines up."""
    lines = table(("part", "why"), [("漢字", "one"), ("abcd", "two")]).splitlines()

    assert lines[2] == "漢字  one"
    assert lines[3] == "abcd  two"


def test_wrap_folds_at_80() -> None:
    """A sentence is folded and its lines after the first stand in."""
    text = wrap("word " * 40, first="- ", indent="  ")

    assert max(len(line) for line in text.splitlines()) <= 80
    assert all(line.startswith("  word") for line in text.splitlines()[1:])


def test_an_error_stays_one_line() -> None:
    """White space is folded, and what a user pasted is shortened."""
    assert one_line("a\n b\t c") == "a b c"
    assert len(one_line("x" * 1000)) == 400
