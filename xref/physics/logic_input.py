"""What the input behind the sensor takes for low and high, and the current it draws."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from xref.errors import DataError
from xref.physics.logic_families import FAMILIES, SOURCES, Family


@dataclass(frozen=True, slots=True, kw_only=True)
class Thresholds:
    """Worst-case input: low at or below ``vil``, high at or above ``vih``.

    ``current_low`` flows out of the input at a low level, ``current_high`` into it at a high level (worst case, A).
    """

    name: str
    supply: float
    vil: float
    vih: float
    current_low: float = 0.0
    current_high: float = 0.0
    schmitt: bool = False
    hysteresis_min: float = 0.0
    voltage_max: float | None = None  # no higher voltage at the input
    follows_supply: bool = False  # thresholds move in proportion to the supply
    valid: bool = True
    why: str = ""
    basis: str = "printed"
    source: str = ""


def family_key(text: str) -> str:
    """Family name behind what users type: "74LS14", "7414", "HC14", "TTL", "74HC", "4049", "40106".

    Args:
        text: chip number or family, any case, with or without maker's letters [text]

    Returns:
        key of the family table [text]

    Raises:
        DataError: nothing known behind the text; the message says how to write one, or what a comparator needs

    Valid: for the families of ``logic_families``.
    Source: numbering of the 74, 54 and 4000 series: common practice, no source.
    """
    word = re.sub(r"[\s_\-/]", "", text).upper()
    if word in _WORDS:
        return _WORDS[word]
    match = re.match(rf"[A-Z]{{0,4}}(?:74|54)([A-Z]*)(?:[123]G)?(?:(\d+){_CASE})?$", word)
    if match is not None and match.group(1) in _LETTERS:
        return _numbered(_LETTERS[match.group(1)], match.group(2) or "")
    match = re.match(rf"[A-Z]{{0,4}}(?:40(\d{{3}})|1?(4[0-9]\d\d)){_CASE}$", word)
    if match is not None:
        number = f"40{match.group(1)}" if match.group(1) else match.group(2)
        if number in _UNBUFFERED_4000:
            return "4000-unbuffered"
        return "4000-schmitt" if number in _SCHMITT_4000 else "4000"
    match = re.match(rf"([A-Z]{{1,4}}?)(?:[123]G)?(\d{{2,4}}){_CASE}$", word)
    if match is not None and match.group(1) in _LETTERS:
        return _numbered(_LETTERS[match.group(1)], match.group(2))
    shown = text if len(text) <= 20 else text[:17] + "..."
    levels = "low_below and high_above, the volts at which it switches"
    if re.match(_COMPARATOR, word):
        raise DataError(f'"{shown}" is a comparator, not a logic family: write {levels}')
    raise DataError(f'no logic family behind "{shown}": write one like {EXAMPLES}; or write {levels}')


def _numbered(base: str, number: str) -> str:
    schmitt = f"{base}-schmitt"
    return schmitt if number in _SCHMITT_74 and schmitt in FAMILIES else base


_LETTERS = {
    "": "ttl",
    "H": "ttl",
    "S": "s",
    "LS": "ls",
    "ALS": "als",
    "F": "f",
    "AS": "s",
    "HC": "hc",
    "HCU": "hc",
    "C": "4000",
    "HCT": "hct",
    "AC": "ac",
    "ACT": "act",
    "AHC": "ahc",
    "VHC": "ahc",
    "AHCT": "ahct",
    "VHCT": "ahct",
    "LV": "lvcmos",
    "LVC": "lvc",
    "ALVC": "lvcmos",
    "LVT": "lvcmos",
}
_WORDS = {
    "TTL": "ttl",
    "CMOS": "cmos",
    "LVTTL": "lvcmos",
    "LVCMOS": "lvcmos",
    **{k: v for k, v in _LETTERS.items() if k},
    **{name.upper().replace("-", ""): name for name in FAMILIES},
}
EXAMPLES = "TTL, 7414, 74LS14, 74HC14, 74HCT04, 4093, 40106 or CMOS"
"""Families as people type them, for messages."""
_CASE = (
    r"(?:(?:UB|U|B)?[ACEH]?(?:(?:N|P|D|J|W|F|M|E|G|K|T|PC|DC|FC|SC|FP|DB|DT|DW|NS|PW|SJ|SM|WM|MTC|BQ|GW|GV|GM|GF|DCK|DBV|"
    r"DGV|DRL|CN|CM|CP|MS|EY|B1|M1|M013)(?:R|X|T|G4|E4|RG4|RE4|TR|R2G?|G)?\d{0,3})?(?:Q1)?)"
)
"""Grade, case and reel letters behind the number; any other letter may be another chip (common practice, no source)."""
_COMPARATOR = (
    r"[A-Z]{0,4}(?:[123](?:11|19|39|93)|290[13]|3302|710|711|360|361|339\d|393\d|37[03]2)[A-Z]{0,4}\d{0,2}$"
    r"|MAX9\d\d|LTC?10[14]\d"
)
"""Numbers of usual comparators, LM339 and its like (common practice, no source)."""
_SCHMITT_74 = {"13", "14", "17", "18", "19", "24", "132", "7001", "7002"}
_SCHMITT_4000 = {"4093", "4584", "40106", "40014"}
_UNBUFFERED_4000 = {"4007", "4049", "4069"}


def family_thresholds(text: str, supply: float = 5.0) -> Thresholds:
    """Worst-case thresholds of a chip or family at a supply.

    Args:
        text: what the user typed, see :func:`family_key` [text]
        supply: supply of the input chip [V]

    Returns:
        thresholds; ``valid`` is False when the supply is outside the family's range or between no printed rows [V, A]

    Raises:
        DataError: unknown family

    Valid: within the supply range of the family; between two printed supplies the limits are interpolated.
    Source: the sheets named in ``logic_families`` and in the result.
    """
    key = family_key(text)
    family: Family = FAMILIES[key]
    rows = sorted(family.rows)
    low_v, high_v = family.supply_range
    why = ""
    basis = family.basis
    if not low_v * 0.999 <= supply <= high_v * 1.001:
        why = f"{key} works from {low_v:g} to {high_v:g} V, not at {supply:g} V"
    exact_row = any(abs(r[0] - supply) < 0.005 for r in rows)
    if len(rows) == 1:
        vil, vih, hysteresis = rows[0][1:]
        if family.follows_supply:
            scale = supply / rows[0][0]
            vil, vih, hysteresis = vil * scale, vih * scale, hysteresis * scale
            basis = basis if exact_row else "derived"
    else:
        vil, vih, hysteresis = (_between(supply, [(r[0], r[i]) for r in rows]) for i in (1, 2, 3))
        basis = basis if exact_row else "derived"
    return Thresholds(
        name=text,
        supply=supply,
        vil=vil,
        vih=vih,
        current_low=family.current_low,
        current_high=family.current_high,
        schmitt=key.endswith("schmitt"),
        follows_supply=family.follows_supply,
        hysteresis_min=hysteresis,
        voltage_max=family.voltage_max if family.voltage_max is not None else supply + 0.5,
        valid=not why,
        why=why,
        basis=basis,
        source=SOURCES[family.source],
    )


def own_thresholds(
    vil: float,
    vih: float,
    *,
    supply: float = 5.0,
    current_low: float = 0.0,
    current_high: float = 0.0,
    name: str = "own levels",
    basis: str = "assumed",
) -> Thresholds:
    """Thresholds that the user states.

    Args:
        vil: low at or below [V]
        vih: high at or above [V]
        supply: supply of the input [V]
        current_low: current out of the input at a low level [A]
        current_high: current into the input at a high level [A]
        name: words for the answer [text]
        basis: basis word [text]

    Returns:
        thresholds [V, A]

    Raises:
        DataError: the low limit lies above the high limit, or below 0

    Valid: everywhere.
    Source: the user.
    """
    if not 0 <= vil <= vih:
        raise DataError(f"low_below {vil:g} V must not be above high_above {vih:g} V, nor below 0")
    return Thresholds(
        name=name,
        supply=supply,
        vil=vil,
        vih=vih,
        current_low=current_low,
        current_high=current_high,
        basis=basis,
        source="stated by the user",
    )


def comparator_thresholds(
    level: float, *, offset: float = 0.01, hysteresis: float = 0.0, supply: float = 5.0, bias_current: float = 0.0
) -> Thresholds:
    """Thresholds of a comparator that compares with a fixed level.

    Args:
        level: reference level [V]
        offset: largest offset voltage [V]
        hysteresis: total hysteresis, half on each side [V]
        supply: supply of the comparator [V]
        bias_current: input current, may flow either way [A]

    Returns:
        thresholds: level -/+ (offset + half the hysteresis) [V, A]

    Valid: while the level lies in the comparator's common-mode range, which is not checked.
    Source: definition.
    """
    margin = abs(offset) + hysteresis / 2
    return Thresholds(
        name=f"comparator at {level:g} V",
        supply=supply,
        vil=level - margin,
        vih=level + margin,
        current_low=bias_current,
        current_high=bias_current,
        hysteresis_min=hysteresis,
        basis="assumed",
        source="stated by the user",
    )


def divided_thresholds(thresholds: Thresholds, *, series_ohm: float = 0.0) -> Thresholds:
    """Thresholds seen before a series resistor in the line to the input.

    Args:
        thresholds: thresholds at the input itself [V, A]
        series_ohm: resistor between sensor node and input [Ω]

    Returns:
        thresholds at the sensor node: low must be lower, high must be higher by the drop of the input current [V, A]

    Valid: everywhere.
    Source: Ohm's law.
    """
    return replace(
        thresholds,
        vil=thresholds.vil - thresholds.current_low * series_ohm,
        vih=thresholds.vih + thresholds.current_high * series_ohm,
    )


def _between(at: float, points: Sequence[tuple[float, float]]) -> float:
    """Linear between rows; beyond the last rows in proportion to the supply."""
    if at <= points[0][0]:
        return points[0][1] * at / points[0][0]
    for (x0, y0), (x1, y1) in pairwise(points):
        if at <= x1:
            return y0 + (y1 - y0) * (at - x0) / (x1 - x0)
    return points[-1][1] * at / points[-1][0]
