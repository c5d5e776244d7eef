"""The job on paper: the fit of a job file as a sheet, with cautions, readings to expect, and plots."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from xref.errors import NoSolution, UsageError
from xref.job.file import load_job, site_of
from xref.model.answers.fit import Fit
from xref.model.answers.sheet import Sheet
from xref.paper.content import changes_of, label_of, order_of_work, undo_of, wires_of
from xref.stock.measured import one_piece
from xref.tasks.expected import diode_test, link_of, readings, verdict_of
from xref.tasks.fit import Answered, Question
from xref.tasks.fit import fit as ask
from xref.tasks.plots import plots
from xref.tasks.safety import notice

if TYPE_CHECKING:
    from xref.library.store import Library
    from xref.model.job import Job
    from xref.model.part import Part
    from xref.model.site import Site

TOUCH_LIMIT = 60.0
"""Direct voltage above which bare parts are dangerous to touch [V] (extra-low voltage; common practice, no source)."""


def sheet(
    job_file: str, *, donor: str = "", paper: Literal["A4", "letter"] = "A4", library: Library | None = None
) -> Sheet:
    """The sheet of a job.

    Args:
        job_file: job file with a site
        donor: reference of the donor; else the file's
        paper: size of the page

    Raises:
        UsageError: no donor named, or no site
        NoSolution: the donor does not go in
    """
    job = load_job(job_file)
    reference = donor or job.donor
    if not reference:
        raise UsageError("no donor named: write donor: NAME into the file, or add --donor NAME", job_file)
    site_of(job, job_file)
    answered = ask(Question(original=job_file, donor=reference), library)
    return sheet_of(job, answered, paper=paper)


def sheet_of(job: Job, answered: Answered, *, paper: Literal["A4", "letter"] = "A4") -> Sheet:
    """The sheet of a job and its solved fit.

    A signal that is not clean has no label for inside the machine: the job is not to be finished.

    Raises:
        NoSolution: the donor does not go in
    """
    fit, donor = answered.fit, answered.donor
    if not fit.possible:
        raise NoSolution(f"{fit.donor} does not go in: {fit.because}")
    link = link_of(donor, answered.site)
    return Sheet(
        job=job.job,
        machine=job.machine,
        date=job.date,
        original=job.original or fit.original,
        donor=fit.donor,
        cautions=cautions(fit, answered.site, donor),
        board=answered.board,
        donor_part=donor,
        fit=fit,
        wires=wires_of(fit),
        changes=changes_of(fit),
        verdict=verdict_of(fit, link, one=one_piece(donor)),
        steps=order_of_work(fit, diode_test(link)),
        readings=readings(fit, link),
        undo=undo_of(fit),
        label=() if fit.signal is not None and fit.signal.clean is False else label_of(fit, job.date),
        assumptions=fit.assumed,
        sources=sources(donor),
        plots=plots(fit, donor, answered.original, link),
        paper=paper,
    )


def cautions(fit: Fit, site: Site | None, donor: Part) -> tuple[str, ...]:
    """Only what this job needs."""
    said = [notice(site.safety)] if site is not None and notice(site.safety) else []
    said += [fit.donor_remark] if fit.donor_remark else []
    said.append("Power off, unplug, wait, and measure that capacitors are empty. Old pads lift: one try.")
    said.append("Hot solder splashes and smokes: eye protection, ventilation, no solvents near.")
    if (donor.output or "").startswith("logic"):
        said.append("The donor is static-sensitive: earthed mat and wrist strap (IEC 61340-5-1).")
    said += [text for text in fit.warnings if "never look into it" in text]
    if donor.solder:
        said.append(f"Soldering limit of {donor.name}: {donor.solder}.")
    if site is not None and max(site.output.supply or 0.0, site.emitter.supply or 0.0) > TOUCH_LIMIT:
        said.append("The supply is dangerous to touch: work for a licensed person; local codes come first.")
    if site is not None and site.safety == "unknown":
        said.append("Not said what this sensor protects: if lid, laser, gas, guard or heat, stop here.")
    return tuple(said)


def sources(donor: Part) -> tuple[str, ...]:
    """The documents behind the donor's figures."""
    found = []
    for source in donor.sources.values():
        rest = [
            word for word in (source.document, source.revision, source.date) if word not in ("not read", "not printed")
        ]
        found.append(", ".join([source.title, *rest]))
    return tuple(found)
