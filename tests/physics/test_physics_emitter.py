"""Forward voltage and emitter circuits against curves and examples of others."""

from __future__ import annotations

import pytest
from physics_reference import cite, expected, inputs, vf_points, xy

from xref.errors import DataError, NoSolution
from xref.physics.emitter import (
    BAND_LIMIT,
    diode_from_parameters,
    fit_diode,
    fit_temperature,
    material_for,
    moved_vf,
)
from xref.physics.series import (
    current_check,
    current_limit,
    resistor_power,
    resistor_window,
    series_current,
    series_resistor,
    string_drop,
)
from xref.physics.standard_values import next_above, next_below

CURVES = ("V1", "V2", "V4", "V5", "V6", "V8")
MATERIAL = {"V5": "gaalas"}
READ_ERROR = {"V1": 0.01, "V2": 0.01, "V4": 0.02, "V5": 0.01, "V6": 0.02, "V8": 0.05, "V11": 0.02}


@pytest.mark.parametrize("name", [*CURVES, "V11"])
def test_law_follows_the_whole_curve(name: str) -> None:
    """Fitted to all points up to 100 mA, the three-parameter law stays within the tolerance of each row."""
    points = [p for p in vf_points(name) if p[0] <= 0.1]

    diode = fit_diode(points, material=MATERIAL.get(name, "gaas"))

    for current, vf in points:
        assert diode.vf(current) == pytest.approx(vf, abs=READ_ERROR[name]), f"{cite(name)} at {current} A"


@pytest.mark.parametrize("name", CURVES)
def test_fit_below_10_ma_reaches_20_ma(name: str) -> None:
    """Fitted on the points up to 10 mA, the voltage at 20 mA is right within 0.045 V and inside the stated band."""
    points = vf_points(name)
    known = dict(points)[0.02]

    diode = fit_diode([p for p in points if p[0] <= 0.0101], material=MATERIAL.get(name, "gaas"))
    band = diode.band(0.02)

    print(f"{name}: {(diode.vf(0.02) - known) * 1e3:+.1f} mV, band {band.half_width * 1e3:.0f} mV")
    assert diode.vf(0.02) == pytest.approx(known, abs=0.045), cite(name)
    assert band.low <= known <= band.high


def test_measured_curve_reaches_beyond_its_points() -> None:
    """Bench readings of another coupler, fitted up to 10 mA, give the reading at 14.2 mA (V11)."""
    points = vf_points("V11")

    diode = fit_diode([p for p in points if p[0] <= 0.01], reading_error=0.01)

    assert points[-1][0] == pytest.approx(0.0142)
    assert diode.vf(0.0142) == pytest.approx(points[-1][1], abs=0.045), cite("V11")


@pytest.mark.parametrize("name", [*CURVES, "V11"])
def test_band_from_one_point_covers_the_curve(name: str) -> None:
    """From any one point, the band covers the whole curve; where it says valid it is <= 0.08 V."""
    points = [p for p in vf_points(name) if p[0] <= 0.1]
    valid = 0

    for current, vf in points:
        for other, wanted in points:
            bench = name == "V11"  # bench readings, each good to 0.02 V: not a smooth curve
            moved = moved_vf(
                vf, current, other, material=MATERIAL.get(name, "gaas"), reading_error=0.01 if bench else 0.006
            )
            slack = READ_ERROR["V11"] if bench else 0.0
            assert moved.low - slack <= wanted <= moved.high + slack, f"{cite(name)}: {current} -> {other} A"
            if moved.valid:
                valid += 1
                assert moved.half_width <= BAND_LIMIT
    assert valid >= len(points)


@pytest.mark.parametrize(("start", "end"), [(1e-3, 20e-3), (20e-3, 1e-3), (10e-3, 1e-3), (20e-3, 10e-3), (5e-3, 20e-3)])
def test_common_moves_are_valid(start: float, end: float) -> None:
    """Between the currents that sheets and meters use, one point is enough for a valid band."""
    moved = moved_vf(1.15, start, end)

    assert moved.valid
    assert moved.half_width <= BAND_LIMIT


def test_a_far_move_says_so() -> None:
    """From 1 mA to 60 mA the band is too wide to use, and the result says why."""
    moved = moved_vf(1.05, 1e-3, 60e-3)

    assert not moved.valid
    assert moved.why == "points from 1 to 1 mA say little about 60 mA"


def test_step_from_1_to_20_ma() -> None:
    """The default step between 1 and 20 mA lies in the span of seven emitters and its band spans it (V13)."""
    row = expected("V13")

    step = moved_vf(1.05, 1e-3, 20e-3)

    assert row["min_v"] < step.value - 1.05 < row["max_v"]
    assert step.low - 1.05 <= row["min_v"] + 0.005
    assert step.high - 1.05 >= row["max_v"] - 0.005


