"""The commands as typed: words, exit codes, questions, where to look."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
import yaml
from pieces import now

from xref.cli.main import main
from xref.library.store import open_library
from xref.stock.harvest import CAUTIONS, FINDS, WORDS, found_in
from xref.tasks.stock_talk import Talk

NOTES = Path(__file__).parent / "harvest_notes.yaml"


def _run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(["stock", *words])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def test_a_day_at_the_shelf(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Add a board with pieces, look, take, return, scrap: each says in one line what is kept now."""
    code, out, _ = _run(capsys, "add", "TCRT5000", "--new-board", "ring controller, collector 2", "--place", "drawer 3",
                        "--count", "4")  # fmt: skip
    assert code == 0
    assert out.splitlines() == [
        "added: board:1  ring controller, collector 2, drawer 3",
        "added: stock:1  TCRT5000, 4 left, used, not tested, drawer 3, board:1 ring",
        "  controller, collector 2",
        "next: xref stock label stock:1",
    ]
    assert _run(capsys, "take", "stock:1", "-n", "3", "--note", "collector 5")[0] == 0
    code, out, err = _run(capsys, "take", "1", "-n", "2")
    assert (code, out, err) == (1, "", "xref: stock:1: only 1 left, 2 wanted: nothing was taken\n")
    assert _run(capsys, "return", "1", "-n", "2")[0] == 0
    code, out, err = _run(capsys, "return", "1", "-n", "2")
    assert (code, out) == (2, "")
    assert err == ("xref: stock:1: 1 of it is out: more pieces of the same kind are a new entry, xref stock add\n")
    code, out, _ = _run(capsys, "scrap", "board:1")
    assert out.splitlines()[-1] == "3 pieces went with it"
    assert _run(capsys, "list") == (1, "Nothing in stock that matches.\n", "")
    assert "scrap -3, 0 left" in _run(capsys, "show", "1")[1]


