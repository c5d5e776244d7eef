"""How does it go in: the original, the donor, the lead map, the values and the proof, for one question."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from xref.adapt.fit import FitOptions as FitOptions
from xref.adapt.fit import fit as solve
from xref.adapt.original import Original, from_part, from_site, from_typed
from xref.errors import UsageError
from xref.model.answers.fit import Fit
from xref.model.base import weakest
from xref.model.drawing import Board, BoardPad
from xref.model.part import Part

if TYPE_CHECKING:
    from xref.library.store import Library
    from xref.model.site import Site


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What was asked. ``original``: part name, site/job file, part file, or '' with a typed map."""

    original: str
    donor: str
    site_file: str = ""
    map_text: str = ""
    grid_mm: tuple[float, float] | None = None
    seen_from: str = "component"
    kind: str = ""
    donor_grid_mm: tuple[float, float] | None = None
    donor_upper_left: str = ""
    change: tuple[str, ...] | None = None
    series: str = "E24"
    options: FitOptions = field(default_factory=FitOptions)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """The fit with what a drawing needs."""

    fit: Fit
    board: Board
    donor: Part
    site: Site | None


def fit(question: Question, library: Library | None = None) -> Answered:
    """Solve how a donor goes in.

    Raises:
        NotFound: a part is not known
        UsageError: pads or grid missing or contradictory
        DataError: a file is wrong
        SafetyRefusal: the sensor protects people and the donor is another number
    """
    if library is None:
        from xref.library.store import open_library

        library = open_library()
    original, part, site, change = _original(question, library)
    donor = _donor(question, part, library)
    if site is not None:
        _guard(site, part, donor)
    if original.kind == "switch" and donor.kind == "switch":
        return _switch(question, original, donor, site)
    answer = solve(original, donor, _options(question, site))
    answer = replace(answer, basis=weakest(answer.basis, original.basis, donor.basis_of("geometry.leads")))
    if site is not None and answer.possible:
        from xref.tasks.signal import with_signal

        answer = with_signal(answer, original, donor, site, change=change, series=question.series)
    elif answer.possible:
        answer = replace(
            answer, assumed=(*answer.assumed, "electrical side of the board: nothing known; give --site for levels")
        )
    return Answered(fit=answer, board=board_of(original), donor=donor, site=site)


def _switch(question: Question, original: Original, donor: Part, site: Site | None) -> Answered:
    """A switch goes in by what joins when; a blank one by the readings of its job file."""
    from xref.tasks.switch_fit import contacts_of_job, in_site

    path = question.site_file or question.original
    if original.contacts is None and path.endswith((".yaml", ".yml")):
        original = replace(original, contacts=contacts_of_job(path))
    answer = in_site(original, donor, _options(question, site), site)
    return Answered(fit=answer, board=board_of(original), donor=donor, site=site)


def board_of(original: Original) -> Board:
    """The original as a drawing sees it."""
    return Board(
        name=original.name,
        pads=tuple(
            BoardPad(label=pad.label, at_mm=pad.at_mm, net=pad.net, needs="+".join(pad.functions))
            for pad in original.pads
            if pad.at_mm is not None
        ),
        body_mm=original.body_mm,
        holes=original.holes,
        optical_axis_mm=original.optical_axis_mm,
        taps={f"tap {tap.net}": tap.at_mm for tap in original.taps},
    )


def _original(
    question: Question, library: Library
) -> tuple[Original, Part | None, Site | None, tuple[str, ...] | None]:
    """The original with the site around it; an option goes before the file."""
    site, change, name = None, question.change, question.original
    site_file = question.site_file
    is_file = name.endswith((".yaml", ".yml"))
    if is_file and not site_file and not _is_part_file(name):
        site_file, name, is_file = name, "", False
    if site_file:
        from xref.job.file import load_job

        job = load_job(site_file)
        site = job.site
        if site is None:
            raise UsageError("the file has no site: block; see xref help files", site_file)
        if change is None and job.change:
            change = job.change
        if not name and job.original not in ("", "blank", "unknown"):
            name = job.original if not site.pads.map and not site.pads.at else ""
    if question.map_text:
        if question.grid_mm is None:
            raise UsageError(f'--map "{question.map_text}" needs --grid ACROSSxDOWN, such as 5.5x2.54mm', "fit")
        kind = question.kind or (site.kind if site else "reflective")
        typed = from_typed(
            question.map_text, question.grid_mm, seen_from=question.seen_from, kind=kind, site=site,
            name=name or "the original",
        )  # fmt: skip
        return typed, None, site, change
    if name and name not in ("blank", "unknown"):
        from xref.tasks.references import resolve

        part = resolve(name, library)
        if question.grid_mm is not None and not part.geometry.wired:
            from xref.tasks.grid import placed_by_grid

            part = placed_by_grid(part, question.grid_mm, question.donor_upper_left)
        return from_part(part, site), part, site, change
    if site is None:
        raise UsageError(
            'ORIGINAL is blank: give its pads with --map "A C / K E" --grid 5.5x2.54mm, or a site file', "fit"
        )
    return from_site(site, "the original"), None, site, change


def _is_part_file(path: str) -> bool:
    """A part file has parts; a job file has a site."""
    try:
        text = Path(path).read_text("utf-8", errors="replace")
    except OSError:
        # the reader that comes next says what is wrong with the path
        return False
    return any(line.startswith("parts:") for line in text.splitlines())


def _donor(question: Question, original: Part | None, library: Library) -> Part:
    from xref.tasks.references import resolve

    if question.donor == "same":
        if original is None:
            raise UsageError("'same' keeps the part, so ORIGINAL must be a part name", "fit")
        return original
    donor = resolve(question.donor, library)
    if question.donor_grid_mm is not None:
        from xref.tasks.grid import placed_by_grid

        donor = placed_by_grid(donor, question.donor_grid_mm, question.donor_upper_left)
    return donor


def _guard(site: Site, original: Part | None, donor: Part) -> None:
    from xref.tasks.safety import guard

    same = original is not None and donor.name in (original.name, *original.aliases)
    if not same:
        guard(site.safety, f"fitting {donor.name}")


def _options(question: Question, site: Site | None) -> FitOptions:
    keep = tuple(site.room.keep) if site is not None else ()
    return replace(question.options, keep=tuple(dict.fromkeys((*question.options.keep, *keep))))
