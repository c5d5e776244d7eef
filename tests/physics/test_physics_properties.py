"""What must hold for every circuit: orderings, thresholds, inverses, and the worst case against random inner points."""

from __future__ import annotations

import math
import random
import subprocess
import sys
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from physics_reference import expected, xy

from xref.errors import DataError
from xref.physics.corners import CornerReport, Ranges, corner_report, emitter_range, reserves, worst_reserves
from xref.physics.coupling import current_factor, temperature_factor
from xref.physics.curves import curve
from xref.physics.detector import KINDS, Detector
from xref.physics.emitter import diode_from_parameters, fit_diode
from xref.physics.load import make_load, node_voltage
from xref.physics.logic_input import family_thresholds, own_thresholds
from xref.physics.operating import (
    Corner,
    EmitterCircuit,
    GivenLight,
    Receiver,
    Setup,
    Transfer,
    operating_point,
)
from xref.physics.series import series_current, series_resistor
from xref.physics.spread import BRIGHTEST_C
from xref.physics.validity import Estimate, exact
from xref.physics.validity import product as product_of

INPUTS = ("74LS14", "74HC14", "7404", "4049", "74HCT04")


def ring_sensor(
    *,
    kind: str = "phototransistor",
    side: str = "collector",
    load: float = 10e3,
    resistor: float = 220.0,
    typed: str = "74HC14",
    bright: float = 0.5,
    dark: float = 0.02,
) -> Setup:
    """The step sensor of the inner ring, with a reflective part."""
    return Setup(
        emitter=EmitterCircuit(diode=fit_diode([(60e-3, 1.25)]), supply=5.0, resistor=resistor, current_max=60e-3),
        transfer=Transfer(low=0.5e-3, typical=1e-3, high=2.1e-3, if_ref=10e-3, bright=bright, dark=dark),
        receiver=Receiver(
            detector=Detector(kind=kind), supply=5.0, load=load, side=side, input=family_thresholds(typed, 5.0)
        ),
    )


@given(resistor=st.floats(50, 5000), less=st.floats(0.3, 0.99), kind=st.sampled_from(KINDS), temp=st.floats(-20, 70))
@settings(max_examples=150, deadline=None)
def test_more_emitter_current_never_lowers_the_light(resistor: float, less: float, kind: str, temp: float) -> None:
    """A smaller emitter resistor gives more current, and never less collector current."""
    weak = operating_point(ring_sensor(resistor=resistor, kind=kind), Corner(temp_c=temp))
    strong = operating_point(ring_sensor(resistor=resistor * less, kind=kind), Corner(temp_c=temp))

    assert weak.forward_current is not None
    assert strong.forward_current is not None
    assert strong.forward_current > weak.forward_current
    assert strong.bright_light >= weak.bright_light
    assert strong.bright_reserve >= weak.bright_reserve


@given(load=st.floats(100, 1e6), more=st.floats(1.01, 10), light=st.floats(1e-7, 1e-2), kind=st.sampled_from(KINDS))
@settings(max_examples=150, deadline=None)
def test_a_larger_load_never_raises_the_low_level(load: float, more: float, light: float, kind: str) -> None:
    """The low level of a pulled-up output falls, or stays, when the load grows."""
    detector = Detector(kind=kind)

    assert node_voltage(detector, make_load(5.0, load * more), light) <= (
        node_voltage(detector, make_load(5.0, load), light) + 1e-9
    )


@given(
    supply=st.floats(0.0, 60.0),
    load=st.floats(10.0, 1e8),
    light=st.one_of(st.just(0.0), st.floats(1e-12, 0.5)),
    kind=st.sampled_from(KINDS),
    side=st.sampled_from(["collector", "emitter"]),
    temp=st.floats(-40, 110),
)
@settings(max_examples=400, deadline=None)
def test_extremes_stay_between_the_rails(
    supply: float, load: float, light: float, kind: str, side: str, temp: float
) -> None:
    """Any supply, load and light give a finite level between the rails (a photodiode: a junction past them)."""
    numpy = pytest.importorskip("numpy")
    net, detector = make_load(supply, load, side), Detector(kind=kind)

    level = node_voltage(detector, net, light, temp_c=temp)
    same = node_voltage(detector, net, numpy.array([light, light]), temp_c=temp)

    past = 1.0 if kind == "photodiode" else 1e-9
    assert -past <= level <= supply + past
    assert level == pytest.approx(float(same[0]), abs=1e-4)


