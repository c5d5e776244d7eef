"""Quantities as people type them, and back: ``1.18V@1mA``, ``4.2x3.1mm``, ``0.165in``, ``2k2`` and SI numbers.

Own small grammar: a decimal number, a prefix, a unit from a closed list; resistor codes of IEC 60062. What is not in
it is refused with the form that was expected. Length stays in mm, temperature in °C, mass in gram.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from xref.errors import QuantityError

PREFIXES = {"p": 1e-12, "n": 1e-9, "u": 1e-6, "m": 1e-3, "": 1.0, "k": 1e3, "M": 1e6, "G": 1e9}

UNITS: dict[str, tuple[str, str, dict[str, float]]] = {
    # unit: (name in words, example, spellings that take no prefix)
    "V": ("a voltage", "1.18V", {}),
    "A": ("a current", "20mA", {}),
    "ohm": ("a resistance", "2k2 or 470R", {}),
    "s": ("a time", "12us", {"min": 60.0}),
    "Hz": ("a rate", "40Hz", {"/s": 1.0}),
    "mm": ("a length", "2.54mm or 0.1in", {"mm": 1.0, "um": 1e-3, "cm": 10.0, "in": 25.4, '"': 25.4, "mil": 0.0254}),
    "C": ("a temperature", "45C", {"C": 1.0, "degC": 1.0}),
    "N": ("a force", "0.5N", {"cN": 0.01, "gf": 0.00980665}),
    "W": ("a power", "100mW", {}),
    "pct": ("a share", "5%", {"%": 0.01, "pct": 0.01}),
    "1": ("a plain number", "2", {}),
    "g": ("a mass", "50g", {"g": 1.0, "kg": 1000.0}),
}
_NO_PREFIX = {"mm", "C", "pct", "1", "g"}
_NEVER_NEGATIVE = {"ohm", "Hz", "s", "g"}
_NUMBER = re.compile(r"[+-]?(?:\d+(?:\.\d+)?|\.\d+)(?:[eE][+-]?\d{1,3})?")
_RKM = re.compile(r"(\d{0,9})([RrkKMG])(\d{0,9})")
_RKM_FACTOR = {"R": 1.0, "r": 1.0, "k": 1e3, "K": 1e3, "M": 1e6, "G": 1e9}


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A value with the current it was read at.

    ``value`` in ``unit`` (V or A). ``current`` in A, or None where the text names none (a meter's own current, to be
    assumed and said by the caller). ``supply`` [V] and ``resistor`` [ohm] where the text gave them.
    """

    value: float
    unit: str
    current: float | None = None
    supply: float | None = None
    resistor: float | None = None
    text: str = ""


def parse(text: str, unit: str, *, default_unit: bool = True) -> float:
    """The number that ``text`` means, in SI (mm, °C and gram stay).

    Args:
        text: one quantity as typed, ``1.18V``, ``4.7 k``, ``12 µs``
        unit: expected unit, a key of UNITS
        default_unit: a bare number is taken in that unit

    Raises:
        QuantityError: it cannot be read, has another unit, or lacks one

    >>> parse("2k2", "ohm"), parse("0.1in", "mm"), parse("20 mA", "A")
    (2200.0, 2.54, 0.02)
    """
    clean = _plain(text, unit)
    number = _rkm_value(clean) if unit == "ohm" else None
    if number is None:
        number = _decimal(clean, text, unit, default_unit)
    if number < 0 and unit in _NEVER_NEGATIVE:
        raise _error(text, unit, "is negative")
    return number


def whole(text: str, low: int, high: int) -> int | None:
    """The whole number that ``text`` writes in plain digits, or None when it is none from ``low`` to ``high``."""
    clean = text.strip()
    if not clean.isascii() or not clean.isdigit() or len(clean) > 9:
        return None
    return int(clean) if low <= int(clean) <= high else None