@pytest.mark.parametrize(("words", "code", "said"), [
    (["add", "CNY700"], 1, 'no part "CNY700"; nearest: CNY70'),
    (["add", "CNY70", "--count", "0"], 2, "--count: '0' is not a number of pieces"),
    (["add", "CNY70", "--condition", "rusty"], 2, "--condition: 'rusty' is not one of good, used, doubtful, dead"),
    (["add", "CNY70", "--vf", "1,1V"], 2, "1,1V"),
    (["add", "CNY70", "--vce", "5V"], 2, "add --ic"),
    (["add", "CNY70", "--board", "9"], 1, "board:9: no such board"),
    (["add", "CNY70", "--board", "9", "--new-board", "x"], 2, "give one of them"),
    (["add", "--kind", "slot"], 2, "nearest: slotted"),
    (["add", "--kind", "slotted", "--leads", "1=X"], 2, "expected LABEL=FUNCTION"),
    (["add", "--kind", "slotted", "--map", "A C / K E"], 2, "--grid 5.5x2.54mm"),
    (["take", "seventeen"], 2, "is not the number on a label"),
    (["take", "17"], 1, "stock:17: no such piece"),
    (["show", "board:3"], 1, "board:3: no such board"),
    (["set", "17"], 2, "nothing to change"),
    (["where", "slot"], 2, "nearest: slotted"),
    (["import", "missing.csv"], 3, "missing.csv: cannot be read"),
    (["export", "shelf.txt"], 2, "expected a name that ends in .csv or .json"),
    (["export", "shelf.csv"], 1, "there is no stock yet"),
    (["backup", "shelf.sqlite"], 1, "there is no stock yet"),
    (["restore"], 2, "add --yes"),
    (["restore", "--yes"], 1, "no automatic copy"),
    (["restore", "--yes", "missing.sqlite"], 3, "missing.sqlite: cannot be read"),
])  # fmt: skip
def test_what_cannot_be_done(words: list[str], code: int, said: str, capsys: pytest.CaptureFixture[str],
                             monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:  # fmt: skip
    """Each wrong command is one line with what to do instead, and its exit code; nothing is kept."""
    monkeypatch.chdir(tmp_path)

    got, out, err = _run(capsys, *words)

    assert (got, out) == (code, "")
    assert said in err
    assert len(err.splitlines()) == 1
    assert now().items == ()


def test_json_is_one_document(home: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Every command of the group gives one JSON document with --json, errors too."""
    file = str(tmp_path / "shelf.csv")
    for words in (
        ["add", "CNY70", "--new-board", "x", "--count", "3"], ["list"], ["list", "--boards"], ["show", "1"],
        ["show", "board:1"], ["take", "1"], ["return", "1"], ["set", "1", "--place", "bag"], ["label", "1", "board:1"],
        ["where", "switch"], ["export", file], ["import", file, "--renumber"], ["backup", file + ".sqlite"],
        ["restore", "--yes"], ["scrap", "1"],
    ):  # fmt: skip
        code, out, _ = _run(capsys, *words, "--json")
        assert code == 0, words
        json.loads(out)
    code, out, _ = _run(capsys, "take", "99", "--json")
    assert code == 1
    assert json.loads(out)["error"]["kind"] == "not-found"


def test_labels_fit_a_small_sticker(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A label is at most 36 letters wide, and the id that commands take stands first on it."""
    _run(capsys, "add", "CNY70", "--new-board", "a very long name of a controller that no sticker holds", "--vf",
         "1.12V@10mA")  # fmt: skip

    _, out, _ = _run(capsys, "label", "stock:1", "board:1")

    assert max(len(line) for line in out.splitlines()) <= 36
    assert out.splitlines()[1].strip("| ") == "stock:1"
    assert "VF 1.12 V at 10 mA" in out


def _talk() -> Talk:
    return Talk(library=open_library(), boards={7: "ring controller"})


def _asked(talk: Talk, *replies: str) -> list[str]:
    keys = []
    for reply in replies:
        question = talk.current()
        assert question is not None
        keys.append(question.key)
        if reply == "back":
            talk.back()
        else:
            talk.give(reply)
    return keys


def test_known_part_needs_few_questions() -> None:
    """For a part in the library nobody asks what it is; five answers are enough."""
    talk = _talk()

    keys = _asked(talk, "7", "tcrt 5000", "4", "drawer 3", "", "1.1V@10mA", "", "")

    assert keys == ["board", "part", "count", "place", "condition", "vf", "ic", "notes"]
    assert talk.current() is None
    entry, new = talk.result()
    assert new is None
    assert (entry.part, entry.count, entry.values, entry.board and entry.board.id) == (
        "tcrt 5000", 4, {"vf": "1.1V@10mA"}, 7,
    )  # fmt: skip


def test_answers_can_be_taken_back() -> None:
    """back returns to the question before, as often as wanted; what depended on the old answer is asked anew."""
    talk = _talk()

    keys = _asked(talk, "", "TCRT5000", "back", "back", "new", "arm controller", "", "", "slotted", "back", "switch",
                  "3", "left=1:2 right=2:3")  # fmt: skip

    assert keys == ["board", "part", "count", "part", "board", "source", "photo", "part", "kind", "readings", "kind",
                    "leads", "joins"]  # fmt: skip
    assert not _talk().back()
    while talk.current() is not None:
        talk.give("")
    entry, new = talk.result()
    assert (entry.kind, entry.joins, new and new.source) == ("switch", "left=1:2 right=2:3", "arm controller")


def test_wrong_answers_stay_at_the_question() -> None:
    """A reply that cannot be read is told with an example, and the same question stays."""
    from xref.errors import UsageError

    talk = _talk()
    for reply in ("9", "x"):
        with pytest.raises(UsageError, match="7 ring controller"):
            talk.give(reply)
    _asked(talk, "", "")
    for reply in ("", "s", "9"):
        with pytest.raises(UsageError):
            talk.give(reply)
    _asked(talk, "slotted", "", "1=A 2=K", "", "")
    with pytest.raises(UsageError):
        talk.give("wide")
    assert talk.current() is not None
    assert talk.current().key == "gap"  # type: ignore[union-attr]


def test_questions_in_a_pipe(home: Path) -> None:
    """Answers from a pipe make one entry; input that ends early makes none."""

    def ask(text: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run([sys.executable, "-m", "xref", "stock", "add", "--json"], input=text,
                              capture_output=True, text=True, check=False)  # fmt: skip

    short = ask("new\nring controller\n\nCNY70\n")
    assert short.returncode == 2
    assert "this piece was not added" in short.stderr
    assert now().boards == ()
    whole = ask("new\nring controller\n\nCNY70\n2\ndrawer 3\ngood\n\n\n\n")
    assert whole.returncode == 0, whole.stderr
    assert json.loads(whole.stdout)["pieces"][0]["reference"] == "stock:1"
    (item,) = now().items
    assert (item.count, item.condition, item.board and item.board.place) == (2, "good", "drawer 3")


@pytest.mark.parametrize("kind", ["reflective", "slotted", "pair", "emitter", "detector", "switch"])
def test_where_to_look(kind: str, home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Own boards come first, then equipment with its evidence, then what is dangerous in it."""
    _run(capsys, "add", f"blank {kind}", "--kind", kind, "--new-board", "ring controller", "--place", "shelf 2")

    code, out, _ = _run(capsys, "where", kind)

    assert code == 0
    lines = out.splitlines()
    assert lines[0] == f"Your own shelf ({kind})"
    assert "board:1 ring controller" in lines[3]
    assert lines[3].endswith("shelf 2")
    evidence = re.findall(r"^    \[([SHC])\]", out, re.MULTILINE)
    assert evidence == sorted(evidence, key="SHC".index)
    assert len(evidence) == len(found_in(kind)) >= 3 if kind != "reflective" else evidence
    assert "mains plug" in " ".join(out.split())
    assert len([line for line in lines if line.startswith("! ")]) == len(CAUTIONS)
    assert max(len(line) for line in lines) <= 80


def test_harvest_agrees_with_the_notes() -> None:
    """Counts and grades are those of the notes that were read from the named texts (harvest_notes.yaml)."""
    noted = yaml.safe_load(NOTES.read_text("utf-8"))["equipment"]

    for note in noted:
        hits = [find for find in FINDS if note["equipment"] == find.equipment and note["evidence"] == find.evidence
                and note["in_source"] in find.source]  # fmt: skip
        assert len(hits) == 1, note
        for number in note["counts"]:
            assert re.search(rf"\b{number}\b", hits[0].how_many), note
    assert {find.evidence for find in FINDS} == set(WORDS)
    assert all(find.source == WORDS["C"] for find in FINDS if find.evidence == "C")
