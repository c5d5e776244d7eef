"""How does it go in: the original, the donor, the lead map, the values and the proof, for one question."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from xref.adapt.fit import FitOptions as FitOptions
from xref.adapt.fit import fit as solve
from xref.adapt.original import Original, from_part, from_site, from_typed
from xref.errors import UsageError, one_of
from xref.job.file import load_job, site_of
from xref.model.answers.fit import Fit
from xref.model.base import weakest
from xref.model.drawing import Board, BoardPad
from xref.model.part import Part
from xref.tasks.grid import placed_by_grid
from xref.tasks.references import BLANK, YAML, known, resolve
from xref.tasks.safety import guard, notice, plain, same_numbers

if TYPE_CHECKING:
    from xref.library.store import Library
    from xref.model.site import Site

MAY_CHANGE = ("emitter resistor", "load", "across")
"""What a fit may alter; 'across': only by a resistor in parallel to the old one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What was asked.

    ``original``: part name, site or job file, part file, or 'blank' with a typed map. ``upper_left``,
    ``donor_upper_left``: the emitter lead (A or K) that stands upper left, where only its facing is known.
    """

    original: str
    donor: str
    site_file: str = ""
    map_text: str = ""
    grid_mm: tuple[float, float] | None = None
    seen_from: str = "component"
    kind: str = ""
    upper_left: str = ""
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
    original: Part | None = None
    """The part that is replaced, where it is known."""


def fit(question: Question, library: Library | None = None) -> Answered:
    """Solve how a donor goes in.

    Raises:
        NotFound: a part is not known, or the piece of stock is dead
        UsageError: pads or grid missing or contradictory
        DataError: a file is wrong
        SafetyRefusal: the sensor protects people and the donor is another number
    """
    answered = _answered(question, library)
    return replace(answered, fit=referenced(answered.fit, question.donor))


def referenced(answer: Fit, typed: str) -> Fit:
    """The fit with the donor as it was asked for, and what to know of that piece first.

    Raises:
        NotFound: the piece of stock is dead
    """
    from xref.tasks.stock import shelf_remark

    return replace(answer, donor_reference="" if typed == "same" else typed, donor_remark=shelf_remark(typed))


def _answered(question: Question, library: Library | None) -> Answered:
    if library is None:
        from xref.library.store import open_library

        library = open_library()
    original, part, site, change = _original(question, library)
    if site is not None and site.two_state is not None and question.donor == "same":
        return _two_state(original, site, change, question.series)
    donor = _donor(question, part, library)
    if site is not None:
        _guard(site, part, donor, question.change)
    if original.kind == "switch" and donor.kind == "switch":
        return _switch(question, original, donor, site)
    answer = solve(original, donor, _options(question, site))
    answer = replace(answer, basis=weakest(answer.basis, original.basis, donor.basis_of("geometry.leads")))
    if site is not None and answer.possible:
        from xref.tasks.signal import with_signal

        answer = with_signal(answer, original, donor, site, change=change, series=question.series, part=part)
    elif answer.possible:
        answer = replace(
            answer, assumed=(*answer.assumed, "electrical side of the board: nothing known; give --site for levels")
        )
    if site is not None and notice(site.safety):
        answer = replace(answer, warnings=(notice(site.safety), *answer.warnings))
    return Answered(fit=answer, board=board_of(original), donor=donor, site=site, original=part)


def _switch(question: Question, original: Original, donor: Part, site: Site | None) -> Answered:
    """A switch goes in by what joins when; a blank one by the readings of its job file."""
    from xref.tasks.switch_fit import contacts_of_job, in_site

    path = question.site_file or question.original
    if original.contacts is None and path.endswith(YAML):
        original = replace(original, contacts=contacts_of_job(path))
    answer = in_site(original, donor, _options(question, site), site)
    return Answered(fit=answer, board=board_of(original), donor=donor, site=site)


def _two_state(original: Original, site: Site, change: tuple[str, ...] | None, series: str) -> Answered:
    """A two-state resistor stays; only the resistors around it are solved."""
    from xref.tasks.signal import with_signal

    kept = Part(name="the two-state resistor", kind="detector", origin="typed")
    plain = Fit(original=original.name, donor="the two-state resistor", kind=site.kind, possible=True, verified=True)
    answer = with_signal(plain, original, kept, site, change=change, series=series)
    return Answered(fit=answer, board=board_of(original), donor=kept, site=site)


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
    """The original with the site around it; an option goes before the file.

    Returns:
        the pads, the part where it is known, the board side where it is known, what may be changed (None: not said)
    """
    name, site_file = question.original, question.site_file
    if name.endswith(YAML) and not site_file and not _is_part_file(name):
        site_file, name = name, ""
    site, change, named = None, question.change, ""
    if site_file:
        job = load_job(site_file)
        site, named = site_of(job, site_file), job.original
        if change is None and job.change:
            change = changes(job.change, site_file)
    own_pads = site is not None and bool(site.pads.map or site.pads.at)
    if name in BLANK and not own_pads and not question.map_text:
        name = "" if named in BLANK else named
    if question.map_text:
        if question.grid_mm is None:
            raise UsageError(f'--map "{question.map_text}" needs --grid ACROSSxDOWN, such as 5.5x2.54mm', "fit")
        kind = question.kind or (site.kind if site else "reflective")
        typed = from_typed(
            question.map_text, question.grid_mm, seen_from=question.seen_from, kind=kind, site=site,
            name=name or "the original",
        )  # fmt: skip
        return typed, known(named if name in BLANK else name, library), site, change
    if name not in BLANK:
        part = resolve(name, library)
        if question.grid_mm is not None:
            part = placed_by_grid(part, question.grid_mm, question.upper_left, "--grid", "--upper-left")
        return from_part(part, site), part, site, change
    if site is None:
        raise UsageError(
            'ORIGINAL is blank: give its pads with --map "A C / K E" --grid 5.5x2.54mm, or a site file', "fit"
        )
    return from_site(site, "the original"), known(named, library), site, change


def changes(words: tuple[str, ...], where: str) -> tuple[str, ...]:
    """What may be altered, as the solver takes it; 'nothing' is the empty tuple.

    Raises:
        UsageError: a word that is none of these
    """
    for word in words:
        one_of(word, (*MAY_CHANGE, "nothing"), where)
    return tuple(word for word in words if word != "nothing")


def _is_part_file(path: str) -> bool:
    """A part file has parts; a job file has a site."""
    try:
        with open(path, "rb") as file:
            text = file.read(1_000_000).decode("utf-8", errors="replace")
    except OSError:
        # the reader that comes next says what is wrong with the path
        return False
    return any(line.startswith("parts:") for line in text.splitlines())


def _donor(question: Question, original: Part | None, library: Library) -> Part:
    if question.donor == "same":
        if original is None:
            raise UsageError(
                "'same' keeps the part, so ORIGINAL must be a part name (or 'original:' in the site file)", "fit"
            )
        return original
    donor = resolve(question.donor, library)
    if question.donor_grid_mm is not None:
        donor = placed_by_grid(donor, question.donor_grid_mm, question.donor_upper_left)
    return donor


def _guard(site: Site, original: Part | None, donor: Part, change: tuple[str, ...] | None) -> None:
    """In a safety function only the same number goes in, and a change that is asked for is refused.

    A job file's ``change:`` only permits, so it is left unused there (``tasks.signal``).
    """
    same = original is not None and plain(donor.name) in same_numbers(original)
    if not same:
        guard(site.safety, f"fitting {donor.name}")
    if change:
        guard(site.safety, f"changing the {' and '.join(change)}")


def _options(question: Question, site: Site | None) -> FitOptions:
    keep = tuple(site.room.keep) if site is not None else ()
    return replace(question.options, keep=tuple(dict.fromkeys((*question.options.keep, *keep))))
