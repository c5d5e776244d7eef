"""Half a sensor and two-state resistors: currents, windows and reserves by hand calculation from tests/reference."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product

import pytest

from xref.adapt.electrical import electrics
from xref.adapt.fit import FitOptions, fit
from xref.adapt.halves_detector import currents, detector_chain
from xref.adapt.halves_two_state import two_state_signal
from xref.adapt.original import from_site
from xref.adapt.signal import chain
from xref.errors import UsageError
from xref.library.store import open_library
from xref.model.answers.fit import Fit
from xref.model.site import Pads, Room, Sees, Site, SiteEmitter, SiteOutput, TwoState
from xref.model.value import Value
from xref.tasks.fit import Question
from xref.tasks.fit import fit as ask
from xref.tasks.signal import with_signal

EMITTER = Site(
    kind="emitter",
    pads=Pads(map="A K", grid=(2.54, 2.54)),
    emitter=SiteEmitter(supply=5.0, resistor=180.0, resistor_side="A", in_series=1, driver_drop=0.0),
    safety="none",
)
DETECTOR = Site(
    kind="detector",
    pads=Pads(map="C E", grid=(2.54, 2.54), nets={"C": "OUT", "E": "0V"}),
    output=SiteOutput(supply=5.0, load=10e3, load_side="C", input="74LS14", lit="low"),
    temperature=(10.0, 45.0),
    safety="none",
)


def solved(site: Site, donor: str, *, part: str = "", change: tuple[str, ...] | None = None) -> Fit:
    """A donor on a site, through wiring, values, signal and proof."""
    library = open_library()
    original = from_site(site)
    plain = fit(original, library.get(donor), FitOptions(alternatives=0))
    assert plain.possible, plain.because
    old = library.get(part) if part else None
    return with_signal(plain, original, library.get(donor), site, change=change, series="E24", part=old)


@pytest.mark.parametrize(
    ("supply", "drop", "resistor", "vf", "current"),
    [
        (5.0, 0.1, 2000.0, 1.7, 1.6e-3),  # W3: 6N139 circuit, LED to VDD, sunk by a CMOS gate (5 - 1.7 - 0.1)/1.6 mA
        (10.0, 0.1, 5125.0, 1.7, 1.6e-3),  # W4
        (5.0, 0.0, 760.0, 1.2, 5e-3),  # W7: TLP621
        (5.0, 0.0, 165.0, 1.7, 20e-3),  # W9: QRD1114
        (3.3, 0.0, 105.0, 1.2, 20e-3),  # W10
    ],
)
def test_emitter_current_of_published_circuits(
    supply: float, drop: float, resistor: float, vf: float, current: float
) -> None:
    """An emitter with the published VF on the published resistor carries the published current (W checks, 1 %)."""
    plain = open_library().get("IR333-A")
    point = Value(typ=vf, at={"if_ma": current * 1e3})
    donor = replace(plain, emitter=replace(plain.emitter, vf_v=(point,), wavelength_nm=660.0))
    site = replace(EMITTER, emitter=replace(EMITTER.emitter, supply=supply, resistor=resistor, driver_drop=drop))
    link = chain(electrics(donor), site)

    assert link.forward_current(resistor) == pytest.approx(current, rel=0.01)


def test_load_line_of_a_published_part() -> None:
    """W16: QRD1114 with its three printed VF points on 5 V and 330 ohm carries 11.6 mA (2 %)."""
    points = tuple(Value(typ=v, at={"if_ma": i}) for i, v in ((5.0, 1.092), (10.0, 1.154), (20.0, 1.23)))
    part = open_library().get("QRD1114")
    donor = replace(part, emitter=replace(part.emitter, vf_v=points))
    site = replace(EMITTER, emitter=replace(EMITTER.emitter, resistor=330.0))

    assert chain(electrics(donor), site).forward_current(330.0) == pytest.approx(11.6e-3, rel=0.02)


def test_equal_emitters_change_nothing() -> None:
    """The same emitter keeps its resistor; the answer gives its current and both limits of the resistor."""
    answer = solved(EMITTER, "IR333-A", part="IR333-A")

    assert answer.values == ()
    assert answer.verified
    assert answer.signal is not None
    assert answer.signal.emitter_ma is not None
    low, high = answer.signal.emitter_ma
    # (5 V -/+ 5 % - VF) / 180 ohm +/- 5 %; IR333-A prints 1.2 V typical and 1.5 V at most, both at 20 mA
    assert low == pytest.approx((4.75 - 1.5) / 189 * 1e3, rel=0.08)
    assert high == pytest.approx((5.25 - 1.2) / 171 * 1e3, rel=0.08)
    assert any("not below" in text for text in answer.warnings)


def test_a_brighter_emitter_gets_a_larger_resistor() -> None:
    """QED123: 70 mW/sr typical at 100 mA, IR333-A: 20 at 20 mA; equal light at 1/0.7 of the current."""
    answer = solved(EMITTER, "QED123", part="IR333-A")
    library = open_library()
    old = chain(electrics(library.get("IR333-A")), EMITTER).forward_current(180.0)
    new = chain(electrics(library.get("QED123")), EMITTER)
    ohms = answer.values[0].now_ohm if answer.values else 180.0

    assert new.forward_current(ohms) == pytest.approx(old * (20 / 20) / (70 / 100), rel=0.12)
    assert answer.signal is not None
    assert answer.signal.clean is None
    assert answer.verified


def test_emitter_limit_is_kept() -> None:
    """An old resistor that drives the new emitter beyond its derated limit is replaced, or the answer is not shown."""
    site = replace(EMITTER, emitter=replace(EMITTER.emitter, supply=12.0, resistor=120.0))
    may, must_not = solved(site, "IR333-A"), solved(site, "IR333-A", change=("nothing",))
    limit = (open_library().get("IR333-A").emitter.if_max_ma or 0.0) * (100 - 45) / 75

    assert may.values
    assert may.signal is not None
    assert may.signal.emitter_ma is not None
    assert may.signal.emitter_ma[1] <= limit
    assert may.verified
    assert not must_not.verified
    assert must_not.signal is not None
    assert must_not.signal.clean is False


@pytest.mark.parametrize("side", ["C", "E"])
@pytest.mark.parametrize("family", ["74LS14", "74HC14"])
def test_detector_window(side: str, family: str) -> None:
    """Lit and dark currents against Ohm's law at every corner of supply and load, and the printed input levels."""
    output = replace(DETECTOR.output, load_side=side, lit="low" if side == "C" else "high", input=family)  # type: ignore[arg-type]
    link = detector_chain(open_library().get("QSD123"), replace(DETECTOR, output=output))
    # DM74LS14 and 74HC1G14 as named in xref.physics.logic_families; 74HC thresholds move with the supply
    vil, vih, low_in, high_in = (0.5, 1.9, 0.4e-3, 20e-6) if family == "74LS14" else (1.0, 3.5, 1e-6, 1e-6)
    lit, dark = [], []
    for rail, size in product((0.95, 1.05), repeat=2):
        v, ohms = 5.0 * rail, 10e3 * size
        s = 1.0 if family == "74LS14" else rail
        lit.append((v - vil * s) / ohms + low_in if side == "C" else vih * s / ohms + high_in)
        dark.append((v - vih * s) / ohms - high_in if side == "C" else vil * s / ohms - low_in)

    needed, allowed, _ = currents(link, 10e3)

    assert needed == pytest.approx(max(lit), rel=0.02)
    assert allowed == pytest.approx(max(min(dark), 0.0), rel=0.02)


