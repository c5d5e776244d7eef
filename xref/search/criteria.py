"""One criterion a quantity: how far a donor is from what is wanted, and what to say about it.

A criterion gives a distance (0 met, up to 1 as bad as it gets, None unknown) that costs almost nothing, and the full
sentence only for the few candidates that are shown. Limits stand in one block, so that they can be read and argued.
"""

from __future__ import annotations

from xref.model.row import Row
from xref.model.want import Want
from xref.search import optical, size
from xref.search.criterion import DARLINGTON, Criterion, make


def criteria(want: Want) -> list[Criterion]:
    """The criteria that the request gives, hard ones first."""
    asked = (
        _output, _sense, _supply, _channels, _leads, size.gap, size.hole, size.body, size.grid,
        size.faces, _transfer, _distance, _vf, _positions,
    )  # fmt: skip
    return [found for ask in asked if (found := ask(want)) is not None]


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

    return make("output", measure, words, gate=True)


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

    return make("sense", measure, words, gate=True)


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

    return make("supply", measure, words, gate=True)


def _channels(want: Want) -> Criterion | None:
    if want.channels is None:
        return None
    wanted = want.channels

    def measure(row: Row) -> float | None:
        return 0.0 if row.channels == wanted or (not want.same and row.channels > wanted) else 1.0

    def words(row: Row) -> tuple[float, float, str, str]:
        return wanted, row.channels, "", f"{row.channels} channel{'s' if row.channels > 1 else ''}, wanted {wanted}"

    return make("channels", measure, words, gate=True)


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

    return make("leads", measure, words, gate=want.same)


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

    return make("current transfer", measure, words, gate=True)


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

    return make("distance", measure, words, gate=False)


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

    return make("VF", measure, words, gate=True)


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

    return make("lead positions", measure, words, gate=False)
