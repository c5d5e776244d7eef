"""What to read after the repair, and when it is right: in words for the sheet, as numbers for the record."""

from __future__ import annotations

from dataclasses import dataclass

from xref.adapt.electrical import electrics
from xref.adapt.signal import Chain, chain
from xref.model.answers.fit import Fit
from xref.model.answers.sheet import Expected, Verdict
from xref.model.base import weakest
from xref.model.part import Part
from xref.model.site import Site

BELOW_GROUND = 0.1
"""A meter's zero and a ground drop may make a good low level read this much below 0 V (assumed)."""

RAIL_OVER = 0.05
"""Share by which a high level may read above its rail: the usual tolerance of a supply (common practice, no source)."""

METER_CURRENT = 1e-3
"""Current of a meter's diode test [A] (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A range of volts. None: no limit on that side."""

    low: float | None
    high: float | None
    basis: str = ""
    """What the range rests on, where that is not the board's own."""

    def holds(self, volts: float) -> bool:
        """Whether a reading lies in the range."""
        return (self.low is None or volts >= self.low) and (self.high is None or volts <= self.high)

    @property
    def words(self) -> str:
        """The range as printed, with its basis."""
        return f"{self._volts}; {self.basis}" if self.basis else self._volts

    @property
    def _volts(self) -> str:
        if self.high is None:
            return f"at least {self.low or 0.0:.2f} V"
        # below 0 V there is only what a meter's zero and a ground drop add
        if self.low is None or self.low < 0:
            return f"at most {self.high:.2f} V"
        return f"{self.low:.2f} to {self.high:.2f} V"


def link_of(donor: Part, site: Site | None) -> Chain | None:
    """The donor in its circuit; None where there is no board side, or the part is no sensor."""
    if site is None or donor.kind == "switch":
        return None
    return chain(electrics(donor), site)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What the input behind takes, and its rail [V]: low at or below ``low``, high at or above ``high``."""

    low: float
    high: float
    rail_max: float

    def reads(self, *, low: bool, volts: float) -> bool:
        """Whether the input takes the level for low (or for high); nothing good lies above the rail."""
        return volts <= self.low if low else self.high <= volts <= self.rail_max


def limits_of(link: Chain) -> Limits:
    """The input's limits on this board."""
    return Limits(low=link.thresholds.vil, high=link.thresholds.vih, rail_max=link.board.supply * (1 + RAIL_OVER))


def spans(fit: Fit, link: Chain | None) -> dict[str, Span]:
    """Range of each reading that can be predicted, by its name (``supply emitter lit dark``).

    Levels: the worst that the design allows, and never more than the input can read; where the design's own level is
    not known, what the input can read.
    """
    found: dict[str, Span] = {}
    signal = fit.signal
    if link is None or signal is None:
        return found
    rail, ranges = link.board.supply, link.ranges
    found["supply"] = Span(low=rail * (1 - ranges.supply), high=rail * (1 + ranges.supply))
    # an emitter that stays in its old housing is not the donor's, whose VF is known here
    if signal.emitter_ma is not None and "emitter" not in link.board.site.room.keep:
        low, high = (link.data.diode.vf(current * 1e-3) for current in signal.emitter_ma)
        up, down = ranges.vf_shift(up=True), ranges.vf_shift(up=False)
        found["emitter"] = Span(low=low + down, high=high + up, basis=link.vf_words)
    limits = limits_of(link)
    low_max = limits.low if signal.low_max_v is None else min(signal.low_max_v, limits.low)
    high_min = limits.high if signal.high_min_v is None else max(signal.high_min_v, limits.high)
    levels = Span(low=-BELOW_GROUND, high=low_max), Span(low=high_min, high=limits.rail_max)
    found["lit"], found["dark"] = levels if link.board.lit_low else levels[::-1]
    return found


def verdict_of(fit: Fit, link: Chain | None, *, one: bool = False) -> Verdict | None:
    """The signal in the words of the sheet; None where there is no signal to judge.

    ``one``: the collector current is that of the piece itself.
    """
    signal = fit.signal
    if link is None or signal is None:
        return None
    lines = []
    if signal.low_max_v is not None and signal.high_min_v is not None:
        low, high = f"low at most {signal.low_max_v:.2f} V", f"high at least {signal.high_min_v:.2f} V"
        lines.append(f"output: {low}, {high} (worst case)")
    else:
        lines.append("output levels: not known")
    limits = limits_of(link)
    moves = f" at a rail of {link.thresholds.supply:g} V, moving with it" if link.thresholds.follows_supply else ""
    lines.append(
        f"input {link.thresholds.name}: low up to {limits.low:.2f} V, high from {limits.high:.2f} V{moves} "
        f"[{link.thresholds.basis}]"
    )
    if signal.light_reserve is not None:
        whose = "this piece" if one else "any piece of the type"
        dark = "" if signal.dark_reserve is None else f", dark {_times(signal.dark_reserve)}"
        lines.append(f"reserve: lit {_times(signal.light_reserve)}{dark} of what is needed ({whose})")
    lines.append(f"set by: {signal.limited_by}  [{signal.basis}]")
    return Verdict(clean=signal.clean, lines=tuple(lines))


def _times(value: float) -> str:
    return "over 100 times" if value > 100 else f"{value:.2g} times"


def diode_test(link: Chain | None) -> str:
    """What the diode test of a meter shows across the donor's emitter, with its basis."""
    if link is None:
        return "its forward voltage"
    known = [value.basis for value in link.data.part.emitter.vf_v if value.typ is not None]
    volts = link.data.diode.vf(METER_CURRENT) + METER_CURRENT * link.data.built_in_ohm
    basis = f"from the {weakest(*known)} VF" if known else "assumed: the usual VF of its material"
    return f"about {volts:.2f} V (at 1 mA; {basis})"


def readings(fit: Fit, link: Chain | None) -> tuple[Expected, ...]:
    """The lines of the sheet: what to read before the case is closed, with an empty box beside each."""
    found = [Expected(point="each lead to its pad, power off", when="soldered", expect="near 0 ohm")]
    said = spans(fit, link)
    for name, point, when in (
        ("supply", "supply at the sensor", "power on"),
        ("emitter", "across the emitter", "power on"),
        ("lit", "output", "bright target or open slot"),
        ("dark", "output", "dark target or flag in"),
    ):
        if name in said:
            found.append(Expected(point=point, when=when, expect=said[name].words))
    return tuple(found)