def test_detector_reserve_at_the_light_of_its_sheet() -> None:
    """QSD123 gives at least 4 mA at 0.5 mW/cm2 (DS300361); aged to 0.7 over what the lit level needs."""
    answer = solved(DETECTOR, "QSD123")
    needed = (5.25 - 0.5) / 9500 + 0.4e-3  # DM74LS14: VIL 0.5 V, IIL 0.4 mA

    assert answer.signal is not None
    assert answer.signal.light_reserve == pytest.approx(0.7 * 4e-3 / needed, rel=0.03)
    assert answer.signal.clean is None
    assert "0.5 mW/cm2" in answer.signal.limited_by
    assert answer.verified


def test_load_for_a_swing() -> None:
    """W11: 5 V, low at 0.8 V with 0.1 mA asks for 42 kohm: with that load the lit level needs 0.1 mA (0.5 %)."""
    output = SiteOutput(supply=5.0, load=42e3, load_side="C", low_below=0.8, high_above=2.0, lit="low")
    link = detector_chain(open_library().get("QSD123"), replace(DETECTOR, output=output))
    exact = replace(link, ranges=replace(link.ranges, supply=0.0, load=0.0))

    assert currents(exact, 42e3)[0] == pytest.approx(0.1e-3, rel=0.005)


def test_a_weak_detector_gets_a_larger_load() -> None:
    """LTR-301 (0.2 mA at least) on 2.2 kohm cannot pull the level down in its sheet's light: the load rises."""
    output = replace(DETECTOR.output, load=2200.0, input="74HC14")
    answer = solved(replace(DETECTOR, output=output), "LTR-301")

    assert answer.values[0].where == "load"
    assert answer.values[0].now_ohm > (5.25 - 1.0) / (0.7 * 0.2e-3) / 1.05
    assert answer.verified


