"""A part described by its own typical values is found again. A smoke test: VF is moved by our own curve.

The outside check of that curve is tests/physics (ids V*).
"""

from __future__ import annotations

import pytest

from xref.library.store import open_library
from xref.model.row import Row
from xref.model.want import Want
from xref.physics.emitter import fit_diode, material_for
from xref.search.rank import rank


def described(row: Row) -> Want:
    """A query as the bench would make it: VF at 1 mA, body, lead grid, slot, number of leads."""
    points = [(point[0], point[2]) for point in row.vf_points if point[2] is not None]
    known = row.wavelength_nm is not None and 600 <= row.wavelength_nm <= 1000
    diode = fit_diode(points, material=material_for(row.wavelength_nm if known else None))
    grid = (row.row_mm, row.pitch_mm) if row.row_mm is not None and row.pitch_mm is not None else None
    return Want(
        same=True,
        kind=row.kind,
        vf=round(diode.vf(1e-3), 2),
        leads=row.lead_count,
        body_mm=tuple(edge + 0.2 * (-1) ** index for index, edge in enumerate(row.size_mm)),
        grid_mm=grid,
        gap_mm=row.gap_mm,
    )


def alike(one: Row, other: Row, want: Want) -> bool:
    """Identical in everything that the query asks."""
    return (
        one.vf_points == other.vf_points
        and tuple(one.size_mm) == tuple(other.size_mm)
        and (one.gap_mm, one.lead_count) == (other.gap_mm, other.lead_count)
        and (want.grid_mm is None or (one.row_mm, one.pitch_mm) == (other.row_mm, other.pitch_mm))
    )


ROWS = [
    row
    for row in open_library().rows()
    if row.kind in ("reflective", "slotted", "pair")
    and row.size_mm
    and any(point[2] is not None for point in row.vf_points)
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_a_part_is_found_by_its_own_typical_values(row: Row) -> None:
    """The part itself, or one with identical data, is in the first three places; identical data share a place."""
    rows = open_library().rows(row.kind)
    want = described(row)
    by_name = {other.name: other for other in rows}
    places: list[Row] = []

    for found in rank(rows, want, limit=0).candidates:
        other = by_name[found.part]
        if not any(alike(other, seen, want) for seen in places):
            places.append(other)

    assert any(other.name == row.name or alike(other, row, want) for other in places[:3])


def test_the_smoke_test_has_parts() -> None:
    """The smoke test is about something: four fifths of a hundred parts have a typical VF and a body."""
    assert len(ROWS) >= 80


def test_the_answer_says_how_many_are_alike() -> None:
    """VF and a body leave many parts alike; the answer counts them and names the measurement that parts them best."""
    answer = rank(open_library().rows("slotted"), Want(same=True, kind="slotted", vf=1.08, leads=4), limit=5)

    assert answer.alike > 5
    assert answer.agree <= answer.alike
    assert answer.part_best_by in ("the slot width", "the body length", "the lead grid", "the screw hole")
