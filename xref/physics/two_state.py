"""Anything with one resistance when lit (or closed) and another when dark: divider levels and reserves."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from xref.physics.load import make_load
from xref.physics.logic_input import Thresholds


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoStatePoint:
    """Node voltages and reserves; a reserve is the factor the resistance may move before the level is lost."""

    lit_v: float
    dark_v: float
    lit_reserve: float  # the lit resistance may rise by this factor
    dark_reserve: float  # the dark resistance may fall by this factor
    lit_is: str

    @property
    def ok(self) -> bool:
        """True when both levels hold."""
        return self.lit_reserve >= 1 and self.dark_reserve >= 1


def two_state_point(
    lit_ohm: float,
    dark_ohm: float,
    thresholds: Thresholds,
    *,
    supply: float,
    load: float,
    side: str = "collector",
    pulls: Sequence[tuple[float, float]] = (),
) -> TwoStatePoint:
    """Levels of a two-state resistor with a load resistor, and how far each resistance may drift.

    Args:
        lit_ohm: resistance when lit or closed [Ω]
        dark_ohm: resistance when dark or open, may be infinite [Ω]
        thresholds: the input behind it [V, A]
        supply: supply [V]
        load: the other resistor [Ω]
        side: "collector": the two-state resistor goes to ground, load to the supply; "emitter": the reverse [text]
        pulls: further resistors at the node (voltage they go to [V], resistance [Ω]) [V, Ω]

    Returns:
        node voltages and reserves; below 1 the level is lost [V, 1]

    Valid: everywhere.
    Source: voltage divider.
    """
    net = make_load(supply, load, side, pulls=pulls)
    rail = 0.0 if side == "collector" else supply
    low_in, high_in = thresholds.current_low, -thresholds.current_high
    if side == "collector":
        lit = (thresholds.vil, low_in, "low")
        dark = (thresholds.vih, high_in)
    else:
        lit = (thresholds.vih, high_in, "high")
        dark = (thresholds.vil, low_in)
    lit_edge = _edge(net.voltage, net.resistance, rail, lit[0], lit[1])
    dark_edge = _edge(net.voltage, net.resistance, rail, dark[0], dark[1])
    return TwoStatePoint(
        lit_v=_node(net.voltage, net.resistance, rail, lit_ohm, lit[1]),
        dark_v=_node(net.voltage, net.resistance, rail, dark_ohm, dark[1]),
        lit_reserve=lit_edge / lit_ohm if lit_ohm > 0 else math.inf,
        dark_reserve=_dark_ratio(dark_ohm, dark_edge),
        lit_is=lit[2],
    )


def _node(voltage: float, resistance: float, rail: float, ohm: float, current: float) -> float:
    conductance = 1 / resistance + (1 / ohm if ohm > 0 else 1e12)
    return (voltage / resistance + (rail / ohm if ohm > 0 else rail * 1e12) + current) / conductance


def _edge(voltage: float, resistance: float, rail: float, node: float, current: float) -> float:
    """Resistance to the rail that puts the node on a voltage; infinite when it never gets there, 0 when always."""
    through = (voltage - node) / resistance + current  # current from the node into the two-state resistor
    across = node - rail
    if across == 0:
        return 0.0
    ohm = across / through if through != 0 else math.inf
    return ohm if ohm > 0 else math.inf


def _dark_ratio(dark_ohm: float, edge: float) -> float:
    if math.isinf(edge):
        return 0.0  # even an open circuit does not reach the level
    return dark_ohm / edge if edge > 0 else math.inf
