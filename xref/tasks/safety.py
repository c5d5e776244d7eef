"""What a sensor protects decides what may be done: the refusals and the questions, in one place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from xref.errors import SafetyRefusal

if TYPE_CHECKING:
    from xref.model.part import Part

PROTECTS = {
    "lid": "a lid or cover interlock",
    "laser": "a laser interlock",
    "gas": "a gas or flame supervision",
    "guard": "a guard on moving parts",
    "heat": "an over-temperature protection",
    "interlock": "an interlock",
}
"""The kinds that a site names, and what ``--drives`` says of a switch."""

ASK_ONCE = (
    "What does this sensor protect? Nothing was said (safety: unknown). If it watches a lid, laser, gas, guard or "
    "heat, stop: only the same part number may go in."
)


def ask_once(thing: str = "sensor") -> str:
    """The question where nothing was said; ``thing``: sensor or switch."""
    return ASK_ONCE.replace("sensor", thing, 1)


def guard(safety: str, what: str, thing: str = "sensor") -> None:
    """Refuse ``what`` where the ``thing`` (sensor or switch) is part of a safety function.

    Raises:
        SafetyRefusal: ``safety`` is one of lid, laser, gas, guard, heat, interlock
    """
    if safety in PROTECTS:
        raise SafetyRefusal(
            f"{thing} of {PROTECTS[safety]}: {what} is refused; only the same number or its named successor, by a "
            "licensed technician"
        )


def notice(safety: str) -> str:
    """The first line of every answer about a safety function; empty elsewhere."""
    if safety not in PROTECTS:
        return ""
    return (
        f"SAFETY FUNCTION ({PROTECTS[safety]}): only the same number goes in and no value is changed; leave it to the "
        "machine maker's service or a licensed technician, who also proves the function afterwards"
    )


def same_numbers(part: Part, *typed: str) -> frozenset[str]:
    """The numbers that may go in for a part of a safety function: its own, its aliases, the maker's named successor.

    Args:
        part: the original
        typed: the name as the user gave it, which may be another writing
    """
    return frozenset(plain(name) for name in (part.name, *part.aliases, part.successor, *typed) if name)


def plain(name: str) -> str:
    """A number without spaces and dashes, in capitals: writings of one number compare equal."""
    return "".join(char for char in name.upper() if char.isalnum())


def only_same_number(safety: str) -> bool:
    """True where nothing but the same number may be shown."""
    return safety in PROTECTS
