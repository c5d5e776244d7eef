"""How one switch goes in for another: original and donor from what was typed, then the fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from xref.adapt.contacts_fit import fit_switch
from xref.adapt.contacts_load import check_mains
from xref.adapt.fit import FitOptions as FitOptions
from xref.adapt.original import Original, Pad, from_part, from_site, from_typed
from xref.bench.readings import parse_readings
from xref.bench.switch import identify_switch
from xref.errors import UsageError
from xref.model.answers.fit import Fit
from xref.model.contact_need import ContactNeed, Load
from xref.model.contacts import Contacts
from xref.model.lead import Lead
from xref.model.part import Part
from xref.tasks.fit import Answered, board_of, referenced
from xref.tasks.switch import opened

if TYPE_CHECKING:
    from xref.library.store import Library
    from xref.model.site import Site


LOCKING = ("self-lock", "latching", "push-push")
"""Words of the sheets for a push switch that stays down until the next push."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchQuestion:
    """What was asked. ``original``: part, job file, or '' / 'blank' with ``joins`` (and a map for the places)."""

    original: str
    donor: str
    site_file: str = ""
    map_text: str = ""
    grid_mm: tuple[float, float] | None = None
    seen_from: str = "component"
    donor_map: str = ""
    donor_grid_mm: tuple[float, float] | None = None
    joins: dict[str, tuple[tuple[str, ...], ...]] = field(default_factory=dict)
    rest: str = ""
    need: ContactNeed = field(default_factory=ContactNeed)
    options: FitOptions = field(default_factory=FitOptions)


def fit(question: SwitchQuestion, library: Library | None = None) -> Answered:
    """How one switch goes in for another.

    Raises:
        NotFound: a part is not known, or the piece of stock is dead
        UsageError: contact table or pads missing or contradictory
        DataError: a file is wrong
        SafetyRefusal: an interlock, or mains without equal rating and approval
    """
    library = opened(library)
    original, part, site = _original(question, library)
    donor = _donor(question, part, library)
    if site is not None and (part is None or donor.name not in (part.name, *part.aliases)):
        from xref.tasks.safety import guard

        guard(site.safety, f"fitting {donor.name}", "switch")
    answer = referenced(in_site(original, donor, question.options, site, question.need), question.donor)
    return Answered(fit=answer, board=board_of(original), donor=donor, site=site)


def in_site(
    original: Original, donor: Part, options: FitOptions, site: Site | None, need: ContactNeed | None = None
) -> Fit:
    """The fit with what the site says of the circuit filled in, and what it leaves open named.

    Raises:
        UsageError: mains with a load that is none
        SafetyRefusal: an interlock, or mains without equal rating and approval
    """
    asked = circuit(site, need or ContactNeed())
    check_mains(asked)
    answer = fit_switch(original, donor, options, asked)
    if site is not None and site.safety == "unknown" and answer.possible:
        from xref.tasks.safety import ask_once

        answer = replace(answer, warnings=(*answer.warnings, ask_once("switch")))
    lock = _locks(original.contacts, donor)
    if lock and answer.possible:
        answer = replace(answer, warnings=(*answer.warnings, lock))
    return answer


def _locks(old: Contacts | None, donor: Part) -> str:
    """What to know of a push switch that locks, in place of one that is moved by its handle; empty otherwise."""
    new = donor.contacts
    if new is None or new.action != "push" or new.function not in LOCKING or new.returns_to:
        return ""
    if old is None or old.action in ("", "push"):
        return ""
    return (
        f"{donor.name} locks ({new.function}): one push switches over, the next push lets go; what moves the "
        f"{old.action} switch must push and let go each time, and after power-on its position shows only by its height"
    )


def circuit(site: Site | None, need: ContactNeed) -> ContactNeed:
    """What the contact switches, from the site where no option says it: supply over load resistor, a logic input."""
    if site is None:
        return need
    supply, resistor = site.output.supply, site.output.load
    load = need.load
    if load is None and supply and resistor:
        load = Load(volts=supply, current=supply / resistor, ac_dc="DC")
    return replace(need, load=load, drives=need.drives or ("logic" if site.output.input else ""))


def contacts_of_job(path: str) -> Contacts | None:
    """The contact table that the readings of a job file prove; None when it has none.

    Raises:
        DataError, UsageError: a wrong file, or readings that prove too little
    """
    from xref.job.file import load_job

    job = load_job(path)
    return _from_readings(job.readings.loose, job.site, "")


