"""A record is never lost: not to a second process, not to a damaged neighbour."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from xref.errors import DataError, NotFound, StorageError
from xref.job.records import Record, all_records, folder, keep, show, similar
from xref.tasks.log import earlier

KEEPER = """
import sys
from xref.job.records import Record, keep
for number in range(20):
    keep(Record(job="same job", donor=f"{sys.argv[1]}-{number}"))
"""


def test_two_processes_keep_at_once() -> None:
    """Three processes with 20 records each: 60 records under 60 numbers."""
    running = [
        subprocess.Popen([sys.executable, "-c", KEEPER, name], env=dict(os.environ)) for name in ("one", "two", "three")
    ]
    assert [process.wait(60) for process in running] == [0, 0, 0]
    found = all_records()

    assert [record.number for record in found] == list(range(1, 61))
    assert len({record.donor for record in found}) == 60


def test_a_damaged_record_costs_no_new_one() -> None:
    """The new record is kept; reading names the damaged file; a sheet still comes out, with a word about it."""
    keep(Record(job="first", machine="fraction collector", donor="CNY70"))
    (folder() / "00001.json").write_text('{"number": 1, "job": ')

    kept = keep(Record(job="second", machine="fraction collector", donor="CNY70"))

    assert kept.number == 2
    with pytest.raises(DataError) as caught:
        all_records()
    assert str(caught.value) == f"{folder() / '00001.json'}: this record cannot be read; move it away to go on"
    assert earlier("fraction collector", "", "") == [f"earlier jobs were not looked up: {caught.value}"]


@pytest.mark.parametrize("text", ["[]", '"text"', '{"nombre": 1}', "\udcff", ""])
def test_what_is_no_record_is_named(text: str) -> None:
    """Any other content is one clear error, never a traceback."""
    folder().mkdir(parents=True)
    (folder() / "00007.json").write_bytes(text.encode("utf-8", "surrogateescape"))

    with pytest.raises(DataError, match=r"00007\.json: this record cannot be read"):
        all_records()


def test_a_newer_record_says_so() -> None:
    """A record of a later version is not read as if it were of this one."""
    folder().mkdir(parents=True)
    (folder() / "00001.json").write_text('{"format": 2, "number": 1, "colour": "red"}')

    with pytest.raises(DataError, match=r"written by a newer xref \(format 2\); update xref"):
        all_records()


def test_a_record_comes_back_whole() -> None:
    """What was kept is what is shown."""
    record = Record(
        date="2026-11-25", job="Arm / park", machine="fraction collector 2", original="blank", donor="stock:17",
        after={"lit": "0.2V"}, expected={"lit": "at most 0.8 V"}, verdict="as expected", changes=("load: 10k to 22k",),
        note="pad C lifted, ä",
    )  # fmt: skip

    kept = keep(record)

    assert show(kept.number) == kept
    with pytest.raises(NotFound, match="no record 99"):
        show(99)


def test_similar_by_machine_or_part() -> None:
    """The same machine or part in other writing is found, newest first; 'blank' is no part."""
    keep(Record(machine="Fraction Collector 2", original="blank", donor="RPR-220"))
    keep(Record(machine="shaker", original="TCRT5000", donor="rpr 220"))
    keep(Record(machine="shaker", original="blank", donor="CNY70"))

    assert [record.number for record in similar("fraction collector 2", "blank")] == [1]
    assert [record.number for record in similar("", "RPR220")] == [2, 1]
    assert similar("", "blank") == []


def test_a_folder_that_cannot_be_made() -> None:
    """A file where the folder should be: the error says that nothing was kept."""
    folder().parent.mkdir(parents=True, exist_ok=True)
    folder().write_text("in the way")

    with pytest.raises(StorageError, match="the record was not kept"):
        keep(Record(job="x"))
