"""Will the input behind still see a clean signal: levels and light reserve of a donor on this board."""

from __future__ import annotations

from dataclasses import dataclass, replace

from xref.adapt.electrical import Electrics, thresholds, transfer
from xref.adapt.highest_vf import vf_limit, vf_up, vf_words
from xref.model.answers.fit import Signal
from xref.model.base import weakest
from xref.model.site import Site
from xref.model.value import Value
from xref.physics.corners import CornerReport, Ranges, corner_report, emitter_range
from xref.physics.logic_input import Thresholds
from xref.physics.logic_output import LogicOutput, LogicPoint, logic_point
from xref.physics.operating import EmitterCircuit, Receiver, Setup, Transfer
from xref.physics.series import current_limit, series_current
from xref.physics.timing import highest_rate, narrowest_pulse, pulse_passes, switching_time

SUPPLY, EMITTER_OHM, LOAD_OHM = 5.0, 220.0, 10e3
"""What is assumed of a board that says nothing; always said."""

LOGIC_DARK = 0.01
"""Light left in the dark state of a logic sensor, of the light of its threshold row. Assumed."""

HIGH_VF = "a piece with VF near its printed maximum gets too little emitter current; read VF of yours at 1 mA"

INVERTED = "the output goes the other way: lit was {was}, would be {now}; an inverter is needed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """The board side with its gaps filled; ``assumed`` says by what."""

    site: Site
    emitter_supply: float
    emitter_ohm: float
    in_series: int
    driver_drop: float
    supply: float
    load_ohm: float
    side: str
    temp_c: tuple[float, float]
    lit_low: bool
    assumed: tuple[str, ...]


def board_of(site: Site) -> Board:
    """Fill what the site does not say, and say it."""
    assumed: list[str] = []

    def known(value: float | None, default: float, what: str) -> float:
        if value is None:
            assumed.append(what)
            return default
        return value

    e, o = site.emitter, site.output
    supply = known(o.supply, e.supply or SUPPLY, "detector supply: 5 V; measure it" if e.supply is None
                   else "detector supply: the same as the emitter's")  # fmt: skip
    side = o.load_side or ("E" if o.lit == "high" else "C")
    if o.load_side is None:
        assumed.append(f"load in the {'collector' if side == 'C' else 'emitter'}; follow the copper")
    lit = o.lit or ("low" if side == "C" else "high")
    return Board(
        site=site,
        emitter_supply=known(e.supply, supply, "emitter supply: the same as the detector's"),
        emitter_ohm=known(e.resistor, EMITTER_OHM, "emitter resistor: 220 ohm; read it"),
        in_series=int(known(e.in_series, 1, "one emitter on its resistor")),
        driver_drop=known(e.driver_drop, 0.0, "no driver transistor in the emitter's line"),
        supply=supply,
        load_ohm=known(o.load, LOAD_OHM, "load: 10 kohm; read it"),
        side="collector" if side == "C" else "emitter",
        temp_c=site.temperature or (10.0, 45.0),
        lit_low=lit == "low",
        assumed=tuple(assumed),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """Everything that does not change while values are tried: made once a fit."""

    data: Electrics
    board: Board
    thresholds: Thresholds
    transfer: Transfer | None
    target_band: tuple[float, float]
    """Lowest and highest of the machine's light over the assumed one: unknown until the lit level is measured."""
    ranges: Ranges
    assumed: tuple[str, ...]
    vf_limit: Value | None = None
    """The printed maximum that the highest forward voltage rests on."""

    @property
    def vf_words(self) -> str:
        """What the highest forward voltage rests on."""
        return vf_words(self.vf_limit, self.ranges.vf_band)

    @property
    def if_limit(self) -> float | None:
        """Largest emitter current at the highest temperature [A]; None: not known."""
        if self.data.if_max is None:
            return None
        return current_limit(self.board.temp_c[1], if_max=self.data.if_max)

    def forward_current(self, ohms: float) -> float:
        """Emitter current with that resistor [A]."""
        board = self.board
        return series_current(
            board.emitter_supply,
            ohms + self.data.built_in_ohm,
            self.data.diode,
            count=board.in_series,
            driver_drop=board.driver_drop,
        )

    def emitter_circuit(self, ohms: float) -> EmitterCircuit:
        """The emitter with that resistor on this board."""
        board = self.board
        return EmitterCircuit(
            diode=self.data.diode,
            supply=board.emitter_supply,
            resistor=ohms + self.data.built_in_ohm,
            count=board.in_series,
            driver_drop=board.driver_drop,
            current_max=self.if_limit,
        )

    def current_range(self, ohms: float) -> tuple[float, float]:
        """Least and largest emitter current with that resistor over supply, tolerance, VF and temperature [A]."""
        found = emitter_range(self.emitter_circuit(ohms), self.ranges)
        return found.low, found.high

    def setup_receiver(self, load_ohm: float) -> Receiver:
        """Detector, load and input with that load."""
        assert self.data.detector is not None
        board = self.board
        return Receiver(
            detector=self.data.detector, supply=board.supply, load=load_ohm, input=self.thresholds, side=board.side
        )

    def setup(self, emitter_ohm: float, load_ohm: float) -> Setup:
        """The working point with these two resistors; only for a chain with a transfer and a plain detector."""
        assert self.transfer is not None
        return Setup(
            receiver=self.setup_receiver(load_ohm),
            emitter=self.emitter_circuit(emitter_ohm),
            transfer=self.transfer,
        )


