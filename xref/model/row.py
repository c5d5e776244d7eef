"""What the search sees of a part: the columns that decide, in SI (mm stays mm), whether published or on a shelf.

A row is made when the index is built (or from a stock item) and read back without pydantic or YAML.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any

from xref.model.base import weakest
from xref.model.si import si

if TYPE_CHECKING:
    # a search reads rows only and does without the part classes
    from xref.model.part import Part
    from xref.model.value import Value

VfPoint = tuple[float, float | None, float | None, float | None]
"""(IF in A, VF min, typ, max in V)."""

IcPoint = tuple[float | None, float | None, float | None, float, float | None, float | None, str]
"""(IC min, typ, max in A, at IF in A, VCE in V, distance in mm, target)."""


@dataclass(slots=True)
class Row:
    """One donor as the search compares it. None or empty: unknown. Read only.

    Not frozen: a frozen class takes nine times as long to fill, and a search fills some hundred of them.
    """

    reference: str
    name: str
    maker: str
    kind: str
    output: str
    logic: str
    channels: int
    lead_count: int | None
    mount: str
    wired: bool
    functions: tuple[str, ...]
    wavelength_nm: float | None
    vf_points: tuple[VfPoint, ...]
    if_max: float | None
    ic_points: tuple[IcPoint, ...]
    ift: float | None
    vceo_max: float | None
    tr: float | None
    tf: float | None
    peak_distance_mm: float | None
    gap_mm: float | None
    depth_mm: float | None
    aperture_mm: float | None
    size_mm: tuple[float, ...]
    pitch_mm: float | None
    row_mm: float | None
    senses: str
    hole_mm: float | None
    basis: str
    origin: str = "published"
    where: str = ""
    count: int | None = None
    tested: bool = False
    supply: tuple[float | None, float | None] | None = None
    """Least and highest supply of a logic output [V]."""


def row_of(part: Part, *, reference: str = "", where: str = "", count: int | None = None, tested: bool = False) -> Row:
    """Build the row of a part; ``reference`` is how ``fit`` names it (``stock:17``), by default the part's name."""
    geometry, coupling = part.geometry, part.coupling
    across, down = _grid(part)
    holes = [hole.diameter_mm for hole in geometry.holes if hole.kind == "screw"]
    return Row(
        reference=reference or part.name,
        name=part.name,
        maker=part.maker,
        kind=part.kind,
        output=part.output or "",
        logic=part.logic,
        channels=part.channels,
        lead_count=geometry.lead_count or len(geometry.leads) or None,
        mount=geometry.mount or "",
        wired=geometry.wired,
        functions=tuple(lead.function for lead in geometry.leads),
        wavelength_nm=part.emitter.wavelength_nm,
        vf_points=tuple(
            (si("if_ma", value.at["if_ma"]), value.min, value.typ, value.max)
            for value in part.emitter.vf_v
            if "if_ma" in value.at
        ),
        if_max=_si("if_ma", part.emitter.if_max_ma),
        ic_points=tuple(_ic(value) for value in coupling.ic_ma if "if_ma" in value.at),
        ift=None if part.detector.ift_ma is None else _si("ift_ma", part.detector.ift_ma.max),
        vceo_max=part.detector.vceo_max_v,
        tr=None if coupling.tr_us is None else _si("tr_us", coupling.tr_us.best),
        tf=None if coupling.tf_us is None else _si("tf_us", coupling.tf_us.best),
        peak_distance_mm=coupling.peak_distance_mm,
        gap_mm=part.slot.gap_mm,
        depth_mm=part.slot.depth_mm,
        aperture_mm=part.slot.aperture_mm,
        size_mm=geometry.size_mm,
        pitch_mm=geometry.pitch_mm if geometry.pitch_mm is not None else down,
        row_mm=geometry.row_mm if geometry.row_mm is not None else across,
        senses=geometry.senses,
        hole_mm=max(holes, default=None),
        basis=weakest(
            *part.provenance.values(),
            *(value.basis for value in (*part.emitter.vf_v, *coupling.ic_ma)),
        ),
        origin="stock" if reference.startswith("stock:") else "published" if part.origin == "shipped" else part.origin,
        where=where,
        count=count,
        tested=tested,
        supply=None if part.detector.vcc_v is None else (part.detector.vcc_v.min, part.detector.vcc_v.max),
    )


def pack(row: Row) -> list[Any]:
    """The row as plain lists for JSON."""
    return [getattr(row, item.name) for item in fields(row)]


def unpack(packed: list[Any]) -> Row:
    """The row back from :func:`pack` after JSON (lists stay lists inside; the search only reads them)."""
    return Row(*packed)


def _si(key: str, number: float | None) -> float | None:
    return None if number is None else si(key, number)


def _ic(value: Value) -> IcPoint:
    return (
        _si("ic_ma", value.min),
        _si("ic_ma", value.typ),
        _si("ic_ma", value.max),
        si("if_ma", value.at["if_ma"]),
        value.at.get("vce_v"),
        value.at.get("distance_mm"),
        value.target,
    )


def _grid(part: Part) -> tuple[float | None, float | None]:
    return spread_of(lead.at_mm for lead in part.geometry.leads if lead.at_mm is not None)


def spread_of(places: Iterable[tuple[float, float]]) -> tuple[float | None, float | None]:
    """Spread of places across (x) and their smallest step down (y) [mm]; None where all stand in one line."""
    spots = list(places)
    if len(spots) < 2:
        return None, None
    xs, ys = sorted({round(x, 3) for x, _ in spots}), sorted({round(y, 3) for _, y in spots})
    across = xs[-1] - xs[0] if len(xs) > 1 else None
    down = min((b - a for a, b in itertools.pairwise(ys)), default=None)
    return across, down
