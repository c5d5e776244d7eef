"""The one grammar of readings for sensors and switches: ``RED:BLACK[@STATE][,STATE...]=VALUE``.

``1:2=1.08V`` (diode test), ``2:1=OL``, ``3:4@lit=6.8k`` (ohms), ``5:6=0`` (continuity), ``1:2@5V/10k=3.9V`` (own supply
through a resistor), ``1:2@left=0`` (switch in a position). The red lead stands first.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from xref import quantity
from xref.errors import QuantityError, UsageError

LIGHTS = ("dark", "lit")
OVERLOAD = ("OL", "O.L", "0L", "O.L.", "OVLD", "OFL", "OPEN", "INF")
SAFE_SERIES = 4700.0
"""Least series resistor for a part whose emitter is not known yet [ohm]: about 1 mA from 5 V."""
SAFE_SUPPLY = 5.5
"""Highest supply for an unknown part [V]: emitters are printed for 5 V reverse (TCRT5000, 83760, Rev. 1.7: VR 5 V)."""
MOST_OHMS = 1e9
"""More than any multimeter shows [ohm] (common practice, no source)."""
_LABEL = re.compile(r"[A-Za-z0-9_+-]{1,12}")
_STATE = re.compile(r"[A-Za-z][A-Za-z0-9_-]{0,15}|[0-9]{1,3}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading of a meter.

    ``value``: volt in the modes "diode" and "supply", ohm in "ohms"; None is overload. ``mode`` "unsaid": overload
    without a range. ``light``: "dark", "lit" or "" (as it lay). ``position``: of a switch, "" where none was said.
    ``supply`` [V] and ``series`` [ohm]: own supply through a resistor.
    """

    red: str
    black: str
    mode: str = "diode"
    value: float | None = None
    light: str = ""
    position: str = ""
    supply: float | None = None
    series: float | None = None
    text: str = ""


def parse_reading(text: str, labels: Sequence[str] = ()) -> Reading:
    """The reading that ``text`` means.

    Args:
        text: one reading as typed
        labels: the leads that exist; empty accepts any label

    Raises:
        UsageError: the form is wrong, or a lead does not exist
        QuantityError: the value or the supply cannot be read
    """
    left, equals, right = text.strip().partition("=")
    if not equals or not right.strip():
        raise UsageError(f'"{_short(text)}" is not a reading: expected RED:BLACK=VALUE like 1:2=1.08V')
    pair, at_sign, states = left.partition("@")
    red, colon, black = (word.strip() for word in pair.partition(":"))
    if not colon or not _LABEL.fullmatch(red) or not _LABEL.fullmatch(black):
        raise UsageError(f'"{_short(text)}" names no two leads: expected RED:BLACK=VALUE like 1:2=1.08V')
    for label in (red, black):
        if labels and label not in labels:
            raise UsageError(f'"{_short(text)}": there is no lead {label}; the leads are {_listed(labels)}')
    if red == black:
        raise UsageError(f'"{_short(text)}" has both probes on lead {red}: expected two leads like 1:2=1.08V')
    reading = Reading(red=red, black=black, text=text.strip())
    if at_sign:
        for state in states.split(","):
            reading = _with_state(reading, state.strip())
    return with_value(reading, right)


def with_value(reading: Reading, text: str) -> Reading:
    """The reading with the value as typed; its mode is kept where overload does not say one.

    Raises:
        QuantityError: the value cannot be read
    """
    clean = text.strip()
    upper = clean.upper().replace("Ω", "OHM")
    word, _, unit = upper.partition(" ")
    for name in OVERLOAD:
        if word == name or (not unit and word in (name + "V", name + "OHM")):
            unit = unit or word[len(name) :]
            if unit in ("", "V", "OHM", "OHMS"):
                mode = {"": reading.mode, "V": "diode"}.get(unit, "ohms")
                if reading.supply is not None:
                    raise QuantityError(f'"{_short(reading.text or clean)}": with an own supply write the volts')
                if not unit and mode == "diode" and reading.text:
                    mode = "unsaid"
                return replace(reading, value=None, mode=mode)
    try:
        mode, value = _number(clean, reading)
    except QuantityError as error:
        raise QuantityError(f"{error.message}; or OL for overload", _where(reading)) from None
    return replace(reading, value=value, mode=mode)


def parse_readings(texts: Iterable[str], labels: Sequence[str] = ()) -> list[Reading]:
    """All readings, in their order; errors as :func:`parse_reading`."""
    return [parse_reading(text, labels) for text in texts]