def chain(data: Electrics, site: Site) -> Chain:
    """Join a donor and a board."""
    board = board_of(site)
    assumed = [*board.assumed, *data.assumed]
    limits = thresholds(site, assumed)
    if data.logic is not None:
        assumed.append("light left in the dark state: 1 % of the open beam; measure the dark level")
    forward = series_current(
        board.emitter_supply, board.emitter_ohm + data.built_in_ohm, data.diode,
        count=board.in_series, driver_drop=board.driver_drop,
    )  # fmt: skip
    limit = vf_limit(data.part, forward)
    made, band = transfer(data, site, assumed, max(forward, 0.0))
    return Chain(
        data=data,
        board=board,
        thresholds=limits,
        transfer=made,
        target_band=band,
        ranges=Ranges(temp_low_c=board.temp_c[0], temp_high_c=board.temp_c[1], vf_up=vf_up(limit, data.diode)),
        vf_limit=limit,
        assumed=tuple(dict.fromkeys(assumed)),
    )


def signal(link: Chain, emitter_ohm: float, load_ohm: float) -> Signal:
    """Levels and reserve with these values; a Signal without figures where the part is not known well enough."""
    if link.data.logic is not None:
        return _logic_signal(link, emitter_ohm, load_ohm)
    if link.transfer is None or link.data.detector is None:
        return _unknown_signal(link, emitter_ohm)
    report = corner_report(link.setup(emitter_ohm, load_ohm), link.ranges)
    typical = corner_report(typical_piece(link).setup(emitter_ohm, load_ohm), link.ranges)
    return _plain_signal(link, report, typical)


def _unknown_signal(link: Chain, emitter_ohm: float) -> Signal:
    """What can be said without the light: the emitter current, and a sense that is wrong in any light."""
    low_if, high_if = link.current_range(emitter_ohm)
    part, clean = link.data.part, None
    words = "collector current of the donor not known; read it lit, at the machine's emitter current"
    if link.data.detector is not None and (link.board.side == "collector") != link.board.lit_low:
        was, now = ("low", "high") if link.board.lit_low else ("high", "low")
        clean, words = False, f"{INVERTED.format(was=was, now=now)}; {words}"
    if (part.output or "").startswith("logic"):
        words = "threshold current, kind or sense of the logic output not known; settle it with 5 V and a meter"
        if part.logic and (part.logic == "low-when-lit") != link.board.lit_low:
            now, was = part.logic.split("-")[0], "low" if link.board.lit_low else "high"
            clean, words = False, f"{INVERTED.format(was=was, now=now)}; {words}"
        elif part.output == "logic-open-collector" and link.board.side == "emitter":
            clean, words = False, f"an open collector does not drive a load to 0 V up; {words}"
    return Signal(
        low_max_v=None, high_min_v=None, light_reserve=None, dark_reserve=None, clean=clean, basis="assumed",
        limited_by=words, emitter_ma=(low_if * 1e3, high_if * 1e3),
    )  # fmt: skip


def typical_piece(link: Chain) -> Chain:
    """The same chain with a typical piece instead of the whole spread of its type."""
    assert link.transfer is not None
    one = replace(link.transfer, low=link.transfer.typical, high=link.transfer.typical)
    return replace(usual_vf(link), transfer=one)


