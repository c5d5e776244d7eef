"""What to read after the repair, and when it is right: in words for the sheet, as numbers for the record."""

from __future__ import annotations

from dataclasses import dataclass

from xref.adapt.electrical import electrics
from xref.adapt.signal import Chain, chain
from xref.model.answers.fit import Fit
from xref.model.answers.sheet import Expected
from xref.model.part import Part
from xref.model.site import Site

BELOW_GROUND = 0.1
"""A meter's zero and a ground drop may make a good low level read this much below 0 V (assumed)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A range of volts. None: no limit on that side."""

    low: float | None
    high: float | None

    def holds(self, volts: float) -> bool:
        """Whether a reading lies in the range."""
        return (self.low is None or volts >= self.low) and (self.high is None or volts <= self.high)

    @property
    def words(self) -> str:
        """The range as printed."""
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


def spans(fit: Fit, link: Chain | None) -> dict[str, Span]:
    """Range of each reading that can be predicted, by its name (``supply emitter lit dark``)."""
    found: dict[str, Span] = {}
    signal = fit.signal
    if link is None or signal is None:
        return found
    rail, ranges = link.board.supply, link.ranges
    found["supply"] = Span(low=rail * (1 - ranges.supply), high=rail * (1 + ranges.supply))
    # an emitter that stays in its old housing is not the donor's, whose VF is known here
    if signal.emitter_ma is not None and "emitter" not in link.board.site.room.keep:
        low, high = (link.data.diode.vf(current * 1e-3) for current in signal.emitter_ma)
        found["emitter"] = Span(low=low - ranges.vf_band, high=high + ranges.vf_band)
    if signal.low_max_v is not None and signal.high_min_v is not None:
        levels = Span(low=-BELOW_GROUND, high=signal.low_max_v), Span(low=signal.high_min_v, high=None)
        found["lit"], found["dark"] = levels if link.board.lit_low else levels[::-1]
    return found


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
