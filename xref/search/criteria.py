"""One criterion a quantity: how far a donor is from what is wanted, and what to say about it.

A criterion gives a distance (0 met, up to 1 as bad as it gets, None unknown) that costs almost nothing, and the full
sentence only for the few candidates that are shown. Limits stand in one block, so that they can be read and argued.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from xref.model.row import Row
from xref.model.want import Want
from xref.search import optical

Measure = Callable[[Row], float | None]
Words = Callable[[Row], tuple[float | str | None, float | str | None, str, str]]


@dataclass(slots=True)
class Criterion:
    """``measure``: distance or None; ``words``: (wanted, offered, unit, why); ``gate``: at 1 the donor is refused."""

    name: str
    weight: float
    measure: Measure
    words: Words
    gate: bool


# Weights: ours, from the order in which bench accounts name what decides (fit before electrical data).
WEIGHTS = {
    "output": 4.0, "sense": 4.0, "gap": 3.0, "hole": 3.0, "body": 2.5, "lead grid": 2.5, "current transfer": 2.5,
    "supply": 3.0, "distance": 2.0, "leads": 1.5, "channels": 4.0, "VF": 2.0, "faces": 2.0, "lead positions": 1.0,
    "tested": 0.3,
}  # fmt: skip
UNKNOWN_COSTS = 0.6
"""Share of a weight that a missing value costs: more than 'near', less than 'fails'. A sparse entry never beats
a well-known equal."""

INSIDE = 0.02
"""Largest distance inside a tolerance: it orders equals, and still counts as met."""

DARLINGTON = 0.6
"""A darlington for a transistor, or the reverse: works on most boards after other values."""

GRID_MET_MM, GRID_FORMED_MM = 0.3, 2.0
BODY_OVER_MM, BODY_SAME_MM = 0.5, 0.4
GAP_UNDER_MM, GAP_SAME_MM = 0.1, 0.25
FLAG_ROOM_MM = 0.5
"""Room that a flag needs in the slot, both sides together; the fit asks for the same (common practice, no source)."""
HOLE_MM = 0.4


def criteria(want: Want) -> list[Criterion]:
    """The criteria that the request gives, hard ones first."""
    asked = (
        _output, _sense, _supply, _channels, _leads, _gap, _hole, _body, _grid, _faces, _transfer, _distance, _vf,
        _positions,
    )  # fmt: skip
    return [found for make in asked if (found := make(want)) is not None]


def _beyond(off: float, met: float, worst: float) -> float:
    """0 to INSIDE within ``met``, then in proportion, 1 at ``worst``."""
    return INSIDE * off / met if off <= met else min(off / worst, 1.0)


def _make(name: str, measure: Measure, words: Words, *, gate: bool) -> Criterion:
    return Criterion(name, WEIGHTS[name], measure, words, gate)


def _output(want: Want) -> Criterion | None:
    if not want.output:
        return None
    plain = {"phototransistor": "transistor", "photodarlington": "darlington", "photodiode": "diode"}

    def short(output: str) -> str:
        return plain.get(output, "logic" if output.startswith("logic") else output)

    def measure(row: Row) -> float | None:
        if not row.output:
            return None
        offered = short(row.output)
        if row.output == want.output or offered == want.output:
            return 0.0
        if not want.same and {offered, short(want.output)} == {"transistor", "darlington"}:
            return DARLINGTON
        return 1.0

    def words(row: Row) -> tuple[str, str | None, str, str]:
        value = measure(row)
        if value is None:
            return want.output, None, "", "output type not known"
        if value == DARLINGTON:
            return want.output, row.output, "", "a darlington leaves a higher low level and is slower; check the level"
        if value == 1.0:
            return want.output, row.output, "", f"output is {row.output}, wanted {want.output}"
        return want.output, row.output, "", f"{row.output} as wanted"

    return _make("output", measure, words, gate=True)


def _sense(want: Want) -> Criterion | None:
    if not want.logic:
        return None

    def measure(row: Row) -> float | None:
        if not row.output.startswith("logic"):
            return 0.0
        return None if not row.logic else float(row.logic != want.logic)

    def words(row: Row) -> tuple[str, str | None, str, str]:
        offered = row.logic.replace("-", " ") or None
        wanted = want.logic.replace("-", " ")
        if not row.output.startswith("logic"):
            return wanted, offered, "", "the board's load sets the sense of a plain detector"
        if offered is None:
            return wanted, None, "", f"sense of the logic output not known, wanted {wanted}"
        return wanted, offered, "", f"output goes {offered}" + ("" if offered == wanted else f", wanted {wanted}")

    return _make("sense", measure, words, gate=True)


def _supply(want: Want) -> Criterion | None:
    """The board's supply against the range of a logic output, or against VCEO of a plain detector."""
    if want.supply is None or want.kind in ("emitter", "switch"):
        return None
    volts = want.supply

    def ends(row: Row) -> tuple[float | None, float | None]:
        if row.output.startswith("logic"):
            return row.supply or (None, None)
        return 0.0, row.vceo_max

    def measure(row: Row) -> float | None:
        low, high = ends(row)
        if low is None or high is None:
            return None
        return 0.0 if low <= volts <= high else 1.0

    def words(row: Row) -> tuple[float, str | float | None, str, str]:
        low, high = ends(row)
        if low is None or high is None:
            return volts, None, "V", "supply range not known"
        if not row.output.startswith("logic"):
            return volts, high, "V", f"VCEO {high:g} V for a supply of {volts:g} V"
        return volts, f"{low:g} to {high:g}", "V", f"logic for {low:g} to {high:g} V, supply {volts:g} V"

    return _make("supply", measure, words, gate=True)


