"""Which class each ``--json`` answer is, and its JSON schema as shipped in ``xref/model/schemas``.

After a change of an answer: ``.venv/bin/python -m tests.schema.shapes`` writes the files anew, and the difference shows
in the commit what programs that read the answers will meet.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter

from xref.job.records import Record
from xref.model.answers.assess import AssessAnswer, ExpectAnswer
from xref.model.answers.find import FindAnswer
from xref.model.answers.fit import Fit
from xref.model.answers.identify import IdentifyAnswer, MeterAnswer
from xref.model.answers.part import PartAnswer
from xref.model.answers.parts import AddAnswer, CheckAnswer, DocumentList, PartList
from xref.model.answers.sheet import Sheet
from xref.model.answers.stock import Done, Imported, Labels, Shelf, Shown, WhereAnswer, Written
from xref.model.answers.switch import SpareAnswer, SwitchIdentity
from xref.model.answers.workaround import WorkaroundAnswer

FOLDER = Path(__file__).parents[2] / "xref" / "model" / "schemas"


@dataclass
class SheetWritten:
    """What ``xref sheet`` answers."""

    written: list[str]
    pages: int
    sheet: Sheet


@dataclass
class Fault:
    """What stands under ``error``."""

    kind: str
    message: str
    where: str


@dataclass
class Failed:
    """The answer of any command that fails."""

    error: Fault


ANSWERS: dict[str, Any] = {
    "assess": AssessAnswer, "expect": ExpectAnswer, "find": FindAnswer, "fit": Fit, "identify": IdentifyAnswer,
    "meter": MeterAnswer, "log": Record | list[Record], "sheet": SheetWritten, "workaround": WorkaroundAnswer,
    "part show": PartAnswer, "part list": PartList, "part sources": DocumentList, "part check": CheckAnswer,
    "part add": AddAnswer, "switch identify": SwitchIdentity, "switch find": FindAnswer, "switch fit": Fit,
    "switch spare": SpareAnswer, "stock add": Done, "stock list": Shelf, "stock show": Shown, "stock take": Done,
    "stock return": Done, "stock scrap": Done, "stock set": Done, "stock label": Labels, "stock where": WhereAnswer,
    "stock import": Imported, "stock export": Written, "stock backup": Written, "stock restore": Written,
    "error": Failed,
}  # fmt: skip
"""Command to the class of its answer; ``error`` is what all of them answer when they fail."""


def path_of(command: str) -> Path:
    """The schema file of a command."""
    return FOLDER / f"{command.replace(' ', '-')}.json"


def schema_of(command: str) -> str:
    """The schema as text: every field is always there and no other is."""
    found = TypeAdapter(ANSWERS[command]).json_schema(mode="serialization")
    found = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"xref {command} --json",
        **_plain(found),
    }
    return json.dumps(found, indent=1, sort_keys=True) + "\n"


def _plain(node: Any) -> Any:
    """Without names and comments that are no part of the form; objects closed."""
    if isinstance(node, list):
        return [_plain(item) for item in node]
    if not isinstance(node, dict):
        return node
    keep = {key: _plain(value) for key, value in node.items() if key not in ("title", "description", "default")}
    if "properties" in node:
        keep["properties"] = {name: _plain(value) for name, value in node["properties"].items()}
        keep["required"] = sorted(node["properties"])
        keep["additionalProperties"] = False
    return keep


def main() -> None:
    """Write all schema files."""
    FOLDER.mkdir(exist_ok=True)
    for path in FOLDER.glob("*.json"):
        path.unlink()
    for command in ANSWERS:
        path_of(command).write_text(schema_of(command))


if __name__ == "__main__":
    main()
