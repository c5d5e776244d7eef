"""``--json`` is a promise: the shipped schemas are those of the classes, and the commands keep to them."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tests.faults.harness import run
from tests.faults.inputs import EXAMPLES, TABLE, commands, part_files
from tests.schema.check import faults
from tests.schema.shapes import ANSWERS, FOLDER, path_of, schema_of

LINES = {
    "assess": ["assess arm-park.yaml", "assess --supply 5V --emitter 1.1V --lit 4.6V --dark 4.9V --glow yes"],
    "expect": ["expect arm-park.yaml"],
    "find": [
        "find --kind reflective --body 10.2x5.8x7",
        "find --same --vf 1.08V --kind slotted",
        "find --site arm-park.yaml",
        "find --kind slotted --gap 900mm",
    ],
    "fit": ["fit TCRT5000 CNY70", "fit arm-park.yaml RPR-220", 'fit blank RPR-220 --map "A C / K E" --grid 5.5x2.54mm'],
    "identify": ["identify --leads 4 1:2=1.08V 2:1=OL 3:4@lit=6.8k", "identify --leads 3"],
    "meter": ["meter --diode 1mA", "meter"],
    "log": ["log list", "log arm-park.yaml --donor RPR-220 --lit 0.2V --dark 4.8V", "log show 1", "log list"],
    "sheet": ["sheet arm-park.yaml --donor RPR-220 --out a.html"],
    "workaround": ["workaround ring-selector.yaml"],
    "part show": ["part show TCRT5000", "part show OS202011MS2QN1", "part EE-SX1041", "part show part.yaml"],
    "part list": ["part list --kind slotted", "part list nothing-like-that"],
    "part sources": ["part sources vishay"],
    "part check": ["part check part.yaml", "part check arm-park.yaml"],
    "part add": ["part add --from table.csv --yes"],
    "switch identify": ["switch identify --leads 3 1:2@left=0 1:3@left=OL 2:3@right=0"],
    "switch find": ["switch find --joins left=1:2 --joins right=2:3 --load 5V/0.5mA"],
    "switch fit": ["switch fit OS202011MS2QN1 5MD1 --load 12V/50mA"],
    "switch spare": ["switch spare OS202011MS2QN1 --used 1,2,3"],
    "stock add": ["stock add TCRT5000 --count 3 --place drawer"],
    "stock list": ["stock list", "stock list --boards"],
    "stock show": ["stock show 1"],
    "stock take": ["stock take 1"],
    "stock return": ["stock return 1"],
    "stock set": ["stock set 1 --vf 1.1V@10mA"],
    "stock label": ["stock label 1"],
    "stock where": ["stock where reflective"],
    "stock export": ["stock export shelf.csv"],
    "stock import": ["stock import shelf.csv --dry-run"],
    "stock backup": ["stock backup copy.sqlite"],
    "stock restore": ["stock restore copy.sqlite --yes"],
    "stock scrap": ["stock scrap 1"],
    "error": [
        "find",
        "part NOTHING-LIKE-IT",
        "fit",
        "expect nothing.yaml",
        "fnd --json",
        "log show 999",
        "find --gap 3,1mm",
    ],
}
"""Command lines whose answers are checked, in this order in one home."""


def test_every_command_with_json_has_a_schema() -> None:
    """No answer without a written form; and no form without a command."""
    answering = {" ".join(path) for path, command in commands() if any("--json" in p.opts for p in command.params)}

    assert answering | {"error"} == set(ANSWERS) == set(LINES)
    assert {path.name for path in FOLDER.glob("*.json")} == {path_of(command).name for command in ANSWERS}


@pytest.mark.parametrize("command", ANSWERS)
def test_the_shipped_schema_is_that_of_the_class(command: str) -> None:
    """A changed answer shows in its schema file; write it anew with ``python -m tests.schema.shapes``."""
    assert json.loads(path_of(command).read_text()) == json.loads(schema_of(command))


def test_answers_keep_to_their_schema(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Real command lines of every command: one document, checked against the shipped file by a checker of its own."""
    import shlex

    monkeypatch.chdir(tmp_path)
    for path in EXAMPLES.glob("*.yaml"):
        shutil.copy(path, tmp_path)
    (tmp_path / "part.yaml").write_text(part_files()[0])
    (tmp_path / "table.csv").write_text(TABLE)
    wrong = []
    for command, lines in LINES.items():
        schema = json.loads(path_of(command).read_text())
        for line in lines:
            args = shlex.split(line)
            done = run([*args, *(["--json"] if "--json" not in args else [])])
            try:
                found = faults(json.loads(done.out), schema)
            except ValueError as error:
                found = [f"not one document: {error}; {done.err}{done.raised!r}"]
            wrong += [f"{line}: {text}" for text in found]
    assert not wrong, "\n".join(wrong[:30])


def test_the_checker_refuses() -> None:
    """A wrong type, a missing and a foreign field are seen."""
    schema = json.loads(path_of("find").read_text())
    args = ["find", "--kind", "reflective", "--limit", "1", "--json"]
    good = json.loads(run(args).out)
    assert faults(good, schema) == []

    for key, value in (("searched", "94"), ("question", "which"), ("candidates", {}), ("alike", True)):
        assert faults({**good, key: value}, schema)
    assert faults({**good, "extra": 1}, schema)
    assert faults({key: value for key, value in good.items() if key != "notes"}, schema)
