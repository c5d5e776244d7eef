"""How far each quantity may depart, and the corners that can be worst."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from xref.errors import DataError
from xref.physics._math import ROOM_C
from xref.physics.coupling import current_factor, temperature_factor
from xref.physics.operating import Corner, EmitterCircuit, Setup
from xref.physics.series import series_current
from xref.physics.validity import Estimate

BRIGHTEST_C = 36.5  # maximum of the default temperature law of coupling


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranges:
    """How far each quantity may depart: tolerances as fractions, temperatures in °C, age as a factor."""

    supply: float = 0.05
    emitter_supply: float | None = None  # None: the same rail as the detector
    emitter_resistor: float = 0.05
    load: float = 0.05
    temp_low_c: float = 10.0
    temp_high_c: float = 45.0
    age_low: float = 0.7  # least light left at the end of life
    vf_band: float = 0.05  # V an emitter, either way
    vf_up: float | None = None  # V an emitter, up to the printed maximum; None: as vf_band

    def vf_shift(self, *, up: bool) -> float:
        """How far the forward voltage may lie above or below its typical one.

        Args:
            up: True for the highest, False for the lowest forward voltage [bool]

        Returns:
            distance from the typical forward voltage, negative below it [V]

        Valid: everywhere.
        Source: a printed maximum, else the assumed band.
        """
        if not up:
            return -self.vf_band
        return self.vf_band if self.vf_up is None else self.vf_up


def end_corners(setup: Setup, ranges: Ranges, *, worst_only: bool = False) -> list[Corner]:
    """Every corner at which a level can be worst.

    More light acts one way on every level, so that all quantities that set the light stand together at their dim or
    at their bright ends. Where the part's own curves are missing, the bands of the default laws count too.

    Args:
        setup: the circuit [V, Ω, A]
        ranges: how far each quantity may depart [1, °C, V]
        worst_only: True keeps only the load's end that costs reserve (small for bright, large for dark) [bool]

    Returns:
        the corners; those with ``part`` "low" are the dim ones [1, °C, V]

    Raises:
        DataError: a range that is negative or reversed

    Valid: everywhere.
    Source: worst-case analysis (common practice).
    """
    _check(ranges)
    temps = [ranges.temp_low_c, ranges.temp_high_c]
    temps += [t for t in (ROOM_C, _brightest_c(setup)) if ranges.temp_low_c < t < ranges.temp_high_c]
    laws = _transfer_band(setup, ranges)
    found = []
    for dim, rail_sign, load_sign, temp in product((True, False), (-1, 1), (-1, 1), temps):
        if worst_only and dim == (load_sign > 0):
            continue
        sign = -1 if dim else 1
        law = laws[0 if dim else 1] * _temperature_band(setup, temp)[0 if dim else 1]
        rail = 1 + rail_sign * ranges.supply
        found.append(
            Corner(
                part="low" if dim else "high",
                emitter_supply=rail if ranges.emitter_supply is None else 1 + sign * ranges.emitter_supply,
                emitter_resistor=1 - sign * ranges.emitter_resistor,
                supply=rail,
                load=1 + load_sign * ranges.load,
                temp_c=temp,
                age=ranges.age_low if dim else 1.0,
                vf_shift=ranges.vf_shift(up=dim),
                target=_target(setup, low=dim) * law,
                stray=1.0 if dim else _stray(setup) * law,
            )
        )
    return found


def emitter_range(circuit: EmitterCircuit, ranges: Ranges | None = None) -> Estimate:
    """Forward current of an emitter circuit over its tolerances (kind emitter, or before anything else is known).

    Args:
        circuit: the emitters, resistor and supply [V, Ω, A]
        ranges: how far each quantity may depart, None = the defaults of :class:`Ranges` [1, °C, V]

    Returns:
        nominal, least and largest current; ``valid`` is False when the largest exceeds the printed limit [A]

    Raises:
        DataError: a range that is negative or reversed

    Valid: as :func:`series_current`.
    Source: worst-case analysis (common practice).
    """
    ranges = ranges or Ranges()
    _check(ranges)
    rail = ranges.supply if ranges.emitter_supply is None else ranges.emitter_supply

    def at(sign: float, temp_c: float) -> float:
        volts = circuit.supply * (1 + sign * rail) - circuit.count * ranges.vf_shift(up=sign < 0)
        return series_current(
            volts,
            circuit.resistor * (1 - sign * ranges.emitter_resistor),
            circuit.diode,
            count=circuit.count,
            driver_drop=circuit.driver_drop,
            temp_c=temp_c,
        )

    nominal = series_current(
        circuit.supply, circuit.resistor, circuit.diode, count=circuit.count, driver_drop=circuit.driver_drop
    )
    low, high = at(-1.0, ranges.temp_low_c), at(1.0, ranges.temp_high_c)
    limit = circuit.current_max
    why = (
        ""
        if limit is None or high <= limit
        else (f"{high * 1e3:.3g} mA is above the emitter's limit of {limit * 1e3:.3g} mA")
    )
    return Estimate(value=nominal, low=low, high=high, valid=not why, why=why, basis=circuit.diode.basis)


def _brightest_c(setup: Setup) -> float:
    """Temperature at which the part gives most light: between the ends of a range it may beat both."""
    known = setup.transfer.temperature_curve if setup.transfer is not None else None
    if known is None:
        return BRIGHTEST_C
    return max(zip(known.y, known.x, strict=True))[1]


def _transfer_band(setup: Setup, ranges: Ranges) -> tuple[float, float]:
    """Lowest and highest factor that the default transfer law leaves open between the printed and the real current."""
    t, e = setup.transfer, setup.emitter
    if t is None or e is None or t.transfer_curve is not None:
        return 1.0, 1.0
    currents = emitter_range(e, ranges)
    factors = [current_factor(max(i, 1e-6), t.if_ref) for i in (currents.low, currents.high)]
    return min(f.low / f.value for f in factors), max(f.high / f.value for f in factors)


def _temperature_band(setup: Setup, temp_c: float) -> tuple[float, float]:
    """Lowest and highest factor that the default temperature law leaves open."""
    if setup.transfer is None or setup.transfer.temperature_curve is not None:
        return 1.0, 1.0
    factor = temperature_factor(temp_c)
    return factor.low / factor.value, factor.high / factor.value


def _target(setup: Setup, *, low: bool) -> float:
    t = setup.transfer
    if t is None:
        return 1.0
    end = t.bright_low if low else t.bright_high
    return 1.0 if end is None else end / t.bright


def _stray(setup: Setup) -> float:
    t = setup.transfer
    return 1.0 if t is None or t.dark_high is None or t.dark <= 0 else t.dark_high / t.dark


def _check(ranges: Ranges) -> None:
    for name in ("supply", "emitter_resistor", "load"):
        if not 0 <= getattr(ranges, name) < 1:
            raise DataError(f"the tolerance of {name} is a fraction from 0 to below 1, not {getattr(ranges, name):g}")
    if ranges.temp_low_c > ranges.temp_high_c:
        raise DataError(f"the temperature range runs from {ranges.temp_low_c:g} down to {ranges.temp_high_c:g} C")
    if not 0 < ranges.age_low <= 1:
        raise DataError(f"the age factor lies above 0 and up to 1, not {ranges.age_low:g}")