@given(supply=st.floats(-10, 100), resistor=st.floats(0, 1e7), count=st.integers(1, 20), temp=st.floats(-40, 110))
@settings(max_examples=200, deadline=None)
def test_series_extremes_are_finite(supply: float, resistor: float, count: int, temp: float) -> None:
    """Any supply, even a reversed one, gives a finite current that is not negative."""
    current = series_current(supply, resistor, fit_diode([(20e-3, 1.2)]), count=count, temp_c=temp)

    assert 0 <= current < 100


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("side", ["collector", "emitter"])
@pytest.mark.parametrize("typed", INPUTS)
@pytest.mark.parametrize("temp", [-10.0, 25.0, 60.0])
def test_reserve_one_sits_on_the_threshold(kind: str, side: str, typed: str, temp: float) -> None:
    """With the light divided by its bright reserve (or multiplied by the dark one) the level is the threshold."""
    load = 2200.0 if side == "collector" else 220.0
    setup = ring_sensor(kind=kind, side=side, typed=typed, load=load)
    corner = Corner(temp_c=temp)
    first = operating_point(setup, corner)
    t = setup.receiver.input
    bright_edge, dark_edge = (t.vil, t.vih) if side == "collector" else (t.vih, t.vil)

    if 0 < first.bright_reserve < math.inf:
        edge = operating_point(setup, replace(corner, target=1 / first.bright_reserve))
        assert edge.bright_reserve == pytest.approx(1.0, rel=1e-9)
        assert edge.bright_v == pytest.approx(bright_edge, abs=1e-6)
    if 0 < first.dark_reserve < math.inf:
        edge = operating_point(setup, replace(corner, stray=first.dark_reserve))
        assert edge.dark_reserve == pytest.approx(1.0, rel=1e-9)
        assert edge.dark_v == pytest.approx(dark_edge, abs=1e-6)
    assert first.bright_reserve > 0 or first.dark_reserve > 0


@given(supply=st.floats(3, 24), current=st.floats(1e-3, 60e-3), count=st.integers(1, 3), temp=st.floats(-20, 70))
@settings(max_examples=150, deadline=None)
def test_solving_back_gives_the_current(supply: float, current: float, count: int, temp: float) -> None:
    """A resistor chosen for a current gives that current when the circuit is solved with it."""
    diode = fit_diode([(20e-3, 1.2)])
    vf = diode.vf(current, temp)
    if count * vf >= supply - 0.05:
        return

    resistor = series_resistor(supply, current, vf, count=count)

    assert series_current(supply, resistor, diode, count=count, temp_c=temp) == pytest.approx(current, rel=1e-8)
    assert diode.current(vf, temp) == pytest.approx(current, rel=1e-8)


def test_series_current_against_scipy() -> None:
    """The current satisfies the same equation solved by scipy's bracketing root finder, over a seeded grid."""
    optimize = pytest.importorskip("scipy.optimize")
    rng = random.Random(7)
    for _ in range(200):
        diode = diode_from_parameters(10 ** rng.uniform(-22, -10), rng.uniform(0.026, 0.055), rng.uniform(0, 8))
        supply, resistor, count = rng.uniform(0.2, 24), 10 ** rng.uniform(0, 5), rng.randint(1, 4)

        def residual(i: float, d: object = diode, v: float = supply, r: float = resistor, n: int = count) -> float:
            return n * (d.slope * math.log1p(i / d.saturation_current) + d.ohmic * i) + r * i - v  # type: ignore

        wanted = optimize.brentq(residual, 0.0, supply / resistor, xtol=1e-18, rtol=1e-13)
        assert series_current(supply, resistor, diode, count=count) == pytest.approx(wanted, rel=1e-7, abs=1e-15)


def test_curve_against_scipy() -> None:
    """The monotone curve equals scipy's PCHIP on seeded points, scalars and arrays alike."""
    numpy = pytest.importorskip("numpy")
    interpolate = pytest.importorskip("scipy.interpolate")
    rng = random.Random(3)
    for _ in range(50):
        x = sorted(rng.uniform(0, 10) for _ in range(rng.randint(3, 12)))
        y = [rng.uniform(-1, 1) for _ in x]
        mine, theirs = curve(list(zip(x, y, strict=True))), interpolate.PchipInterpolator(x, y)
        at = numpy.linspace(x[0], x[-1], 101)
        assert numpy.allclose(mine.values(at), theirs(at), atol=1e-10)
        assert [mine.value(float(u)) for u in at] == pytest.approx(theirs(at).tolist(), abs=1e-10)


