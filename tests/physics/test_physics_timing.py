"""Edges, rates and pulses against curves and examples of others."""

from __future__ import annotations

import math

import pytest
from physics_reference import cite, expected, inputs

from xref.errors import DataError
from xref.physics.timing import (
    TimePoint,
    bandwidth_from_rise,
    highest_rate,
    narrowest_pulse,
    pull_up_window,
    pulse_passes,
    pulse_rate,
    quadrature_rate,
    rc_time,
    roll_pulse_rate,
    roll_radius_mm,
    switching_time,
)


def load_curve(name: str, edge: str) -> list[TimePoint]:
    """Printed rise or fall time over load."""
    row = expected(name)
    loads = [k * 1e3 for k in row["rl_kohm"]] if "rl_kohm" in row else row["rl_ohm"]
    return [TimePoint(seconds=us * 1e-6, load=float(r)) for r, us in zip(loads, row[edge], strict=True)]


def current_curve() -> list[TimePoint]:
    """The X4 table as times, from its normalising point of 10 us."""
    row = expected("X4")
    return [
        TimePoint(seconds=value * 10e-6, load=float(load), current=milli / 1e3)
        for load, values in row["tr_rel"].items()
        for milli, value in zip(row["ic_ma"], values, strict=True)
    ]


@pytest.mark.parametrize("name", ["X1", "X3"])
@pytest.mark.parametrize("edge", ["tr_us", "tf_us"])
def test_points_left_out_are_found(name: str, edge: str) -> None:
    """An inner point left out is found within 10 % of the curve; the end points inside the stated band (X1, X3)."""
    points = load_curve(name, edge)

    for i, point in enumerate(points):
        result = switching_time(points[:i] + points[i + 1 :], point.load)
        if 0 < i < len(points) - 1:
            assert result.value == pytest.approx(point.seconds, rel=0.10), f"{cite(name)} {point.load} ohm"
        else:
            wide = 1.35  # ends of X3: the darlington floor below 100 ohm lies outside any power law
            assert result.low / wide <= point.seconds <= result.high * wide


def test_load_and_current_together() -> None:
    """From the table without one of its inner points, that point within 10 % (X4)."""
    points = current_curve()

    for point in points:
        if point.load in (100.0, 250.0, 500.0) and 0.2e-3 <= (point.current or 0) <= 5e-3:
            rest = [p for p in points if p is not point]
            assert switching_time(rest, point.load, point.current).value == pytest.approx(point.seconds, rel=0.10), (
                f"{cite('X4')} {point.load} ohm {point.current} A"
            )


@pytest.mark.parametrize(("name", "edge"), [("X3", "tr_us"), ("X3", "tf_us")])
def test_default_load_exponent_on_another_part(name: str, edge: str) -> None:
    """The default exponent, taken from X1, holds another part's curve inside its band from one point at 1 kohm."""
    points = load_curve(name, edge)
    known = next(p for p in points if p.load == 1000)

    worst = 0.0
    for point in points:
        result = switching_time([known], point.load)
        worst = max(worst, abs(math.log(result.value / point.seconds)))
        assert result.low / 1.35 <= point.seconds <= result.high * 1.35, f"{cite(name)} {point.load} ohm"
    print(f"{name} {edge}: default wrong by up to x{math.exp(worst):.2f}")


def test_one_point_covers_another_parts_table() -> None:
    """From one printed point (10 mA, 100 ohm, X9) the band holds the whole table of the same part (X4)."""
    row = next(r for r in expected("X9")["rows"] if r["part"] == "L14P1")
    known = [TimePoint(seconds=row["us"][0] * 1e-6, load=float(row["rl_ohm"]), current=row["ic_ma"] / 1e3)]

    worst = 0.0
    for point in current_curve():
        result = switching_time(known, point.load, point.current)
        worst = max(worst, abs(math.log(result.value / point.seconds)))
        assert result.low <= point.seconds <= result.high, f"{cite('X4')} {point.load} ohm {point.current} A"
    print(f"X4 from one point: default wrong by up to x{math.exp(worst):.2f}")


@pytest.mark.parametrize("row", expected("X9")["rows"], ids=lambda row: row["part"])
def test_printed_point_is_kept(row: dict[str, object]) -> None:
    """At its own condition a printed time comes back, and its maximum lies above it (X9)."""
    us: list[float] = row["us"]  # type: ignore[assignment]
    milli = row.get("ic_ma")
    for i, value in enumerate(us):
        point = TimePoint(
            seconds=value * 1e-6,
            load=float(row["rl_ohm"]),
            current=milli / 1e3 if milli else None,  # type: ignore
        )
        result = switching_time([point], point.load, point.current)
        assert result.value * 1e6 == pytest.approx(value)
        if "max_us" in row:
            assert result.high * 1e6 < row["max_us"][i]  # type: ignore[index]


@pytest.mark.parametrize(
    ("name", "key", "low"),
    [("X1", "pc817_0k1_to_1k", 100.0), ("X1", "pc817_1k_to_10k", 1000.0), ("X3", "ps2653_0k1_to_1k", 100.0)],
)
def test_load_exponent(name: str, key: str, low: float) -> None:
    """The exponent over a decade of load agrees with the row's within 0.05 (X7, from the curves X1 and X3)."""
    points = load_curve(name, "tr_us")

    exponent = math.log10(switching_time(points, low * 10).value / switching_time(points, low).value)

    assert exponent == pytest.approx(expected("X7")[key], abs=0.05), cite("X7")