def usual_vf(link: Chain) -> Chain:
    """The same chain with a piece whose forward voltage lies near the typical one, not at the printed maximum."""
    return replace(link, ranges=replace(link.ranges, vf_up=None))


def _plain_signal(link: Chain, report: CornerReport, typical: CornerReport) -> Signal:
    bright_low = report.nominal.bright_is == "low"
    low, high = (report.bright_v[1], report.dark_v[0]) if bright_low else (report.dark_v[1], report.bright_v[0])
    limited, band = report.limited_by, link.target_band
    clean = verdict(report.bright.bright_reserve, report.dark.dark_reserve, band)
    one = verdict(typical.bright.bright_reserve, typical.dark.dark_reserve, band)
    if clean is None:
        limited = f"the machine's light, which may be {band[0]:.2g} to {band[1]:.2g} times the assumed"
    elif clean is False and one is not False:
        clean = None
        limited += "; a typical piece would do: measure yours"
    if bright_low != link.board.lit_low:
        words = ("low", "high")
        clean, limited = False, INVERTED.format(was=words[not link.board.lit_low], now=words[not bright_low])
    current = report.forward_current
    rail = link.board.supply * (1 + link.ranges.supply)
    return Signal(
        # an input's current, taken as constant, would carry a lost level past the rails
        low_max_v=min(max(low, 0.0), rail),
        high_min_v=min(max(high, 0.0), rail),
        light_reserve=min(report.bright.bright_reserve, 1e6),
        dark_reserve=min(report.dark.dark_reserve, 1e6),
        limited_by=limited,
        emitter_ma=None if current is None else (current[0] * 1e3, current[1] * 1e3),
        clean=clean,
        typical_reserve=min(typical.reserve, 1e6),
        basis=weakest(link.data.basis, report.nominal.basis, link.thresholds.basis, "derived"),
    )


def verdict(bright: float, dark: float, band: tuple[float, float]) -> bool | None:
    """Clean over the whole band of unknown light; nowhere in it; or None: it depends, so measure.

    With the light k times the assumed one the reserves are bright * k and dark / k.
    """
    low, high = band
    if bright * low >= 1 and dark / high >= 1:
        return True
    least = max(1 / bright if bright > 0 else float("inf"), low)
    return None if least <= min(dark, high) else False


def _logic_signal(link: Chain, emitter_ohm: float, load_ohm: float) -> Signal:
    point = logic_at(link, emitter_ohm, load_ohm)
    assert link.data.logic is not None
    lit_low = link.data.logic.low_when_lit
    low, high = (point.bright_v, point.dark_v) if lit_low else (point.dark_v, point.bright_v)
    current = link.current_range(emitter_ohm)
    clean: bool | None = point.ok
    limited = point.why or _logic_limit(link, point, low, high)
    if not clean and logic_at(usual_vf(link), emitter_ohm, load_ohm).ok:
        clean, limited = None, HIGH_VF
    if lit_low != link.board.lit_low:
        words = ("low", "high")
        clean, limited = False, INVERTED.format(was=words[not link.board.lit_low], now=words[not lit_low])
    return Signal(
        low_max_v=max(low, 0.0),
        high_min_v=max(high, 0.0),
        light_reserve=point.bright_reserve,
        dark_reserve=min(point.dark_reserve, 1e6),
        limited_by=limited,
        emitter_ma=(current[0] * 1e3, current[1] * 1e3),
        clean=clean,
        basis=weakest(link.data.basis, "derived", link.thresholds.basis),
    )


def _logic_limit(link: Chain, point: LogicPoint, low: float, high: float) -> str:
    """What stands in the way, or what sets the reserve."""
    if high < link.thresholds.vih * (1 - link.ranges.supply * link.thresholds.follows_supply):
        return f"high level {max(high, 0.0):.2f} V: the output does not drive this load up"
    if low > link.thresholds.vil:
        return f"low level {low:.2f} V is above the {link.thresholds.vil:.2f} V that the input takes for low"
    if point.dark_reserve < point.bright_reserve:
        return "light left in the dark state, against the threshold of the logic output"
    return "threshold current of the logic output"


