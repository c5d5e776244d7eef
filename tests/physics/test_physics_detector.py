"""Detectors, loads and saturation against curves and worked examples of others."""

from __future__ import annotations

import math

import pytest
from physics_reference import cite, expected, inputs, xy

from xref.errors import DataError
from xref.physics.curves import curve
from xref.physics.detector import (
    KINDS,
    Detector,
    dark_current_estimate,
    doubling_interval,
    fit_saturation,
    reversed_emitter,
    stresses,
)
from xref.physics.load import light_current_for, load_resistor, make_load, node_voltage


@pytest.mark.parametrize("name", ["I1", "I2"])
def test_dark_current_curve(name: str) -> None:
    """From the value at 25 degrees and the factor per 10 K the printed line follows within 10 % (I1, I2)."""
    row = expected(name)
    points = dict(xy(row["points_na"]))

    for temp, nano in points.items():
        result = dark_current_estimate(points[25.0] * 1e-9, temp, per_10k=row["per_10k"])
        assert result.value * 1e9 == pytest.approx(nano, rel=0.10), f"{cite(name)} at {temp} C"


@pytest.mark.parametrize("name", ["I1", "I2"])
def test_default_dark_current_covers_the_curve(name: str) -> None:
    """Without a factor the band of x2.2 to x3.4 per 10 K holds the printed line, within its own 10 % (I1, I2)."""
    points = dict(xy(expected(name)["points_na"]))

    for temp, nano in points.items():
        result = dark_current_estimate(points[25.0] * 1e-9, temp)
        assert result.low * 0.9 <= nano * 1e-9 <= result.high * 1.1, f"{cite(name)} at {temp} C"
        assert result.valid


@pytest.mark.parametrize("name", ["I1", "I2", "I4"])
def test_doubling_interval(name: str) -> None:
    """Factor per 10 K and doubling interval of one sheet agree (I1, I2, I4)."""
    row = expected(name)

    assert doubling_interval(row["per_10k"]) == pytest.approx(row["doubling_k"], abs=0.1), cite(name)


def test_steepest_dark_current() -> None:
    """x3.4 per 10 K makes 10,000 from 25 to 100 degrees, within the row's 15 % (I4)."""
    row = expected("I4")

    ratio = dark_current_estimate(1.0, 100, per_10k=row["per_10k"]).value

    assert ratio == pytest.approx(row["ratio_100_over_25"], rel=0.15), cite("I4")


def test_worst_dark_current_reaches_the_printed_limit() -> None:
    """50 nA at 25 degrees may become the 500 uA that the sheet allows at 100: the band's end, not x2 per 10 K (I5)."""
    row = expected("I5")

    hot = dark_current_estimate(row["iceo_25c_10v_max_na"] * 1e-9, 100)

    assert hot.high * 1e6 == pytest.approx(row["iceo_100c_30v_max_ua"], rel=0.10), cite("I5")


def test_leakage_over_the_load() -> None:
    """383 nA over 10 kohm lower the high level by 3.83 mV; 1.95 uA over 100 kohm by 195 mV (I6 and its note)."""
    row = inputs("I6")
    dark = row["iceo_na"] * 1e-9

    node = node_voltage(Detector(), make_load(5.0, row["rl_ohm"]), 0.0, dark_current=dark)
    worse = node_voltage(Detector(), make_load(5.0, 100e3), 0.0, dark_current=1.95e-6)

    assert (5.0 - node) * 1e3 == pytest.approx(expected("I6")["v_error_mv"], rel=0.01), cite("I6")
    assert (5.0 - worse) * 1e3 == pytest.approx(195, rel=0.01)


def test_saturation_over_temperature() -> None:
    """Fitted at 25 degrees only, VCE(sat) follows the curve from -25 to 75 within 5 mV (X13, light by T4)."""
    points = dict(xy(expected("X13")["points_c_v"]))
    relative = curve(xy(expected("T4")["points"]))
    light = 20e-3  # IF 20 mA at a ratio near 1; the fit at 25 degrees absorbs the exact value
    detector = Detector(gain_ratio=fit_saturation(points[25.0], 1e-3, light))

    for temp, volts in points.items():
        warm = light * relative.value(temp) / relative.value(25)
        assert detector.saturation_voltage(1e-3, warm, temp) == pytest.approx(volts, abs=0.005), f"{cite('X13')} {temp}"
    assert detector.saturation_voltage(1e-3, light) < expected("X13")["printed"]["max"]


@pytest.mark.parametrize("kind", ["phototransistor", "photodarlington"])
def test_fitted_saturation_comes_back(kind: str) -> None:
    """The gain ratio fitted to a printed VCE(sat) gives that voltage back."""
    printed = 0.3 if kind == "phototransistor" else 0.9

    detector = Detector(kind=kind, gain_ratio=fit_saturation(printed, 0.5e-3, 2e-3, kind=kind))

    assert detector.saturation_voltage(0.5e-3, 2e-3) == pytest.approx(printed, abs=1e-9)


