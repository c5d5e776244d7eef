"""Tables and exports: round trips, hostile text, all or nothing, harmless in a spreadsheet."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pieces import now, piece

from xref.errors import DataError, NotFound, UsageError
from xref.model.stock import Board, Dump
from xref.stock import query
from xref.stock.cells import as_meant, harmless
from xref.stock.export import json_text
from xref.stock.place import engine
from xref.stock.store import Stock
from xref.stock.table import lines_of, table_text
from xref.tasks import stock_files, stock_shelf
from xref.tasks.references import resolve

HOSTILE = [
    "'; drop table stock_item; --",
    '"); delete from stock_board; --',
    "=cmd|' /C calc'!A0",
    "+1+1", "-2+3", "@SUM(1,1)", "\t=1+1", "\r=1+1", "\n=1+1", " =1+1", "x;=1+1", "x\n=1+1", "x\t@a", "\uff1d1+1",
    "'=quoted", "''", "'", ":name", "%s %d {0} {place}", "\\x1b", "\x1b[31mred\x1b[0m", "\x07", "\u202egnp.exe",
    "\u200f", "A" * 1_000_000, "é" * 300_000, "🔧", "  spaces  ", "line\r\nline", 'say "yes"', "a,b;c\td", "\ufeffx",
]  # fmt: skip

# The characters that the OWASP page "CSV Injection" names (from memory; wide forms added):
FORMULA = re.compile("^[=+\\-@\t\r\n\uff1d\uff0b\uff0d\uff20]")
SIGN = re.compile("^[=+\\-@\uff1d\uff0b\uff0d\uff20]")


def _fill(texts: list[str]) -> Dump:
    stock = Stock(engine())
    board = Board(id=-1, source=texts[0] or "x", place=texts[-1], photo=texts[0], notes=texts[-1])
    items = [replace(piece(2, name=f"n{place}{text[:50]}", place=text, board=board), notes=text)
             for place, text in enumerate(texts)]  # fmt: skip
    stock.add([board], items)
    dump = query.dump(stock.engine)
    stock.engine.close()
    return dump


def test_hostile_text_is_kept_and_does_nothing(shelf: str) -> None:
    """SQL, formulas, escapes, a megabyte, right-to-left marks: kept letter by letter; the tables are all there."""
    dump = _fill(HOSTILE)

    assert [item.place for item in dump.items] == HOSTILE
    assert [item.notes for item in dump.items] == HOSTILE
    stock_shelf.take("stock:3", note=HOSTILE[0])
    assert stock_shelf.show("stock:3").history[-1].note == HOSTILE[0]
    for text in ("'; drop table", "%", "_", "{0}", "\x1b", "!"):
        stock_shelf.listing(text=text)
    assert len(now().items) == len(HOSTILE)


@pytest.mark.parametrize("text", ["zero\0", "\ud800", "A" * 2_000_001], ids=["zero", "half a pair", "too long"])
def test_text_that_cannot_be_kept(shelf: str, text: str) -> None:
    """What one of the two databases cannot hold is refused by both, in words, before anything is written."""
    stock = Stock(engine())

    with pytest.raises(UsageError):
        stock.add([], [piece(1, place=text)])

    assert query.dump(stock.engine) == Dump()
    stock.engine.close()


def test_hostile_text_is_shown_harmlessly(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """No control character, direction mark or megabyte reaches the terminal."""
    from xref.cli.main import main

    _fill(HOSTILE)

    for command in (["list", "--limit", "0"], ["list", "--boards"], ["show", "board:1"], ["label", "board:1"],
                    *(["show", str(number)] for number in range(1, len(HOSTILE) + 1)),
                    *(["label", str(number)] for number in range(1, len(HOSTILE) + 1))):  # fmt: skip
        assert main(["stock", *command]) == 0
        shown = capsys.readouterr().out
        assert all(char == "\n" or char.isprintable() for char in shown)
        assert not re.search("[\u200e\u200f\u202a-\u202e\u2066-\u2069]", shown)
        assert len(shown) < 60_000


@pytest.mark.parametrize("ending", ["csv", "json"])
def test_export_comes_back_equal(shelf: str, ending: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Export, import into an empty stock, export: the same file, letter by letter."""
    _fill([text for text in HOSTILE if len(text) < 1000])
    stock_shelf.take("stock:2")
    stock_shelf.scrap("stock:4")
    _, text = stock_files.exported(f"x.{ending}")
    first = tmp_path / f"first.{ending}"
    first.write_bytes(text.encode())
    monkeypatch.delenv("XREF_STOCK_URL", raising=False)
    monkeypatch.setenv("XREF_HOME", str(tmp_path / "second"))

    answer = stock_files.import_file(first)

    assert answer.problems == ()
    assert stock_files.exported(f"x.{ending}")[1] == text


