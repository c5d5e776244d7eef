"""A lone detector, or the receiving half of a sensor: what its levels ask of the light, and the load that suits it."""

from __future__ import annotations

from dataclasses import replace

from xref.adapt.electrical import electrics, thresholds
from xref.adapt.glue import GAIN_LEAST, GAIN_MOST, GAIN_TYPICAL, photodiode_stage, stands_in, with_transistor
from xref.adapt.original import Original
from xref.adapt.signal import Chain, board_of, chain, detector_limits, logic_at, logic_levels, signal
from xref.adapt.values import ENOUGH, LOADS, WORTH, Choice, parallel_for
from xref.model.answers.fit import Added, Fit, Signal, ValueChange
from xref.model.base import weakest
from xref.model.part import Part
from xref.model.si import si
from xref.model.site import Site
from xref.physics.corners import corner_report
from xref.physics.operating import GivenLight, Setup
from xref.physics.standard_values import rkm, values_between


def detector_signal(
    answer: Fit, original: Original, donor: Part, site: Site, *, change: tuple[str, ...], series: str
) -> Fit:
    """The fit of a receiving half: the load, the currents that its levels ask for, and what the sheet's light gives."""
    link = detector_chain(donor, site)
    if link.data.logic is not None or link.data.detector is None:
        return _logic_half(answer, link)
    light, at, assumed = _given_light(donor)
    stage: tuple[Added, ...] = ()
    if change and stands_in(donor, original) and light is not None:
        stage, _ = photodiode_stage(answer)
        link = with_transistor(link)
        light = GivenLight(
            low=light.low * GAIN_LEAST, typical=light.typical * GAIN_TYPICAL, high=light.high * GAIN_MOST
        )
    choice = _detector_load(link, light, "load" in change or "across" in change, series)
    load = choice.load_ohm
    needed, allowed, leak = currents(link, load)
    shown = _detector_signal(link, light, at, load, needed, allowed / leak)
    if not choice.allowed:
        shown = replace(shown, clean=False, limited_by=choice.why_not)
    warnings = [
        f"the detector must pass at least {needed * 1e6:.3g} uA lit and at most {allowed * 1e6:.3g} uA dark with a "
        f"load of {rkm(load)}; its own dark current is up to {leak * 1e6:.2g} uA at {link.board.temp_c[1]:g} C"
    ]
    return replace(
        answer, signal=shown, warnings=tuple(warnings), assumed=tuple(dict.fromkeys((*link.assumed, *assumed))),
        added=stage,
        values=changed("load", link.board.load_ohm, load, site.output.load is not None,
                        f"lit level from {needed * 1e6:.3g} uA on"),
        basis=weakest(answer.basis, shown.basis),
    )  # fmt: skip


def _logic_half(answer: Fit, link: Chain) -> Fit:
    """A logic receiver with a light that is not its own emitter's: its levels hold, its reserve is not known."""
    plain = signal(link, link.board.emitter_ohm, link.board.load_ohm)
    wrong = plain.clean is False
    if link.data.logic is not None:
        point = logic_at(link, link.board.emitter_ohm, link.board.load_ohm)
        turned = link.data.logic.low_when_lit != link.board.lit_low
        wrong = turned or not point.valid or not logic_levels(link, point)
    words = "light at the detector not known; look whether the output follows the target"
    shown = replace(
        plain,
        light_reserve=None,
        dark_reserve=None,
        emitter_ma=None,
        clean=False if wrong else None,
        limited_by=f"{plain.limited_by}; {words}" if wrong else words,
    )
    return replace(answer, signal=shown, assumed=link.assumed, basis=weakest(answer.basis, shown.basis))


def detector_chain(donor: Part, site: Site) -> Chain:
    """The chain of a receiving half: what the emitter side would assume is left out."""
    data = electrics(donor)
    board = board_of(site)
    said: list[str] = []
    limits = thresholds(site, said)
    link = chain(data, site)
    sending = ("emitter", "forward voltage", "driver")
    kept = [text for text in (*board.assumed, *data.assumed) if not any(word in text for word in sending)]
    return replace(link, thresholds=limits, assumed=tuple(dict.fromkeys((*kept, *said))))


def _given_light(donor: Part) -> tuple[GivenLight | None, str, list[str]]:
    """Collector current at the irradiance of the sheet: least, typical, most; and that irradiance in words."""
    value = donor.detector.light_current_ma
    if value is None or not value.best:
        return None, "", ["sensitivity of the detector not known; read its current lit"]
    low = value.min or (value.typ or value.best) / 2
    high = value.max or max(4 * low, 2 * (value.typ or 0.0))
    typ = min(max(value.typ or min(2 * low, (low * high) ** 0.5), low), high)
    ee = value.at.get("ee_mw_cm2")
    at = f"{ee:g} mW/cm2" if ee is not None else "the light of its sheet"
    light = GivenLight(low=si("ic_ma", low), typical=si("ic_ma", typ), high=si("ic_ma", high))
    return light, at, [f"light at the new detector: {at}, as in its sheet; the machine's is not known"]