def _original(question: SwitchQuestion, library: Library) -> tuple[Original, Part | None, Site | None]:
    name, site = question.original, None
    site_file = question.site_file
    contacts: Contacts | None = None
    if name.endswith((".yaml", ".yml")) and not site_file:
        from xref.tasks.fit import _is_part_file

        if not _is_part_file(name):
            site_file, name = name, ""
    if site_file:
        from xref.job.file import load_job

        job = load_job(site_file)
        site = job.site
        if not name and job.original not in ("", "blank", "unknown"):
            name = job.original
        if name in ("", "blank", "unknown") and not question.joins:
            contacts = _from_readings(job.readings.loose, site, question.rest)
    if name and name not in ("blank", "unknown"):
        from xref.tasks.references import resolve

        part = resolve(name, library)
        if part.kind != "switch":
            raise UsageError(f"{part.name} is no switch; for sensors: xref fit", "ORIGINAL")
        original = from_part(_laid(part, question.map_text, question.grid_mm, question.seen_from), site)
        return original, part, site
    if question.joins:
        contacts = Contacts(action="", table=question.joins, returns_to=question.rest)
    if contacts is None:
        raise UsageError(
            "ORIGINAL is blank: say what joins with --joins left=1:2,4:5 --joins right=2:3,5:6, or give a job file",
            "switch fit",
        )
    if question.map_text:
        original = from_typed(
            question.map_text, _grid(question.grid_mm, "--map", "--grid"), seen_from=question.seen_from, kind="switch",
            site=site,
        )  # fmt: skip
    elif site is not None and (site.pads.map or site.pads.at):
        original = from_site(site)
    else:
        labels = dict.fromkeys(lead for groups in contacts.table.values() for group in groups for lead in group)
        pads = tuple(Pad(label=label, net=label, functions=(label,)) for label in labels)
        original = Original(name="the original", kind="switch", pads=pads)
    return replace(original, contacts=contacts), None, site


def _from_readings(texts: Sequence[str], site: Site | None, rest: str) -> Contacts | None:
    """The contact table of a blank switch from the readings of its job file; None when there are none."""
    if not texts or site is None or site.kind != "switch":
        return None
    readings = parse_readings(texts)
    leads = tuple(dict.fromkeys(name for reading in readings for name in (reading.red, reading.black)))
    answer = identify_switch(leads, readings, returns_to=rest)
    if not answer.settled:
        step = answer.next_reading
        ask = f"; next read {step.one}:{step.other}@{step.position}" if step else ""
        raise UsageError(f"the readings do not prove the contact table yet{ask}", "readings")
    tables = {each.position: each.joined for each in answer.positions}
    return Contacts(action="", table=tables, timing=answer.timing, returns_to=rest)  # type: ignore[arg-type]


def _donor(question: SwitchQuestion, original: Part | None, library: Library) -> Part:
    from xref.tasks.references import resolve

    if question.donor == "same":
        if original is None:
            raise UsageError("'same' keeps the part, so ORIGINAL must be a part name", "switch fit")
        donor = original
    else:
        donor = resolve(question.donor, library)
    return _laid(donor, question.donor_map, question.donor_grid_mm, "component", "--donor-map", "--donor-grid")


def _laid(
    part: Part,
    map_text: str,
    grid_mm: tuple[float, float] | None,
    seen_from: str,
    map_option: str = "--map",
    grid_option: str = "--grid",
) -> Part:
    """The part with its leads where a typed map says; unchanged without one."""
    if not map_text:
        if grid_mm is not None:
            raise UsageError(
                f'{grid_option} needs {map_option} with the leads as they stand: "1 2 3 / 4 5 6"', "switch fit"
            )
        return part
    pads = from_typed(map_text, _grid(grid_mm, map_option, grid_option), seen_from=seen_from, kind="switch").pads
    at = {pad.label: pad.at_mm for pad in pads}
    leads = part.geometry.leads or _from_table(part)
    strangers = [label for label in at if all(lead.label != label for lead in leads)]
    missing = [lead.label for lead in leads if lead.label not in at]
    if strangers or missing:
        what = f"names {strangers[0]}, which is no lead" if strangers else f"leaves out lead {missing[0]}"
        names = " ".join(lead.label for lead in leads)
        raise UsageError(f'"{map_text}" {what} of {part.name}; its leads are {names}', map_option)
    placed = tuple(replace(lead, at_mm=at[lead.label]) for lead in leads)
    return replace(part, geometry=replace(part.geometry, leads=placed))


def _from_table(part: Part) -> tuple[Lead, ...]:
    """The leads that the contact table names, for a part that lists none."""
    tables = part.contacts.table.values() if part.contacts is not None else ()
    labels = dict.fromkeys(label for groups in tables for group in groups for label in group)
    return tuple(Lead(label=label, function=label) for label in labels)


def _grid(grid_mm: tuple[float, float] | None, map_option: str, grid_option: str) -> tuple[float, float]:
    if grid_mm is None:
        raise UsageError(f"{map_option} needs {grid_option} ACROSSxDOWN, such as 2.5x2.5mm", "switch fit")
    return grid_mm
