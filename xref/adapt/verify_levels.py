"""Levels and reserve of a fit once more, by straight load lines and a power law for the light.

The light is known to this check within a factor of about 1.6 (it takes the collector current in proportion to the
1.25th power of the emitter current and no curve but the distance); what a given light makes of the levels it knows
within a seventh of the supply. Both bands are wide enough for every shipped part and narrower than a doubled load.
"""

from __future__ import annotations

import math
from itertools import pairwise

from xref.adapt.original import Original
from xref.adapt.verify_light import ends_of, power, row_for, target_light
from xref.model.answers.fit import Fit
from xref.model.part import Part
from xref.model.site import Site
from xref.physics.logic_families import FAMILIES
from xref.physics.logic_input import family_key

LIGHT_BAND = 1.6
LOGIC_BAND = 1.25
LEVEL_BAND = 0.15
_TOL, _AGED = 0.05, 0.7
_GATE = "74HC14"


class Seen:
    """The circuit as the answer leaves it: board values, what changed, what was added."""

    def __init__(self, original: Original, donor: Part, fit: Fit, site: Site) -> None:
        e, o = site.emitter, site.output
        now = {change.where: change.now_ohm for change in fit.values}
        self.original, self.donor, self.fit, self.site = original, donor, fit, site
        self.supply = o.supply or e.supply or 5.0
        self.emitter_supply = e.supply or self.supply
        self.drive = self.emitter_supply - (e.driver_drop or 0.0)
        self.emitter_ohm = now.get("emitter resistor", e.resistor if e.resistor is not None else 220.0)
        self.emitter_ohm += donor.emitter.resistor_ohm or 0.0
        self.count = e.in_series or 1
        self.board_load = now.get("load", o.load if o.load is not None else 10e3)
        self.temp_c = site.temperature or (10.0, 45.0)
        self.logic = (donor.output or "").startswith("logic")
        before = o.load_side or self._output_pad() or ("E" if o.lit == "high" else "C")
        self.lit = o.lit or ("low" if before == "C" else "high")
        moved = any(cut.do == "move-resistor" and cut.where.startswith("load") for cut in fit.cuts)
        self.side = before if not moved else "E" if before == "C" else "C"
        self.half = self._half()
        what = [item.what for item in fit.added]
        self.gates = next((int(text[0]) for text in what if " gate" in text and text[0].isdigit()), 0)
        bases = [text for item in fit.added for text in item.between if text.startswith("base: ")]
        self.inverter = any(text == "base: base of Q1" for text in bases)
        self.amplified = any(text.startswith("base: lead ") for text in bases)
        pull = next((item.value_ohm for item in fit.added if item.what == "pull-up resistor"), None)
        self.own_load = next((item.value_ohm for item in fit.added if item.what == "load resistor"), None)
        self.pull_up = pull
        self.load = self.board_load
        if pull is not None and o.load is None and not self.logic:
            self.load = pull
        self.vil, self.vih, self.input_low, self.input_high, self.follows = self._levels(self.supply)

    def _half(self) -> str:
        keep = {*self.original.keep, *self.site.room.keep}
        if self.donor.kind == "emitter" or self.site.kind == "emitter" or "detector" in keep:
            return "emitter"
        if self.donor.kind == "detector" or self.site.kind in ("detector", "two-state resistor") or "emitter" in keep:
            return "detector"
        return ""

    def _output_pad(self) -> str:
        """C or E where a logic output sits on that pad of the board; else ''."""
        asks = {pad.label: pad.functions for pad in self.original.pads}
        ends = [(c.lead, c.pad) for c in self.fit.connections if c.function == "OUT"]
        for item in self.fit.added:
            ends += [("", text.split("pad ")[-1]) for text in item.between if text.startswith("collector: pad ")]
        return next((f for _, pad in ends for f in asks.get(pad, ()) if f in ("C", "E")), "") if self.logic else ""

    def uses(self, function: str) -> bool:
        """Whether the half of that function is put to use."""
        if self.donor.kind in ("emitter", "detector"):
            return True
        sending = function in ("A", "K")
        return not (self.half == "detector" and sending) and not (self.half == "emitter" and not sending)

    def _levels(self, supply: float, name: str = "") -> tuple[float, float, float, float, bool]:
        o = self.site.output
        if not name and o.low_below is not None and o.high_above is not None:
            return o.low_below, o.high_above, 0.0, 0.0, False
        family = FAMILIES[family_key(name or o.input or "TTL")]
        rows = sorted(family.rows)
        if len(rows) == 1:
            scale = supply / rows[0][0] if family.follows_supply else 1.0
            low, high = rows[0][1] * scale, rows[0][2] * scale
        else:
            low, high = (_straight([(row[0], row[place]) for row in rows], supply) for place in (1, 2))
        return low, high, family.current_low, family.current_high, family.follows_supply

    def gate_levels(self) -> None:
        """The detector speaks to the added gate on its own load, not to the board."""
        self.vil, self.vih, self.input_low, self.input_high, self.follows = self._levels(self.supply, _GATE)
        self.load = self.own_load or self.load

    def emitter_current(self, sign: int) -> float:
        """Largest (sign 1) or least (sign -1) emitter current over supply, resistor, VF and temperature [A]."""
        shift = sign * 0.05 if sign >= 0 else -self.vf_up()
        volts = (self.drive + self.emitter_supply * sign * _TOL) / self.count + shift
        volts += 1.65e-3 * (self.temp_c[1 if sign > 0 else 0] - 25.0)
        ohms = self.emitter_ohm * (1 - sign * _TOL) / self.count
        low, high = 0.0, 10.0
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if self.vf(middle) + middle * ohms < volts else (low, middle)
        return low

    def vf_up(self) -> float:
        """How far the worst piece lies above :meth:`vf`: the printed maximum nearest in current, else 0.05 V [V]."""
        known = [
            (v.at["if_ma"] * 1e-3, v.max) for v in self.donor.emitter.vf_v if v.max and 0 < v.at.get("if_ma", 0) <= 100
        ]
        if not known:
            return 0.05
        here = max(self.emitter_current(0), 1e-4)
        at, most = min(known, key=lambda point: abs(math.log(point[0] / here)))
        return max(most - self.vf(at), 0.0)

    def vf(self, current: float) -> float:
        """Forward voltage: the nearest printed typical point, else that of its colour; 0.1 V a decade, 2.7 ohm."""
        known = [(v.at["if_ma"] * 1e-3, v.typ) for v in self.donor.emitter.vf_v if v.typ and v.at.get("if_ma")]
        if known:
            at, volts = min(known, key=lambda point: abs(math.log(point[0] / max(current, 1e-6))))
        else:
            nm = self.donor.emitter.wavelength_nm
            at, volts = 10e-3, 1.13 if nm is None or nm > 905 else 1.30 if nm >= 740 else 1.85
        return volts + 0.1 * math.log10(max(current, 1e-6) / at) + 2.7 * (current - at)