def show_reading(reading: Reading) -> str:
    """The reading in the form in which it is typed."""
    return f"{where(reading)}={show_value(reading)}"


def where(reading: Reading) -> str:
    """The part before the equals sign."""
    states = [word for word in (reading.light, reading.position) if word]
    if reading.supply is not None and reading.series is not None:
        states.append(f"{reading.supply:g}V/{quantity.rkm(reading.series)}")
    tail = f"@{','.join(states)}" if states else ""
    return f"{reading.red}:{reading.black}{tail}"


def show_value(reading: Reading) -> str:
    """The value with its unit, without a space."""
    if reading.value is None:
        return {"ohms": "OL ohm", "diode": "OL V"}.get(reading.mode, "OL")
    return quantity.show(reading.value, "ohm" if reading.mode == "ohms" else "V", 4).replace(" ", "")


def check_supply(reading: Reading, *, emitter_known: bool = False) -> None:
    """Refuse a supply that could harm the part.

    Args:
        reading: a reading with an own supply; others pass
        emitter_known: red is known to be the anode and black the cathode

    Raises:
        UsageError: less than 4.7 kohm before the emitter is known, below 180 ohm at all, or more than 5.5 V
    """
    if reading.supply is None or reading.series is None:
        return
    if reading.supply > SAFE_SUPPLY and not emitter_known:
        raise UsageError(
            f"{where(reading)}: {reading.supply:g} V is too much for an unknown part (emitters stand 5 V the wrong "
            f"way); use 5V/10k"
        )
    least = 180.0 * max(reading.supply / 5.0, 1.0) if emitter_known else SAFE_SERIES
    if reading.series < least:
        why = "even for a known emitter" if emitter_known else "before the emitter is known"
        raise UsageError(
            f"{where(reading)}: {quantity.rkm(reading.series)} is too small {why}; use at least {quantity.rkm(least)}"
        )


def _with_state(reading: Reading, state: str) -> Reading:
    if state in LIGHTS:
        if reading.light:
            raise UsageError(f'"{_short(reading.text)}" names the light twice: expected lit or dark')
        return replace(reading, light=state)
    if "/" in state:
        volt, ohm = state.split("/", 1)
        supply, series = quantity.parse(volt, "V"), quantity.parse(ohm, "ohm")
        if supply <= 0 or series <= 0:
            raise QuantityError(f'"{_short(reading.text)}": supply and resistor must be above 0, like 5V/10k')
        return replace(reading, supply=supply, series=series, mode="supply")
    if not _STATE.fullmatch(state):
        raise UsageError(f'"{_short(reading.text)}": expected @lit, @dark, @5V/10k or a switch position after the @')
    if reading.position:
        raise UsageError(f'"{_short(reading.text)}" names two positions: {reading.position} and {state}')
    return replace(reading, position=state)


def _number(text: str, reading: Reading) -> tuple[str, float]:
    """Mode and value: volts or ohms by the unit; a bare 0 is continuity, another bare number is volts."""
    if reading.supply is not None:
        return "supply", _volts(text, reading, reading.supply * 1.05)
    bare = re.fullmatch(r"[+-]?(?:\d+(?:\.\d+)?|\.\d+)", text) is not None
    if bare and reading.mode == "ohms":
        return "ohms", quantity.parse(text, "ohm")
    if bare and float(text) == 0:
        return "ohms", 0.0
    if bare or text.rstrip().endswith(("V", "v")):
        return "diode", _volts(text, reading, 10.0)
    ohms = quantity.parse(text, "ohm")
    if ohms > MOST_OHMS:
        raise QuantityError(f'"{_short(text)}" is more than a multimeter shows: expected like 6.8k')
    return "ohms", ohms


def _volts(text: str, reading: Reading, limit: float) -> float:
    value = quantity.parse(re.sub("v$", "V", text.strip()), "V")
    if reading.supply is not None and value < -1.0:
        raise QuantityError(f'"{_short(text)}" is negative: exchange the probes, red on the side of the plus')
    if abs(value) > limit:
        raise QuantityError(f'"{_short(text)}" is more than this reading can be ({limit:g} V): expected like 1.08V')
    return value


def _where(reading: Reading) -> str:
    return where(reading)


def _listed(labels: Sequence[str]) -> str:
    if list(labels) == [str(number) for number in range(1, len(labels) + 1)]:
        return f"1 to {len(labels)}"
    return ", ".join(labels)


def _short(text: str) -> str:
    safe = "".join(c if c.isprintable() else "?" for c in text)
    return safe if len(safe) <= 30 else safe[:27] + "..."
