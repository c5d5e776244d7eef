"""Light and forward voltage of a row, moved to the condition that was asked for.

Exponent and limits are stated here; the full model with corners is physics and needs the board side (``--site``).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from xref.model.row import Row
from xref.model.want import Want

IF_USE = 0.8
"""Share of IF max that a replacement resistor may use; common practice, no source."""

IC_EXPONENT = 1.2
"""IC grows faster than IF at low current (TCRT5000, Vishay 83760 Rev. 1.7, Fig. 8: 1.3 at 0.5 mA to 1.1 at 10 mA)."""

SAME_FACTOR = 2.0
"""Two pieces of one type differ by about this factor where a sheet prints both ends."""

VF_PIECE = 0.03
"""Half spread between pieces of one type [V]; a maker's sheet prints only a maximum, so this is assumed."""

VF_WRONG = 0.1
"""So far outside its band a reading belongs to another part [V]."""

INSIDE, VF_INSIDE, VF_OUTSIDE = 0.02, 0.25, 0.3
"""Distance of a reading within its own error, at the edge of the band, just outside; ours, they only set an order."""


@dataclass(slots=True)
class Transfer:
    """Least (or typical) collector current at the wanted IF, and whether the printed condition can be compared."""

    ic: float
    at_if: float
    reach: float
    """The same at IF_USE of IF max; where that is not known, at the highest current that a printed row stands for."""
    reach_if: float
    limit_known: bool
    comparable: bool
    why_not: str
    low: float | None
    high: float | None


def transfer(row: Row, want: Want) -> Transfer | None:
    """Move the nearest printed IC point of a row to the wanted IF; None when there is none."""
    if want.ic_if is None or not row.ic_points:
        return None
    usable = [point for point in row.ic_points if point[0] is not None or point[1] is not None]
    if not usable:
        return None
    wish = want.ic_if
    point = min(usable, key=lambda item: abs(math.log(item[3] / wish)))
    low, typ, high, current = point[0], point[1], point[2], point[3]
    value = typ if want.same and typ is not None else low if low is not None else typ
    if value is None:
        return None
    factor = (wish / current) ** IC_EXPONENT
    # without IF max the printed row itself says what current the part bears
    most = max(wish, IF_USE * row.if_max if row.if_max else current)
    comparable, why = _comparable(point[5], point[6], want)
    return Transfer(
        ic=value * factor,
        at_if=wish,
        reach=value * (most / current) ** IC_EXPONENT,
        reach_if=most,
        limit_known=bool(row.if_max),
        comparable=comparable,
        why_not=why,
        low=None if low is None else low * factor,
        high=None if high is None else high * factor,
    )


def _comparable(distance: float | None, target: str, want: Want) -> tuple[bool, str]:
    """A mirror at 12 mm is not paper at 1 mm: such currents must not be compared."""
    if want.kind != "reflective":
        return True, ""
    offered = (
        f"{target or 'target not said'} at {distance:g} mm" if distance is not None else target or "no target said"
    )
    if want.ic_distance_mm is None:
        # a reading typed without its condition cannot be set against any printed one
        return False, f"printed against {offered}; the wanted condition was not given"
    if distance is None or abs(distance - want.ic_distance_mm) > 0.15 * max(want.ic_distance_mm, 1.0):
        return False, f"printed against {offered}, wanted at {want.ic_distance_mm:g} mm: not comparable"
    if ("mirror" in target) != ("mirror" in want.ic_target):
        return False, f"printed against {offered}, wanted against {want.ic_target}: not comparable"
    return True, ""


def same_distance(offer: Transfer, wanted: float) -> float:
    """0 inside the printed spread (or a factor of 2 around the one figure), rising to 1 at three times that."""
    low = offer.low if offer.low is not None else offer.ic / SAME_FACTOR
    high = offer.high if offer.high is not None else max(offer.ic, low) * SAME_FACTOR
    if low <= wanted <= high:
        return 0.0
    outside = low / wanted if wanted < low else wanted / high
    return min((outside - 1.0) / 2.0, 1.0)


def reach_distance(offer: Transfer, wanted: float) -> float:
    """0 when the least current is enough as it is; near when a smaller resistor helps; 1 when nothing does."""
    if offer.ic >= wanted:
        return 0.0
    if offer.reach >= wanted:
        return 0.2 + 0.4 * (1.0 - offer.ic / wanted)
    return 1.0


def sentence(offer: Transfer, wanted: float, want: Want) -> str:
    """Why this current transfer is good or not, in one line."""
    at = f"at IF {offer.at_if * 1e3:.3g} mA"
    if not offer.comparable:
        return offer.why_not
    if want.same:
        return f"IC about {offer.ic * 1e3:.3g} mA {at}, reading {wanted * 1e3:.3g} mA"
    if offer.ic >= wanted:
        return f"IC {offer.ic * 1e3:.3g} mA {at}, needed {wanted * 1e3:.3g} mA"
    known = "" if offer.limit_known else "; IF max not known"
    if offer.reach >= wanted:
        return f"IC {offer.ic * 1e3:.3g} mA {at}: enough only with a smaller emitter resistor{known}"
    within = "within IF max" if offer.limit_known else f"at IF {offer.reach_if * 1e3:.3g} mA"
    return f"IC at most {offer.reach * 1e3:.3g} mA {within}, needed {wanted * 1e3:.3g} mA{known}"


def vf_band(row: Row, want: Want) -> tuple[float, float, float] | None:
    """VF expected at the meter's current: (lowest, likeliest, highest) [V]; None where nothing is printed.

    Typical points give a band; points far from the meter's current say less than the material, whose own band then
    narrows it. A part with nothing but a printed maximum has that maximum, moved to the meter's current, as upper end.
    """
    from xref.physics.emitter import fit_diode, material_for

    typical = [(point[0], point[2]) for point in row.vf_points if point[2] is not None]
    limits = [(point[0], point[3]) for point in row.vf_points if point[3] is not None]
    wavelength = row.wavelength_nm if row.wavelength_nm is None or 600 <= row.wavelength_nm <= 1000 else None
    material = material_for(wavelength)
    floor = fit_diode([], material=material).band(want.vf_current, want.temp_c)
    if typical:
        estimate = fit_diode(typical, material=material).band(want.vf_current, want.temp_c)
        low, high = max(estimate.low - VF_PIECE, floor.low), min(estimate.high + VF_PIECE, floor.high)
        if low <= estimate.value <= high:
            return low, estimate.value, high
        return estimate.low - VF_PIECE, estimate.value, estimate.high + VF_PIECE
    if limits:
        top = fit_diode([min(limits)], material=material).band(want.vf_current, want.temp_c)
        low, high = min(floor.low, top.low) - VF_PIECE, top.high
        return low, (low + high) / 2, high
    return None


def vf_distance(row: Row, want: Want) -> float | None:
    """0 when the reading lies in the band (reading error included), 1 from 0.1 V outside it; None when unknown."""
    band = vf_band(row, want)
    if band is None or want.vf is None:
        return None
    low, middle, high = band
    outside = max(low - want.vf_error - want.vf, want.vf - want.vf_error - high, 0.0)
    if outside:
        return min(VF_OUTSIDE + outside / VF_WRONG, 1.0)
    # inside the band, the nearer to its likeliest value the better; never as bad as unknown
    off = abs(want.vf - middle)
    if off <= want.vf_error and not _only_limit(row):
        return INSIDE * off / want.vf_error
    return INSIDE + (VF_INSIDE - INSIDE) * min(off / (high - low + want.vf_error), 1.0)


def _only_limit(row: Row) -> bool:
    return not any(point[2] is not None for point in row.vf_points)