def currents(link: Chain, load_ohm: float) -> tuple[float, float, float]:
    """Light current that the lit level needs, dark current that it allows, own dark current; worst corners [A]."""
    b, limits, r = link.board, link.thresholds, link.ranges
    top, bottom = b.supply * (1 + r.supply), b.supply * (1 - r.supply)
    small, large = load_ohm * (1 - r.load), load_ohm * (1 + r.load)
    up, down = (1 + r.supply, 1 - r.supply) if limits.follows_supply else (1.0, 1.0)
    if b.side == "collector":
        lit = [(v - limits.vil * s) / small + limits.current_low for v, s in ((top, up), (bottom, down))]
        dark = [(v - limits.vih * s) / large - limits.current_high for v, s in ((top, up), (bottom, down))]
    else:
        lit = [limits.vih * s / small + limits.current_high for s in (up, down)]
        dark = [limits.vil * s / large - limits.current_low for s in (up, down)]
    detector = link.data.detector
    assert detector is not None
    return max(lit), max(min(dark), 0.0), detector.dark_current(b.temp_c[1])


def _reserve(link: Chain, light: GivenLight | None, load_ohm: float) -> float:
    needed, allowed, leak = currents(link, load_ohm)
    bright = (light.low if light is not None else needed * ENOUGH) * link.ranges.age_low / needed
    return min(bright, allowed / leak)


def _detector_load(link: Chain, light: GivenLight | None, may: bool, series: str) -> Choice:
    """The old load while it gives enough reserve; else the load with the most."""

    def choice(load: float, changes: int) -> Choice:
        why = detector_limits(link, load)
        return Choice(emitter_ohm=link.board.emitter_ohm, load_ohm=load, reserve=_reserve(link, light, load),
                      changes=changes, allowed=not why, why_not="; ".join(why))  # fmt: skip

    old = choice(link.board.load_ohm, 0)
    if not may or (old.allowed and old.reserve >= ENOUGH):
        return old
    tried = [found for load in values_between(*LOADS, series) if (found := choice(load, 1)).allowed]
    best = max(tried, key=lambda found: found.reserve, default=old)
    enough = [found for found in tried if found.reserve >= ENOUGH]
    # of those that are enough the one next to the old
    best = min(enough, key=lambda found: abs(found.load_ohm / old.load_ohm - 1), default=best)
    return best if best.reserve > old.reserve * WORTH or not old.allowed else old


def _detector_signal(link: Chain, light: GivenLight | None, at: str, load: float, needed: float, dark: float) -> Signal:
    lit_low = link.board.side == "collector"
    words = "light at the detector not known; read its current lit, or the lit level"
    low = high = reserve = None
    if light is not None and link.data.detector is not None:
        receiver = link.setup_receiver(load)
        report = corner_report(Setup(receiver=receiver, light=light), link.ranges)
        reserve = report.bright.bright_reserve
        low, high = (report.bright_v[1], report.dark_v[0]) if lit_low else (report.dark_v[1], report.bright_v[0])
        rail = link.board.supply * (1 + link.ranges.supply)
        low, high = min(max(low, 0.0), rail), min(max(high, 0.0), rail)
        words = f"the machine's light, not known: the reserve holds at {at}, and {needed * 1e6:.3g} uA are needed"
    clean: bool | None = None
    if dark < 1:
        clean, words = False, "dark current of the detector at the highest temperature"
    if lit_low != link.board.lit_low:
        clean, words = False, "the output goes the other way: an inverter is needed"
    return Signal(
        low_max_v=low, high_min_v=high, light_reserve=reserve, dark_reserve=min(dark, 1e6), limited_by=words,
        clean=clean, basis=weakest(link.data.basis, link.thresholds.basis, "assumed"),
    )  # fmt: skip


def changed(where: str, was: float, now: float, known: bool, why: str) -> tuple[ValueChange, ...]:
    """One changed resistor, or none; with the resistor across the old one where that comes within 5 %."""
    if abs(now - was) < 1e-9:
        return ()
    other = parallel_for(was, now) if known else None
    trick = "" if other is None or abs(1 / (1 / was + 1 / other) / now - 1) > 0.05 else (
        f"; or {rkm(other)} across the old one, which needs no desoldering"
    )  # fmt: skip
    return (ValueChange(where=where, was_ohm=was if known else None, now_ohm=now, why=why + trick),)
