"""Half a sensor, and anything with two resistances: currents, window and reserve where no whole light path is known.

A lone emitter is judged against the one before it, a lone detector against the current that the board's levels ask
for, a two-state resistor by its divider. The light between a new half and an old one is not known from any sheet; what
can be said without it is said, and the reading that settles the rest is named.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, replace

from xref.adapt.electrical import Electrics, electrics
from xref.adapt.halves_detector import changed, detector_signal
from xref.adapt.halves_two_state import two_state_signal
from xref.adapt.original import Original
from xref.adapt.signal import Board, Chain, board_of, chain
from xref.adapt.values import LEAST_CURRENT, UNKNOWN_LIMIT, above_assumed
from xref.model.answers.fit import Fit, Signal
from xref.model.base import weakest
from xref.model.part import Part
from xref.model.site import Site
from xref.physics.emitter import Diode, fit_diode
from xref.physics.series import series_current, series_resistor
from xref.physics.standard_values import next_above, rkm, values_between

OTHER_COLOUR_NM = 40.0
"""Difference of wavelength that a silicon detector with its filter can notice [nm] (assumed)."""

SAME_LIGHT = 1.1
"""A light within this factor of the old one's is left as it is (assumed)."""


def half_signal(
    answer: Fit,
    original: Original,
    donor: Part,
    site: Site,
    *,
    part: Part | None,
    change: tuple[str, ...],
    series: str,
) -> Fit | None:
    """The fit of half a sensor, or of a two-state resistor, with values and signal; None for a whole sensor."""
    if site.kind == "two-state resistor" and site.two_state is not None and donor.origin == "typed":
        return two_state_signal(answer, site, change=change, series=series)
    half = used(original, donor, site)
    if half == "emitter":
        return _emitter(answer, donor, site, part, change, series)
    if half == "detector":
        return detector_signal(answer, original, donor, site, change=change, series=series)
    return None


def used(original: Original, donor: Part, site: Site) -> str:
    """Which half of the donor is put in: emitter, detector, or '' for both."""
    keep = {*original.keep, *site.room.keep}
    if donor.kind == "emitter" or site.kind == "emitter" or "detector" in keep:
        return "emitter"
    if donor.kind == "detector" or site.kind in ("detector", "two-state resistor") or "emitter" in keep:
        return "detector"
    return ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """The emitter circuit of the board, for one diode."""

    board: Board
    diode: Diode
    built_in: float

    def current(self, ohms: float) -> float:
        b = self.board
        return series_current(
            b.emitter_supply, ohms + self.built_in, self.diode, count=b.in_series, driver_drop=b.driver_drop
        )

    def ohms_for(self, current: float) -> float:
        """Exact board resistor for a current, not below 0."""
        b = self.board
        exact = series_resistor(
            b.emitter_supply, current, self.diode.vf(current), count=b.in_series, driver_drop=b.driver_drop
        )
        return max(exact - self.built_in, 0.0)


def _emitter(answer: Fit, donor: Part, site: Site, part: Part | None, change: tuple[str, ...], series: str) -> Fit:
    data, board = electrics(donor), board_of(site)
    link = _emitter_chain(data, board, site)
    old = electrics(part) if part is not None else None
    before = _Line(board=board, diode=old.diode if old else fit_diode([]), built_in=old.built_in_ohm if old else 0.0)
    now = _Line(board=board, diode=data.diode, built_in=data.built_in_ohm)
    was = before.current(board.emitter_ohm)
    if was < LEAST_CURRENT / 10 or now.current(board.emitter_ohm) < LEAST_CURRENT / 10:
        return _dark_line(answer, link)
    ratio, assumed = _light_ratio(part, donor)
    wanted = was / ratio[1]
    limit = link.if_limit
    least = _least_resistor(link, limit if limit is not None else UNKNOWN_LIMIT, series)
    ohms, warnings = _emitter_ohms(
        now, board, wanted, least, "emitter resistor" in change or "across" in change, series
    )
    low, high = link.current_range(ohms)
    clean: bool | None = None
    said = (
        f"light of the new emitter: {ratio[0] * low / was:.2g} to {ratio[2] * high / was:.2g} times the old one's "
        "typical; read the lit level" if ratio[0] != ratio[2]
        else "light of the new emitter against the old one's is not known; read the lit level"
    )  # fmt: skip
    if limit is not None and high > limit:
        clean = False
        said = f"emitter current up to {high * 1e3:.3g} mA is above its limit of {limit * 1e3:.3g} mA"
    elif limit is None and high > UNKNOWN_LIMIT:
        said = f"{above_assumed(high)}; {said}"
    bound = (
        f"{limit * 1e3:.3g} mA at {board.temp_c[1]:g} C"
        if limit is not None
        else f"{UNKNOWN_LIMIT * 1e3:g} mA, assumed"
    )
    warnings.append(
        f"emitter resistor: not below {rkm(least)} (limit of the emitter, {bound}); "
        f"for the old light {rkm(next_above(max(now.ohms_for(wanted), 1.0), series))} or less ({wanted * 1e3:.3g} mA)"
    )
    warnings += _other_colour(part, donor)
    made = Signal(
        low_max_v=None, high_min_v=None, dark_reserve=None, limited_by=said, clean=clean,
        light_reserve=ratio[0] * low / was if ratio[0] != ratio[2] else None,
        emitter_ma=(low * 1e3, high * 1e3), basis=weakest("derived", data.diode.basis),
    )  # fmt: skip
    return replace(
        answer, signal=made, warnings=tuple(warnings), assumed=tuple(dict.fromkeys((*link.assumed, *assumed))),
        values=changed("emitter resistor", board.emitter_ohm, ohms, site.emitter.resistor is not None,
                        f"emitter current {now.current(ohms) * 1e3:.3g} mA (was {was * 1e3:.3g} mA)"),
        basis=weakest(answer.basis, made.basis),
    )  # fmt: skip


