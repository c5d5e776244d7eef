"""Which part can stand in, which part is this: joins the library, the stock, the search and the fit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from xref.errors import UsageError
from xref.model.answers.find import FindAnswer
from xref.model.want import Want
from xref.search.rank import rank

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
    limit: int = 10,
    pool: int = 0,
    library: Library | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> FindAnswer:
    """Rank donors for a request.

    Args:
        want: what was measured or is needed; empty fields are filled from ``original`` and ``site``
        origin: 'published', 'stock' or 'all'
        original: name of the part that the board was made for; its least current is the need
        site: the board side; candidates are then judged by fit and signal
        limit: number of candidates in the answer, 0 for all
        pool: how many candidates are fitted into the site; 0: three times the limit, at least 20
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
        part = library.get(original)
        want = _from_part(want, part)
    if site is not None:
        want = _from_site(want, site)
    if not want.kind and not want.same:
        raise UsageError("say what kind of part: --kind reflective, slotted, pair, emitter, detector or switch")
    rows = _rows(library, want, origin)
    if site is not None and not want.same:
        rows = _safe_rows(rows, site, part, original, notes)
    if not want.same and want.ic is None and site is None:
        notes.append("electrical need unknown: give --site, --for NAME or --ic")
    if site is None or want.same or _is_safety(site):
        # a safety part is not chosen by signal: the same number goes in, whatever the rest of the board does
        answer = rank(rows, want, limit=limit)
    else:
        from xref.tasks.judge import opinions

        pool = pool or (max(3 * limit, 20) if limit else 0)
        first = rank(rows, want, limit=pool)
        said = opinions([found.reference for found in first.candidates], site, part, library, progress)
        answer = rank(rows, want, limit=limit, judge=lambda row: said.get(row.reference), pool=pool)
    return replace(answer, notes=(*answer.notes, *notes))


def _is_safety(site: Site) -> bool:
    from xref.tasks.safety import only_same_number

    return only_same_number(site.safety)


def _rows(library: Library, want: Want, origin: str) -> list[Row]:
    rows: list[Row] = []
    if origin in ("published", "all"):
        rows += library.rows(want.kind or None)
    if origin in ("stock", "all"):
        from xref.tasks.stock import stock_rows

        rows += stock_rows(want.kind or None)
    return rows


def _from_part(want: Want, part: Part) -> Want:
    """Fill what was not typed from the part that the board was made for."""
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
    if filled.ic is None:
        least = [point for point in row.ic_points if point[0] is not None]
        if least:
            low, _, _, current, _, distance, target = least[0]
            filled = replace(
                filled, ic=low, ic_if=current, ic_distance_mm=distance, ic_target=target, need_from=part.name
            )
    return filled


def _from_site(want: Want, site: Site) -> Want:
    """Fill what was not typed from the board side."""
    holes = max(site.room.holes, default=None)
    return replace(
        want,
        kind=want.kind or (site.kind if site.kind != "two-state resistor" else "detector"),
        body_mm=want.body_mm or tuple(site.room.body or ()),
        gap_mm=want.gap_mm if want.gap_mm is not None else site.sees.gap,
        distance_mm=want.distance_mm if want.distance_mm is not None else site.sees.distance,
        hole_mm=want.hole_mm if want.hole_mm is not None else holes,
        grid_mm=want.grid_mm or site.pads.grid,
        need_from=want.need_from or "site",
    )


def _safe_rows(rows: list[Row], site: Site, part: Part | None, original: str, notes: list[str]) -> list[Row]:
    from xref.tasks.safety import ASK_ONCE, guard, only_same_number

    if site.safety == "unknown":
        notes.append(ASK_ONCE)
    if not only_same_number(site.safety):
        return rows
    if part is None:
        guard(site.safety, "a stand-in chosen by behaviour")
        return rows
    names = {part.name, *part.aliases, original}
    notes.append("safety function: only the same number is shown; fit it through the maker's service")
    return [row for row in rows if row.name in names]
