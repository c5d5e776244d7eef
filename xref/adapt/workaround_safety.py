"""What is refused for safety, in one sentence each, and whom to ask."""

from __future__ import annotations

from xref.adapt.workaround_wiring import Change, Compiled, safety_elements, safety_zone
from xref.errors import SafetyRefusal
from xref.model.answers.workaround import Refused
from xref.model.network import Network

PROTECTS = {
    "lid": ("a lid or cover interlock", "the machine maker's service or your safety officer"),
    "laser": ("a laser interlock", "the laser safety officer"),
    "gas": ("a gas or flame supervision", "a licensed gas fitter"),
    "guard": ("a guard on moving parts", "the machine maker's service or your safety officer"),
    "heat": ("an over-temperature protection", "the machine maker's service"),
    "mains": ("a mains circuit", "a qualified electrician"),
}


def refusals(compiled: Compiled, left_out: dict[str, int]) -> tuple[Refused, ...]:
    """Return one entry for each safety element of the network."""
    rows = []
    for (_, name), kind in safety_elements(compiled).items():
        what, ask = PROTECTS[kind]
        count = left_out.get(name, 0)
        why = f"{name} belongs to {what}: no change that touches it, or a net that carries its signal, is planned"
        rows.append(Refused(element=name, kind=kind, why=why, ask=ask, actions_left_out=count))
    return tuple(rows)


def guard_dead_parts(compiled: Compiled) -> None:
    """Refuse at once when the dead sensor itself belongs to a safety function.

    Raises:
        SafetyRefusal: a dead sensor is marked, or its output carries the signal of a marked element
    """
    zone = safety_zone(compiled)
    for name, sensor in compiled.network.sensors.items():
        if sensor.state != "dead":
            continue
        if sensor.safety != "none":
            raise refusal(compiled.network, name, f"the dead sensor {name} belongs to {{what}}")
        (terminal,) = compiled.ends["sensor", name]
        owner = zone.get(compiled.start[0][terminal])
        if owner:
            raise refusal(compiled.network, owner, f"the dead sensor {name} shares its line with {owner}, {{what}}")


def guard_change(compiled: Compiled, change: Change) -> None:
    """Refuse one change that touches a safety element.

    Raises:
        SafetyRefusal: with the element, what it protects, and whom to ask
    """
    if change.touches:
        raise refusal(
            compiled.network,
            change.touches,
            f"'{change.action.text}' touches {change.touches}, which belongs to {{what}}",
        )


def guard_none_left(compiled: Compiled, owner: str) -> SafetyRefusal:
    """Return the refusal for a machine that could only be made to run through a safety element."""
    return refusal(compiled.network, owner, f"every way that would work touches {owner}, which belongs to {{what}}")


def refusal(network: Network, owner: str, sentence: str) -> SafetyRefusal:
    """Return the refusal: one sentence why, and whom to ask. ``{what}`` stands for what is protected."""
    what, ask = PROTECTS[_kind(network, owner)]
    return SafetyRefusal(f"{sentence.format(what=what)}: refused; ask {ask}")


def _kind(network: Network, owner: str) -> str:
    for block in (network.contacts, network.sensors, network.resistors, network.inputs):
        if owner in block:
            return str(block[owner].safety)
    return "mains"
