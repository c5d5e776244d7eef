"""What a job or network file gets told when it is read: place, what, and what to write instead."""

from __future__ import annotations

from pathlib import Path

import pytest

from xref.errors import DataError
from xref.examples import FOLDER
from xref.job.file import load_job
from xref.job.network_file import load_network
from xref.job.remarks import remarks


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("input: LM339", ':4: site.output.input: "LM339" is a comparator'),
        ("input: FOO", ':4: site.output.input: no logic family behind "FOO": write one like TTL'),
        ("input: 7414X", ':4: site.output.input: no logic family behind "7414X"'),
    ],
)
def test_an_input_that_is_no_logic_is_named_when_the_file_is_read(text: str, line: str, tmp_path: Path) -> None:
    """File, line and key stand in the message of every command that reads the file."""
    path = tmp_path / "job.yaml"
    path.write_text(f"format: 1\nsite:\n  kind: slotted\n  output: {{supply: 5V, {text}}}\n")

    with pytest.raises(DataError) as caught:
        load_job(path)

    assert str(caught.value).startswith(f"{path}{line}")


def test_levels_of_its_own_need_no_family(tmp_path: Path) -> None:
    """With both levels stated the chip behind may be any."""
    path = tmp_path / "job.yaml"
    path.write_text("format: 1\nsite: {kind: slotted, output: {input: LM339, low_below: 1V, high_above: 1.2V}}\n")

    assert load_job(path).site is not None


def test_each_form_of_file_is_told_from_the_other(tmp_path: Path) -> None:
    """A job file where a network file is wanted, and the reverse: one sentence with the example to copy."""
    with pytest.raises(DataError) as caught:
        load_network(FOLDER / "arm-park.yaml")
    assert "this is a job file (site:); a network file is wanted" in caught.value.message
    assert "--ask" in caught.value.message
    assert caught.value.message.endswith(str(FOLDER / "ring-selector.yaml"))

    with pytest.raises(DataError) as caught:
        load_job(FOLDER / "ring-selector.yaml")
    assert "this is a network file" in caught.value.message


@pytest.mark.parametrize("name", ["arm-park.yaml", "ring-selector.yaml"])
def test_a_missing_example_is_shown_where_it_lies(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every --help names these two files; who types them gets told where they are."""
    monkeypatch.chdir(tmp_path)

    with pytest.raises(DataError) as caught:
        load_job(name)

    assert str(caught.value) == f"{name}: no such file; the shipped example is {FOLDER / name}"


@pytest.mark.parametrize(
    ("job", "net", "said"),
    [
        ("lid switch, collector 2", "OUT", "lid switch, collector 2"),
        ("arm park", "DOOR_OK", "DOOR_OK"),
        ("arm park", "OUT", ""),
        ("solid base, discovered late", "VALID", ""),
    ],
)
def test_a_name_that_speaks_of_safety_is_doubted_once(job: str, net: str, said: str, tmp_path: Path) -> None:
    """safety: none beside a lid, cover, door, guard, interlock or laser in a name: said once, other words never."""
    path = tmp_path / "job.yaml"
    path.write_text(
        f"format: 1\njob: {job}\nsite:\n  kind: slotted\n  safety: none\n"
        f"  pads: {{map: A C / K E, grid: 5x5mm, nets: {{C: {net}}}}}\n"
    )
    remarks.clear()

    load_job(path)
    load_job(path)

    line = f'{path}: you said safety: none, but the name says "{said}": make sure that it protects nobody'
    assert remarks == ([line] if said else [])
    remarks.clear()
