"""Coupling laws against curves of others; each default also against a part it was not taken from."""

from __future__ import annotations

import math

import pytest
from physics_reference import cite, distance_points, expected, inputs, xy

from xref.errors import DataError
from xref.physics.coupling import (
    REFLECTANCE,
    Reference,
    ageing_factor,
    collector_current,
    current_factor,
    detector_temperature_factor,
    emitter_temperature_factor,
    reference_factor,
    slot_factor,
    temperature_factor,
    transfer_ratio,
)
from xref.physics.curves import curve
from xref.physics.distance import DistanceLaw, curve_relative

CTR = [(i / 1e3, v) for i, v in xy(expected("X10")["points_ma_pct"])]


def test_transfer_curve_is_kept() -> None:
    """With the part's curve the collector current follows it at every printed point (X10, 3 %)."""
    law = curve(CTR, log_x=True, log_y=True)
    i0, c0 = CTR[5]

    for current, ctr in CTR:
        wanted = current * ctr / (i0 * c0)
        assert current_factor(current, i0, transfer_curve=law).value == pytest.approx(wanted, rel=0.03), cite("X10")


@pytest.mark.parametrize("left_out", range(1, len(CTR) - 2))
def test_transfer_curve_interpolates(left_out: int) -> None:
    """A point left out of the curve is found again within the 3 % of the row (X10)."""
    points = CTR[:left_out] + CTR[left_out + 1 :]
    current, ctr = CTR[left_out]

    assert curve(points, log_x=True, log_y=True).value(current) == pytest.approx(ctr, rel=0.03), cite("X10")


# least collector currents at two emitter currents: H21A1 / H21A2 / H21A3 Phototransistor Optical Interrupter Switch,
# DS300290, 2001-05-02; RPI-131 Photointerrupter, Small type, and KIT-1001A Photointerrupter (Transmissive), both with
# document number, revision and date not read
MINIMA = [
    ("H21A1", 5e-3, 0.15e-3, 20e-3, 1.0e-3),
    ("H21A1", 5e-3, 0.15e-3, 30e-3, 1.9e-3),
    ("H21A2", 5e-3, 0.30e-3, 20e-3, 2.0e-3),
    ("H21A3", 5e-3, 0.60e-3, 30e-3, 5.5e-3),
    ("RPI-131", 20e-3, 0.7e-3, 5e-3, 0.2e-3),
    ("KIT-1001A", 10e-3, 0.5e-3, 5e-3, 0.2e-3),
]


@pytest.mark.parametrize(("part", "i0", "c0", "i1", "c1"), MINIMA)
def test_default_transfer_law_on_other_parts(part: str, i0: float, c0: float, i1: float, c1: float) -> None:
    """The default law, shaped after X10, holds the printed pairs of other parts inside its band."""
    factor = current_factor(i1, i0)

    print(f"{part} {i0 * 1e3:g} -> {i1 * 1e3:g} mA: law x{factor.value:.2f}, sheet x{c1 / c0:.2f}")
    assert factor.low <= c1 / c0 <= factor.high
    assert factor.basis == "assumed"


@pytest.mark.parametrize("name", ["D1", "D2", "D3"])
def test_distance_curve_is_kept(name: str) -> None:
    """The part's curve comes back at its points, and a distance beyond it is marked (D1, D2, D3)."""
    points = distance_points(name)
    law = curve(points)

    for distance, relative in points:
        assert curve_relative(law, distance).value == pytest.approx(relative, abs=0.02), cite(name)
    assert not curve_relative(law, points[-1][0] + 1).valid


@pytest.mark.parametrize(
    ("name", "left_out"),
    [("D1", i) for i in range(2, 16)] + [("D2", i) for i in range(1, 14)] + [("D3", i) for i in range(6, 9)],
)
def test_distance_curve_interpolates(name: str, left_out: int) -> None:
    """A point left out is found again: D1, D3 within 0.02, D2 within 3 %; near its peak D3 has too few points."""
    points = distance_points(name)
    distance, relative = points[left_out]
    slack = 0.03 * relative if name == "D2" else 0.02

    assert curve(points[:left_out] + points[left_out + 1 :]).value(distance) == pytest.approx(relative, abs=slack)