def test_driver_drop_lowers_the_supply() -> None:
    """A driver transistor's drop acts as a lower supply."""
    board = ring_sensor()
    assert board.emitter is not None
    dropped = replace(board, emitter=replace(board.emitter, driver_drop=0.3))
    lower = replace(board, emitter=replace(board.emitter, supply=4.7))

    assert operating_point(dropped).forward_current == pytest.approx(operating_point(lower).forward_current)


@pytest.mark.parametrize("side", ["collector", "emitter"])
@pytest.mark.parametrize("own_rail", [None, 0.03])
def test_report_is_the_least_of_all_ends(side: str, own_rail: float | None) -> None:
    """The report's reserves are exactly the least over every combination of every end (brute force)."""
    ranges = replace(WIDE, emitter_supply=own_rail, emitter_resistor=0.1, vf_band=0.08)
    board = ring_sensor(side=side, load=4700.0 if side == "collector" else 470.0)
    assert board.transfer is not None
    known = replace(  # curves of TCRT5000, Vishay 83760 rev. 1.7, Fig. 8 and 5: the default laws would add their bands
        board.transfer, transfer_curve=curve(CTR, log_x=True, log_y=True), temperature_curve=curve(WARM)
    )
    board = replace(board, transfer=known)
    report = corner_report(board, ranges)

    points = []
    for part, er, load, rail, temp, age, vf in product(
        ("low", "high"), (0.9, 1.1), (0.95, 1.05), (0.95, 1.05), (5.0, 25.0, 40.0, 50.0), (0.6, 1.0), (-0.08, 0.08)
    ):
        for own in (rail,) if own_rail is None else (1 - own_rail, 1 + own_rail):
            corner = Corner(
                part=part, emitter_resistor=er, load=load, supply=rail, emitter_supply=own, temp_c=temp, age=age,
                vf_shift=vf,
            )  # fmt: skip
            points.append(operating_point(board, corner))

    assert report.bright.bright_reserve == pytest.approx(min(p.bright_reserve for p in points), rel=1e-9)
    assert report.dark.dark_reserve == pytest.approx(min(p.dark_reserve for p in points), rel=1e-9)
    assert report.bright_v == pytest.approx((min(p.bright_v for p in points), max(p.bright_v for p in points)))
    assert report.dark_v == pytest.approx((min(p.dark_v for p in points), max(p.dark_v for p in points)))
    currents = [p.forward_current for p in points if p.forward_current is not None]
    assert report.forward_current == pytest.approx((min(currents), max(currents)))


def test_default_laws_add_their_bands() -> None:
    """Without the part's curves the worst case is worse than with them, the more the farther from the printed row."""
    board = ring_sensor(resistor=390.0)
    assert board.transfer is not None
    same = replace(
        board.transfer,
        # the default laws themselves, given as if they were the part's own curves
        transfer_curve=curve(
            [(i, current_factor(i, 10e-3).value / i) for i in (0.5e-3, 1e-3, 2e-3, 5e-3, 10e-3, 20e-3)], log_x=True
        ),
        temperature_curve=curve([(float(t), temperature_factor(t).value) for t in range(0, 61, 5)]),
    )

    assumed = corner_report(board, WIDE).bright.bright_reserve
    known = corner_report(replace(board, transfer=same), WIDE).bright.bright_reserve
    far = corner_report(replace(board, transfer=replace(board.transfer, if_ref=40e-3)), WIDE).bright
    far_nominal = operating_point(replace(board, transfer=replace(board.transfer, if_ref=40e-3))).bright_reserve

    assert 0.7 * known < assumed < known
    half = corner_report(replace(board, transfer=replace(same, temperature_curve=None)), WIDE).bright.bright_reserve
    assert assumed < half < known
    dark_assumed, dark_known = (
        corner_report(b, WIDE).dark.dark_reserve for b in (board, replace(board, transfer=same))
    )
    assert 0.7 * dark_known < dark_assumed < dark_known
    twice = replace(same, dark_high=2 * same.dark)
    assert corner_report(replace(board, transfer=twice), WIDE).dark.dark_reserve == pytest.approx(dark_known / 2)
    assert far.bright_reserve / far_nominal < assumed / operating_point(board).bright_reserve


