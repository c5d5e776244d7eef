"""Which part can stand in, which part is this: joins the library, the stock, the search and the fit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from xref.errors import StorageError, UsageError
from xref.model.answers.find import Check, FindAnswer, Found, Refused
from xref.model.want import Want
from xref.search.rank import rank
from xref.tasks.references import BLANK, known, resolve

if TYPE_CHECKING:
    from xref.library.store import Library
    from xref.model.part import Part
    from xref.model.row import Row
    from xref.model.site import Site

ORIGINS = ("published", "stock", "all")


def find(
    want: Want,
    *,
    origin: str = "all",
    original: str = "",
    site: Site | None = None,
    named: str = "",
    change: tuple[str, ...] | None = None,
    limit: int = 10,
    pool: int = 0,
    library: Library | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> FindAnswer:
    """Rank donors for a request.

    Args:
        want: what was measured or is needed; empty fields are filled from ``original`` and ``site``
        origin: 'published', 'stock' or 'all'
        original: name of the part that the board was made for; without ``site`` its least current is the need
        site: the board side; candidates are then judged by fit and signal
        named: what a job file calls the original; counts as ``original`` where the library knows it
        change: what may be altered on the board, as in ``fit``
        limit: number of candidates in the answer, 0 for all
        pool: how many candidates are fitted into the site; 0: as many as it takes, at most MOST_FITTED
        progress: called with (done, all) while candidates are fitted

    Returns:
        the candidates and the refused ones, each with its reason

    Raises:
        NotFound: ``original`` is not known
        UsageError: nothing to search by
        SafetyRefusal: the site protects people and the search would go by behaviour
    """
    if origin not in ORIGINS:
        raise UsageError(f"--from {origin}: expected one of {', '.join(ORIGINS)}")
    if library is None:
        from xref.library.store import open_library

        library = open_library()
    notes: list[str] = []
    part: Part | None = None
    if original:
        part = resolve(original, library)
    elif named and not want.same:
        part = known(named, library)
        if part is None and named not in BLANK:
            notes.append(f"{named} is not in the library, so it says nothing about the need")
    typed_output = want.output
    if site is not None:
        # the file describes this very board, so it goes before the data sheet of the old part
        want = _from_site(want, site)
    if part is not None:
        # with a site its input decides what current is needed, not what the old part could give
        want = _from_part(want, part, current=site is None or want.same)
    if site is not None and site.taps and not typed_output:
        # a supply can be had, so that a logic output may go in as well: fit and signal decide
        want = replace(want, output="", logic="")
    if not want.kind and not want.same:
        raise UsageError("say what kind of part: --kind reflective, slotted, pair, emitter, detector or switch")
    if want.same and not any((want.kind, want.vf, want.body_mm, want.grid_mm, want.gap_mm, want.ic, want.leads)):
        raise UsageError("say what was measured: --vf, --body, --grid, --gap, --leads ...")
    rows = _rows(library, want, origin, site, notes)
    if want.same and not want.kind and want.vf is not None:
        # a forward voltage was read, so it is no switch
        rows = [row for row in rows if row.kind != "switch"]
    if site is not None:
        rows = _safe_rows(rows, want, site, part, original or named, notes)
    notes += _open_needs(want, part, site)
    if site is None or want.same or _is_safety(site):
        # a safety part is not chosen by signal: the same number goes in, whatever the rest of the board does
        answer = rank(rows, want, limit=limit)
    else:
        from xref.tasks.emitter_current import with_emitter_current

        answer = _judged(rows, want, site, part, library, limit, pool, progress, change)
        answer = with_emitter_current(answer, site, part, library)
        if answer.candidates and not any(_decided(found) for found in answer.candidates):
            notes.append("none of these is known to give a clean signal here: they are not decided, not good")
    return replace(answer, notes=(*answer.notes, *notes))


MOST_FITTED = 120
"""Candidates that are fitted into the site at most, so that an answer never takes minutes."""


def _judged(
    rows: list[Row],
    want: Want,
    site: Site,
    part: Part | None,
    library: Library,
    limit: int,
    pool: int,
    progress: Callable[[int, int], None] | None,
    change: tuple[str, ...] | None,
) -> FindAnswer:
    """Rank, fit the best into the site, and go on down the list until enough of them survive.

    A candidate that was not fitted never stands before one that was: it could be anything.
    """
    from xref.tasks.judge import Opinion, opinions

    order = [found.reference for found in rank(rows, want, limit=0).candidates]
    said: dict[str, Opinion] = {}
    size = pool or (max(2 * limit, 12) if limit else len(order))
    while len(said) < min(len(order), MOST_FITTED if limit else len(order)):
        said.update(opinions(order[len(said) : len(said) + size], site, part, library, progress, change))
        alive = sum(not isinstance(opinion, Refused) for opinion in said.values())
        if limit and (alive >= limit or pool):
            break
    later = Check(
        quantity="fit and signal", wanted=1.0, offered=None, unit="1", verdict="unknown", share=1.0,
        why="not fitted yet: xref fit says whether it goes in",
    )  # fmt: skip
    return rank(rows, want, limit=limit, judge=lambda row: said.get(row.reference, (1.0, later)))


def _open_needs(want: Want, part: Part | None, site: Site | None) -> list[str]:
    """What the request leaves open, in words: a stand-in is chosen by what the board needs."""
    if want.same:
        return []
    notes = []
    if want.ic is None and site is None and want.kind in ("reflective", "slotted", "pair"):
        who = f"{part.name} prints no least collector current" if part is not None else "electrical need unknown"
        notes.append(f"{who}: give --site" + (" or --ic" if part is not None else ", --for NAME or --ic"))
    if want.kind == "switch":
        notes.append("a switch is chosen by what joins when and what it carries: xref switch find")
    if want.supply is not None and want.kind in ("emitter", "switch"):
        notes.append(f"--supply cannot be compared for kind {want.kind}: it was not used")
    if want.vf is not None:
        notes.append(
            "forward voltage does not decide what can stand in, because the resistor sets the current: with --site the "
            "emitter current is shown; which part it is: --same"
        )
    return notes


def _decided(found: Found) -> bool:
    return any(check.quantity == "fit and signal" and check.verdict != "unknown" for check in found.checks)


def _is_safety(site: Site) -> bool:
    from xref.tasks.safety import only_same_number

    return only_same_number(site.safety)


def _rows(library: Library, want: Want, origin: str, site: Site | None, notes: list[str]) -> list[Row]:
    rows: list[Row] = []
    if origin in ("published", "all"):
        rows += library.rows(want.kind or None)
    if origin in ("stock", "all"):
        from xref.tasks.stock import stock_rows

        # with a site every piece is judged by its own values, so that equal looks do not make equal pieces
        try:
            rows += stock_rows(want.kind or None, want=want if site is None else None, library=library)
        except StorageError as error:
            if origin == "stock":
                raise
            notes.append(f"your own stock is left out: {error}")
    return rows


def _from_part(want: Want, part: Part, *, current: bool) -> Want:
    """Fill what was not typed from the part that the board was made for; its least collector ``current`` if so."""
    from xref.model.row import row_of

    row = row_of(part)
    filled = replace(
        want,
        kind=want.kind or row.kind,
        output=want.output or row.output,
        logic=want.logic or row.logic,
        channels=want.channels if want.channels is not None else row.channels,
        leads=want.leads if want.leads is not None else row.lead_count,
        body_mm=want.body_mm or tuple(row.size_mm),
        gap_mm=want.gap_mm if want.gap_mm is not None else row.gap_mm,
        hole_mm=want.hole_mm if want.hole_mm is not None else row.hole_mm,
        faces=want.faces or row.senses,
    )
    if filled.grid_mm is None and row.row_mm is not None and row.pitch_mm is not None:
        filled = replace(filled, grid_mm=(row.row_mm, row.pitch_mm))
    if filled.distance_mm is None:
        filled = replace(filled, distance_mm=row.peak_distance_mm)
    if filled.ic is None and current:
        least = [point for point in row.ic_points if point[0] is not None]
        if least:
            low, _, _, at_if, _, distance, target = least[0]
            filled = replace(filled, ic=low, ic_if=at_if, ic_distance_mm=distance, ic_target=target)
    return filled


def _from_site(want: Want, site: Site) -> Want:
    """Fill what was not typed from the board side."""
    holes = max(site.room.holes, default=None)
    lit = site.output.lit
    return replace(
        want,
        logic=want.logic or (f"{lit}-when-lit" if lit and want.output.startswith("logic") else ""),
        kind=want.kind or (site.kind if site.kind != "two-state resistor" else "detector"),
        # the room and the target are the board's: they say what may go in, not which part it was
        body_mm=want.body_mm if want.same else want.body_mm or tuple(site.room.body or ()),
        gap_mm=want.gap_mm if want.gap_mm is not None else site.sees.gap,
        flag_mm=None if want.same else site.sees.flag,
        distance_mm=want.distance_mm if want.same or want.distance_mm is not None else site.sees.distance,
        hole_mm=want.hole_mm if want.hole_mm is not None else holes,
        grid_mm=want.grid_mm or _grid(site),
    )


def _grid(site: Site) -> tuple[float, float] | None:
    """Across and down of the pads as a row has them: whole width, smallest step down [mm]; None where not known."""
    if not site.pads.map and not site.pads.at:
        return None
    from xref.adapt.original import from_site
    from xref.model.row import spread_of

    across, down = spread_of(pad.at_mm for pad in from_site(site).pads if pad.functions and pad.at_mm is not None)
    return None if across is None or down is None else (across, down)


def _safe_rows(
    rows: list[Row], want: Want, site: Site, part: Part | None, original: str, notes: list[str]
) -> list[Row]:
    """Where the site protects people: only the same number.

    Raises:
        SafetyRefusal: no number is given, so that a part would be chosen by its behaviour
    """
    from xref.tasks.safety import ASK_ONCE, guard, only_same_number, plain, same_numbers

    if site.safety == "unknown":
        notes.append(ASK_ONCE)
    if not only_same_number(site.safety):
        return rows
    if part is None:
        guard(site.safety, "a part chosen by its readings" if want.same else "a stand-in chosen by behaviour")
        return rows
    names = same_numbers(part, original)
    notes.append(
        "safety function: only the same number and the maker's named successor are shown; have it fitted by the "
        "machine maker's service"
    )
    return [row for row in rows if plain(row.name) in names]