def _straight(points: list[tuple[float, float]], at: float) -> float:
    if at <= points[0][0]:
        return points[0][1] * at / points[0][0]
    for (x0, y0), (x1, y1) in pairwise(points):
        if at <= x1:
            return y0 + (y1 - y0) * (at - x0) / (x1 - x0)
    return points[-1][1] * at / points[-1][0]


def sense_reasons(seen: Seen) -> list[str]:
    """Whether what the input sees when lit is what the board expects."""
    if seen.half == "emitter" or not seen.donor.output:
        return []
    low = seen.donor.logic == "low-when-lit" if seen.logic else seen.side == "C"
    if seen.logic and not seen.donor.logic:
        return []
    for turned in (seen.inverter, seen.gates == 1):
        low = low != turned
    if low == (seen.lit == "low"):
        return []
    return [f"wrong sense: the board expects {seen.lit} when lit and this gives {'low' if low else 'high'}"]


def level_reasons(seen: Seen) -> list[str]:
    """Whether stated levels and reserves follow from the values."""
    signal = seen.fit.signal
    if signal is None:
        return []
    reasons = []
    for word, stated in (("light", signal.light_reserve), ("dark", signal.dark_reserve)):
        if signal.clean and stated is not None and stated < 0.99:
            reasons.append(f"called clean with a {word} reserve of {stated:.2g}")
    if signal.clean and signal.low_max_v is not None and signal.high_min_v is not None:
        up, down = (1 + _TOL, 1 - _TOL) if seen.follows else (1.0, 1.0)
        if signal.low_max_v > seen.vil * up + 0.03 or signal.high_min_v < seen.vih * down - 0.03:
            reasons.append(
                f"called clean with {signal.low_max_v:.2f} V and {signal.high_min_v:.2f} V; the input needs below "
                f"{seen.vil:.2f} V and above {seen.vih:.2f} V"
            )
    if reasons or seen.half == "emitter" or signal.light_reserve is None or signal.dark_reserve is None:
        return reasons
    if seen.donor.origin == "typed" and seen.site.two_state is not None:
        return _two_state(seen)
    if seen.logic:
        return _logic(seen)
    if seen.half == "detector":
        return _lone(seen)
    return _transistor(seen)