def test_factors_multiply_with_their_bands() -> None:
    """Two factors multiply value by value and end by end; one outside its range makes the product so (by hand)."""
    a = Estimate(value=2.0, low=1.5, high=3.0, basis="curve")
    b = Estimate(value=0.5, low=0.4, high=0.6, valid=False, why="too far", basis="assumed")

    both = product_of(a, b, exact(1.0, "printed"))

    assert (both.value, both.low, both.high) == pytest.approx((1.0, 0.6, 1.8))
    assert (both.valid, both.why, both.basis) == (False, "too far", "assumed")
    assert both.half_width == pytest.approx(0.6)


CTR = [(i / 1e3, v) for i, v in xy(expected("X10")["points_ma_pct"])]
WARM = xy(expected("T1")["points"])
WIDE = Ranges(supply=0.05, emitter_resistor=0.05, load=0.05, temp_low_c=5, temp_high_c=50, age_low=0.6)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("side", ["collector", "emitter"])
@pytest.mark.parametrize("typed", ["74LS14", "74HC14"])
def test_no_inner_point_is_worse_than_the_corners(kind: str, side: str, typed: str) -> None:
    """20,000 seeded points inside the ranges: none has less reserve or a level outside those of the corner report."""
    numpy = pytest.importorskip("numpy")
    setup = ring_sensor(kind=kind, side=side, typed=typed, load=4700.0 if side == "collector" else 470.0)
    report = corner_report(setup, WIDE)
    rng = numpy.random.default_rng(11)
    n = 20_000
    rail = rng.uniform(0.95, 1.05, n)
    points = reserves(
        setup,
        levels=True,
        part=rng.uniform(0.5e-3, 2.1e-3, n),
        supply=rail,
        emitter_supply=rail,
        emitter_resistor=rng.uniform(0.95, 1.05, n),
        load=rng.uniform(0.95, 1.05, n),
        temp_c=rng.uniform(5, 50, n),
        age=rng.uniform(0.6, 1.0, n),
        vf_shift=rng.uniform(-0.05, 0.05, n),
    )

    assert points["bright_reserve"].min() >= report.bright.bright_reserve * (1 - 1e-6)
    assert points["dark_reserve"].min() >= report.dark.dark_reserve * (1 - 1e-6)
    for name in ("bright_v", "dark_v"):
        low, high = getattr(report, name)
        assert points[name].min() >= low - 2e-3
        assert points[name].max() <= high + 2e-3


def test_scalars_and_arrays_agree() -> None:
    """The array call gives the scalar results of the same corners, levels within 0.1 mV."""
    numpy = pytest.importorskip("numpy")
    rng = random.Random(5)
    for kind in KINDS:
        setup = ring_sensor(kind=kind)
        corners = [
            Corner(part=rng.uniform(0.4e-3, 2e-3), supply=rng.uniform(0.9, 1.1), temp_c=rng.uniform(-20, 70),
                   load=rng.uniform(0.5, 2), age=rng.uniform(0.5, 1), target=rng.uniform(0.1, 3))
            for _ in range(60)
        ]  # fmt: skip
        names = ("part", "supply", "temp_c", "load", "age", "target")
        table = reserves(setup, levels=True, **{k: numpy.array([getattr(c, k) for c in corners]) for k in names})
        for i, c in enumerate(corners):
            point = operating_point(setup, c)
            assert table["bright_v"][i] == pytest.approx(point.bright_v, abs=1e-4)
            assert table["dark_v"][i] == pytest.approx(point.dark_v, abs=1e-4)
            assert table["bright_reserve"][i] == pytest.approx(point.bright_reserve, rel=1e-9)
            assert table["forward_current"][0] == pytest.approx(operating_point(setup, corners[0]).forward_current)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("side", ["collector", "emitter"])
@pytest.mark.parametrize("typed", INPUTS)
def test_fast_form_equals_the_report(kind: str, side: str, typed: str) -> None:
    """The reserves without levels are those of the full report."""
    board = ring_sensor(kind=kind, side=side, typed=typed, load=4700.0 if side == "collector" else 470.0)
    report = corner_report(board, WIDE)

    bright, dark = worst_reserves(board, WIDE)

    assert (bright, dark) == pytest.approx((report.bright.bright_reserve, report.dark.dark_reserve), rel=1e-12)