@pytest.mark.parametrize("name", ["D2", "D3"])
def test_default_distance_law_on_other_parts(name: str) -> None:
    """The law shaped after D1 holds the curves of two other parts inside its band, given only their peak."""
    points = distance_points(name)
    top = max(v for _, v in points)
    peak = next(d for d, v in points if v == top)
    law = DistanceLaw(peak_mm=peak)

    errors = []
    for distance, relative in points:
        estimate = law.relative(distance)
        errors.append(estimate.value - relative / top)
        assert estimate.low <= relative / top <= estimate.high, f"{cite(name)} at {distance:g} mm"
    print(f"{name}: largest error {max(errors, key=abs):+.2f} of the peak current")


def test_distance_law_meets_a_printed_range() -> None:
    """With the printed 20 % range the law passes through it at the far end (D1 note: 0.2 to 15 mm; D4: 0 to 5 mm)."""
    law = DistanceLaw(peak_mm=expected("D1")["peak_mm"], far_mm=15.0, level=0.2)
    flat = DistanceLaw(peak_mm=expected("D4")["peak_mm"], far_mm=expected("D4")["range_over_20_pct_mm"][1], level=0.2)

    assert law.relative(15.0).value == pytest.approx(0.2, abs=0.01), cite("D1")
    assert flat.relative(0.0).value == pytest.approx(1.0)
    assert flat.relative(5.0).value == pytest.approx(0.2), cite("D4")
    assert flat.relative(expected("D4")["test_distance_mm"]).value > 0.85


@pytest.mark.parametrize("name", ["T1", "T2", "T4"])
def test_temperature_curve_is_kept(name: str) -> None:
    """With the part's curve the factor follows it at every point within 0.01 (T1, T2, T4)."""
    points = xy(expected(name)["points"])
    law = curve(points)
    room = dict(points)[25.0]

    for temp, relative in points:
        assert temperature_factor(temp, relative_curve=law).value == pytest.approx(relative / room, abs=0.01), cite(
            name
        )


@pytest.mark.parametrize("name", ["T1", "T2", "T4"])
def test_default_temperature_law_on_other_parts(name: str) -> None:
    """The law made of a lone detector (T5) and a lone emitter (T6) holds three coupled parts inside its band."""
    points = xy(expected(name)["points"])
    room = dict(points)[25.0]

    errors = []
    for temp, relative in points:
        factor = temperature_factor(temp)
        errors.append(factor.value - relative / room)
        assert factor.low <= relative / room <= factor.high, f"{cite(name)} at {temp:g} C"
    print(f"{name}: largest error {max(errors, key=abs):+.2f}")


def test_detector_alone() -> None:
    """A phototransistor under constant light follows the printed curve within 0.01 (T5)."""
    points = xy(expected("T5")["points"])
    room = dict(points)[25.0]

    for temp, relative in points:
        assert detector_temperature_factor(temp).value == pytest.approx(relative / room, abs=0.01), cite("T5")


@pytest.mark.parametrize("percent", expected("T6")["tci_pct_per_k"])
def test_emitter_alone(percent: float) -> None:
    """A printed coefficient gives its slope at 25 degrees, and lies in the default band (T6)."""
    step = emitter_temperature_factor(26, per_k=percent / 100).value - 1
    default = emitter_temperature_factor(45)

    assert step * 100 == pytest.approx(percent, abs=0.005), cite("T6")
    assert default.low - 1e-12 <= emitter_temperature_factor(45, per_k=percent / 100).value <= default.high + 1e-12


def test_ageing_band_and_curve() -> None:
    """The default band holds a good emitter's curve, and the part's own curve is kept within 0.01 (A1)."""
    points = xy(expected("A1")["points_h"])
    law = curve(points, log_x=True)

    for hours, relative in points:
        assert ageing_factor(hours).low <= relative <= ageing_factor(hours).high, cite("A1")
        assert ageing_factor(hours, ageing_curve=law).value == pytest.approx(relative, abs=0.01)
    assert not ageing_factor(400_000).valid


@pytest.mark.parametrize("row", expected("X8")["sensors"], ids=lambda row: row["part"].split()[0])
def test_transfer_ratio_of_sensors(row: dict[str, list[float | None]]) -> None:
    """Current over emitter current gives the tabulated ratio, and the ratio gives the current back (X8)."""
    for milli, percent in zip(row["ic_ma"], row["ctr_pct"], strict=True):
        if milli is None or percent is None:
            continue
        forward = float(row["if_ma"]) / 1e3  # type: ignore[arg-type]
        assert transfer_ratio(milli / 1e3, forward) * 100 == pytest.approx(percent)
        assert collector_current(percent / 100, forward) * 1e3 == pytest.approx(milli)