def _dark_line(answer: Fit, link: Chain) -> Fit:
    """The supply does not reach the emitters' forward voltage, before or now: nothing can be reckoned."""
    low, high = link.current_range(link.board.emitter_ohm)
    made = Signal(
        low_max_v=None,
        high_min_v=None,
        light_reserve=None,
        dark_reserve=None,
        clean=False,
        limited_by="the supply gives this line of emitters no current worth the name; measure the supply",
        emitter_ma=(low * 1e3, high * 1e3),
        basis="derived",
    )
    return replace(answer, signal=made, assumed=link.assumed)


def _emitter_chain(data: Electrics, board: Board, site: Site) -> Chain:
    """The chain for currents only: what the output side would assume is left out."""
    link = chain(data, site)
    emitting = ("emitter", "forward voltage", "VF")
    said = tuple(
        text
        for text in (*board.assumed, *data.assumed)
        if any(word in text for word in emitting) and not text.startswith("detector")
    )
    return replace(link, assumed=said)


def _other_colour(part: Part | None, donor: Part) -> list[str]:
    """A word on another wavelength: the old detector is made for the old one."""
    old, new = part.emitter.wavelength_nm if part is not None else None, donor.emitter.wavelength_nm
    if old is None or new is None or abs(old - new) < OTHER_COLOUR_NM:
        return []
    return [f"{new:g} nm instead of {old:g} nm: the detector that stays may see more or less of it"]


def _light_ratio(part: Part | None, donor: Part) -> tuple[tuple[float, float, float], list[str]]:
    """Light of the donor over the typical light of the old part at one current: least, typical, most.

    The radiant intensity is taken in proportion to the current (common practice below the peak currents, no source).
    """
    old = part.emitter.radiant_mw_sr if part is not None else None
    new = donor.emitter.radiant_mw_sr
    if old is None or new is None or not old.best or not new.best:
        return (1.0, 1.0, 1.0), ["light of both emitters taken as equal at equal current; radiant intensity not known"]
    if not old.at.get("if_ma") or not new.at.get("if_ma"):
        return (1.0, 1.0, 1.0), ["light of both emitters taken as equal at equal current; its condition is not known"]
    each_old = old.best / old.at["if_ma"]
    least, most = new.min or new.best / 2, new.max or new.best * 2
    low, mid, high = (value / new.at["if_ma"] / each_old for value in (least, new.best, most))
    return (low, mid, high), ["radiant intensity in proportion to the current; angles of both emitters taken as equal"]


def _least_resistor(link: Chain, limit: float, series: str) -> float:
    tried = list(values_between(1.0, 1e6, series))
    place = bisect_left(tried, True, key=lambda ohms: link.current_range(ohms)[1] <= limit)
    return tried[min(place, len(tried) - 1)]


def _emitter_ohms(
    now: _Line, board: Board, wanted: float, least: float, may: bool, series: str
) -> tuple[float, list[str]]:
    """The resistor for a wanted current: the old one while that is near enough; within the limit."""
    here = now.current(board.emitter_ohm)
    near = 1 / SAME_LIGHT <= here / wanted <= SAME_LIGHT and board.emitter_ohm >= least
    if near or not may:
        return board.emitter_ohm, []
    exact = max(now.ohms_for(wanted), 1.0)
    ohms = min(values_between(exact / 1.3, exact * 1.3, series), key=lambda r: abs(now.current(r) - wanted))
    if ohms < least:
        return least, ["the limit of the new emitter does not let it give the old light: read the lit level"]
    return ohms, []