def parse_at(text: str, unit: str = "V") -> Reading:
    """A reading with its current: ``1.18V``, ``1.18@1mA``, ``1.18V@5V/220R``; for a current also ``0.3V/33k@20mA``.

    ``V/R`` before ``@`` is a current read as a voltage across a known resistor; behind ``@`` it is the supply and the
    resistor that feed the emitter: for a voltage the current is (supply - value) / resistor, for a current it stays
    unknown because the emitter's own drop is not in the text.

    Raises:
        QuantityError: a part of it cannot be read, or the current would not be above zero
    """
    left, at_sign, right = text.partition("@")
    resistor: float | None = None
    if unit == "A" and "/" in left:
        volt, ohm = left.split("/", 1)
        resistor = _above_zero(ohm, "ohm")
        value = parse(volt, "V") / resistor
    else:
        value = parse(left, unit)
    if not at_sign:
        return Reading(value=value, unit=unit, resistor=resistor, text=text)
    if "/" not in right:
        return Reading(value=value, unit=unit, current=_above_zero(right, "A"), resistor=resistor, text=text)
    volt, ohm = right.split("/", 1)
    supply, feed = parse(volt, "V"), _above_zero(ohm, "ohm")
    if unit != "V":
        return Reading(value=value, unit=unit, supply=supply, resistor=feed, text=text)
    current = (supply - value) / feed
    if current <= 0:
        raise QuantityError(f'"{_short(text)}": the supply {supply:g} V is not above the reading {value:g} V')
    return Reading(value=value, unit=unit, current=current, supply=supply, resistor=feed, text=text)


def parse_size(text: str, *, counts: tuple[int, ...] = (2, 3)) -> tuple[float, ...]:
    """Lengths joined by ``x``, in mm, each above 0; a unit at the end holds for those that have none.

    >>> parse_size("4.2x3.1x2.0"), parse_size("0.4x0.2in")
    ((4.2, 3.1, 2.0), (10.16, 5.08))
    """
    pieces = [piece.strip() for piece in text.replace("×", "x").replace("X", "x").split("x")]
    if len(pieces) not in counts:
        example = "x".join(("4.2", "3.1", "2.0")[: max(counts)]) + "mm"
        wanted = " or ".join(str(count) for count in counts)
        raise QuantityError(f'"{_short(text)}" is not a size: expected {wanted} lengths joined by x, like {example}')
    tail = _NUMBER.sub("", pieces[-1], count=1).strip()
    values = []
    for piece in pieces:
        bare = _NUMBER.fullmatch(piece) is not None
        value = parse(piece + tail if bare else piece, "mm")
        if value <= 0:
            raise QuantityError(f'"{_short(text)}" is not a size: every length must be above 0')
        values.append(value)
    return tuple(values)


def parse_grid(text: str) -> tuple[float, float]:
    """A lead grid ``ACROSSxDOWN`` in mm: ``5.5x2.54mm``."""
    across, down = parse_size(text, counts=(2,))
    return across, down


def parse_range(text: str, unit: str) -> tuple[float, float]:
    """A range ``LOW..HIGH`` with the unit at the end, or one value for both ends: ``10..45C``."""
    low, dots, high = text.partition("..")
    if not dots:
        value = parse(text, unit)
        return value, value
    tail = _NUMBER.sub("", high.strip(), count=1).strip()
    bare = _NUMBER.fullmatch(low.strip()) is not None
    ends = parse(low.strip() + tail if bare else low, unit), parse(high, unit)
    if ends[0] > ends[1]:
        raise QuantityError(f'"{_short(text)}": the lower end stands first, like 10..45{unit}')
    return ends


def show(value: float, unit: str, digits: int = 3) -> str:
    """The value with prefix and unit, ASCII, ``digits`` significant figures: ``12.5 mA``, ``2.2 kohm``."""
    if unit in _NO_PREFIX:
        factor, word = {"pct": (100.0, " %"), "1": (1.0, "")}.get(unit, (1.0, f" {unit}"))
        return f"{_figures(value * factor, digits)}{word}"
    size = abs(float(f"{value:.{digits - 1}e}"))
    prefix = ""
    if size:
        fitting = [p for p, factor in PREFIXES.items() if size >= factor * 0.999999]
        prefix = max(fitting, key=lambda p: PREFIXES[p], default="p")
    return f"{_figures(value / PREFIXES[prefix], digits)} {prefix}{unit}"


def rkm(ohms: float) -> str:
    """A resistance as resistors are marked (IEC 60062): ``470R``, ``2k2``, ``4M7``, three figures.

    >>> rkm(2200), rkm(470), rkm(0.47), rkm(33000)
    ('2k2', '470R', '0R47', '33k')
    """
    value = float(f"{ohms:.3g}")
    factor, letter = next(((f, c) for f, c in ((1e9, "G"), (1e6, "M"), (1e3, "k")) if value >= f), (1.0, "R"))
    whole, _, part = _figures(value / factor, 3).partition(".")
    return f"{whole}{letter}{part}"


