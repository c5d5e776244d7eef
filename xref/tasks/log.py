"""After the repair: readings against what was expected, the record for the next technician."""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping

from xref import quantity
from xref.errors import DataError, UsageError
from xref.job.file import load_job, write_results
from xref.job.records import Record, all_records, keep, similar
from xref.job.records import show as one
from xref.paper.content import changes_of
from xref.tasks.expected import Span, link_of, spans
from xref.tasks.fit import Question
from xref.tasks.fit import fit as ask

READINGS = ("lit", "dark", "emitter", "supply")
"""What can be entered after a repair, in volts."""


def log(
    job_file: str, after: Mapping[str, str], *, donor: str = "", note: str = "", date: str = "", write: bool = False
) -> Record:
    """Keep a record of a finished job.

    Args:
        job_file: the job
        after: readings after the repair as typed ('0.2V'), by the names of READINGS
        donor: where the file does not name it
        note: anything the next technician should know
        date: of the repair; else the file's, else today
        write: also write the results below the marker line of the job file

    Raises:
        UsageError: no donor, no reading, or a reading of an unknown name
        StorageError: the record could not be kept
    """
    job = load_job(job_file)
    readings = {**job.after, **after}
    for name, text in readings.items():
        if name not in READINGS:
            raise UsageError(f"no reading {name!r}; known: {', '.join(READINGS)}", "after")
        quantity.parse(text, "V")
    reference = donor or job.donor
    if not reference:
        raise UsageError("no donor named: write donor: NAME into the file, or add --donor NAME", job_file)
    if not readings:
        raise UsageError("no reading: give --lit and --dark as measured after the repair", job_file)
    answered = ask(Question(original=job_file, donor=reference))
    fit = answered.fit
    expected = spans(fit, link_of(answered.donor, answered.site))
    verdict = _verdict(readings, expected)
    changes = tuple(f"{item.where}: {item.old or 'none'} to {item.new}" for item in changes_of(fit))
    kept = keep(
        Record(
            date=date or job.date or datetime.date.today().isoformat(),
            job=job.job, machine=job.machine, original=job.original, donor=reference,
            after=readings, expected={name: span.words for name, span in expected.items()}, verdict=verdict,
            changes=changes, note=note,
        )
    )  # fmt: skip
    if write:
        write_results(job_file, _block(kept))
    return kept


def records(machine: str = "") -> list[Record]:
    """All records, or those of one machine or part.

    Raises:
        DataError: a record cannot be read
    """
    return similar(machine, machine) if machine else all_records()


def record(number: int) -> Record:
    """One record.

    Raises:
        NotFound: no record of that number
        DataError: a record cannot be read
    """
    return one(number)


def earlier(machine: str, original: str, donor: str) -> list[str]:
    """One line for each similar earlier job, at most three; a record that cannot be read is said, not more."""
    try:
        found = similar(machine, original, donor)[:3]
    except DataError as error:
        return [f"earlier jobs were not looked up: {error}"]
    return [
        f"earlier: record {item.number}, {item.date}: {item.donor} for {item.original or 'blank'}, {item.verdict}"
        for item in found
    ]


def _verdict(readings: Mapping[str, str], expected: Mapping[str, Span]) -> str:
    compared = [name for name in readings if name in expected]
    if not compared:
        return "not compared: nothing was expected for these readings"
    off = [
        f"{name} {readings[name]} is outside ({expected[name].words})"
        for name in compared
        if not expected[name].holds(quantity.parse(readings[name], "V"))
    ]
    return "; ".join(off) if off else "as expected"


def _block(kept: Record) -> str:
    """The results as YAML for below the marker line."""
    lines = [f"# record {kept.number}, {kept.date}", "results:", f"  verdict: {_quoted(kept.verdict)}", "  after:"]
    lines += [f"    {name}: {_quoted(text)}" for name, text in kept.after.items()]
    lines += ["  changes:", *(f"    - {_quoted(text)}" for text in kept.changes)] if kept.changes else []
    return "\n".join(lines)


def _quoted(text: str) -> str:
    """Text as a YAML scalar on one line: a JSON string is one."""
    return json.dumps(text, ensure_ascii=False)
