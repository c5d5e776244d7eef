"""Size as a criterion: slot, screw hole, body, lead grid, and where the part looks."""

from __future__ import annotations

from xref.model.row import Row
from xref.model.want import Want
from xref.search.criterion import (
    BODY_OVER_MM,
    BODY_SAME_MM,
    FLAG_ROOM_MM,
    GAP_SAME_MM,
    GAP_UNDER_MM,
    GRID_FORMED_MM,
    GRID_MET_MM,
    HOLE_MM,
    UNKNOWN_COSTS,
    Criterion,
    beyond,
    make,
)  # fmt: skip


def gap(want: Want) -> Criterion | None:
    """Slot width: not narrower than the flag needs, not much wider."""
    if want.gap_mm is None:
        return None
    wanted = want.gap_mm
    # without the flag's thickness only the old width is known to be wide enough
    least = wanted - GAP_UNDER_MM if want.flag_mm is None else min(want.flag_mm + FLAG_ROOM_MM, wanted - GAP_UNDER_MM)

    def measure(row: Row) -> float | None:
        if row.gap_mm is None:
            return None
        over = row.gap_mm - wanted
        if want.same:
            return beyond(abs(over), GAP_SAME_MM, 4 * GAP_SAME_MM)
        if row.gap_mm < least:
            return 1.0
        if over < -GAP_UNDER_MM:
            return min(0.3 + 0.5 * -over / max(wanted - least, 0.1), 0.9)
        # a wider slot loses light; twice as wide is no longer the same job
        return min(max(over, 0.0) / max(wanted, 1.0), 0.95)

    def words(row: Row) -> tuple[float, float | None, str, str]:
        if row.gap_mm is None:
            return wanted, None, "mm", "slot width not known; measure it"
        if not want.same and row.gap_mm < least:
            what = f"{wanted:g} mm" if want.flag_mm is None else f"a flag of {want.flag_mm:g} mm needs"
            return wanted, row.gap_mm, "mm", f"slot {row.gap_mm:g} mm is narrower than {what}: the flag may rub"
        if not want.same and row.gap_mm < wanted - GAP_UNDER_MM:
            why = f"slot {row.gap_mm:g} mm, was {wanted:g} mm: wide enough for the flag only if it runs true"
            return wanted, row.gap_mm, "mm", why
        wider = " (wider: less light)" if row.gap_mm > wanted + GAP_SAME_MM else ""
        return wanted, row.gap_mm, "mm", f"slot {row.gap_mm:g} mm for {wanted:g} mm{wider}"

    return make("gap", measure, words, gate=True)


def hole(want: Want) -> Criterion | None:
    """Screw hole."""
    if want.hole_mm is None:
        return None
    wanted = want.hole_mm

    def measure(row: Row) -> float | None:
        return None if row.hole_mm is None else min(abs(row.hole_mm - wanted) / (2 * HOLE_MM), 1.0)

    def words(row: Row) -> tuple[float, float | None, str, str]:
        if row.hole_mm is None:
            return wanted, None, "mm", "screw hole not known; look at the body"
        return wanted, row.hole_mm, "mm", f"screw hole {row.hole_mm:g} mm for {wanted:g} mm"

    return make("hole", measure, words, gate=False)


def body(want: Want) -> Criterion | None:
    """Body: a stand-in may be smaller, not larger."""
    if not want.body_mm:
        return None
    wanted = _sorted_size(want.body_mm)

    def differences(row: Row) -> list[float]:
        return [offer - wish for offer, wish in zip(_sorted_size(row.size_mm), wanted, strict=False)]

    def measure(row: Row) -> float | None:
        if not row.size_mm:
            return None
        worst = max(abs(d) for d in differences(row)) if want.same else max(differences(row))
        limit = BODY_SAME_MM if want.same else BODY_OVER_MM
        # an edge that the sheet leaves out can neither agree nor disagree
        open_edges = UNKNOWN_COSTS * max(len(wanted) - len(row.size_mm), 0) / len(wanted)
        if want.same:
            mean = sum(abs(d) for d in differences(row)) / len(row.size_mm)
            return min(beyond(mean if worst <= limit else worst, limit, 4 * limit) + open_edges, 1.0)
        if worst > limit:
            return 1.0
        # a stand-in may be smaller, but a much smaller one looks elsewhere
        return min(max(-min(differences(row)) - 3.0, 0.0) / 20.0, 0.5) + open_edges / 2

    def words(row: Row) -> tuple[str, str | None, str, str]:
        wish = _size(want.body_mm)
        if not row.size_mm:
            return wish, None, "mm", "body size not known"
        offer = _size(row.size_mm)
        if not want.same and max(differences(row)) > BODY_OVER_MM:
            return wish, offer, "mm", f"body {offer} mm is larger than the {wish} mm that is there"
        return wish, offer, "mm", f"body {offer} mm for {wish} mm"

    return make("body", measure, words, gate=True)


def _sorted_size(size: tuple[float, ...]) -> list[float]:
    """Length and width in falling order (their direction is often unknown), then height."""
    return sorted(size[:2], reverse=True) + list(size[2:3])


def _size(size: tuple[float, ...]) -> str:
    return "x".join(f"{edge:g}" for edge in size)


def grid(want: Want) -> Criterion | None:
    """Lead grid: falls in, bends in, or needs wires."""
    if want.grid_mm is None:
        return None
    wish = sorted(want.grid_mm)

    def off(row: Row) -> float | None:
        if row.row_mm is None or row.pitch_mm is None:
            return None
        offer = sorted((row.row_mm, row.pitch_mm))
        return max(abs(a - b) for a, b in zip(offer, wish, strict=True))

    def measure(row: Row) -> float | None:
        value = off(row)
        if value is None:
            return None
        return beyond(value, GRID_MET_MM, GRID_FORMED_MM * (1 if want.same else 3))

    def words(row: Row) -> tuple[str, str | None, str, str]:
        wanted = _size(want.grid_mm or ())
        value = off(row)
        if value is None:
            return wanted, None, "mm", "lead grid not known; measure it"
        offered = f"{row.row_mm:.3g}x{row.pitch_mm:.3g}"
        ease = "falls in" if value <= GRID_MET_MM else "bend the leads" if value <= GRID_FORMED_MM else "needs wires"
        return wanted, offered, "mm", f"lead grid {offered} mm: {ease}"

    return make("lead grid", measure, words, gate=False)


def faces(want: Want) -> Criterion | None:
    """Where the part looks."""
    if not want.faces:
        return None

    def measure(row: Row) -> float | None:
        return None if not row.senses else float(row.senses != want.faces)

    def words(row: Row) -> tuple[str, str | None, str, str]:
        return want.faces, row.senses or None, "", f"looks {row.senses or 'where? not known'}, wanted {want.faces}"

    return make("faces", measure, words, gate=True)
