"""After the repair: readings against what was expected, the record for the next technician."""

from __future__ import annotations

from collections.abc import Mapping

from xref import quantity
from xref.errors import UsageError
from xref.job.file import load_job, write_results
from xref.job.records import Record, all_records, keep, similar
from xref.job.records import show as one
from xref.paper.content import changes_of
from xref.tasks.fit import Question
from xref.tasks.fit import fit as ask


def log(
    job_file: str, after: Mapping[str, str], *, donor: str = "", note: str = "", date: str = "", write: bool = False
) -> Record:
    """Keep a record of a finished job.

    Args:
        job_file: the job
        after: readings after the repair, 'lit' and 'dark' as typed
        donor: where the file does not name it
        note: anything the next technician should know
        date: of the repair
        write: also write the results below the marker line of the job file

    Raises:
        UsageError: no donor, no reading, or a reading of an unknown name
        StorageError: the record could not be kept
    """
    job = load_job(job_file)
    readings = {**job.after, **after}
    for name, text in readings.items():
        if name not in ("lit", "dark", "emitter", "supply"):
            raise UsageError(f"no reading {name!r}; known: lit, dark, emitter, supply", "after")
        quantity.parse(text, "V")
    reference = donor or job.donor
    if not reference:
        raise UsageError("no donor named: write donor: NAME into the file, or add --donor NAME", job_file)
    if not readings:
        raise UsageError("no reading: give --lit and --dark as measured after the repair", job_file)
    answered = ask(Question(original=job_file, donor=reference))
    fit = answered.fit
    expected = _expected(fit.signal.low_max_v, fit.signal.high_min_v, answered.site) if fit.signal else {}
    verdict = _verdict(readings, expected)
    changes = tuple(f"{item.where}: {item.old or 'none'} to {item.new}" for item in changes_of(fit))
    kept = keep(
        Record(
            date=date or job.date, job=job.job, machine=job.machine, original=job.original, donor=reference,
            after=readings, expected={name: text for name, (_, _, text) in expected.items()}, verdict=verdict,
            changes=changes, note=note,
        )
    )  # fmt: skip
    if write:
        write_results(job_file, _block(kept))
    return kept


def records(machine: str = "") -> list[Record]:
    """All records, or those of one machine or part."""
    return similar(machine, machine) if machine else all_records()


def record(number: int) -> Record:
    """One record."""
    return one(number)


def earlier(machine: str, original: str, donor: str) -> list[str]:
    """One line for each similar earlier job, at most three."""
    return [
        f"earlier: record {item.number}, {item.date}: {item.donor} for {item.original or 'blank'}, {item.verdict}"
        for item in similar(machine, original, donor)[:3]
    ]


def _expected(low: float | None, high: float | None, site: object) -> dict[str, tuple[float, float, str]]:
    """Reading to (lowest, highest, in words)."""
    from xref.model.site import Site

    if low is None or high is None or not isinstance(site, Site):
        return {}
    lit_low = (site.output.lit or ("high" if site.output.load_side == "E" else "low")) == "low"
    at_most, at_least = (-0.1, low, f"at most {low:.2f} V"), (high, 1e3, f"at least {high:.2f} V")
    return {"lit": at_most if lit_low else at_least, "dark": at_least if lit_low else at_most}


def _verdict(readings: Mapping[str, str], expected: Mapping[str, tuple[float, float, str]]) -> str:
    compared = [name for name in readings if name in expected]
    if not compared:
        return "not compared: nothing was expected for these readings"
    off = []
    for name in compared:
        low, high, text = expected[name]
        value = quantity.parse(readings[name], "V")
        if not low <= value <= high:
            off.append(f"{name} {readings[name]} is outside ({text})")
    return "; ".join(off) if off else "as expected"


def _block(kept: Record) -> str:
    """The results as comments-free YAML below the marker line."""
    lines = [f"# record {kept.number}, {kept.date}", "results:", f"  verdict: {_quoted(kept.verdict)}", "  after:"]
    lines += [f"    {name}: {_quoted(text)}" for name, text in kept.after.items()]
    lines += ["  changes:", *(f"    - {_quoted(text)}" for text in kept.changes)] if kept.changes else []
    return "\n".join(lines)


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