def test_half_of_a_slot_keeps_the_other_half() -> None:
    """With the old emitter kept only the detector half is judged; with the detector kept only the emitter."""
    library = open_library()
    for keep, kind in (("emitter", "levels"), ("detector", "current")):
        site = Site(
            kind="slotted", emitter=EMITTER.emitter, output=DETECTOR.output, sees=Sees(gap=3.0),
            room=Room(keep=(keep,)), safety="none",
        )  # fmt: skip
        answer = ask(Question(original="H21A1", donor="H21A2"), library)
        from xref.adapt.original import from_part

        original = from_part(library.get("H21A1"), site)
        plain = fit(original, library.get("H21A2"), FitOptions(alternatives=0, keep=(keep,)))
        assert plain.possible, (plain.because, answer.fit.because)
        shown = with_signal(plain, original, library.get("H21A2"), site, change=None, series="E24")
        assert shown.signal is not None
        assert (shown.signal.emitter_ma is not None) == (kind == "current")
        assert shown.signal.clean is None
        assert shown.verified


def two_state(state: TwoState, load: float, family: str = "74HC14", change: tuple[str, ...] = ("load",)) -> Fit:
    """A two-state resistor to ground under a load to 5 V."""
    output = SiteOutput(supply=5.0, load=load, load_side="C", input=family, lit="low")
    site = Site(kind="two-state resistor", output=output, two_state=state, safety="none")
    plain = Fit(original="o", donor="d", kind=site.kind, possible=True)
    return two_state_signal(plain, site, change=change, series="E24")


@pytest.mark.parametrize(("lit", "dark", "load"), [(2e3, 200e3, 22e3), (500.0, 20e3, 4700.0), (10e3, 1e6, 100e3)])
def test_divider_levels(lit: float, dark: float, load: float) -> None:
    """Levels of a voltage divider at the worst ends: low at a small load, high at a large one, 1 uA of the input."""
    answer = two_state(TwoState(lit=lit, dark=dark), load, change=())
    small, large = load * 0.95, load * 1.05
    low = (5.25 / small + 1e-6) / (1 / small + 1 / lit)
    high = (4.75 / large - 1e-6) / (1 / large + 1 / dark)

    assert answer.signal is not None
    assert answer.signal.low_max_v == pytest.approx(low, rel=1e-6)
    assert answer.signal.high_min_v == pytest.approx(high, rel=1e-6)


@pytest.mark.parametrize("load", [1e3, 4700.0, 220e3])
def test_best_load_of_a_two_state_resistor(load: float) -> None:
    """No load of E24 leaves more reserve than the chosen one (exhaustive, Ohm's law, 74HC14 at 5 V: 1.0 and 3.5 V)."""
    e24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)
    lit, dark = 2e3, 200e3

    def reserve(ohms: float) -> float:
        found = math.inf
        for rail, size in product((0.95, 1.05), repeat=2):
            vcc, r = 5 * rail, ohms * size
            vil, vih = 1.0 * rail, 3.5 * rail
            found = min(found, vil / ((vcc - vil) / r + 1e-6) / lit, dark * ((vcc - vih) / r - 1e-6) / vih)
        return found

    answer = two_state(TwoState(lit=lit, dark=dark), load)
    now = answer.values[0].now_ohm if answer.values else load

    best = max(reserve(m * 10.0**d) for m in e24 for d in range(1, 5))
    assert reserve(now) >= min(best, 2.0) * 0.99


def test_window_in_ohms() -> None:
    """A resistor ladder wants lit below 1 kohm and dark above 50 kohm: 4 kohm lit needs a resistor across it."""
    answer = two_state(TwoState(lit=1.5e3, dark=1e6, low_below=1e3, high_above=1.2e3), 10e3)
    assert answer.signal is not None
    across = next(item.value_ohm for item in answer.added if item.what == "parallel resistor")
    assert across is not None

    assert 1 / (1 / 1.5e3 + 1 / across) < 1e3
    assert 1 / (1 / 1e6 + 1 / across) > 1.2e3
    assert answer.signal.clean is True


def test_same_keeps_the_two_state_resistor(tmp_path: object) -> None:
    """'same' on a site file with a two-state resistor solves its load; without one it asks for a part."""
    from pathlib import Path

    text = (
        'format: 1\nsite:\n  kind: "two-state resistor"\n  pads: {map: C E, grid: 5x2.54mm}\n'
        "  output: {supply: 5V, load: 4.7k, load_side: C, input: 74HC14, lit: low}\n"
        "  two_state: {lit: 2k, dark: 200k}\n  safety: none\n"
    )
    path = Path(str(tmp_path)) / "site.yaml"
    path.write_text(text)
    answered = ask(Question(original=str(path), donor="same"))

    assert answered.fit.verified
    assert answered.fit.signal is not None
    assert answered.fit.signal.clean is True
    assert answered.fit.values[0].where == "load"
    path.write_text(text.replace("  two_state: {lit: 2k, dark: 200k}\n", ""))
    with pytest.raises(UsageError):
        ask(Question(original=str(path), donor="same"))