@pytest.mark.parametrize("exponent", list(expected("X7").values()))
def test_default_exponent_band(exponent: float) -> None:
    """The default exponent's band over a decade holds all five measured exponents (X7)."""
    result = switching_time([TimePoint(seconds=1.0, load=100.0)], 1000.0)

    assert result.low <= 10**exponent <= result.high


@pytest.mark.parametrize("i", [0, 1])
def test_bandwidth(i: int) -> None:
    """0.35 over the rise time meets the printed cut-off within 10 % (X6)."""
    tr = inputs("X6")["rows"][i]["tr_us"] * 1e-6

    assert bandwidth_from_rise(tr) / 1e3 == pytest.approx(expected("X6")["fc_khz"][i])
    assert bandwidth_from_rise(tr) / 1e3 == pytest.approx(expected("X6")["printed_fc_khz"][i], rel=0.10), cite("X6")


def test_rc_thresholds() -> None:
    """30 % and 70 % of an exponential edge, and the time between (W2); 10 % to 90 % (W2b)."""
    row = expected("W2")

    assert rc_time(1.0, 1.0, 0.0, 0.3) == pytest.approx(row["t1_over_rc"], rel=1e-4), cite("W2")
    assert rc_time(1.0, 1.0, 0.0, 0.7) == pytest.approx(row["t2_over_rc"], rel=1e-4)
    assert rc_time(1.0, 1.0, 0.3, 0.7) == pytest.approx(row["tr_over_rc"], rel=1e-4)
    assert rc_time(1.0, 1.0, 0.1, 0.9) == pytest.approx(expected("W2b")["tr_over_rc"], rel=1e-4), cite("W2b")


def test_pull_up_window() -> None:
    """Smallest and largest pull-up of the worked example (W1)."""
    row = inputs("W1")

    low, high = pull_up_window(
        row["vcc_v"],
        vol_max=row["vol_max_v"],
        iol=row["iol_ma"] / 1e3,
        rise_max=row["tr_max_ns"] * 1e-9,
        capacitance=row["cb_pf"] * 1e-12,
    )

    assert low == pytest.approx(expected("W1")["r_min_ohm"], rel=0.005), cite("W1")
    assert high == pytest.approx(expected("W1")["r_max_ohm"], rel=0.005)


def test_rates_of_examples() -> None:
    """Lines times speed, and four edges a line in quadrature (F1, F2, F4)."""
    f1, f4 = inputs("F1"), inputs("F4")

    assert pulse_rate(f1["lines_per_rev"], f1["rpm"]) == expected("F1")["channel_hz"], cite("F1")
    assert quadrature_rate(f1["lines_per_rev"], f1["rpm"]) == expected("F1")["quadrature_edges_hz"]
    assert quadrature_rate(f1["lines_per_rev"], 60) == expected("F1")["counts_per_rev"]
    assert pulse_rate(inputs("F2")["counts_per_rev"], inputs("F2")["rpm"]) == expected("F2")["hz"], cite("F2")
    assert pulse_rate(f4["counts_per_rev"], f4["rpm_max"]) == expected("F4")["hz_max"], cite("F4")
    assert pulse_rate(f4["counts_per_rev"], f4["rpm_min"]) == pytest.approx(expected("F4")["hz_min"], rel=1e-3)


def test_roll_of_chart_paper() -> None:
    """The radius holds the wound area exactly as summing every turn does (independent sum)."""
    core, thick, turns = 12.0, 0.1, 200
    length = sum(2 * math.pi * (core + thick * (k + 0.5)) for k in range(turns))

    assert roll_radius_mm(core, thick, length) == pytest.approx(core + thick * turns, rel=1e-9)
    full, empty = (roll_pulse_rate(20, 10.0, r) for r in (32.0, 12.0))
    assert empty / full == pytest.approx(32 / 12)


def test_pulse_must_outlast_its_edges() -> None:
    """The narrowest pulse against the slower edge, and the highest rate solved back."""
    pulse = narrowest_pulse(1000.0, bright_share=0.2)
    rate = highest_rate(20e-6, 50e-6, bright_share=0.2, needed=10e-6)

    assert pulse == pytest.approx(200e-6)
    assert narrowest_pulse(1000.0, bright_share=0.8, spot_share=0.05) == pytest.approx(150e-6)
    assert highest_rate(20e-6, 50e-6, bright_share=0.8, needed=10e-6) == pytest.approx(rate)
    assert pulse_passes(pulse, 20e-6, 50e-6).value == pytest.approx(4.0)
    assert pulse_passes(narrowest_pulse(rate, bright_share=0.2), 20e-6, 50e-6, needed=10e-6).value == pytest.approx(1.0)
    slow = pulse_passes(30e-6, 20e-6, 50e-6)
    assert not slow.valid
    assert slow.why == "a pulse of 30 us is shorter than the 50 us needed"


def test_far_from_the_point_is_marked() -> None:
    """A load more than 100 times the printed one is outside and says so."""
    result = switching_time([TimePoint(seconds=1e-5, load=100.0)], 47e3)

    assert not result.valid
    assert result.why == "the load is more than a factor of 100 from the printed points"


def test_timing_errors() -> None:
    """Wrong input is named in one line."""
    with pytest.raises(DataError) as error:
        switching_time([], 1000.0)
    assert str(error.value) == "a switching time needs one printed point"

    with pytest.raises(DataError) as error:
        rc_time(1.0, 1.0, 0.0, 1.0)
    assert str(error.value) == "levels are fractions from 0 to below 1"
