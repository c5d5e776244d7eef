"""Which load, and which emitter resistor, gives a working point its largest worst-case light reserve."""

from __future__ import annotations

from dataclasses import dataclass, replace

from xref.errors import NoSolution
from xref.physics.corners import CornerReport, Ranges, corner_report
from xref.physics.operating import Setup
from xref.physics.standard_values import values_between


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A standard value with its worst case."""

    value: float  # ohm
    report: CornerReport

    @property
    def reserve(self) -> float:
        """Worst-case light reserve with this value."""
        return self.report.reserve


def load_choices(
    setup: Setup, ranges: Ranges | None = None, *, low: float = 220.0, high: float = 1e6, series: str = "E12"
) -> list[Choice]:
    """Worst case of every standard load in a range.

    Args:
        setup: the circuit; its load is replaced [V, Ω, A]
        ranges: how far each quantity may depart [1, °C, V]
        low: smallest load tried [Ω]
        high: largest load tried [Ω]
        series: "E12", "E24" or "E96" [text]

    Returns:
        one choice a standard value, rising [Ω]

    Valid: as :func:`corner_report`.
    Source: complete search.
    """
    return [
        Choice(value=ohm, report=corner_report(replace(setup, receiver=replace(setup.receiver, load=ohm)), ranges))
        for ohm in values_between(low, high, series)
    ]


def emitter_choices(
    setup: Setup,
    ranges: Ranges | None = None,
    *,
    low: float = 22.0,
    high: float = 10e3,
    current_max: float | None = None,
    series: str = "E12",
) -> list[Choice]:
    """Worst case of every standard emitter resistor in a range whose largest current stays allowed.

    Args:
        setup: the circuit; its emitter resistor is replaced [V, Ω, A]
        ranges: how far each quantity may depart [1, °C, V]
        low: smallest resistor tried [Ω]
        high: largest resistor tried [Ω]
        current_max: largest current allowed in any corner, None = the emitter's printed limit [A]
        series: "E12", "E24" or "E96" [text]

    Returns:
        one choice a standard value, rising; empty if each exceeds the current [Ω]

    Raises:
        NoSolution: the circuit has no emitter of its own

    Valid: as :func:`corner_report`.
    Source: complete search.
    """
    if setup.emitter is None:
        raise NoSolution("a lone detector has no emitter resistor to choose")
    limit = current_max if current_max is not None else setup.emitter.current_max
    result = []
    for ohm in values_between(low, high, series):
        report = corner_report(replace(setup, emitter=replace(setup.emitter, resistor=ohm)), ranges)
        if limit is None or (report.forward_current is not None and report.forward_current[1] <= limit):
            result.append(Choice(value=ohm, report=report))
    return result


def best(choices: list[Choice], *, enough: float = 2.0, prefer: float | None = None) -> Choice:
    """The choice to take: among those with enough reserve the nearest to a preferred value, else the largest reserve.

    Args:
        choices: candidates [Ω]
        enough: reserve that satisfies [1]
        prefer: value to stay near (the old part), None = take the largest reserve [Ω]

    Returns:
        the choice [Ω]

    Raises:
        NoSolution: there is no choice with any reserve; the message holds the best

    Valid: as :func:`corner_report`.
    Source: definition.
    """
    if not choices:
        raise NoSolution("no standard value keeps the emitter current within its limit")
    top = max(choices, key=lambda c: (c.reserve, -c.value))
    if top.reserve < 1:
        raise NoSolution(
            f"no value keeps both levels; the best, {top.value:g} ohm, has a light reserve of {top.reserve:.2g} "
            f"({top.report.limited_by})"
        )
    if prefer is None:
        return top
    good = [c for c in choices if c.reserve >= enough]
    return min(good, key=lambda c: max(c.value / prefer, prefer / c.value)) if good else top