def test_report_names_what_sets_the_reserve() -> None:
    """With a wide spread of the part, the part is named; with none, the largest other departure."""
    wide = corner_report(ring_sensor(), WIDE)
    base = ring_sensor()
    assert base.transfer is not None
    narrow = corner_report(
        replace(base, transfer=replace(base.transfer, low=0.99e-3, high=1.01e-3)), replace(WIDE, age_low=0.3)
    )

    assert isinstance(wide, CornerReport)
    assert wide.bright.corner.part == "low"
    assert wide.bright_driver == "spread of the part"
    assert narrow.bright_driver == "age of the emitter"
    assert wide.limited_by.startswith(("bright level, ", "dark level, "))
    assert wide.reserve == min(wide.bright.bright_reserve, wide.dark.dark_reserve)


def test_wider_ranges_never_help() -> None:
    """Widening any one range never raises the reserve."""
    setup = ring_sensor()
    base = corner_report(setup, WIDE).reserve

    for change in (
        {"supply": 0.1}, {"emitter_resistor": 0.2}, {"load": 0.2}, {"temp_high_c": 80.0}, {"age_low": 0.4},
        {"vf_band": 0.1}, {"emitter_supply": 0.05},
    ):  # fmt: skip
        assert corner_report(setup, replace(WIDE, **change)).reserve <= base * (1 + 1e-9), change


def test_lone_detector() -> None:
    """A detector lit from elsewhere needs no emitter; its reserve is the light over what the load asks (Ohm's law)."""
    setup = Setup(
        light=GivenLight(low=0.5e-3, typical=1e-3, high=2e-3, dark=1e-6),
        receiver=Receiver(
            detector=Detector(gain_ratio=1.0001, dark_25c=1e-12), supply=5.0, load=10e3, input=own_thresholds(0.8, 2.0)
        ),
    )

    point = operating_point(setup)

    assert point.forward_current is None
    assert point.bright_reserve == pytest.approx(1e-3 / 0.42e-3, rel=1e-6)  # (5 - 0.8) V / 10 kohm
    assert point.dark_reserve == pytest.approx(0.3e-3 / 1e-6, rel=1e-6)  # (5 - 2) V / 10 kohm


def test_leakage_alone_can_lose_the_dark_level() -> None:
    """A hot detector on a large load loses its high level without any light: reserve 0, not infinite."""
    setup = ring_sensor(load=1e6, dark=0.0)

    cold, hot = (operating_point(setup, Corner(temp_c=t)) for t in (0.0, 80.0))

    assert cold.dark_reserve == math.inf
    assert hot.dark_reserve == 0.0
    assert not hot.ok


def test_a_darlington_cannot_drive_ttl_low() -> None:
    """A darlington's low level stays above the 0.5 V of an LS Schmitt input, whatever the light."""
    point = operating_point(ring_sensor(kind="photodarlington", typed="74LS14", bright=100.0))

    assert point.bright_reserve == 0.0
    assert point.bright_v > 0.5


def test_outside_is_marked() -> None:
    """Temperature, supply of the input, and emitter current outside their ranges are named together."""
    setup = ring_sensor(resistor=20.0)
    setup = replace(setup, receiver=replace(setup.receiver, input=family_thresholds("74LS14", 12.0)))

    point = operating_point(setup, Corner(temp_c=100.0))

    assert not point.valid
    assert point.why.startswith("ls-schmitt works from 4.75 to 5.25 V, not at 12 V; 100 C is outside -25 to 85 C; ")
    assert "is above the emitter's limit of 60 mA" in point.why


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: Transfer(low=2e-3, typical=1e-3, high=3e-3, if_ref=0.01),
            "a collector current needs 0 < low <= typical <= high, not 0.002, 0.001, 0.003 A",
        ),
        (
            lambda: Setup(receiver=ring_sensor().receiver),
            "a working point needs emitter and transfer, or the light of a lone detector",
        ),
        (
            lambda: corner_report(ring_sensor(), Ranges(temp_low_c=50, temp_high_c=10)),
            "the temperature range runs from 50 down to 10 C",
        ),
        (
            lambda: corner_report(ring_sensor(), Ranges(load=1.5)),
            "the tolerance of load is a fraction from 0 to below 1, not 1.5",
        ),
        (
            lambda: corner_report(ring_sensor(), Ranges(age_low=0.0)),
            "the age factor lies above 0 and up to 1, not 0",
        ),
        (
            lambda: operating_point(ring_sensor(), Corner(part="best")),
            "no place 'best' in a part's spread; known: low, typical, high",
        ),
        (lambda: curve([(1.0, 1.0)]), "a curve needs at least 2 points, not 1"),
        (lambda: curve([(1.0, 1.0), (1.0, 2.0)]), "the abscissas of a curve must rise: 1 follows 1"),
        (lambda: curve([(0.0, 1.0), (1.0, 2.0)], log_x=True), "a curve on logarithmic axes needs positive values"),
    ],
)
def test_joined_errors(call: object, message: str) -> None:
    """Wrong input is named in one line."""
    with pytest.raises(DataError) as error:
        call()  # type: ignore[operator]

    assert str(error.value) == message