def test_published_simulation_model() -> None:
    """A visible emitter's published model gives the voltages worked from it (V12)."""
    diode = diode_from_parameters(1e-22, 1.5 * inputs("V12")["vt_v"], 6.0)

    for milli, vf in xy(expected("V12")["points_ma_v"]):
        assert diode.vf(milli / 1e3) == pytest.approx(vf, abs=0.01), cite("V12")


def test_unknown_emitter_covers_the_printed_typical() -> None:
    """Without any point the prior's band at 10 mA holds the printed typical value of another part (V10)."""
    row = expected("V10")

    band = fit_diode([]).band(inputs("V10")["if_ma"] / 1e3)

    assert band.low <= row["typ_v"] <= band.high < row["max_v"]
    assert band.basis == "assumed"


def test_silicon_junction() -> None:
    """The silicon prior lies inside the printed window of a signal diode at 5 mA (V14)."""
    row = expected("V14")

    vf = fit_diode([], material="silicon").vf(inputs("V14")["if_ma"] / 1e3)

    assert row["min_v"] <= vf <= row["max_v"], cite("V14")


@pytest.mark.parametrize("junction", ["base_collector_v", "base_emitter_v"])
@pytest.mark.parametrize("meter", [0.5e-3, 1.0e-3])
def test_silicon_junction_by_meter(junction: str, meter: float) -> None:
    """At a meter's current the same prior gives the reading of a phototransistor's junctions (V15)."""
    assert fit_diode([], material="silicon").vf(meter) == pytest.approx(expected("V15")[junction], abs=0.1), cite("V15")


@pytest.mark.parametrize("current", ["0.5 mA", "1 mA", "10 mA"])
def test_temperature_fit_of_a_curve(current: str) -> None:
    """A line through three temperatures predicts 0 to 75 degrees within the row's 0.01 V plus reading (V1t)."""
    temps, volts = inputs("V1t")["ta_c"], expected("V1t")["vf_v"][current]
    table = dict(zip(temps, volts, strict=True))

    slope = fit_temperature([(t, table[t]) for t in (75, 25, 0)])

    assert table[25] + slope * 25 == pytest.approx(table[50], abs=0.01), cite("V1t")
    for at in (0, 75):
        assert table[25] + slope * (at - 25) == pytest.approx(table[at], abs=0.015)
    if current in ("1 mA", "10 mA"):
        assert slope * 1e3 == pytest.approx(expected("V1t")["mv_per_k"][f"{current}, 0..75 C"], abs=0.2)


@pytest.mark.parametrize("current", ["1 mA", "10 mA"])
def test_default_temperature_coefficient_covers_others(current: str) -> None:
    """The default band of the coefficient holds the measured ones of V1t (within its 0.2 mV/K) and V3t."""
    diode = fit_diode([(1e-3, 1.05)])
    low, high = ((diode.temp_coefficient + sign * diode.temp_coefficient_band) * 1e3 for sign in (-1, 1))

    assert low - 0.2 <= expected("V1t")["mv_per_k"][f"{current}, 0..75 C"] <= high + 0.2, cite("V1t")
    assert low - 0.1 <= expected("V3t")["mv_per_k"][current] <= high + 0.1, cite("V3t")


@pytest.mark.parametrize("current", ["1 mA", "10 mA"])
def test_printed_coefficient_is_kept(current: str) -> None:
    """With a printed coefficient the voltage moves by it (V3t); one point at 25 degrees stays where it was."""
    vf, per_k = expected("V3t")["vf_25c_v"][current], expected("V3t")["mv_per_k"][current]
    amps = float(current.split()[0]) / 1e3

    diode = fit_diode([(amps, vf)], temp_coefficient=per_k / 1e3)

    assert diode.vf(amps) == pytest.approx(vf, abs=0.002)
    assert (diode.vf(amps, 75) - diode.vf(amps, 25)) / 50 * 1e3 == pytest.approx(per_k, abs=0.01)


def test_outlying_temperature_curve_can_be_fitted() -> None:
    """The one sheet with -2.95 mV/K is met from two of its own temperatures, not by the default (V4t)."""
    table = dict(xy(expected("V4t")["points_c_v"]))

    slope = fit_temperature([(-25, table[-25]), (75, table[75])])

    assert slope * 1e3 == pytest.approx(expected("V4t")["mv_per_k"], abs=0.3), cite("V4t")
    for temp, vf in table.items():
        assert table[25] + slope * (temp - 25) == pytest.approx(vf, abs=0.01)


