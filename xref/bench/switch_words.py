"""The words in which a switch is typed: ``left=1:2,4:5``, ``5V/0.5mA``, ``5V/10k:0,1k,2k2``."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from xref import quantity
from xref.errors import QuantityError, UsageError
from xref.model.contact_need import Load
from xref.physics.contact import ladder_contact_limit

_NAME = re.compile(r"[A-Za-z0-9_.+'-]{1,16}")
MOST_POSITIONS, MOST_LEADS = 12, 24
NOTHING = ("none", "open", "off")


def parse_joins(texts: Iterable[str]) -> dict[str, tuple[tuple[str, ...], ...]]:
    """Position to groups of joined leads from ``left=1:2,4:5``; ``mid=none`` joins nothing; ``1:2:3`` joins three.

    Raises:
        UsageError: the form is wrong, a position is given twice, or nothing is joined anywhere
    """
    found: dict[str, tuple[tuple[str, ...], ...]] = {}
    for text in texts:
        position, equals, groups = text.partition("=")
        position = position.strip()
        if not equals or not _NAME.fullmatch(position) or not groups.strip():
            raise UsageError(
                f'"{_short(text)}" is not POSITION=LEADS: expected like left=1:2,4:5 or mid=none', "--joins"
            )
        if position in found:
            raise UsageError(f"position {position} is given twice", "--joins")
        found[position] = (
            () if groups.strip().lower() in NOTHING else tuple(_group(text, word) for word in groups.split(","))
        )
    leads = {lead for groups in found.values() for group in groups for lead in group}
    if len(found) > MOST_POSITIONS or len(leads) > MOST_LEADS:
        raise UsageError(
            f"{len(found)} positions and {len(leads)} leads: expected at most {MOST_POSITIONS} and {MOST_LEADS}",
            "--joins",
        )
    if found and not any(found.values()):
        raise UsageError("no position joins anything: expected like left=1:2", "--joins")
    return found


def _group(text: str, word: str) -> tuple[str, ...]:
    leads = tuple(lead.strip() for lead in word.split(":"))
    if len(leads) < 2 or any(not _NAME.fullmatch(lead) for lead in leads):
        raise UsageError(f'"{_short(text)}": "{_short(word)}" joins no two leads, expected like 1:2', "--joins")
    if len(set(leads)) < len(leads):
        raise UsageError(f'"{_short(text)}": a lead is joined to itself', "--joins")
    return leads


def parse_leads(text: str) -> tuple[str, ...]:
    """Lead names from a number (``6`` means 1 to 6) or a list (``C,1,2``).

    Raises:
        UsageError: neither
    """
    if text.isascii() and text.isdigit():
        if not 2 <= int(text[:4]) <= 16:
            raise UsageError(f"{text[:10]} leads: expected 2 to 16", "--leads")
        return tuple(str(number) for number in range(1, int(text) + 1))
    names = tuple(name.strip() for name in text.split(","))
    if len(names) < 2 or any(not _NAME.fullmatch(name) for name in names):
        raise UsageError(f'"{_short(text)}" is no number and no list of leads: expected 6 or C,1,2', "--leads")
    if len(set(names)) < len(names):
        raise UsageError(f'"{_short(text)}" names a lead twice', "--leads")
    return names


def parse_load(text: str) -> Load:
    """Voltage over the open contact and current through the closed one: ``5V/0.5mA``, ``230VAC/2A``.

    Raises:
        QuantityError: the form or a value is wrong
    """
    volts, slash, current = text.partition("/")
    match = re.fullmatch(r"(.*?)\s*(AC|DC)", volts.strip(), re.IGNORECASE)
    kind = match[2].upper() if match else ""
    if not slash:
        raise QuantityError(
            f'"{_short(text)}" is no load: expected voltage/current like 5V/0.5mA or 230VAC/2A', "--load"
        )
    load = Load(
        volts=quantity.parse(match[1] if match else volts, "V"), current=quantity.parse(current, "A"), ac_dc=kind
    )
    if load.volts <= 0 or load.current <= 0:
        raise QuantityError(f'"{_short(text)}": voltage and current must be above 0', "--load")
    return load


def parse_ladder(text: str) -> float:
    """Contact resistance [ohm] at which the first key of a resistor ladder is read as another.

    ``5V/10k:0,1k,2k2``: supply, pull-up, then the resistors of the chain from the input on.

    Raises:
        QuantityError: the form or a value is wrong
    """
    head, colon, chain = text.partition(":")
    volts, slash, pull = head.partition("/")
    if not colon or not slash:
        raise QuantityError(
            f'"{_short(text)}" is no ladder: expected SUPPLY/PULLUP:R1,R2,... like 5V/10k:0,1k,2k2', "--ladder"
        )
    supply, pull_up = quantity.parse(volts, "V"), quantity.parse(pull, "ohm")
    resistors = [quantity.parse(word, "ohm") for word in chain.split(",")]
    if supply <= 0 or pull_up <= 0 or any(value <= 0 for value in resistors[1:]):
        raise QuantityError(
            f'"{_short(text)}": supply, pull-up and all resistors but the first must be above 0', "--ladder"
        )
    return min(ladder_contact_limit(supply, pull_up, resistors, key) for key in range(1, len(resistors) + 1))


def one_of(option: str, value: str, allowed: Sequence[str]) -> str:
    """``value`` when it is one of the words, else an error with all of them.

    Raises:
        UsageError: another word
    """
    if value not in allowed:
        words = ", ".join(word for word in allowed if word)
        raise UsageError(f'"{_short(value)}" is not one of {words}', option)
    return value


def _short(text: str) -> str:
    safe = "".join(c if c.isprintable() else "?" for c in text)
    return safe if len(safe) <= 30 else safe[:27] + "..."
