"""What the shell offers after a press of the key."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.faults.inputs import EXAMPLES
from tests.faults.process import environment, xref


def offered(line: str, home: Path, work: Path) -> list[str]:
    """The words that bash would show for a line (the protocol of the program's own completion script)."""
    env = environment(home, _XREF_COMPLETE="complete_bash", COMP_WORDS=line, COMP_CWORD=str(len(line.split(" ")) - 1))
    done = xref(env=env, cwd=work)
    assert done.stderr == ""
    return done.stdout.split()


@pytest.mark.parametrize(
    ("line", "first", "other"),
    [
        ("xref fi", "find", "fit"),
        ("xref fit TCRT5", "TCRT5000", "TCRT5000L"),
        ("xref fit TCRT5000 CNY7", "CNY70", "CNY70"),
        ("xref part show OPB70", "OPB704", "OPB705"),
        ("xref find --for OPB70", "OPB704", "OPB705"),
        ("xref assess a", "arm-park.yaml", "arm-park.yaml"),
        ("xref find --site sub/r", "sub/ring-selector.yaml", "sub/ring-selector.yaml"),
        ("xref find --ki", "--kind", "--kind"),
        ("xref part li", "list", "list"),
    ],
)
def test_completion(line: str, first: str, other: str, tmp_path: Path) -> None:
    """Commands, part names, job files also in folders, options."""
    shutil.copy(EXAMPLES / "arm-park.yaml", tmp_path)
    (tmp_path / "sub").mkdir()
    shutil.copy(EXAMPLES / "ring-selector.yaml", tmp_path / "sub")

    found = offered(line, tmp_path / "home", tmp_path)

    assert {first, other} <= set(found)
    assert all(word.startswith(line.split(" ")[-1]) for word in found)


def test_nothing_to_offer_is_silent(tmp_path: Path) -> None:
    """An unknown command, a folder that is not there: no word, no complaint."""
    assert offered("xref nothing x", tmp_path, tmp_path) == []
    assert offered("xref assess nowhere/a", tmp_path, tmp_path) == []
