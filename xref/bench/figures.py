"""What the volts of a running machine say at once: emitter current, transfer, light reserve, what cannot be true."""

from __future__ import annotations

from collections.abc import Mapping

from xref.bench.circuit import Circuit
from xref.model.answers.assess import TransferSeen
from xref.physics.coupling import current_factor

LEAST_MA = 0.2
"""Emitter current below which a transfer ratio says nothing: the law of the transfer holds from there [mA]."""

SATURATED = 0.6
"""Volts left over a lit detector below which it is taken as saturated; VCE(sat) is mostly below 0.4 V (assumed)."""


def _rails(circuit: Circuit, volts: Mapping[str, float]) -> tuple[float, float]:
    """Supply of the emitter and of the detector [V]: as read at the sensor where both share it, else nominal."""
    if circuit.emitter_supply == circuit.supply:
        rail = volts.get("supply", circuit.supply)
        return rail, rail
    return circuit.emitter_supply, volts.get("supply", circuit.supply)


def emitter_ma(circuit: Circuit, volts: Mapping[str, float]) -> float | None:
    """Emitter current: from its resistor's drop, else from the supply less the emitter's [mA]."""
    if "emitter_resistor" in volts:
        return volts["emitter_resistor"] / circuit.emitter_ohm * 1e3
    if "emitter" not in volts:
        return None
    rest = _rails(circuit, volts)[0] - circuit.driver_drop - circuit.in_series * volts["emitter"]
    # across an open emitter the whole supply stands and nothing flows
    return max(rest, 0.0) / circuit.emitter_ohm * 1e3 if rest > 0.1 else 0.0


def _ic(circuit: Circuit, volts: Mapping[str, float]) -> float | None:
    """Collector current of the bright state, from the volts over the load [A]."""
    if "lit" not in volts:
        return None
    rail = _rails(circuit, volts)[1]
    across = rail - volts["lit"] if circuit.side == "collector" else volts["lit"]
    return max(across, 0.0) / circuit.load_ohm


def _saturated(circuit: Circuit, volts: Mapping[str, float]) -> bool:
    """Whether the lit detector has taken nearly the whole supply off the load: more light would not show."""
    if "lit" not in volts:
        return False
    rail = _rails(circuit, volts)[1]
    left = volts["lit"] if circuit.side == "collector" else rail - volts["lit"]
    return left < SATURATED


def transfer(circuit: Circuit, volts: Mapping[str, float]) -> TransferSeen:
    """Collector over emitter current as read, and the type's spread at the same emitter current."""
    current, ic = emitter_ma(circuit, volts), _ic(circuit, volts)
    measured, forward = None, circuit.if_ref
    if current is not None and current > LEAST_MA:
        forward = current * 1e-3
        measured = None if ic is None else ic / forward
    low, _, high = circuit.ic
    # the ratio itself falls with the current, so the printed one is moved to the current that flows
    scale = circuit.bright / forward * current_factor(forward, circuit.if_ref).value
    return TransferSeen(
        measured_per_1=measured,
        expected_min_per_1=low * scale * circuit.target_band[0],
        expected_max_per_1=high * scale * circuit.target_band[1],
        saturated=_saturated(circuit, volts),
    )


def reserve(circuit: Circuit, volts: Mapping[str, float]) -> float | None:
    """Light now over the light that the input needs [1]; in saturation this is only a lower bound."""
    ic = _ic(circuit, volts)
    if ic is None:
        return None
    limit = (
        _rails(circuit, volts)[1] - circuit.thresholds.vil if circuit.side == "collector" else circuit.thresholds.vih
    )
    needed = limit / circuit.load_ohm
    return ic / needed if needed > 0 else None


def contradictions(circuit: Circuit, volts: Mapping[str, float], tests: Mapping[str, bool]) -> tuple[str, ...]:
    """Readings that cannot both be right, named instead of averaged away."""
    found = []
    rail, output_rail = _rails(circuit, volts)
    if "emitter" in volts and "emitter_resistor" in volts:
        sum_ = circuit.in_series * volts["emitter"] + volts["emitter_resistor"] + circuit.driver_drop
        if abs(sum_ - rail) > 0.15 + 0.08 * rail:
            found.append(
                f"emitter {volts['emitter']:.2f} V and its resistor {volts['emitter_resistor']:.2f} V do not add up to "
                f"the supply of {rail:.2f} V: read all three again (or something else is in this line)"
            )
    if "emitter" in volts and volts["emitter"] > 0.9 * rail and tests.get("glow"):
        found.append("the whole supply across the emitter means it is open, yet it was seen glowing: read again")
    for name in ("lit", "dark"):
        if name in volts and volts[name] > output_rail * 1.06 + 0.1:
            found.append(
                f"output {volts[name]:.2f} V is above the supply: another supply feeds it, or the ground is missing"
            )
    return tuple(found)