def test_unknown_column() -> None:
    """A column that is no corner quantity is refused by name."""
    with pytest.raises(DataError) as error:
        reserves(ring_sensor(), colour=1.0)

    assert str(error.value).startswith("no corner quantity 'colour'; known: part, emitter_supply, ")


def test_scalar_calls_import_no_numpy() -> None:
    """A whole corner report in a fresh interpreter leaves numpy, yaml and pydantic unimported."""
    code = (
        "import sys\n"
        "from xref.physics.corners import corner_report\n"
        "from xref.physics.operating import *\n"
        "from xref.physics.emitter import fit_diode\n"
        "from xref.physics.detector import Detector\n"
        "from xref.physics.logic_input import family_thresholds\n"
        "from xref.physics import contact, curves, distance, logic_output, optics, standard_values, timing, two_state\n"
        "s = Setup(emitter=EmitterCircuit(diode=fit_diode([(0.02, 1.2)]), supply=5.0, resistor=220.0),\n"
        "  transfer=Transfer(low=1e-4, typical=2e-4, high=4e-4, if_ref=0.02),\n"
        "  receiver=Receiver(detector=Detector(), supply=5.0, load=1e4, input=family_thresholds('7414')))\n"
        "corner_report(s)\n"
        "print(sorted(m for m in ('numpy', 'yaml', 'pydantic', 'scipy') if m in sys.modules))\n"
    )

    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)

    assert done.stdout == "[]\n"


def test_brightest_temperature() -> None:
    """The default law has its maximum where the corners put it (a scan of the law itself in steps of 0.1 K)."""
    scan = max((temperature_factor(t / 10).value, t / 10) for t in range(-250, 851))

    assert scan[1] == pytest.approx(BRIGHTEST_C, abs=1.0)


def test_inner_maximum_of_a_curve_is_a_corner() -> None:
    """A part that is brightest in the middle of the range has its dark level judged there."""
    base = ring_sensor(dark=0.2, load=2200.0)
    assert base.transfer is not None
    hump = curve([(0.0, 0.5), (30.0, 2.0), (60.0, 0.5)])
    setup = replace(base, transfer=replace(base.transfer, temperature_curve=hump))

    report = corner_report(setup, replace(WIDE, temp_low_c=0, temp_high_c=60))

    assert report.dark.corner.temp_c == pytest.approx(30.0)


def test_emitter_range() -> None:
    """The range of the current brackets random circuits inside the tolerances, and names an exceeded limit."""
    circuit = ring_sensor(resistor=68.0).emitter
    assert circuit is not None
    found = emitter_range(circuit, WIDE)
    rng = random.Random(9)

    for _ in range(300):
        current = series_current(
            5.0 * rng.uniform(0.95, 1.05) + rng.uniform(-0.05, 0.05), 68.0 * rng.uniform(0.95, 1.05), circuit.diode,
            temp_c=rng.uniform(5, 50),
        )  # fmt: skip
        assert found.low <= current <= found.high
    assert not found.valid
    assert found.why.endswith("is above the emitter's limit of 60 mA")


def test_result_carries_the_weakest_basis() -> None:
    """An assumed detector or a remembered family shows in the answer."""
    assert operating_point(ring_sensor(typed="74HC14")).basis == "assumed"
    assert operating_point(ring_sensor(typed="74S04")).basis == "memory"
