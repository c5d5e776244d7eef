"""The job on paper: the fit of a job file as a sheet, with cautions, readings to expect, and a plot."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from xref.adapt.electrical import electrics
from xref.adapt.signal import Chain, chain
from xref.errors import UsageError
from xref.job.file import load_job
from xref.model.answers.fit import Fit
from xref.model.answers.sheet import Expected, Sheet
from xref.model.plot import Band, Curve, Mark, Plot, PlotAxis
from xref.paper.content import changes_of, label_of, order_of_work, undo_of, wires_of
from xref.physics.operating import Corner, operating_point
from xref.tasks.fit import Answered, Question
from xref.tasks.fit import fit as ask

if TYPE_CHECKING:
    from xref.library.store import Library
    from xref.model.job import Job
    from xref.model.part import Part
    from xref.model.site import Site

LIGHT = tuple(0.02 * 1.3**step for step in range(20))
"""Light over the nominal light of a typical piece, for the plot."""


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
    if job.site is None:
        raise UsageError("the file has no site: block; see xref help files", job_file)
    answered = ask(Question(original=job_file, donor=reference), library)
    return sheet_of(job, answered, paper=paper)


def sheet_of(job: Job, answered: Answered, *, paper: Literal["A4", "letter"] = "A4") -> Sheet:
    """The sheet of a job and its solved fit.

    Raises:
        NoSolution: the donor does not go in
    """
    from xref.errors import NoSolution

    fit, donor = answered.fit, answered.donor
    if not fit.possible:
        raise NoSolution(f"{fit.donor} does not go in: {fit.because}")
    link = _link(donor, answered.site)
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
        steps=order_of_work(fit),
        readings=readings(fit, link),
        undo=undo_of(fit),
        label=label_of(fit, job.date),
        assumptions=fit.assumed,
        sources=sources(donor),
        plots=() if link is None else (level_plot(fit, link),),
        paper=paper,
    )


def cautions(fit: Fit, site: Site | None, donor: Part) -> tuple[str, ...]:
    """Only what this job needs."""
    said = ["Power off, unplug, wait, and measure that capacitors are empty. Old pads lift: one try."]
    said.append("Hot solder splashes and smokes: eye protection, ventilation, no solvents near.")
    if (donor.output or "").startswith("logic"):
        said.append("The donor is static-sensitive: earthed mat and wrist strap (IEC 61340-5-1).")
    said += [text for text in fit.warnings if "never look into it" in text]
    if donor.solder:
        said.append(f"Soldering limit of {donor.name}: {donor.solder}.")
    if site is not None and max(site.output.supply or 0.0, site.emitter.supply or 0.0) > 60:
        said.append("The supply is dangerous to touch: work for a licensed person; local codes come first.")
    if site is not None and site.safety == "unknown":
        said.append("Not said what this sensor protects: if lid, laser, gas, guard or heat, stop here.")
    return tuple(said)


def readings(fit: Fit, link: Chain | None) -> tuple[Expected, ...]:
    """What to read before the case is closed, with the range to expect."""
    found = [Expected(point="each lead to its pad, power off", when="soldered", expect="near 0 ohm")]
    signal = fit.signal
    if link is not None and signal is not None and signal.emitter_ma is not None:
        low, high = (current * 1e-3 for current in signal.emitter_ma)
        volts = (link.data.diode.vf(low) - 0.05, link.data.diode.vf(high) + 0.05)
        found.append(
            Expected(point="across the emitter", when="power on", expect=f"{volts[0]:.2f} to {volts[1]:.2f} V")
        )
    if signal is not None and signal.low_max_v is not None and signal.high_min_v is not None and link is not None:
        lit_low = link.board.lit_low
        most, least = f"at most {signal.low_max_v:.2f} V", f"at least {signal.high_min_v:.2f} V"
        found.append(Expected(point="output", when="bright target or open slot", expect=most if lit_low else least))
        found.append(Expected(point="output", when="dark target or flag in", expect=least if lit_low else most))
    return tuple(found)


def sources(donor: Part) -> tuple[str, ...]:
    """The documents behind the donor's figures."""
    found = []
    for source in donor.sources.values():
        rest = [
            word for word in (source.document, source.revision, source.date) if word not in ("not read", "not printed")
        ]
        found.append(", ".join([source.title, *rest]))
    return tuple(found)


def level_plot(fit: Fit, link: Chain) -> Plot:
    """Output level against light, with both thresholds and the spread of the type."""
    emitter = next((value.now_ohm for value in fit.values if value.where == "emitter resistor"), link.board.emitter_ohm)
    load = next((value.now_ohm for value in fit.values if value.where == "load"), link.board.load_ohm)
    setup = link.setup(emitter, load)

    def line(part: str) -> tuple[tuple[float, float], ...]:
        return tuple((k, operating_point(setup, Corner(part=part, target=k, temp_c=25.0)).bright_v) for k in LIGHT)

    lines = {part: line(part) for part in ("low", "typical", "high")}
    return Plot(
        title="Output level against light",
        x=PlotAxis(name="light, 1 = a typical piece here", unit="", log=True),
        y=PlotAxis(name="output", unit="V", low=0.0),
        curves=(Curve(name="typical piece", points=lines["typical"]),),
        bands=(Band(name="spread of the type", low=lines["low"], high=lines["high"]),),
        marks=(
            Mark(name="low below", at=link.thresholds.vil),
            Mark(name="high above", at=link.thresholds.vih),
            Mark(name="now", at=1.0, upright=True),
        ),
        note=f"25 C, nominal resistors; basis {fit.signal.basis if fit.signal else 'assumed'}",
    )


def _link(donor: Part, site: Site | None) -> Chain | None:
    """The electrical chain for the plot and readings; None where the part or board gives no such plot."""
    if site is None or donor.kind == "switch":
        return None
    link = chain(electrics(donor), site)
    return link if link.transfer is not None and link.data.detector is not None else None
