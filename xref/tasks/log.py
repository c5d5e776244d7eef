"""After the repair: readings against what was expected, the record for the next technician."""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Mapping

from xref import quantity
from xref.errors import DataError, UsageError
from xref.job.file import load_job, write_results
from xref.job.records import Record, all_records, keep, similar
from xref.job.records import show as one
from xref.paper.content import changes_of
from xref.tasks.expected import BELOW_GROUND, Limits, Span, limits_of, link_of, spans
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
        date: of the repair, as 2026-11-25; else the file's, else today
        write: also write the results below the marker line of the job file

    Raises:
        UsageError: no donor, no reading, a reading of an unknown name, or a date that is none
        StorageError: the record could not be kept
    """
    job = load_job(job_file)
    readings = {**job.after, **after}
    for name, text in readings.items():
        if name not in READINGS:
            raise UsageError(f"no reading {name!r}; known: {', '.join(READINGS)}", "after")
        quantity.parse(text, "V")
    when = _date(date, "--date") if date else _date(job.date, job_file) if job.date else ""
    reference = donor or job.donor
    if not reference:
        raise UsageError("no donor named: write donor: NAME into the file, or add --donor NAME", job_file)
    if not readings:
        raise UsageError("no reading: give --lit and --dark as measured after the repair", job_file)
    answered = ask(Question(original=job_file, donor=reference))
    fit = answered.fit
    link = link_of(answered.donor, answered.site)
    expected = spans(fit, link)
    verdict = _verdict(readings, expected, None if link is None else limits_of(link))
    changes = tuple(f"{item.where}: {item.old or 'none'} to {item.new}" for item in changes_of(fit))
    kept = keep(
        Record(
            date=when or datetime.date.today().isoformat(),
            job=job.job, machine=job.machine, original=job.original, donor=reference,
            after=readings, expected={name: span.words for name, span in expected.items()}, verdict=verdict,
            changes=changes, note=note,
        )
    )  # fmt: skip
    if write:
        write_results(job_file, _block(kept))
    return kept


def records(machine: str = "") -> list[Record]:
    """All records, or those of one machine or part, by date, oldest first.

    Raises:
        DataError: a record cannot be read
    """
    return sorted(similar(machine, machine) if machine else all_records(), key=_when)


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
        found = sorted(similar(machine, original, donor), key=_when, reverse=True)[:3]
    except DataError as error:
        return [f"earlier jobs were not looked up: {error}"]
    return [
        f"earlier: record {item.number}, {item.date}: {item.donor} for {item.original or 'blank'}, {item.verdict}"
        for item in found
    ]


def _date(text: str, where: str) -> str:
    """A date as ISO 8601 writes it.

    Raises:
        UsageError: it is none
    """
    try:
        if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text.strip()):
            return datetime.date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        pass
    raise UsageError(f"{text!r} is not a date; write year-month-day, such as 2026-11-25", where)


def _when(kept: Record) -> tuple[str, int]:
    """Sorts by date, then by number; a record with no proper date comes first."""
    try:
        return _date(kept.date, ""), kept.number
    except UsageError:
        return "", kept.number


AS_EXPECTED = "as expected"


def _verdict(readings: Mapping[str, str], expected: Mapping[str, Span], limits: Limits | None) -> str:
    compared = {name: quantity.parse(readings[name], "V") for name in readings if name in expected}
    if not compared:
        return "not compared: nothing was expected for these readings"
    off = [name for name in compared if not expected[name].holds(compared[name])]
    if not off:
        return AS_EXPECTED
    said = []
    for name in off:
        words = f"{name} {readings[name]} is outside ({expected[name].words})"
        if limits is not None and name in ("lit", "dark"):
            words += f": {_read(compared[name], expected[name], limits)}"
        said.append(words)
    if (
        {"lit", "dark"} <= set(off)
        and expected["lit"].holds(compared["dark"])
        and expected["dark"].holds(compared["lit"])
    ):
        said.append("lit and dark look swapped: were they noted the right way round? else the output is inverted")
    return "; ".join(said)


def _read(volts: float, wanted: Span, limits: Limits) -> str:
    """What the input makes of a level that is outside: nothing, or it reads it though the design did not expect it."""
    low = (wanted.low or 0.0) < limits.low
    if low and volts < -BELOW_GROUND:
        return "that is below 0 V: check which way round the meter's leads are"
    if limits.reads(low=low, volts=volts):
        return "the input still reads it; find out why it is off"
    if not low and volts > limits.rail_max:
        return f"that is above the rail ({limits.rail_max:.2f} V at most): check meter and supply"
    need = f"low is up to {limits.low:.2f} V" if low else f"high is from {limits.high:.2f} V"
    return f"the input cannot read this ({need})"


def _block(kept: Record) -> str:
    """The results as YAML for below the marker line."""
    lines = [f"# record {kept.number}, {kept.date}", "results:", f"  verdict: {_quoted(kept.verdict)}", "  after:"]
    lines += [f"    {name}: {_quoted(text)}" for name, text in kept.after.items()]
    lines += ["  changes:", *(f"    - {_quoted(text)}" for text in kept.changes)] if kept.changes else []
    return "\n".join(lines)


def _quoted(text: str) -> str:
    """Text as a YAML scalar on one line: a JSON string is one."""
    return json.dumps(text, ensure_ascii=False)
