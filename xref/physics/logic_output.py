"""Sensors with a built-in amplifier: open collector, pull-up or totem-pole output, threshold current, hysteresis."""

from __future__ import annotations

import math
from dataclasses import dataclass

from xref.errors import DataError
from xref.physics.logic_input import Thresholds

OUTPUTS = ("open-collector", "pull-up", "totem-pole")


@dataclass(frozen=True, slots=True, kw_only=True)
class LogicOutput:
    """A logic output as printed; currents in A, voltages in V, resistance in ohm."""

    kind: str
    low_when_lit: bool
    threshold_max: float  # emitter current that surely switches on (lit state)
    threshold_typ: float | None = None
    hysteresis: float = 0.8  # off threshold over on threshold, typical (assumed where not printed)
    vol_max: float = 0.4
    iol: float = 16e-3
    leak_max: float = 100e-6  # open collector, high state
    voh_min: float | None = None  # totem pole
    pull_up: float | None = None
    supply_min: float = 4.5
    supply_max: float = 16.0

    def __post_init__(self) -> None:
        if self.kind not in OUTPUTS:
            raise DataError(f"no logic output {self.kind!r}; known: {', '.join(OUTPUTS)}")


@dataclass(frozen=True, slots=True, kw_only=True)
class LogicPoint:
    """Levels and light reserves of a logic output on a machine's load; ``ok`` needs levels and reserves."""

    bright_v: float
    dark_v: float
    bright_reserve: float
    dark_reserve: float
    sink_current: float
    ok: bool
    valid: bool
    why: str
    basis: str = "derived"


def logic_point(
    output: LogicOutput,
    thresholds: Thresholds,
    *,
    supply: float,
    forward_current: float,
    load: float | None = None,
    load_supply: float | None = None,
    bright: float = 1.0,
    dark: float = 0.0,
) -> LogicPoint:
    """Levels at the input behind a logic sensor and the light reserve to its switching thresholds.

    Args:
        output: the sensor's output [A, V, Ω]
        thresholds: the input behind it [V, A]
        supply: supply of the sensor [V]
        forward_current: emitter current [A]
        load: pull-up on the machine's board, None = none [Ω]
        load_supply: supply of that pull-up, None = the sensor's [V]
        bright: light in the bright state over the light of the printed condition [1]
        dark: light left in the dark state over the light of the printed condition [1]

    Returns:
        levels, reserves, and whether input and sensor agree [V, 1, A]

    Raises:
        DataError: an open collector without any pull-up

    Valid: within the sensor's supply range and sink current; the result says so.
    Source: definition of the threshold current in logic-sensor sheets (common practice of the trade, no single source).
    """
    rail = supply if load_supply is None else load_supply
    pulls = [(rail, load)] if load is not None else []
    if output.kind == "pull-up":
        if output.pull_up is None:
            raise DataError("a pull-up output needs the value of its resistor")
        pulls.append((supply, output.pull_up))
    if output.kind == "open-collector" and not pulls:
        raise DataError("an open-collector output needs a pull-up resistor on the board")
    conductance = sum(1 / r for _, r in pulls if r)
    source = sum(v / r for v, r in pulls if r)
    sink = (source - output.vol_max * conductance) + thresholds.current_low
    low = output.vol_max
    if output.kind == "totem-pole":
        high = output.voh_min if output.voh_min is not None else supply - 1.0
    else:
        high = (source - output.leak_max - thresholds.current_high) / conductance
    lit, blocked = (low, high) if output.low_when_lit else (high, low)
    off_typ = output.threshold_typ if output.threshold_typ is not None else output.threshold_max / 2
    bright_reserve = forward_current * bright / output.threshold_max
    stray = forward_current * dark
    # the least threshold is not printed; half the typical one is assumed for the dark side
    dark_reserve = off_typ * output.hysteresis / 2 / stray if stray > 0 else math.inf
    why = []
    if not output.supply_min <= supply <= output.supply_max:
        why.append(f"the sensor works from {output.supply_min:g} to {output.supply_max:g} V, not at {supply:g} V")
    if sink > output.iol:
        why.append(f"the output must sink {sink * 1e3:.3g} mA; printed are {output.iol * 1e3:.3g} mA")
    if not thresholds.valid:
        why.append(thresholds.why)
    levels = low <= thresholds.vil and high >= thresholds.vih
    return LogicPoint(
        bright_v=lit,
        dark_v=blocked,
        bright_reserve=bright_reserve,
        dark_reserve=dark_reserve,
        sink_current=sink,
        ok=levels and bright_reserve >= 1 and dark_reserve >= 1 and not why,
        valid=not why,
        why="; ".join(why),
    )
