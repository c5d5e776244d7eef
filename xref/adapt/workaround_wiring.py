"""The network in numbers for the search: terminals on nets, the changes that can be made, and what safety forbids.

A wiring is two tuples: the net of every terminal (-1 = lifted or cut off) and the group of every net (jumpers merge
groups). Two sets of changes that end in the same wiring are the same plan.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from xref.model.network import MAINS_FROM_V, Action, Network

OFF = -1

Wiring = tuple[tuple[int, ...], tuple[int, ...]]
"""(net of each terminal, group of each net)."""


@dataclass(slots=True, kw_only=True)
class Compiled:
    """Index tables of one network; ``ends[(kind, name)]`` are the terminal numbers of an element."""

    network: Network
    nets: tuple[str, ...]
    supply: tuple[float | None, ...]
    ends: dict[tuple[str, str], tuple[int, ...]] = field(default_factory=dict)
    start: Wiring = ((), ())
    memo: dict[Hashable, Any] = field(default_factory=dict)
    """What was measured before on an equal piece of circuit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One possible change in numbers. ``terms``: (terminal, new net); ``merge``: the two nets of a jumper."""

    action: Action
    terms: tuple[tuple[int, int], ...] = ()
    merge: tuple[int, int] | None = None
    nets: frozenset[int] = frozenset()
    touches: str = ""
    """Name of the safety element that it would touch; empty when none."""


def compile_network(network: Network) -> Compiled:
    """Number the nets and terminals of a network."""
    number = {net: index for index, net in enumerate(network.nets)}
    supply = tuple(network.supplies.get(net) for net in network.nets)
    terms: list[int] = []
    ends: dict[tuple[str, str], tuple[int, ...]] = {}

    def add(kind: str, name: str, *nets: str) -> None:
        ends[kind, name] = tuple(range(len(terms), len(terms) + len(nets)))
        terms.extend(number[net] for net in nets)

    for name, contact in network.contacts.items():
        add("contact", name, *contact.joins)
    for name, sensor in network.sensors.items():
        add("sensor", name, sensor.output)
        if sensor.drives == "open":
            add("return", name, sensor.to or ground(network))
        if sensor.emitter is not None:
            add("emitter", name, sensor.emitter.anode, sensor.emitter.cathode)
    for name, resistor in network.resistors.items():
        add("resistor", name, *resistor.between)
    for name, controller in network.inputs.items():
        add("input", name, controller.net)
    groups = list(range(len(network.nets)))
    for first, second in network.jumpers:
        groups = merged(groups, number[first], number[second])
    return Compiled(network=network, nets=network.nets, supply=supply, ends=ends, start=(tuple(terms), tuple(groups)))


def ground(network: Network) -> str:
    """Return the net that an open output pulls to when the file does not say: the supply nearest to 0 V."""
    return min(network.supplies, key=lambda net: abs(network.supplies[net]))


def merged(groups: list[int], first: int, second: int) -> list[int]:
    """Join the groups of two nets; the lower number names the group."""
    keep, drop = sorted((groups[first], groups[second]))
    return [keep if group == drop else group for group in groups]


def apply(wiring: Wiring, change: Change, start: Wiring) -> Wiring | None:
    """Return the wiring after one more change; None when it does nothing or a terminal was changed before."""
    terms, groups = wiring
    if change.merge is not None:
        first, second = change.merge
        if groups[first] == groups[second]:
            return None
        return terms, tuple(merged(list(groups), first, second))
    new = list(terms)
    for terminal, net in change.terms:
        if terms[terminal] != start[0][terminal]:
            return None
        new[terminal] = net
    return tuple(new), groups


def changes(compiled: Compiled) -> list[Change]:
    """List every single change that the file allows, safe or not (``touches`` names the safety element)."""
    network = compiled.network
    found: list[Change] = []
    if "jumper" in network.may:
        found += _jumpers(compiled)
    if "lift" in network.may:
        for name in network.contacts:
            found.append(_removal(compiled, "contact", name, "lift"))
    if "move" in network.may:
        for (kind, name), terminals in compiled.ends.items():
            if kind != "return":
                found += _moves(compiled, kind, name, terminals)
    if "cut" in network.may:
        for kind, name in compiled.ends:
            if kind in ("sensor", "resistor", "emitter"):
                found.append(_removal(compiled, kind, name, "cut"))
    kept = set(network.keep)
    found = [c for c in found if not kept & {c.action.element, *(c.action.nets if c.action.do == "jumper" else ())}]
    found = [c for c in found if not (c.action.do == "move" and c.action.nets[1] in kept)]
    zone = safety_zone(compiled)
    owners = safety_elements(compiled)
    return [_marked(compiled, change, zone, owners) for change in found]


def _jumpers(compiled: Compiled) -> list[Change]:
    result = []
    for first in range(len(compiled.nets)):
        for second in range(first + 1, len(compiled.nets)):
            one, two = compiled.nets[first], compiled.nets[second]
            action = Action(
                do="jumper",
                nets=(one, two),
                text=f"jumper from {one} to {two}",
                undo=f"take off the jumper {one} - {two}",
            )
            result.append(Change(action=action, merge=(first, second), nets=frozenset((first, second))))
    return result


def _removal(compiled: Compiled, kind: str, name: str, do: str) -> Change:
    terminals = compiled.ends[kind, name]
    nets = tuple(compiled.nets[compiled.start[0][terminal]] for terminal in terminals)
    touched = frozenset(compiled.start[0][terminal] for terminal in terminals)
    terms = tuple((terminal, OFF) for terminal in terminals)
    if do == "lift":
        text, undo = (
            f"lift contact {name} off ({nets[0]} - {nets[1]})",
            f"solder contact {name} back on {nets[0]} and {nets[1]}",
        )
        lift = Action(do="lift", nets=nets, of="contact", element=name, text=text, undo=undo)
        return Change(action=lift, terms=terms, nets=touched)
    what = {
        "sensor": f"the output of {name}",
        "resistor": f"one end of {name}",
        "emitter": f"the emitter lead of {name}",
    }
    text = f"cut the track at {what[kind]} ({nets[0]})"
    undo = f"bridge the cut at {what[kind]} ({nets[0]})"
    action = Action(do="cut", nets=nets, of=_part(kind), element=name, text=text, undo=undo)
    return Change(action=action, terms=terms, nets=touched)


def _moves(compiled: Compiled, kind: str, name: str, terminals: tuple[int, ...]) -> list[Change]:
    what = {
        "sensor": "the output wire of {}",
        "contact": "the wire of contact {}",
        "resistor": "the end of {}",
        "input": "the wire of input {}",
    }
    result = []
    for end, terminal in enumerate(terminals):
        here = compiled.start[0][terminal]
        wire = (
            f"the emitter's {('anode', 'cathode')[end]} wire of {name}"
            if kind == "emitter"
            else what[kind].format(name)
        )
        for net in range(len(compiled.nets)):
            others = {compiled.start[0][other] for other in terminals if other != terminal}
            if net == here or net in others:
                continue
            old, new = compiled.nets[here], compiled.nets[net]
            action = Action(
                do="move",
                nets=(old, new),
                of=_part(kind),
                element=name,
                end=end,
                text=f"move {wire} from {old} to {new}",
                undo=f"move {wire} back from {new} to {old}",
            )
            touched = frozenset({net, *(compiled.start[0][other] for other in terminals)})
            result.append(Change(action=action, terms=((terminal, net),), nets=touched))
    return result


def _part(kind: str) -> Literal["", "contact", "sensor", "emitter", "resistor", "input"]:
    parts: tuple[Literal["contact", "sensor", "emitter", "resistor", "input"], ...]
    parts = ("contact", "sensor", "emitter", "resistor", "input")
    return next(part for part in parts if part == kind)


def safety_elements(compiled: Compiled) -> dict[tuple[str, str], str]:
    """Return the elements marked as safety, ('contact' | 'sensor' | 'resistor' | 'input' | 'supply', name) to kind."""
    network = compiled.network
    marked: dict[tuple[str, str], str] = {}
    for name, contact in network.contacts.items():
        marked["contact", name] = contact.safety
    for name, sensor in network.sensors.items():
        marked["sensor", name] = sensor.safety
    for name, resistor in network.resistors.items():
        marked["resistor", name] = resistor.safety
    for name, controller in network.inputs.items():
        marked["input", name] = controller.safety
    for net, volts in network.supplies.items():
        marked["supply", net] = "mains" if abs(volts) >= MAINS_FROM_V else "none"
    return {key: kind for key, kind in marked.items() if kind != "none"}


def safety_zone(compiled: Compiled) -> dict[int, str]:
    """Return each net that carries a safety function, with the element that makes it one.

    From a safety element the zone spreads through everything that passes a signal on (contacts in any mode,
    resistors, sensors, emitters, jumpers) and stops at a supply: a level forced anywhere in it can defeat the function.
    """
    terms, groups = compiled.start
    links = [
        [terms[t] for kind in ("sensor", "return") for t in compiled.ends.get((kind, name), ())]
        for name in compiled.network.sensors
    ]
    links += [
        [terms[t] for t in terminals]
        for (kind, _), terminals in compiled.ends.items()
        if kind in ("contact", "resistor", "emitter")
    ]
    links += [[a, b] for a in range(len(groups)) for b in range(a) if groups[a] == groups[b]]
    zone: dict[int, str] = {}
    for (kind, name), _mark in safety_elements(compiled).items():
        if kind == "supply":
            frontier = [compiled.nets.index(name)]
        else:
            keys = [(kind, name)] + ([("return", name), ("emitter", name)] if kind == "sensor" else [])
            frontier = [terms[t] for key in keys for t in compiled.ends.get(key, ())]
            frontier = [net for net in frontier if compiled.supply[net] is None]
        while frontier:
            net = frontier.pop()
            if net in zone:
                continue
            zone[net] = name
            for link in links:
                if net in link:
                    frontier += [other for other in link if compiled.supply[other] is None and other not in zone]
    return zone


def _marked(compiled: Compiled, change: Change, zone: dict[int, str], owners: dict[tuple[str, str], str]) -> Change:
    action = change.action
    touched = next((zone[net] for net in sorted(change.nets) if net in zone), "")
    if action.element in {name for _, name in owners}:
        touched = action.element
    return replace(change, touches=touched) if touched else change


def rewired(network: Network, actions: tuple[Action, ...]) -> Network:
    """Return the network as it is after the changes (lifted and cut-off elements stay listed, on no net)."""
    contacts, sensors = dict(network.contacts), dict(network.sensors)
    resistors, inputs = dict(network.resistors), dict(network.inputs)
    jumpers = list(network.jumpers)
    for action in actions:
        name = action.element
        target = action.nets[1] if action.do == "move" else ""
        if action.do == "jumper":
            jumpers.append((action.nets[0], action.nets[1]))
        elif name in contacts:
            one, two = contacts[name].joins
            moved = ("", "") if action.do == "lift" else ((target, two) if action.end == 0 else (one, target))
            contacts[name] = replace(contacts[name], joins=moved)
        elif name in resistors:
            one, two = resistors[name].between
            moved = ("", "") if action.do == "cut" else ((target, two) if action.end == 0 else (one, target))
            resistors[name] = replace(resistors[name], between=moved)
        elif name in inputs:
            inputs[name] = replace(inputs[name], net=target)
        elif action.of == "emitter":
            emitter = sensors[name].emitter
            if emitter is not None and action.do == "cut":
                emitter = replace(emitter, anode="", cathode="")
            elif emitter is not None and action.end == 0:
                emitter = replace(emitter, anode=target)
            elif emitter is not None:
                emitter = replace(emitter, cathode=target)
            sensors[name] = replace(sensors[name], emitter=emitter)
        else:
            sensors[name] = replace(sensors[name], output=target)
    return replace(
        network, contacts=contacts, sensors=sensors, resistors=resistors, inputs=inputs, jumpers=tuple(jumpers)
    )