def test_known_measured_and_described_pieces_come_back(home: Path, tmp_path: Path,
                                                       monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    """Pieces of a known type, with own values, and only described ones keep all of it over a table."""
    from xref.tasks.stock_entry import Entry

    stock_shelf.add([
        Entry(part="TCRT5000", count=4, place="drawer 3"),
        Entry(part="CNY70", values={"vf": "1.12V@10mA", "ic": "0.6mA@10mA", "vce": "5V", "distance": "1mm"}),
        Entry(kind="slotted", map="A C / K E", grid="5.5x2.54mm", output="transistor", values={"gap": "3.1mm"}),
        Entry(kind="switch", joins="left=1:2 right=2:3", values={"contact": "0.08R"}),
    ])  # fmt: skip
    _, text = stock_files.exported("x.csv")
    (tmp_path / "a.csv").write_bytes(text.encode())
    before = now().items
    monkeypatch.setenv("XREF_HOME", str(tmp_path / "second"))

    stock_files.import_file(tmp_path / "a.csv")

    after = now().items
    assert after == before


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(st.sampled_from("=+-@'\t\r\n;|, \"a1\uff1d\u202e\u200b")))
def test_cells_are_harmless_and_come_back(text: str) -> None:
    """No cell begins like a formula, in whatever way a spreadsheet splits the line; reading gives the text back."""
    written = harmless(text)
    line = io.StringIO(newline="")
    csv.writer(line, quoting=csv.QUOTE_ALL).writerow(["a", written])

    assert as_meant(written) == text
    for mark in (",", ";", "\t", "|"):
        for row in csv.reader(io.StringIO(line.getvalue(), newline=""), delimiter=mark):
            for cell in row:
                assert mark != "," or not FORMULA.match(cell), (mark, cell)
                around = " \t\r\n\u202e\u200b" + ("" if mark == "," else '"')
                assert not SIGN.match(cell.lstrip(around)), (mark, cell)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(st.text(max_size=20), st.text(max_size=20)), min_size=1, max_size=4))
def test_any_text_survives_the_table(pairs: list[tuple[str, str]]) -> None:
    """What is written to a table is what is read from it, for any text."""
    items = tuple(replace(piece(1, place=place), id=number, notes=notes)
                  for number, (place, notes) in enumerate(pairs, 1))  # fmt: skip

    read = list(lines_of(table_text(Dump(items=items)), "x"))

    assert [(cells["place"], cells["notes"]) for _, cells in read] == pairs


def _import(text: str, tmp_path: Path, **more: bool) -> tuple[str, ...]:
    path = tmp_path / "drawer.csv"
    path.write_text(text, "utf-8")
    return stock_files.import_file(path, **more).problems


def test_every_problem_with_its_line(shelf: str, tmp_path: Path) -> None:
    """All wrong lines are named in one run, in words, and nothing at all is kept."""
    problems = _import(
        "part,count,kind,vf,tested,condition,board,gap\n"
        "TCRT5000,2,,,,,,\n"
        "TCRT500O,2,,,,,,\n"
        "CNY70,two,,,,,,\n"
        "CNY70,1,slotted,,,,,\n"
        'CNY70,1,,"1,1V",,,,\n'
        "CNY70,1,,,perhaps,,,\n"
        "CNY70,1,,,,rusty,,\n"
        "CNY70,1,,,,,seven,\n"
        ",1,,,,,,\n"
        "blank,1,slotted,,,,,0mm\n",
        tmp_path,
    )  # fmt: skip

    assert [problem.split(":")[1] for problem in problems] == [str(line) for line in range(3, 12)]
    assert 'no part "TCRT500O"; nearest: TCRT5000' in problems[0]
    assert "count: 'two' is not a number of pieces" in problems[1]
    assert "CNY70 is reflective, not slotted" in problems[2]
    assert now() == Dump()


@pytest.mark.parametrize(("text", "said"), [
    ("", "empty; expected a line of columns"),
    ("prat,count\nCNY70,1\n", "no column 'prat'; nearest: part"),
    ("part,part\nCNY70,1\n", "the column part stands twice"),
    ("count\n1\n", "no column part"),
    ("part,count\nCNY70,1,9\n", "drawer.csv:2: 3 cells under 2 columns"),
    ('part,count\n"CNY70,1\n', "not a table"),
])  # fmt: skip
def test_not_a_table(home: Path, text: str, said: str, tmp_path: Path) -> None:
    """A file that is no table, or has unknown columns, is refused with the place."""
    with pytest.raises(DataError, match=re.escape(said)):
        _import(text, tmp_path)


def test_tables_as_people_write_them(home: Path, tmp_path: Path) -> None:
    """A semicolon or a tab between cells, a mark at the start, empty lines; equal sources share one new board."""
    assert _import("\ufeffpart;count;source;place\nCNY70;2;ring controller;bag 1\n;;;\nTCRT5000;;ring controller;\n",
                   tmp_path) == ()  # fmt: skip
    assert _import("part\tplace\nCNY70\tbag 2\n", tmp_path) == ()

    dump = now()

    assert [(item.profile.name, item.count, item.place) for item in dump.items] == [
        ("CNY70", 2, "bag 1"), ("TCRT5000", 1, ""), ("CNY70", 1, "bag 2"),
    ]  # fmt: skip
    assert [board.source for board in dump.boards] == ["ring controller"]
    assert dump.items[0].board == dump.items[1].board == dump.boards[0]