def test_transfer_ratio_example() -> None:
    """5 mA at 120 % are 6 mA (W7)."""
    row = inputs("W7")

    assert collector_current(row["ctr_pct"] / 100, row["if_ma"] / 1e3) * 1e3 == pytest.approx(expected("W7")["ic_ma"])


def test_two_distance_origins() -> None:
    """12 mm from the mounting plane of a 7 mm high sensor are 5 mm from its face (W15)."""
    printed = Reference(distance_mm=12.0, origin="mounting plane", sensor_height_mm=7.0, target="mirror")

    assert printed.from_sensor_mm == pytest.approx(5.0), cite("W15")


def test_mirror_is_not_paper() -> None:
    """A current printed with a mirror cannot be carried to paper, and the answer says so (W15)."""
    printed = Reference(distance_mm=12.0, origin="mounting plane", sensor_height_mm=7.0, target="mirror")
    wanted = Reference(distance_mm=1.0, target="white paper")
    law = curve(distance_points("D1"))

    factor = reference_factor(printed, wanted, lambda mm: curve_relative(law, mm))

    assert not factor.valid
    assert factor.why == "a mirror is not comparable with a diffuse target"


def test_unknown_height_is_said() -> None:
    """A distance from the mounting plane without the sensor's height is not guessed."""
    factor = reference_factor(Reference(distance_mm=12.0, origin="mounting plane"), Reference(distance_mm=3.0))

    assert not factor.valid
    assert factor.why == "a distance, or the sensor height it is counted from, is not known"


def test_diffuse_targets_convert() -> None:
    """Grey card over white card is 0.18 over 0.90, distance by the curve (R1, D1)."""
    assert REFLECTANCE["white card"] * 100 == expected("R1")["white_side_pct"], cite("R1")
    assert REFLECTANCE["grey card"] * 100 == expected("R1")["grey_side_pct"]
    law = curve(distance_points("D1"))

    factor = reference_factor(
        Reference(distance_mm=2.5), Reference(distance_mm=5.0, target="grey card"), lambda mm: curve_relative(law, mm)
    )

    assert factor.valid
    assert factor.value == pytest.approx(0.2 * 0.78, rel=0.01)


def test_slot_gap_lies_between_first_and_second_power() -> None:
    """Twice the gap gives between a quarter and a half; the slit counts in proportion (inverse-square limit)."""
    factor = slot_factor(6.0, 3.0, aperture_mm=0.5, reference_aperture_mm=1.0)

    assert factor.low == pytest.approx(0.125)
    assert factor.high == pytest.approx(0.25)
    assert factor.low < factor.value < factor.high
    assert not slot_factor(12.0, 3.0).valid


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: current_factor(0.0, 1e-2), "an emitter current must be above 0, not 0 A and 0.01 A"),
        (lambda: transfer_ratio(1e-3, 0.0), "a transfer ratio needs an emitter current above 0, not 0 A"),
        (lambda: slot_factor(0.0, 3.0), "a gap must be above 0 mm"),
        (
            lambda: DistanceLaw(peak_mm=0.0).relative(1.0),
            "a sensor with its peak at 0 mm needs the far end of its range",
        ),
    ],
)
def test_coupling_errors(call: object, message: str) -> None:
    """Wrong input is named in one line."""
    with pytest.raises(DataError) as error:
        call()  # type: ignore[operator]

    assert str(error.value) == message


def test_outside_a_law_is_marked() -> None:
    """Every default law marks a result outside its range and says which range."""
    for result, why in (
        (current_factor(0.1, 0.01), "the default transfer law holds from 0.2 to 50 mA"),
        (temperature_factor(120), "the default temperature law holds from -25 to 85 C"),
        (detector_temperature_factor(-40), "-40 C is outside 0 to 100 C"),
        (DistanceLaw(peak_mm=1.0).relative(20.0), "20 mm is outside the range of the distance law"),
    ):
        assert not result.valid
        assert result.why == why
        assert math.isfinite(result.value)
