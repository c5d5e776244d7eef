"""Standard resistor values (E12, E24, E96) and the letter-for-comma code of IEC 60062."""

from __future__ import annotations

import math
from collections.abc import Iterator

from xref.errors import DataError

SERIES = {
    "E12": (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82),
    "E24": (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91),
    "E96": tuple(round(10 ** (2 + i / 96)) for i in range(96)),
}


def _place(value: float, series: str) -> tuple[tuple[int, ...], float, int]:
    """Mantissas, the value scaled to them, and the decade."""
    if series not in SERIES:
        raise DataError(f"no series {series!r}; known: {', '.join(SERIES)}")
    if not 0 < value < math.inf:
        raise DataError(f"a standard value needs a number above 0, not {value:g}")
    mantissas = SERIES[series]
    decade = math.floor(math.log10(value) + 1e-12) - (len(str(mantissas[0])) - 1)
    return mantissas, value / 10.0**decade, decade


def _scaled(mantissa: int, decade: int) -> float:
    return float(mantissa * 10**decade) if decade >= 0 else mantissa / 10**-decade


def next_above(value: float, series: str = "E24") -> float:
    """Smallest standard value that is not below a value.

    Args:
        value: exact value, above 0 [Ω]
        series: "E12", "E24" or "E96" [text]

    Returns:
        standard value, the value itself if it is one [Ω]

    Raises:
        DataError: unknown series, or a value that is not positive

    Valid: for every positive value.
    Source: IEC 60063 (values as in tests/reference/checks.yaml, rows E1 to E3).
    """
    mantissas, scaled, decade = _place(value, series)
    for m in mantissas:
        if m >= scaled * (1 - 1e-9):
            return _scaled(m, decade)
    return _scaled(mantissas[0], decade + 1)


def next_below(value: float, series: str = "E24") -> float:
    """Largest standard value that is not above a value.

    Args:
        value: exact value, above 0 [Ω]
        series: "E12", "E24" or "E96" [text]

    Returns:
        standard value, the value itself if it is one [Ω]

    Raises:
        DataError: unknown series, or a value that is not positive

    Valid: for every positive value.
    Source: as :func:`next_above`.
    """
    mantissas, scaled, decade = _place(value, series)
    for m in reversed(mantissas):
        if m <= scaled * (1 + 1e-9):
            return _scaled(m, decade)
    return _scaled(mantissas[-1], decade - 1)


def nearest(value: float, series: str = "E24") -> float:
    """Standard value with the smallest ratio to a value.

    Args:
        value: exact value, above 0 [Ω]
        series: "E12", "E24" or "E96" [text]

    Returns:
        standard value; the lower one at a tie [Ω]

    Raises:
        DataError: unknown series, or a value that is not positive

    Valid: for every positive value.
    Source: as :func:`next_above`.
    """
    below, above = next_below(value, series), next_above(value, series)
    return below if value / below <= above / value else above


def values_between(low: float, high: float, series: str = "E24") -> Iterator[float]:
    """Standard values from one value to another, both included, rising.

    Args:
        low: lower end, above 0 [Ω]
        high: upper end [Ω]
        series: "E12", "E24" or "E96" [text]

    Returns:
        iterator of standard values, empty if none lies between [Ω]

    Raises:
        DataError: unknown series, or a value that is not positive

    Valid: for every positive range.
    Source: as :func:`next_above`.
    """
    value = next_above(low, series)
    while value <= high * (1 + 1e-9):
        yield value
        value = next_above(value * (1 + 1e-6), series)


def rkm(value: float, digits: int = 3) -> str:
    """A resistance in letter-for-comma writing: 4R7, 470R, 4K7, 47K3, 4M7.

    Args:
        value: resistance, 0 or more [Ω]
        digits: significant digits kept [1]

    Returns:
        code [text]

    Raises:
        DataError: a negative or infinite value

    Valid: below 1 TΩ.
    Source: IEC 60062:2016 (examples in tests/reference/checks.yaml, row K1).
    """
    if not 0 <= value < 1e12:
        raise DataError(f"no resistor code for {value:g} ohm")
    if value == 0:
        return "0R"
    rounded = float(f"{value:.{digits - 1}e}")
    for letter, size in (("G", 1e9), ("M", 1e6), ("K", 1e3), ("R", 1.0)):
        if rounded >= size * (1 - 1e-12) or letter == "R":
            text = f"{rounded / size:.{digits + 3}f}".rstrip("0").rstrip(".")
            whole, _, part = text.partition(".")
            return f"{'' if whole == '0' else whole}{letter}{part}"
    raise DataError(f"no resistor code for {value:g} ohm")  # pragma: no cover


def rkm_value(code: str) -> float:
    """The resistance behind a letter-for-comma code.

    Args:
        code: for example 4K7 or R47 [text]

    Returns:
        resistance [Ω]

    Raises:
        DataError: the text is no such code

    Valid: letters R, K, M, G, one of them, digits around it.
    Source: IEC 60062:2016 (examples in tests/reference/checks.yaml, row K1).
    """
    text = code.strip().upper()
    for letter, size in (("R", 0), ("K", 3), ("M", 6), ("G", 9)):
        if text.count(letter) == 1:
            whole, part = text.split(letter)
            if (whole + part).isascii() and (whole + part).isdigit():
                return float(f"{whole or 0}.{part or 0}e{size}")
    raise DataError(f"not a resistor code: {code!r}; right: 470R, 4K7, R47")