def test_ids_that_are_taken(shelf: str, tmp_path: Path) -> None:
    """An id that is on the shelf is refused with its line; --renumber gives new ones and keeps boards together."""
    _fill(["one", "two"])
    _, text = stock_files.exported("x.csv")

    problems = _import(text, tmp_path)
    assert [problem.split(": ")[0] for problem in problems] == ["drawer.csv:2", "drawer.csv:3", "drawer.csv:4"]
    assert _import(text, tmp_path, renumber=True) == ()

    dump = now()
    assert [item.id for item in dump.items] == [1, 2, 3, 4]
    assert [item.board.id for item in dump.items if item.board] == [1, 1, 2, 2]


def test_dry_run_keeps_nothing(home: Path, tmp_path: Path) -> None:
    """A trial says what would come and changes nothing."""
    path = tmp_path / "drawer.csv"
    path.write_text("part,count\nCNY70,3\n")

    answer = stock_files.import_file(path, dry_run=True)

    assert (answer.entries, answer.pieces) == (1, 3)
    assert now() == Dump()


def test_wrong_json_is_refused_with_its_place(home: Path, tmp_path: Path) -> None:
    """A changed export is refused where it is wrong, and nothing is kept."""
    _fill(["one"])
    text = json_text(now())
    good = json.loads(text)
    for path, value, said in (
        (("items", 0, "count"), "2", "items[0].count"), (("items", 0, "condition"), "rusty", "items[0].condition"),
        (("items", 0, "board"), 9, "items[0].board"), (("items", 0, "record"), {"kind": "slotted"}, "items[0]"),
        (("items", 0, "record"), {"name": "x", "kind": "slotted", "weight": 3}, "items[0]"),
        (("boards", 0, "state"), "sold", "boards[0].state"), (("history", 0, "change"), None, "history[0].change"),
    ):  # fmt: skip
        data = json.loads(json.dumps(good))
        data["xref_stock"][path[0]][path[1]][path[2]] = value
        file = tmp_path / "changed.json"
        file.write_text(json.dumps(data))
        try:
            words = " ".join(stock_files.import_file(file, renumber=True).problems)
        except DataError as error:
            words = str(error)
        assert said in words, (said, words)
    assert len(now().items) == 1


def test_backup_of_each_make_restores_into_the_other(
    shelf: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A JSON backup moves a whole stock, history included, between the own file and a server."""
    _fill(["one", "two"])
    stock_shelf.take("stock:1")
    before = now()
    stock_files.backup(tmp_path / "shelf.json")
    monkeypatch.delenv("XREF_STOCK_URL", raising=False)
    monkeypatch.setenv("XREF_HOME", str(tmp_path / "second"))

    stock_files.restore(tmp_path / "shelf.json")

    assert now() == before


def test_restore_on_each_make(shelf: str, tmp_path: Path) -> None:
    """A JSON backup comes back where it was made; what was there before is kept in a file that can come back too."""
    _fill(["one", "two"])
    before = now()
    stock_files.backup(tmp_path / "shelf.json")
    stock_shelf.take("stock:1")
    later = now()

    answer = stock_files.restore(tmp_path / "shelf.json")
    assert now() == before
    stock_files.restore(Path(answer.notes[-1].split(": ", 1)[1]))

    assert now() == later


def test_edited_backup_is_refused(home: Path, tmp_path: Path) -> None:
    """A JSON backup with a description that no part has is refused before the stock is touched."""
    _fill(["one"])
    stock_files.backup(tmp_path / "shelf.json")
    data = json.loads((tmp_path / "shelf.json").read_text("utf-8"))
    data["xref_stock"]["items"][0]["measured"] = {"slot": {"gap_mm": "wide"}}
    (tmp_path / "shelf.json").write_text(json.dumps(data))
    before = now()

    with pytest.raises(DataError, match=r"slot\.gap_mm"):
        stock_files.restore(tmp_path / "shelf.json")

    assert now() == before


def test_type_that_nobody_knows_is_restored(home: Path, tmp_path: Path) -> None:
    """A piece whose type left the library comes back with a backup, is listed, and does not disturb a search."""
    from xref.tasks.stock import stock_rows
    from xref.tasks.stock_entry import Entry

    stock_shelf.add([Entry(part="CNY70", place="drawer 3")])
    stock_files.backup(tmp_path / "shelf.json")
    text = (tmp_path / "shelf.json").read_text("utf-8").replace('"CNY70"', '"GONE-1"')
    (tmp_path / "shelf.json").write_text(text)

    stock_files.restore(tmp_path / "shelf.json")

    assert stock_shelf.listing().pieces[0].part == "GONE-1"
    (row,) = stock_rows("reflective")
    assert (row.name, row.reference, row.ic_points) == ("GONE-1", "stock:1", ())
    with pytest.raises(NotFound):
        resolve("stock:1")