def _channels(want: Want) -> Criterion | None:
    if want.channels is None:
        return None
    wanted = want.channels

    def measure(row: Row) -> float | None:
        return 0.0 if row.channels == wanted or (not want.same and row.channels > wanted) else 1.0

    def words(row: Row) -> tuple[float, float, str, str]:
        return wanted, row.channels, "", f"{row.channels} channel{'s' if row.channels > 1 else ''}, wanted {wanted}"

    return _make("channels", measure, words, gate=True)


def _leads(want: Want) -> Criterion | None:
    if want.leads is None:
        return None
    wanted = want.leads

    def measure(row: Row) -> float | None:
        if row.lead_count is None:
            return None
        if row.lead_count == wanted:
            return 0.0
        return 1.0 if want.same else 0.6

    def words(row: Row) -> tuple[float, float | None, str, str]:
        return wanted, row.lead_count, "", f"{row.lead_count or 'unknown number of'} leads, wanted {wanted}"

    return _make("leads", measure, words, gate=want.same)


def _gap(want: Want) -> Criterion | None:
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
            return _beyond(abs(over), GAP_SAME_MM, 4 * GAP_SAME_MM)
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

    return _make("gap", measure, words, gate=True)


def _hole(want: Want) -> Criterion | None:
    if want.hole_mm is None:
        return None
    wanted = want.hole_mm

    def measure(row: Row) -> float | None:
        return None if row.hole_mm is None else min(abs(row.hole_mm - wanted) / (2 * HOLE_MM), 1.0)

    def words(row: Row) -> tuple[float, float | None, str, str]:
        if row.hole_mm is None:
            return wanted, None, "mm", "screw hole not known; look at the body"
        return wanted, row.hole_mm, "mm", f"screw hole {row.hole_mm:g} mm for {wanted:g} mm"

    return _make("hole", measure, words, gate=False)


def _body(want: Want) -> Criterion | None:
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
            return min(_beyond(mean if worst <= limit else worst, limit, 4 * limit) + open_edges, 1.0)
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

    return _make("body", measure, words, gate=True)


def _sorted_size(size: tuple[float, ...]) -> list[float]:
    """Length and width in falling order (their direction is often unknown), then height."""
    return sorted(size[:2], reverse=True) + list(size[2:3])


