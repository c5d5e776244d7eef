"""Switch contacts: smallest load, voltage drop, bounce against sampling, resistor ladder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from xref.errors import DataError
from xref.physics.validity import Estimate


def film_share(volts: float, current: float, *, least_volts: float, least_current: float) -> Estimate:
    """How far the circuit lies above the smallest load of a contact.

    Args:
        volts: voltage over the open contact [V]
        current: current through the closed contact [A]
        least_volts: smallest voltage the maker allows [V]
        least_current: smallest current the maker allows [A]

    Returns:
        smaller of the two ratios; below 1 the contact film may not break, ``valid`` False [1]

    Valid: for the maker's own limit.
    Source: Microloads (basic switches), Omron: level N of JIS C 5003; row B1 of tests/reference/checks.yaml.
    """
    share = min(volts / least_volts, current / least_current)
    why = (
        ""
        if share >= 1
        else (
            f"{volts:g} V, {current * 1e3:.3g} mA is under the least load "
            f"{least_volts:g} V, {least_current * 1e3:.3g} mA"
        )
    )
    return Estimate(value=share, low=share, high=share, valid=not why, why=why)


def contact_drop(current: float, resistance: float) -> float:
    """Voltage over a closed contact.

    Args:
        current: current [A]
        resistance: contact resistance, end of life [Ω]

    Returns:
        voltage drop [V]

    Valid: everywhere.
    Source: Ohm's law.
    """
    return current * resistance


def expected_failures(operations: float, lambda60: float) -> float:
    """Expected contact failures at the 60 % confidence rate of JIS C 5003.

    Args:
        operations: number of operations [1]
        lambda60: failure rate per operation [1]

    Returns:
        expected failures [1]

    Valid: within the smallest load and the rating.
    Source: D2SW data sheet, C097-E2-01D, Omron; rows B1, B2 of tests/reference/checks.yaml.
    """
    return operations * lambda60


def bounce_samples(bounce: float, sample_period: float) -> int:
    """Equal samples in a row that are needed to outlast the bounce.

    Args:
        bounce: longest bounce [s]
        sample_period: time between two samples [s]

    Returns:
        number of equal samples, at least 1 [1]

    Raises:
        DataError: a sample period that is not positive

    Valid: everywhere.
    Source: counting: n samples span (n - 1) periods, which must exceed the bounce.
    """
    if sample_period <= 0:
        raise DataError("a sample period must be above 0 s")
    return int(bounce / sample_period) + 2 if bounce > 0 else 1


def bounce_seen(bounce: float, sample_period: float) -> bool:
    """Whether a single sample can catch a contact while it bounces, so that one press counts twice.

    Args:
        bounce: longest bounce [s]
        sample_period: time between two samples [s]

    Returns:
        True when two samples can fall into one bounce [bool]

    Valid: everywhere.
    Source: counting.
    """
    return bounce > sample_period


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderKey:
    """One key of a resistor ladder: node voltage in rest band and the added contact resistance it stands."""

    key: int
    low: float
    high: float
    read_as: int | None  # key read at the worst contact resistance; None when between two bands


def ladder_voltages(supply: float, pull_up: float, resistors: Sequence[float], *, contact: float = 0.0) -> list[float]:
    """Node voltages of a chain: key k shorts the node to ground through the first k resistors and its contact.

    Args:
        supply: supply [V]
        pull_up: resistor to the supply [Ω]
        resistors: chain, the first belongs to key 1 (0 allowed) [Ω]
        contact: contact resistance [Ω]

    Returns:
        voltage for each key [V]

    Valid: one key at a time.
    Source: voltage divider.
    """
    result, total = [], 0.0
    for r in resistors:
        total += r
        result.append(supply * (total + contact) / (total + contact + pull_up))
    return result


def ladder_keys(
    supply: float, pull_up: float, resistors: Sequence[float], *, tolerance: float = 0.05, contact_max: float = 0.0
) -> list[LadderKey]:
    """Band of each key over resistor tolerance and contact resistance, and which key is read at the worst contact.

    Args:
        supply: supply [V]
        pull_up: resistor to the supply [Ω]
        resistors: chain [Ω]
        tolerance: resistor tolerance, 0.05 = 5 % [1]
        contact_max: largest contact resistance [Ω]

    Returns:
        one row a key; the reader is assumed to split half-way between the nominal voltages [V]

    Valid: one key at a time.
    Source: voltage divider.
    """
    nominal = ladder_voltages(supply, pull_up, resistors)
    edges = [(a + b) / 2 for a, b in zip(nominal, [*nominal[1:], supply], strict=True)]
    keys = []
    for k in range(len(resistors)):
        low = ladder_voltages(supply, pull_up * (1 + tolerance), [r * (1 - tolerance) for r in resistors])[k]
        high = ladder_voltages(
            supply, pull_up * (1 - tolerance), [r * (1 + tolerance) for r in resistors], contact=contact_max
        )[k]
        seen = next((i for i, e in enumerate(edges) if high <= e), None)
        keys.append(LadderKey(key=k + 1, low=low, high=high, read_as=None if seen is None else seen + 1))
    return keys


def ladder_contact_limit(supply: float, pull_up: float, resistors: Sequence[float], key: int) -> float:
    """Contact resistance at which a key is read as the next one (half-way split, nominal resistors).

    Args:
        supply: supply [V]
        pull_up: resistor to the supply [Ω]
        resistors: chain [Ω]
        key: number of the key, from 1 [1]

    Returns:
        contact resistance [Ω]

    Raises:
        DataError: no such key

    Valid: one key at a time.
    Source: voltage divider, solved back.
    """
    if not 1 <= key <= len(resistors):
        raise DataError(f"no key {key}; the ladder has {len(resistors)}")
    nominal = [*ladder_voltages(supply, pull_up, resistors), supply]
    edge = (nominal[key - 1] + nominal[key]) / 2
    return edge * pull_up / (supply - edge) - sum(resistors[:key])