def test_load_for_a_swing() -> None:
    """0.1 mA pull 5 V down to 0.8 V over 42 kohm (W11)."""
    row = inputs("W11")

    assert load_resistor(row["vcc_v"], row["v_on_v"], row["ic_ma"] / 1e3) == pytest.approx(
        expected("W11")["r_ohm"], rel=0.005
    ), cite("W11")


def test_switch_mode() -> None:
    """With 5 kohm at 5 V the detector needs 1.0 mA to saturate, and its high level is the supply (W12)."""
    row = expected("W12")
    load = make_load(inputs("W12")["vcc_v"], row["rl_typical_min_ohm"])

    assert load_resistor(5.0, 0.0, row["ic_needed_ma"] / 1e3) == pytest.approx(row["rl_typical_min_ohm"], rel=0.01)
    assert node_voltage(Detector(), load, 0.0) == pytest.approx(5.0)
    assert node_voltage(Detector(), load, 0.9e-3) == pytest.approx(0.5, abs=0.01), cite("W12")
    assert node_voltage(Detector(), load, 1.3e-3) < 0.25


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("side", ["collector", "emitter"])
@pytest.mark.parametrize("light", [2e-6, 5e-5, 2e-4, 4e-3])
@pytest.mark.parametrize("temp", [-20.0, 25.0, 70.0])
def test_node_and_light_are_inverse(kind: str, side: str, light: float, temp: float) -> None:
    """The light that gives a node voltage, solved back from the voltage, is the light put in."""
    detector = Detector(kind=kind)
    load = make_load(5.0, 10e3, side, pulls=[(3.3, 47e3)])

    node = node_voltage(detector, load, light, dark_current=1e-7, input_current=2e-5, temp_c=temp)
    back = light_current_for(detector, load, node, dark_current=1e-7, input_current=2e-5, temp_c=temp)

    assert back == pytest.approx(light, rel=1e-4)


def test_no_light_is_enough() -> None:
    """A level below the saturation voltage cannot be reached by any light; a darlington never goes below 0.5 V."""
    assert light_current_for(Detector(kind="photodarlington"), make_load(5.0, 10e3), 0.4) == math.inf


def test_pull_resistor_at_the_node() -> None:
    """Two resistors to two rails act as their Thevenin source (5 V / 10 k with 0 V / 10 k = 2.5 V, 5 k)."""
    load = make_load(5.0, 10e3, pulls=[(0.0, 10e3)])

    assert load.voltage == pytest.approx(2.5)
    assert load.resistance == pytest.approx(5e3)
    assert node_voltage(Detector(), load, 0.0) == pytest.approx(2.5)


def test_input_current_of_ttl_lifts_an_emitter_load() -> None:
    """0.4 mA out of an LS input over 10 kohm lift the dark low level by 4 V (Ohm's law)."""
    assert node_voltage(Detector(), make_load(5.0, 10e3, "emitter"), 0.0, input_current=0.4e-3) == pytest.approx(4.0)


def test_stress_of_reversed_leads() -> None:
    """With collector and emitter exchanged the small VECO limit counts, and an unknown limit is not judged."""
    detector = Detector(vceo_max=30.0, veco_max=5.0, ic_max=20e-3)

    right = {s.name: s.ok for s in stresses(detector, vce=12.0, current=1e-3)}
    wrong = {s.name: s.ok for s in stresses(detector, vce=12.0, current=1e-3, reversed_leads=True)}

    assert right == {"VCEO": True, "IC": True, "P": None}
    assert wrong["VECO"] is False
    assert reversed_emitter(12.0, vr_max=5.0).ok is False
    assert reversed_emitter(12.0, vr_max=5.0, count=3).ok is True
    assert reversed_emitter(12.0, vr_max=None).ok is None


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: Detector(kind="eye"), "no detector kind 'eye'; known: phototransistor, photodarlington, photodiode"),
        (lambda: make_load(5, 1e3, "left"), "no load side 'left'; known: collector, emitter"),
        (lambda: make_load(5, 0.0), "a load or pull resistor must be above 0 ohm"),
        (
            lambda: fit_saturation(0.4, 2e-3, 1e-3),
            "a saturation row needs a current below the light current, not 0.002 A of 0.001 A",
        ),
        (
            lambda: load_resistor(5, 6, 1e-3),
            "a load needs a current above 0 and a level below the supply, not 0.001 A, 6 V",
        ),
    ],
)
def test_detector_errors(call: object, message: str) -> None:
    """Wrong input is named in one line."""
    with pytest.raises(DataError) as error:
        call()  # type: ignore[operator]

    assert str(error.value) == message