@pytest.mark.parametrize(
    ("name", "supply", "vf", "drop", "current", "result", "within"),
    [
        ("W3", 5.0, 1.7, 0.1, 1.6e-3, 2000, 0.01),
        ("W4", 10.0, 1.7, 0.1, 1.6e-3, 5125, 0.001),
        ("W7", 5.0, 1.2, 0.0, 5e-3, 760, 0.001),
        ("W9", 5.0, 1.7, 0.0, 20e-3, 165, 0.001),
        ("W10", 3.3, 1.2, 0.0, 20e-3, 105, 0.001),
    ],
)
def test_series_resistor_examples(
    name: str, supply: float, vf: float, drop: float, current: float, result: float, within: float
) -> None:
    """Emitter resistors of published examples (W3, W4, W7, W9, W10)."""
    row = expected(name)
    assert result in row.values()

    assert series_resistor(supply, current, vf, driver_drop=drop) == pytest.approx(result, rel=within), cite(name)


def test_rounding_of_examples() -> None:
    """The examples round to the standard values they print (W4 down, W9 up to the page's choice)."""
    assert next_below(5125) == expected("W4")["r_e24_ohm"]
    assert next_above(166, "E12") == expected("W9")["r_standard_ohm"]
    assert series_resistor(5, 0.05, 1.7) == pytest.approx(66, rel=0.005)  # W9 note, same page


def test_load_line() -> None:
    """Resistor, supply and VF curve of one sheet give the current of the worked example (W16)."""
    row = inputs("W16")
    diode = fit_diode([(i / 1e3, v) for i, v in row["vf_points"]])

    current = series_current(row["vcc_v"], row["r_ohm"], diode)

    assert current * 1e3 == pytest.approx(expected("W16")["if_ma"], rel=0.03), cite("W16")
    assert diode.vf(current) == pytest.approx(expected("W16")["vf_v"], rel=0.03)


@pytest.mark.parametrize(
    ("wavelength", "material"), [(None, "gaas"), (950, "gaas"), (940, "gaas"), (880, "gaalas"), (660, "red")]
)
def test_material_by_wavelength(wavelength: float | None, material: str) -> None:
    """Wavelengths of the V rows fall into the class their sheets name (V1, V2, V5, V6; red as in V12)."""
    assert material_for(wavelength) == material


def test_derating_line() -> None:
    """A limit falls along the printed slope, or to zero at the junction limit, and never rises again below."""
    assert current_limit(20, if_max=0.06) == 0.06
    assert current_limit(31, if_max=0.06, slope=1e-3) == pytest.approx(0.054)
    assert current_limit(50, if_max=0.05, slope=0.67e-3) == pytest.approx(0.05 - 25 * 0.67e-3)
    assert current_limit(62.5, if_max=0.06) == pytest.approx(0.03)
    assert current_limit(110, if_max=0.06) == 0.0


def test_too_much_current_says_so() -> None:
    """A current above the derated limit is marked with both numbers."""
    check = current_check(0.05, 70, if_max=0.06)

    assert not check.valid
    assert check.why == "50 mA is above the 24 mA allowed at 70 C"
    assert check.value == pytest.approx(50 / 24)


def test_window_of_resistors_gives_the_currents_back() -> None:
    """The ends of a resistor window give the two currents when solved forward."""
    diode = fit_diode([(20e-3, 1.25)])

    low, high = resistor_window(5.0, diode, current_min=4e-3, current_max=30e-3, count=2)

    assert series_current(5.0, low, diode, count=2) == pytest.approx(30e-3, rel=1e-9)
    assert series_current(5.0, high, diode, count=2) == pytest.approx(4e-3, rel=1e-9)
    assert string_drop([diode, diode], 4e-3) == pytest.approx(5.0 - 4e-3 * high)
    assert resistor_power(4e-3, 500) == pytest.approx(8e-3)


def test_supply_below_the_drops() -> None:
    """No resistor can help where the drops exceed the supply; the message holds the sum."""
    with pytest.raises(NoSolution) as error:
        series_resistor(3.3, 10e-3, 1.2, count=3)

    assert str(error.value) == "3.3 V less 3.6 V of the emitters and 0 V of the driver leaves -0.3 V for 10 mA"


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: fit_diode([], material="wood"), "no emitter material 'wood'; known: gaas, gaalas, red, silicon"),
        (
            lambda: fit_diode([(0.0, 1.2)]),
            "a forward voltage point needs a current and a voltage above 0, not 0 A, 1.2 V",
        ),
        (lambda: material_for(1550), "no emitter law for 1550 nm; known are 600 to 1000 nm"),
        (lambda: material_for(400), "no emitter law for 400 nm; known are 600 to 1000 nm"),
        (lambda: fit_temperature([(25, 1.2)]), "a temperature coefficient needs readings at two temperatures"),
        (
            lambda: diode_from_parameters(0, 0.03, 1),
            "a diode needs a saturation current and a slope above 0 and a resistance of 0 or more",
        ),
    ],
)
def test_emitter_errors(call: object, message: str) -> None:
    """Wrong input is named in one line."""
    with pytest.raises(DataError) as error:
        call()  # type: ignore[operator]

    assert str(error.value) == message