def _figures(value: float, digits: int) -> str:
    """Plain decimal with that many significant figures, no trailing zeros, no exponent for usual sizes."""
    rounded = float(f"{value:.{digits - 1}e}")
    if rounded == 0:
        return "0"
    return f"{rounded:.10f}".rstrip("0").rstrip(".") if 1e-6 <= abs(rounded) < 1e12 else f"{rounded:g}"


def _plain(text: str, unit: str) -> str:
    """Spaces out, the spellings of micro and ohm made one; refuse what no quantity holds."""
    clean = text.strip().replace("µ", "u").replace("μ", "u").replace("Ω", "ohm").replace("Ω", "ohm").replace("°", "deg")
    if not clean:
        raise _error(text, unit, "is empty")
    if "," in clean:
        raise _error(text, unit, "has a comma", f'write a dot: "{_short(clean.replace(",", ".", 1))}"')
    if len(clean) > 40:
        raise _error(text, unit, "is too long")
    lowered = clean.lower().lstrip("+-")
    if lowered.startswith(("nan", "inf")):
        raise _error(text, unit, "is not a number")
    return clean


def _rkm_value(clean: str) -> float | None:
    match = _RKM.fullmatch(clean.removesuffix("ohms").removesuffix("ohm").rstrip())
    if match is None or not (match[1] or match[3]):
        return None
    return float(f"{match[1] or 0}.{match[3] or 0}") * _RKM_FACTOR[match[2]]


def _decimal(clean: str, text: str, unit: str, default_unit: bool) -> float:
    match = _NUMBER.match(clean)
    if match is None:
        raise _error(text, unit, "does not start with a number")
    tail = clean[match.end() :].strip()
    if tail.startswith("."):
        raise _error(text, unit, "has a second dot")
    number = float(match[0])
    if not abs(number) < 1e15:
        raise _error(text, unit, "is too large")
    if not tail:
        if default_unit or unit == "1":
            return _scaled(number, 0.01 if unit == "pct" else 1.0)
        raise _error(text, unit, "has no unit")
    factor = _factor(tail, unit)
    if factor is None:
        other = next((name for name in UNITS if _factor(tail, name, strict=True) is not None), "")
        if _rkm_value(clean) is not None:
            other = other or "ohm"
        if unit == "ohm" and tail == "m":
            raise _error(text, unit, 'ends in "m"', f"write {match[0]}M or {match[0]}mohm")
        raise _error(text, unit, f"is {UNITS[other][0]}" if other else f'has an unknown unit "{_short(tail)}"')
    return _scaled(number, factor)


def _scaled(number: float, factor: float) -> float:
    """The product as the nearest decimal: 20 mA is 0.02, not 0.020000000000000004."""
    product = number * factor
    return float(f"{product:.15g}")


def _factor(tail: str, unit: str, *, strict: bool = False) -> float | None:
    """Factor of a unit as typed, or None. A lone prefix (``4.7k``) stands for the expected unit, not when strict."""
    fixed = UNITS[unit][2]
    if tail in fixed:
        return fixed[tail]
    if unit in _NO_PREFIX:
        return 1.0 if tail == unit and unit != "1" else None
    names = ("ohms", "ohm", "R") if unit == "ohm" else (unit,)
    for name in names:
        if tail.endswith(name):
            prefix = tail[: -len(name)].strip()
            return PREFIXES["k" if prefix == "K" and unit == "ohm" else prefix] if prefix in (*PREFIXES, "K") else None
    lone = "k" if tail == "K" and unit == "ohm" else tail
    if strict or lone not in PREFIXES or (unit == "ohm" and lone not in ("k", "M", "G")):
        return None
    return PREFIXES[lone]


def _above_zero(text: str, unit: str) -> float:
    value = parse(text, unit)
    if value <= 0:
        raise _error(text, unit, "is not above zero")
    return value


def _error(text: str, unit: str, what: str, hint: str = "") -> QuantityError:
    name, example, _ = UNITS[unit]
    return QuantityError(f'"{_short(text)}" {what}: {hint or f"expected {name} like {example}"}')


def _short(text: str) -> str:
    """At most 30 characters for a message, nothing that a terminal would obey."""
    safe = "".join(c if c.isprintable() else "?" for c in text)
    return safe if len(safe) <= 30 else safe[:27] + "..."
