"""What a word on the command line names: a part, a file, one part of a file, a piece on the shelf."""

from __future__ import annotations

from pathlib import Path

import pytest

from xref.errors import DataError, NotFound, UsageError
from xref.library.store import open_library
from xref.tasks.references import known, resolve

ONE = """\
format: 1
sources:
  main: {title: own measurement, document: not printed, revision: not printed, date: not printed}
parts:
  - {part: MINE-1, kind: reflective, output: phototransistor}
"""
TWO = ONE + "  - {part: MINE-2, kind: slotted, output: phototransistor}\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Files with one and with two parts, one of them with a '#' in its name."""
    (tmp_path / "one.yaml").write_text(ONE)
    (tmp_path / "two.yaml").write_text(TWO)
    (tmp_path / "box #7.yaml").write_text(TWO)
    return tmp_path


def test_a_name_and_an_alias() -> None:
    """A name is looked up in the library; other case and dashes find the same part."""
    assert resolve("TCRT5000").name == "TCRT5000"
    assert resolve("rpr220").name == "RPR-220"


def test_a_file_and_a_part_in_it(folder: Path) -> None:
    """A file with one part is that part; of several one is named behind '#'."""
    assert resolve(str(folder / "one.yaml")).name == "MINE-1"
    assert resolve(f"{folder / 'two.yaml'}#MINE-2").kind == "slotted"
    assert resolve(f"{folder / 'box #7.yaml'}#MINE-1").name == "MINE-1"


def test_several_parts_must_be_told_apart(folder: Path) -> None:
    """The message names the parts and the form to use."""
    path = folder / "two.yaml"

    with pytest.raises(UsageError) as caught:
        resolve(str(path))

    assert str(caught.value) == f"{path}: the file holds 2 parts (MINE-1, MINE-2); name one as {path}#NAME"


def test_a_wrong_part_of_a_file_names_the_right_ones(folder: Path) -> None:
    """A slip behind the '#' shows what the file holds."""
    path = folder / "two.yaml"

    with pytest.raises(NotFound) as caught:
        resolve(f"{path}#MINE-3")

    assert str(caught.value) == f"{path}: no part 'MINE-3' in this file; it holds MINE-1, MINE-2"


def test_what_is_not_there(tmp_path: Path) -> None:
    """A missing file, an unknown name and an empty shelf are told apart."""
    with pytest.raises(DataError, match="no such file"):
        resolve(str(tmp_path / "none.yaml"))
    with pytest.raises(NotFound, match='no part "TCRT5OOO"; nearest: TCRT5000'):
        resolve("TCRT5OOO")
    with pytest.raises(NotFound):
        resolve("stock:17")


def test_known_is_for_numbers_that_nobody_may_know() -> None:
    """A blank part and the equipment maker's own number are None, not an error."""
    library = open_library()

    assert known("blank", library) is None
    assert known("LAB-4711", library) is None
    part = known("TCRT5000", library)
    assert part is not None
    assert part.name == "TCRT5000"
