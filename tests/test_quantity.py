"""Quantities as typed: the published code table, another parser for plain SI forms, and the exact words of refusal."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from xref import quantity
from xref.errors import QuantityError

CHECKS = yaml.safe_load((Path(__file__).parent / "reference" / "checks.yaml").read_text())["checks"]
RKM = next(check for check in CHECKS if check["id"] == "K1")


@pytest.mark.parametrize(
    ("code", "ohm"), list(zip(RKM["inputs"]["codes"], RKM["expected"]["ohm"], strict=True)), ids=RKM["inputs"]["codes"]
)
def test_resistor_codes(code: str, ohm: float) -> None:
    """Codes of IEC 60062 as published (check K1, source named in tests/reference/checks.yaml)."""
    assert quantity.parse(code, "ohm") == ohm


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("1.18V", "V"), ("1.18 V", "V"), ("20mA", "A"), ("4.7 us", "s"), ("12 µs", "s"), ("0.5 MHz", "Hz"),
        ("33 kHz", "Hz"), ("100mW", "W"), ("250 nA", "A"), ("-3 mV", "V"), ("1.5e-3 A", "A"), ("15 ns", "s"),
    ],
)  # fmt: skip
def test_plain_si_forms_agree_with_another_parser(text: str, unit: str) -> None:
    """The same number as quantiphy reads (version of the test dependency); only forms without resistor codes."""
    from quantiphy import Quantity

    assert quantity.parse(text, unit) == pytest.approx(float(Quantity(text)), rel=1e-12)


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("0.165in", "mm", 4.191),  # 1 in = 25.4 mm by definition
        ("100mil", "mm", 2.54),
        ('0.1"', "mm", 2.54),
        ("2.54", "mm", 2.54),
        ("470 ohm", "ohm", 470.0),
        ("4.7k", "ohm", 4700.0),
        ("1MΩ", "ohm", 1e6),
        ("50gf", "N", 0.4903325),  # standard gravity 9.80665 m/s2 by definition
        ("5%", "pct", 0.05),
        ("45 °C", "C", 45.0),
        ("40/s", "Hz", 40.0),
    ],
)
def test_forms_people_type(text: str, unit: str, expected: float) -> None:
    """Inches, mils, ohm signs and degrees; the factors are definitions."""
    assert quantity.parse(text, unit) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "unit", "message"),
    [
        ("1,18V", "V", '"1,18V" has a comma: write a dot: "1.18V"'),
        ("1.1.8", "V", '"1.1.8" has a second dot: expected a voltage like 1.18V'),
        ("nan", "V", '"nan" is not a number: expected a voltage like 1.18V'),
        ("-inf", "A", '"-inf" is not a number: expected a current like 20mA'),
        ("2k2", "V", '"2k2" is a resistance: expected a voltage like 1.18V'),
        ("5A", "V", '"5A" is a current: expected a voltage like 1.18V'),
        ("5V", "mm", '"5V" is a voltage: expected a length like 2.54mm or 0.1in'),
        ("10m", "ohm", '"10m" ends in "m": write 10M or 10mohm'),
        ("-470R", "ohm", '"-470R" is negative: expected a resistance like 2k2 or 470R'),
        ("-470", "ohm", '"-470" is negative: expected a resistance like 2k2 or 470R'),
        ("5 parsec", "V", '"5 parsec" has an unknown unit "parsec": expected a voltage like 1.18V'),
        ("", "V", '"" is empty: expected a voltage like 1.18V'),
        ("1e400", "V", '"1e400" is too large: expected a voltage like 1.18V'),
    ],
)
def test_refusals(text: str, unit: str, message: str) -> None:
    """What cannot be read is answered with the form that can."""
    with pytest.raises(QuantityError) as caught:
        quantity.parse(text, unit)

    assert str(caught.value) == message


def test_a_bare_number_only_where_there_is_one_unit() -> None:
    """Without a default unit the unit must be typed."""
    assert quantity.parse("5", "V") == 5.0
    with pytest.raises(QuantityError, match="has no unit"):
        quantity.parse("5", "V", default_unit=False)


@pytest.mark.parametrize(
    ("text", "unit", "value", "current"),
    [
        ("1.18V", "V", 1.18, None),
        ("1.18@1mA", "V", 1.18, 1e-3),
        ("1.18V@1mA", "V", 1.18, 1e-3),
        ("1.18V@5V/220R", "V", 1.18, (5 - 1.18) / 220),  # Ohm's law
        ("2mA@20mA", "A", 2e-3, 20e-3),
        ("0.3V/33k", "A", 0.3 / 33e3, None),  # Ohm's law
        ("0.3V/33k@10mA", "A", 0.3 / 33e3, 10e-3),
        ("2mA@5V/220R", "A", 2e-3, None),
    ],
)
def test_readings(text: str, unit: str, value: float, current: float | None) -> None:
    """A reading carries its current, directly or through a known resistor."""
    reading = quantity.parse_at(text, unit)

    assert reading.value == pytest.approx(value)
    assert reading.current == (None if current is None else pytest.approx(current))


@pytest.mark.parametrize("text", ["1.18V@0mA", "1.18V@-1mA", "1.18V@1V/220R", "1.18V@5V/0R", "1.18V@", "@1mA"])
def test_readings_need_a_current_above_zero(text: str) -> None:
    """No current, no reading."""
    with pytest.raises(QuantityError):
        quantity.parse_at(text)


def test_sizes_grids_and_ranges() -> None:
    """One unit at the end holds for all; every length is above zero."""
    assert quantity.parse_size("4.2x3.1x2.0") == (4.2, 3.1, 2.0)
    assert quantity.parse_size("4.2x3.1mm") == (4.2, 3.1)
    assert quantity.parse_size("0.4in x 5mm") == pytest.approx((10.16, 5.0))
    assert quantity.parse_grid("5.5×2.54mm") == (5.5, 2.54)
    assert quantity.parse_range("-10..45C", "C") == (-10.0, 45.0)
    assert quantity.parse_range("25C", "C") == (25.0, 25.0)
    for wrong in ("4.2", "4.2x0", "4.2x-1", "1x2x3x4", "x", "4.2xnan"):
        with pytest.raises(QuantityError):
            quantity.parse_size(wrong)
    with pytest.raises(QuantityError):
        quantity.parse_range("45..10C", "C")


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (1.18, "V", "1.18 V"), (0.0125, "A", "12.5 mA"), (2200.0, "ohm", "2.2 kohm"), (4.7e-6, "s", "4.7 us"),
        (0.0, "V", "0 V"), (-0.02, "A", "-20 mA"), (999.9, "ohm", "1 kohm"), (2.54, "mm", "2.54 mm"),
        (0.05, "pct", "5 %"), (45.0, "C", "45 C"), (33000.0, "ohm", "33 kohm"),
    ],
)  # fmt: skip
def test_numbers_are_shown_with_their_unit(value: float, unit: str, shown: str) -> None:
    """SI prefixes, three figures, plain ASCII."""
    assert quantity.show(value, unit) == shown


@settings(max_examples=300, deadline=None)
@given(
    st.floats(1e-9, 9.9e9, allow_nan=False).map(lambda x: float(f"{x:.2e}")),
    st.sampled_from(["V", "A", "ohm", "s", "Hz", "W"]),
)
def test_what_is_shown_can_be_read_back(value: float, unit: str) -> None:
    """show and parse are inverse to three figures."""
    assert quantity.parse(quantity.show(value, unit), unit) == pytest.approx(value, rel=1e-9)


@settings(max_examples=300, deadline=None)
@given(st.floats(0.1, 9.9e9, allow_nan=False).map(lambda x: float(f"{x:.2e}")))
def test_resistor_codes_can_be_read_back(ohms: float) -> None:
    """rkm and parse are inverse to three figures."""
    assert quantity.parse(quantity.rkm(ohms), "ohm") == pytest.approx(ohms, rel=1e-9)


@settings(max_examples=500, deadline=None)
@given(st.text(max_size=60), st.sampled_from(list(quantity.UNITS)))
def test_any_text_is_read_or_refused_in_one_line(text: str, unit: str) -> None:
    """Nothing else comes out than a finite number or a QuantityError of one printable line."""
    value, message = 0.0, ""
    try:
        value = quantity.parse(text, unit)
    except QuantityError as error:
        message = str(error)

    assert message.isprintable()
    assert abs(value) < 1e25


@pytest.mark.parametrize(
    ("text", "expected"), [("4", 4), (" 16 ", 16), ("17", None), ("0", None), ("²", None), ("٣", None), ("4.0", None),
                           ("9" * 5000, None), ("", None), ("00162", None)],
)  # fmt: skip
def test_whole_numbers(text: str, expected: int | None) -> None:
    """Plain digits inside the limits, nothing else; no digit of another script, no length that stalls."""
    from xref.quantity import whole

    assert whole(text, 1, 16) == expected
