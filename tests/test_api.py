"""The Python functions: every argument is explained, every named error comes, the answer is the command's."""

from __future__ import annotations

import inspect
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import xref.errors
from xref import api
from xref.cli.main import main
from xref.cli.output import document
from xref.errors import DataError, NotFound, SafetyRefusal, UsageError
from xref.examples import FOLDER

PUBLIC = [
    function
    for name, function in inspect.getmembers(api, inspect.isfunction)
    if not name.startswith("_") and function.__module__ == "xref.api"
]


@pytest.mark.parametrize("function", PUBLIC, ids=lambda function: function.__name__)
def test_arguments_and_errors_are_explained(function: Callable[..., Any]) -> None:
    """Each argument of a function with more than one has its line; each error it names is one of ours."""
    text = inspect.getdoc(function) or ""
    arguments = list(inspect.signature(function).parameters)

    if len(arguments) > 1:
        assert [name for name in arguments if not re.search(rf"^    {name}: ", text, re.MULTILINE)] == []
    raised = re.findall(r"^    (\w+): ", text.partition("Raises:\n")[2], re.MULTILINE)
    assert raised
    assert all(issubclass(getattr(xref.errors, name), xref.errors.XrefError) for name in raised)
    assert ">>> " in text


def test_there_are_the_functions_of_the_questions() -> None:
    """The five questions and the part."""
    assert {function.__name__ for function in PUBLIC} == {"identify", "assess", "find", "fit", "workaround", "part"}


def wrong_site(tmp_path: Path) -> Path:
    """A file without a board side."""
    path = tmp_path / "job.yaml"
    path.write_text("format: 1\njob: x\n")
    return path


def lid(tmp_path: Path) -> Path:
    """A lid switch's board."""
    path = tmp_path / "lid.yaml"
    path.write_text("format: 1\nsite: {kind: slotted, safety: lid}\n")
    return path


@pytest.mark.parametrize(
    ("ask", "error"),
    [
        (lambda _: api.identify(["1:2=x"], leads=4), UsageError),
        (lambda _: api.identify(["1:2=OL"], leads=9), UsageError),
        (lambda folder: api.assess(wrong_site(folder), {"lit": "1V"}), UsageError),
        (lambda _: api.assess(FOLDER / "arm-park.yaml", {"lit": "1V"}, original="LAB-4711"), NotFound),
        (lambda _: api.find(), UsageError),
        (lambda _: api.find(kind="slotted", original="LAB-4711"), NotFound),
        (lambda folder: api.find(site=lid(folder)), SafetyRefusal),
        (lambda folder: api.find(site=folder / "none.yaml"), DataError),
        (lambda _: api.fit("blank", "RPR-220"), UsageError),
        (lambda _: api.fit("TCRT5000", "LAB-4711"), NotFound),
        (lambda folder: api.workaround(folder / "none.yaml"), DataError),
        (lambda _: api.part("LAB-4711"), NotFound),
    ],
)
def test_errors_are_the_named_ones(ask: Callable[[Path], Any], error: type[Exception], tmp_path: Path) -> None:
    """What the docstring promises is what comes."""
    with pytest.raises(error):
        ask(tmp_path)


def test_the_answer_is_that_of_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    """The command prints the same object as JSON."""
    answer = api.fit("TCRT5000", "RPR-220")

    assert main(["fit", "TCRT5000", "RPR-220", "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)

    assert {key: value for key, value in document(answer).items() if key != "alternatives"} == {
        key: value for key, value in printed.items() if key != "alternatives"
    }
