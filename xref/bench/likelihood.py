"""How likely a reading is for each random piece of a block, with a given meter.

Every block is drawn once as many pieces; a piece also carries what is not known of the meter. What all
blocks of one part share (law of the diode test, polarity on ohms) is the piece's *variant*: piece p has variant
p mod variants. A reading may always be a slip: a share ``SLIP`` of readings says nothing.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

from xref.bench.hypotheses_types import LOGIC
from xref.bench.likelihood_curves import BLOCKED, CURRENTS, CURVES, FEW, PIECES, TORCH, Draws
from xref.bench.meters import MeterModel
from xref.bench.readings import Reading

SLIP = 0.004
"""Share of readings that are a slip of the probe or the pen."""
ROOM_LIGHT = 0.25
"""Chance that a reading without a word about the light was taken in light that matters."""
OHM_FLOOR, OHM_TOP = 0.3, 4e7
OTHER_RANGE = 0.08
"""Chance that a meter's ohms range treats a junction otherwise than the pieces do."""
BINS = 64
"""Outcome bins of a reading that is being considered; the last is overload."""
_SWITCHED = ("switch", "changeover")

Where = tuple[str, int, int]
"""Block kind, role under the red lead, role under the black lead."""


class Tables:
    """What each piece of each block makes the meter show: ``shown(where, mode)`` is an array (dark, lit) x pieces."""

    def __init__(self, meter: MeterModel) -> None:
        import numpy as np

        self.np, self.meter = np, meter
        self.variants = 2 * (2 if meter.ohms_red == "unknown" else 1)
        self._shown: dict[tuple[Where, Any], Any] = {}
        self._bent: dict[Where, Any] = {}
        self._bins: dict[tuple[Where, Any, int], Any] = {}
        self._extra: dict[str, dict[str, Any]] = {}
        self.overload: dict[tuple[Where, str, str], Any] = {}

    def _pieces(self, kind: str) -> tuple[dict[tuple[int, int], tuple[Any, ...]], dict[str, Any]]:
        """The block's voltage tables, and what its pieces know of the meter."""
        curves, size = _curves(kind), pieces(kind)
        if kind not in self._extra:
            draws = Draws(self.np, size, 1 + _seed(kind))
            meter = self.meter
            columns = {
                "current": draws.uniform(*meter.current),
                "open": draws.uniform(*meter.open_volts),
                "overload": draws.uniform(*meter.overload),
                "ohms_limit": draws.uniform(0.25, 1.0),
                "ohms_scale": draws.log(0.4, 2.5),
                "ohms_least": draws.log(1e-8, 2e-7),
                "against_light": draws.uniform(0.0, 1.0),
                "supply_error": draws.uniform(-0.02, 0.02),
                "series_error": draws.uniform(-0.05, 0.05),
            }
            extra = {name: column[:, 0] for name, column in columns.items()}
            number = self.np.arange(size)
            extra["thevenin"] = number % 2 == 1
            extra["reversed"] = self.np.full(size, meter.ohms_red == "minus")
            if meter.ohms_red == "unknown":
                extra["reversed"] = number % 4 >= 2
            self._extra[kind] = extra
        return curves, self._extra[kind]

    def shown(self, at: Where, mode: str, supply: float = 0.0, series: float = 0.0) -> Any | None:
        """Shown volts or ohms, infinite for overload, shape (lights, pieces); None where nothing ever flows."""
        key = (at, (mode, supply, series))
        if key not in self._shown:
            self._shown[key] = self._show(at, mode, supply, series)
        return self._shown[key]

    def _show(self, at: Where, mode: str, supply: float, series: float) -> Any | None:
        kind, plus, minus = at
        curves, extra = self._pieces(kind)
        straight = curves.get((plus, minus))
        turned = curves.get((minus, plus)) if mode == "ohms" else None
        if straight is None and turned is None:
            return None
        np = self.np
        out = np.full((len(TORCH), pieces(kind)), np.inf if mode != "supply" else supply)
        bent = np.ones_like(out)
        if mode == "ohms":
            self._bent[at] = bent
        for light in range(len(TORCH)):
            if light and all(path is None or path[light] is path[0] for path in (straight, turned)):
                out[light] = out[0]
                if mode == "ohms":
                    bent[light] = bent[0]
            elif mode == "ohms":
                for path, chosen in ((straight, ~extra["reversed"]), (turned, extra["reversed"])):
                    if path is not None and chosen.any():
                        ohms, curved = self._ohms(extra, path[light])
                        out[light][chosen], bent[light][chosen] = ohms[chosen], curved[chosen]
            elif straight is not None and mode == "diode":
                out[light] = self._diode(extra, straight[light])
            elif straight is not None:
                volts, behind = supply * (1 + extra["supply_error"]), series * (1 + extra["series_error"])
                out[light] = self._behind(straight[light], volts, behind)
        return out

    def _at(self, table: Any, current: Any) -> Any:
        """Voltage of each piece at its own currents, shape (any, pieces)."""
        np = self.np
        low, high, count = CURRENTS
        place = np.minimum((np.log10(current) - low) / (high - low) * (count - 1), count - 1.001)
        left = np.maximum(place, 0.0).astype(int)
        # one flat index is twice as fast as a pair of them
        flat, index = table.ravel(), left + np.arange(0, table.size, count)
        one, other = flat.take(index), flat.take(index + 1)
        return np.where(other >= BLOCKED, BLOCKED, one + (other - one) * (place - left))

    def _behind(self, table: Any, volts: Any, ohms: Any) -> Any:
        """Voltage over each piece behind open volts and a resistor."""
        np = self.np
        low, high, count = CURRENTS
        grid = 10.0 ** np.linspace(low, high, count)
        too_much = table + grid * ohms[:, np.newaxis] - volts[:, np.newaxis]
        over = too_much > 0
        first = np.argmax(over, axis=1)
        rows = np.arange(len(table))
        before = np.maximum(first - 1, 0)
        a, b = too_much[rows, before], too_much[rows, first]
        share = np.where(b > a, -a / np.where(b > a, b - a, 1.0), 0.0)
        current = grid[before] + (grid[first] - grid[before]) * np.clip(share, 0, 1)
        found = np.where(first == 0, volts, volts - current * ohms)
        return np.where(over.any(axis=1), found, table[:, -1])

    def _diode(self, extra: dict[str, Any], table: Any) -> Any:
        np = self.np
        source = self._at(table, extra["current"])
        behind = self._behind(table, extra["open"], extra["open"] / extra["current"])
        volts = np.where(extra["thevenin"], behind, source)
        limit = np.minimum(extra["overload"], extra["open"] * 0.985)
        return np.where(volts > limit, np.inf, volts)

    def _ohms(self, extra: dict[str, Any], table: Any) -> tuple[Any, Any]:
        """Ohms at the highest current of the range switch that keeps the voltage below the limit of the converter.

        Also how far the path is from a resistor (0 to 1): the ohms of a junction say more of the meter than of it.
        """
        np = self.np
        decades = 10.0 ** np.arange(-3.0, -9.0, -1.0)[:, np.newaxis]
        current = np.maximum(decades * extra["ohms_scale"], extra["ohms_least"])
        volts = self._at(table, current)
        fits = volts <= extra["ohms_limit"]
        first, rows = np.argmax(fits, axis=0), np.arange(len(table))
        here, flows = volts[first, rows], current[first, rows]
        more = self._at(table, flows * 1.3)
        positive = (here > 0) & (more > 0)
        slope = np.log(np.where(positive, more, 1.0) / np.where(positive, here, 1.0)) / math.log(1.3)
        bent = np.where(positive, np.clip(np.abs(1 - slope), 0.0, 1.0), 1.0)
        # light drives a current against the meter: some show nothing, some overload, some a figure of their own
        luck = extra["against_light"]
        own = np.where(luck < 0.4, 0.0, np.where(luck < 0.6, np.inf, (luck - 0.6) / 0.4 * extra["ohms_limit"] / flows))
        value = np.where(here < 0, own, here / flows)
        return np.where(fits.any(axis=0), value, np.inf), bent

    def bent(self, at: Where) -> Any:
        """How far each piece is from a resistor in the ohms range (0 to 1); after :meth:`shown` for it."""
        return self._bent[at]

    def outcomes(self, at: Where, mode: str, supply: float, series: float, light: int) -> Any | None:
        """How the pieces fall into bins of outcomes: their order, where each bin starts, the bins; or None."""
        key = (at, (mode, supply, series), light)
        if key not in self._bins:
            shown = self.shown(at, mode, supply, series)
            dark = self._bins.get((at, (mode, supply, series), 0)) if light else None
            if shown is None:
                self._bins[key] = None
            elif dark is not None and (shown[light] == shown[0]).all():
                self._bins[key] = dark
            else:
                self._bins[key] = self._sorted(at, light, mode, supply, series)
        return self._bins[key]

    def _sorted(self, at: Where, light: int, mode: str, supply: float, series: float) -> tuple[Any, Any, Any]:
        np = self.np
        values = self._shown[(at, (mode, supply, series))][light]
        over = np.isinf(values)
        safe = np.where(over, 1.0, values)
        if mode == "ohms":
            bins = np.log(np.maximum(safe, 0.3) / 0.3) / 0.3
            bins = np.where(self._bent[at][light] > 0.3, np.floor(bins / 8) * 8 + 4, bins)
        else:
            bins = np.where(safe < 0.4, np.maximum(safe, 0) / 0.1, 4 + (safe - 0.4) / 0.04)
            over = over | (safe > supply * 0.96) if mode == "supply" else over
        bins = np.where(over, BINS - 1, np.clip(bins, 0, BINS - 2).astype(int))
        order = np.argsort(bins, kind="stable")
        present, starts = np.unique(bins[order], return_index=True)
        return order, starts, present

    def position_bit(self, kind: str, place: int) -> Any:
        """True for the pieces of a switch that are closed (COM to the first throw) in the position of that number."""
        return (self.np.arange(pieces(kind)) // self.variants >> place) & 1 == 1


def pieces(kind: str) -> int:
    """Number of random pieces of a block."""
    return PIECES.get(kind, FEW)


def _seed(kind: str) -> int:
    return 7 + 2 * sum(ord(letter) * (place + 1) for place, letter in enumerate(kind))


@lru_cache(maxsize=64)
def _curves(kind: str) -> dict[tuple[int, int], tuple[Any, ...]]:
    """The voltage tables of a block, drawn at first use; they do not depend on the meter."""
    import numpy as np

    return {} if kind in _SWITCHED else CURVES[kind](Draws(np, pieces(kind), _seed(kind)))


@lru_cache(maxsize=24)
def tables_for(meter: MeterModel) -> Tables:
    """The tables of a meter, kept between questions."""
    return Tables(meter)


def slip_density(reading: Reading, meter: MeterModel) -> float:
    """Density of a reading that says nothing: half overload, half any value of the range."""
    if reading.mode == "supply":
        return 1.0 / (reading.supply or 5.0)
    if reading.value is None:
        return 0.5
    return 0.5 / (meter.overload[1] + 0.5) if reading.mode == "diode" else 0.5 / math.log(OHM_TOP / OHM_FLOOR)


def nothing_between(reading: Reading, meter: MeterModel) -> float:
    """Likelihood of a reading between two leads that nothing joins."""
    slip = SLIP * slip_density(reading, meter)
    if reading.mode == "supply":
        return (1 - SLIP) * _bell(
            (reading.value or 0.0) - (reading.supply or 0.0), 0.03 * (reading.supply or 5.0)
        ) + slip
    return (1 - SLIP if reading.value is None else 0.0) + slip


def _bell(distance: float, deviation: float) -> float:
    return math.exp(-0.5 * (distance / deviation) ** 2) / (deviation * 2.5066282746)


def piece_likelihood(tables: Tables, at: Where, reading: Reading, position: int = 0) -> Any:
    """Likelihood of a reading for each piece of a block, red and black on the roles of ``at``."""
    if reading.value is not None or at[0] in _SWITCHED:
        return _likelihood(tables, at, reading, position)
    # overload is the commonest reading, and the same for every pair of leads
    key = (at, reading.mode, reading.light)
    if key not in tables.overload:
        tables.overload[key] = _likelihood(tables, at, reading, position)
    return tables.overload[key]


def _likelihood(tables: Tables, at: Where, reading: Reading, position: int) -> Any:
    np = tables.np
    if at[0] in _SWITCHED:
        return _switch_likelihood(tables, at, reading, position)
    if reading.mode == "unsaid":
        parts = [_moded(tables, at, reading, mode) for mode in ("diode", "ohms")]
        found = 0.6 * parts[0] + 0.4 * parts[1]
    else:
        found = _moded(tables, at, reading, reading.mode)
    lit = found[1:].mean(axis=0)
    if reading.light == "dark":
        mixed = found[0]
    elif reading.light == "lit":
        mixed = lit
    else:
        mixed = (1 - ROOM_LIGHT) * found[0] + ROOM_LIGHT * lit
    return (1 - SLIP) * mixed + SLIP * slip_density(reading, tables.meter) * np.ones(pieces(at[0]))


def _moded(tables: Tables, at: Where, reading: Reading, mode: str) -> Any:
    """Likelihood (lights, pieces) without slips."""
    np = tables.np
    shown = tables.shown(at, mode, reading.supply or 0.0, reading.series or 0.0)
    shown_any = shown is not None
    if shown is None:
        shown = np.full((len(TORCH), pieces(at[0])), np.inf if mode != "supply" else reading.supply)
    over = np.isinf(shown)
    finite = np.where(over, 1.0, shown)
    if mode == "ohms":
        bent = tables.bent(at) if shown_any else np.ones_like(finite)
        if reading.value is None:
            far = np.clip((np.log10(np.maximum(finite, 1.0)) - 6.0) / 2.0, 0.0, 0.9)
            far = np.where(finite > 2e4, np.maximum(far, OTHER_RANGE * bent), far)
            return np.where(over, 1.0, far)
        logs = np.log(finite + OHM_FLOOR)
        distance = math.log(reading.value + OHM_FLOOR) - logs
        flat, curved = (0.25, 2.0) if at[0] in LOGIC else (0.12, 2.0 if "photodiode" in at[0] else 1.0)
        width = np.where(finite < 3, 0.35, np.maximum(flat + curved * bent, 0.5 * _spread(np, logs, over)))
        return np.where(over, 0.0, np.exp(-0.5 * (distance / width) ** 2) / (width * 2.5066))
    width = 0.005 + 0.007 * np.abs(finite)
    if mode == "supply":
        width = 0.005 + 0.006 * np.abs(finite)
    if at[0] in LOGIC:
        # nobody prints what a receiver without supply shows: only the rough pattern counts
        width = 0.025 + 0.025 * np.abs(finite)
    if reading.value is None:
        near = np.clip((finite - tables.meter.overload[0] + 0.03) / 0.06, 0.0, 1.0)
        return np.where(over, 1.0, near * 0.5)
    wide = np.maximum(width, 0.5 * _spread(np, finite, over))
    likely = np.exp(-0.5 * ((reading.value - finite) / wide) ** 2) / (wide * 2.5066)
    return np.where(over, 0.0, likely * _not_below(np, reading.value, np.where(over, np.inf, finite), width, wide))


def _spread(np: Any, values: Any, over: Any) -> Any:
    """Half the step to the neighbouring lights, which stands for the light between two of them."""
    steps = np.abs(np.diff(values, axis=0))
    steps = np.where(over[1:] | over[:-1], 0.0, steps)
    out = np.zeros_like(values)
    out[1:-1] = 0.5 * np.maximum(steps[:-1], steps[1:])
    out[-1] = 0.5 * steps[-1]
    out[1] = 0.5 * steps[1]
    return out


def _not_below(np: Any, value: float, shown: Any, width: Any, wide: Any) -> Any:
    """Factor that takes back what the light in between smeared below the brightest light: no light leads there.

    Towards more light a voltage runs against its knee (a darlington's is one base-emitter voltage), not on beyond it:
    below the lowest voltage of all lit columns only the meter's own ``width`` is left.
    """
    lowest = shown[1:].min(axis=0)
    under = np.maximum(lowest - value, 0.0)
    if not under.any():
        return 1.0
    far = np.where(np.isfinite(shown), shown - np.where(np.isfinite(lowest), lowest, 0.0), 0.0)
    under = np.where(np.isfinite(under), under, 0.0)
    factor = np.exp(np.minimum(0.5 * (under * (under + 2 * far) / wide**2 - (under / width) ** 2), 0.0))
    factor[0] = 1.0
    return factor


def _switch_likelihood(tables: Tables, at: Where, reading: Reading, position: int) -> Any:
    """A contact is closed or open in a position, and the same in every reading in that position."""
    np = tables.np
    kind, plus, minus = at
    bit = tables.position_bit(kind, position)
    if kind == "switch":
        closed = bit
    elif {plus, minus} == {1, 2}:
        closed = np.zeros(pieces(kind), bool)
    else:
        closed = bit if max(plus, minus) == 1 else ~bit
    slip = SLIP * slip_density(reading, tables.meter)
    if reading.mode == "supply":
        supply = reading.supply or 5.0
        value = reading.value or 0.0
        shut, apart = _bell(value, 0.02), _bell(value - supply, 0.03 * supply)
    elif reading.value is None:
        shut, apart = 0.0, 1.0
    elif reading.mode == "diode":
        shut, apart = _bell(reading.value, 0.01), 0.0
    else:
        shut, apart = 2 * _bell(math.log((reading.value + OHM_FLOOR) / (0.5 + OHM_FLOOR)), 0.9), 0.0
    return (1 - SLIP) * np.where(closed, shut, apart) + slip