def _logic(seen: Seen) -> list[str]:
    ift = seen.donor.detector.ift_ma
    if ift is None or seen.fit.signal is None or seen.fit.signal.light_reserve is None:
        return []
    most = ift.max if ift.max is not None else 2 * (ift.typ or math.inf)
    mine = seen.emitter_current(-1) * _AGED / (most * 1e-3)
    return _compare("light reserve", seen.fit.signal.light_reserve, mine, LOGIC_BAND)


def needs(seen: Seen) -> tuple[float, float, float]:
    """Light that the lit level needs, what the dark level allows, and the leak at the highest temperature [A]."""
    top, bottom = seen.supply * (1 + _TOL), seen.supply * (1 - _TOL)
    up, down = (1 + _TOL, 1 - _TOL) if seen.follows else (1.0, 1.0)
    iceo = seen.donor.detector.iceo_na
    leak = (iceo.max if iceo is not None and iceo.max is not None else 100.0) * 1e-9
    leak *= 2.7 ** ((seen.temp_c[1] - 25) / 10)
    small, large = seen.load * (1 - _TOL), seen.load * (1 + _TOL)
    if seen.side == "C":
        lit = (top - seen.vil * up) / small + seen.input_low
        dark = (bottom - seen.vih * down) / large - seen.input_high
    else:
        lit = seen.vih * up / small + seen.input_high
        dark = seen.vil * down / large - seen.input_low
    return lit, dark, leak


def _transistor(seen: Seen) -> list[str]:
    signal, part = seen.fit.signal, seen.donor
    assert signal is not None
    if seen.gates:
        seen.gate_levels()
    row = row_for(part, seen.emitter_current(0))
    if row is None or signal.light_reserve is None or signal.dark_reserve is None:
        return []
    lit, dark, leak = needs(seen)
    if seen.amplified:
        leak *= 400.0
    low, high = ends_of(row)
    place = target_light(part, seen.site.sees, seen.fit.assumed, row)
    if place is None:
        return _levels_follow(seen)
    at = row.at["if_ma"] * 1e-3
    gains = (100.0, 400.0) if seen.amplified else (1.0, 1.0)
    law = [max(i / at, at / i) ** 0.31 for i in (seen.emitter_current(-1), seen.emitter_current(1))]
    weak = low * place[0] * power(seen.emitter_current(-1) / at) / max(law) * _AGED * 0.88 * gains[0]
    strong = high * place[1] * power(seen.emitter_current(1) / at) * max(law) * 1.05 * gains[1]
    mine = weak / lit
    if _near_saturation(seen):
        # the straight line asks for too little light there, so only a stated reserve that is too good is wrong
        mine = min(mine, signal.light_reserve)
    reasons = _compare("light reserve", signal.light_reserve, mine, LIGHT_BAND)
    if dark - leak > 0 and signal.dark_reserve < 50:
        reasons += _compare("dark reserve", signal.dark_reserve, (dark - leak) / strong, LIGHT_BAND)
    return reasons or _levels_follow(seen)


def _lone(seen: Seen) -> list[str]:
    value, signal = seen.donor.detector.light_current_ma, seen.fit.signal
    if value is None or signal is None or signal.light_reserve is None:
        return []
    lit, _, _ = needs(seen)
    weak = ends_of(value)[0] * (100.0 if seen.amplified else 1.0)
    return _compare("light reserve", signal.light_reserve, weak * _AGED / lit, LIGHT_BAND)