def _size(size: tuple[float, ...]) -> str:
    return "x".join(f"{edge:g}" for edge in size)


def _grid(want: Want) -> Criterion | None:
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
        return _beyond(value, GRID_MET_MM, GRID_FORMED_MM * (1 if want.same else 3))

    def words(row: Row) -> tuple[str, str | None, str, str]:
        wanted = _size(want.grid_mm or ())
        value = off(row)
        if value is None:
            return wanted, None, "mm", "lead grid not known; measure it"
        offered = f"{row.row_mm:.3g}x{row.pitch_mm:.3g}"
        ease = "falls in" if value <= GRID_MET_MM else "bend the leads" if value <= GRID_FORMED_MM else "needs wires"
        return wanted, offered, "mm", f"lead grid {offered} mm: {ease}"

    return _make("lead grid", measure, words, gate=False)


def _faces(want: Want) -> Criterion | None:
    if not want.faces:
        return None

    def measure(row: Row) -> float | None:
        return None if not row.senses else float(row.senses != want.faces)

    def words(row: Row) -> tuple[str, str | None, str, str]:
        return want.faces, row.senses or None, "", f"looks {row.senses or 'where? not known'}, wanted {want.faces}"

    return _make("faces", measure, words, gate=True)


def _transfer(want: Want) -> Criterion | None:
    """Collector current at the wanted emitter current: must be reached (stand-in) or alike (same)."""
    if want.ic is None or want.ic_if is None:
        return None
    wanted = want.ic

    def measure(row: Row) -> float | None:
        offer = optical.transfer(row, want)
        if offer is None or not offer.comparable:
            return None
        if want.same:
            return optical.same_distance(offer, wanted)
        return optical.reach_distance(offer, wanted)

    def words(row: Row) -> tuple[float, float | None, str, str]:
        offer = optical.transfer(row, want)
        wish = round(wanted * 1e3, 4)
        if offer is None:
            return wish, None, "mA", "collector current not known"
        shown = round(offer.ic * 1e3, 4)
        return wish, shown, "mA", optical.sentence(offer, wanted, want)

    return _make("current transfer", measure, words, gate=True)


def _distance(want: Want) -> Criterion | None:
    if want.distance_mm is None:
        return None
    wanted = want.distance_mm

    def measure(row: Row) -> float | None:
        if row.peak_distance_mm is None:
            return None
        return min(abs(row.peak_distance_mm - wanted) / max(wanted, 1.0) / 2, 1.0)

    def words(row: Row) -> tuple[float, float | None, str, str]:
        if row.peak_distance_mm is None:
            return wanted, None, "mm", "best distance not known"
        return wanted, row.peak_distance_mm, "mm", f"strongest at {row.peak_distance_mm:g} mm, target at {wanted:g} mm"

    return _make("distance", measure, words, gate=False)


def _vf(want: Want) -> Criterion | None:
    """Forward voltage counts only for 'which part is this': in a stand-in the resistor sets the current."""
    if want.vf is None or not want.same:
        return None
    reading = want.vf

    def measure(row: Row) -> float | None:
        return optical.vf_distance(row, want)

    def words(row: Row) -> tuple[float, float | None, str, str]:
        band = optical.vf_band(row, want)
        if band is None:
            return reading, None, "V", "forward voltage not known"
        low, middle, high = band
        return (
            reading,
            round(middle, 3),
            "V",
            f"VF {low:.2f} to {high:.2f} V expected at {want.vf_current * 1e3:.3g} mA",
        )

    return _make("VF", measure, words, gate=True)


def _positions(want: Want) -> Criterion | None:
    """A donor whose lead positions are unknown cannot be wired until it is measured."""
    if want.same:
        return None

    def measure(row: Row) -> float | None:
        return 0.0 if row.wired else None

    def words(row: Row) -> tuple[str, str | None, str, str]:
        if row.wired:
            return "known", "known", "", "lead positions known"
        return "known", None, "", "lead positions not known: identify, then --donor-grid"

    return _make("lead positions", measure, words, gate=False)