def logic_at(link: Chain, emitter_ohm: float, load_ohm: float) -> LogicPoint:
    """The logic output on this board: lit at the least emitter current and aged, dark at the largest.

    Levels are the worst of both ends of the supply. The board's load goes to the supply or, in the emitter, to 0 V.
    """
    assert link.data.logic is not None
    output = link.data.logic
    low_if, high_if = link.current_range(emitter_ohm)
    nominal = _logic_point(link, 1.0, load_ohm, low_if * link.ranges.age_low, output)
    # the printed supply range is compared with the nominal supply: a 5 V rail may be 4.75 V in every such circuit
    free = replace(output, supply_min=0.0, supply_max=float("inf"))
    ends = [
        _logic_point(link, 1 + sign * link.ranges.supply, load_ohm * (1 - sign * link.ranges.load), high_if, free)
        for sign in (-1, 1)
    ]
    highs = [p.dark_v if output.low_when_lit else p.bright_v for p in ends]
    lows = [p.bright_v if output.low_when_lit else p.dark_v for p in ends]
    high, low = min(highs), max(lows)
    levels = _levels(link, low, high)
    dark = min(p.dark_reserve for p in ends)
    why = "; ".join(dict.fromkeys(word for p in (nominal, *ends) for word in p.why.split("; ") if word))
    return LogicPoint(
        bright_v=low if output.low_when_lit else high,
        dark_v=high if output.low_when_lit else low,
        bright_reserve=nominal.bright_reserve,
        dark_reserve=dark,
        sink_current=max(p.sink_current for p in ends),
        ok=levels and nominal.bright_reserve >= 1 and dark >= 1 and not why,
        valid=not why,
        why=why,
    )


def logic_levels(link: Chain, point: LogicPoint) -> bool:
    """Whether the input takes both levels of a logic output for what they are, whatever the light."""
    return _levels(link, min(point.bright_v, point.dark_v), max(point.bright_v, point.dark_v))


def _levels(link: Chain, low: float, high: float) -> bool:
    scale = 1 - link.ranges.supply if link.thresholds.follows_supply else 1.0
    return low <= link.thresholds.vil * scale and high >= link.thresholds.vih * scale


def _logic_point(link: Chain, rail: float, load_ohm: float, forward: float, output: LogicOutput) -> LogicPoint:
    supply = link.board.supply * rail
    return logic_point(
        output,
        link.thresholds,
        supply=supply,
        forward_current=forward,
        load=load_ohm,
        load_supply=None if link.board.side == "collector" else 0.0,
        dark=LOGIC_DARK,
    )


def fast_enough(link: Chain, load_ohm: float) -> tuple[bool | None, str]:
    """Whether the narrowest pulse of the machine passes; None when rate or times are not known."""
    rate = link.board.site.sees.rate
    if rate is None:
        return None, ""
    if link.data.logic is not None:
        return True, ""
    if not link.data.rise or not link.data.fall:
        return None, f"edges of the donor not known, so {rate:g} Hz was not checked"
    rise = switching_time(link.data.rise, load_ohm).high
    fall = switching_time(link.data.fall, load_ohm).high
    passes = pulse_passes(narrowest_pulse(rate), rise, fall)
    if passes.valid:
        return True, ""
    most = highest_rate(rise, fall)
    return False, f"at {rate:g} Hz the edges are too slow with {load_ohm:g} ohm; it passes up to {most:.3g} Hz"


def detector_limits(link: Chain, load_ohm: float) -> list[str]:
    """Limits of the detector that this board would exceed, in words."""
    detector, board = link.data.detector, link.board
    if detector is None:
        return []
    wrong = []
    if detector.vceo_max is not None and board.supply * (1 + link.ranges.supply) > detector.vceo_max:
        wrong.append(f"supply {board.supply:g} V is above VCEO {detector.vceo_max:g} V")
    current = board.supply * (1 + link.ranges.supply) / (load_ohm * (1 - link.ranges.load))
    if detector.ic_max is not None and current > detector.ic_max:
        wrong.append(f"load current {current * 1e3:.3g} mA is above IC max {detector.ic_max * 1e3:.3g} mA")
    # a resistive load hands over most at half the supply
    power = board.supply * (1 + link.ranges.supply) * current / 4
    if detector.power_max is not None and power > detector.power_max:
        wrong.append(f"power {power * 1e3:.3g} mW in the detector is above its {detector.power_max * 1e3:.3g} mW")
    return wrong


def with_age(link: Chain, age_low: float) -> Chain:
    """The same chain with another end-of-life factor of the light."""
    return replace(link, ranges=replace(link.ranges, age_low=age_low))