def _two_state(seen: Seen) -> list[str]:
    state, signal = seen.site.two_state, seen.fit.signal
    assert state is not None
    assert signal is not None
    if state.low_below is not None and state.high_above is not None:
        series = sum(x.value_ohm or 0.0 for x in seen.fit.added if x.what == "series resistor")
        across = sum(1 / (x.value_ohm or math.inf) for x in seen.fit.added if x.what == "parallel resistor")
        lit, dark = (series + 1 / (1 / ohms + across) for ohms in (state.lit, state.dark))
        reasons = _compare("lit reserve", signal.light_reserve or 0.0, state.low_below / lit, 1.02)
        return reasons + _compare("dark reserve", signal.dark_reserve or 0.0, dark / state.high_above, 1.02)
    lit_v, dark_v = (
        seen.supply * (ohms if seen.side == "C" else seen.load) / (seen.load + ohms) for ohms in (state.lit, state.dark)
    )
    low, high = min(lit_v, dark_v), max(lit_v, dark_v)
    stated = (signal.low_max_v or 0.0, signal.high_min_v or 0.0)
    if abs(stated[0] - low) > LEVEL_BAND * seen.supply or abs(stated[1] - high) > LEVEL_BAND * seen.supply:
        return [f"levels {stated[0]:.2f} V and {stated[1]:.2f} V are stated, {low:.2f} V and {high:.2f} V found"]
    return []


def _floor(seen: Seen) -> float:
    """Lowest voltage over the lit detector [V]."""
    sat = seen.donor.detector.vce_sat_v
    usual = 1.2 if "darl" in (seen.donor.output or "") else 0.4
    return max(sat.max if sat is not None and sat.max is not None else usual, usual)


def _near_saturation(seen: Seen) -> bool:
    """Whether the input wants a low level that lies near VCE(sat)."""
    return seen.side == "C" and seen.vil < _floor(seen) + 0.2


def _levels_follow(seen: Seen) -> list[str]:
    """With the stated reserves taken for true, the stated levels lie on the load line within LEVEL_BAND."""
    signal = seen.fit.signal
    assert signal is not None
    if seen.gates or seen.inverter or signal.low_max_v is None or signal.high_min_v is None:
        return []
    lit, dark, leak = needs(seen)
    r, d = signal.light_reserve or 0.0, max(signal.dark_reserve or 0.0, 1e-6)
    top, bottom = seen.supply * (1 + _TOL), seen.supply * (1 - _TOL)
    floor = _floor(seen)
    small, large = seen.load * (1 - _TOL), seen.load * (1 + _TOL)
    # an input that wants a level near VCE(sat) needs more light than the straight line says
    near = 1.0 if _near_saturation(seen) else 0.0
    if seen.side == "C":
        lit_v = min(top - (r * lit - seen.input_low) * small, top)
        dark_v = bottom - (max(dark - leak, 0.0) / d + leak + seen.input_high) * large
        wrong = (
            not -LEVEL_BAND - near
            <= (signal.low_max_v - max(lit_v, 0.0)) / seen.supply
            <= LEVEL_BAND + floor / seen.supply
        )
        away = abs(signal.high_min_v - max(dark_v, 0.0)) > LEVEL_BAND * seen.supply
        found = (max(lit_v, 0.0), max(dark_v, 0.0))
    else:
        lit_v = (r * lit - seen.input_high) * small
        dark_v = (max(dark - leak, 0.0) / d + leak + seen.input_low) * large
        lit_v = max(min(lit_v, bottom), 0.0)
        wrong = not -LEVEL_BAND - floor / seen.supply <= (signal.high_min_v - lit_v) / seen.supply <= LEVEL_BAND
        away = abs(signal.low_max_v - min(dark_v, top)) > LEVEL_BAND * seen.supply
        found = (min(dark_v, top), lit_v)
    if not wrong and not away:
        return []
    return [
        f"levels {signal.low_max_v:.2f} V and {signal.high_min_v:.2f} V are stated, about {found[0]:.2f} V and "
        f"{found[1]:.2f} V follow from the load line"
    ]


def _compare(word: str, stated: float, mine: float, band: float) -> list[str]:
    if mine > 0 and 1 / band <= stated / mine <= band:
        return []
    return [f"{word} {stated:.3g} is stated, about {mine:.3g} found"]
