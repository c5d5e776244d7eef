"""The verifier's own netlist and circuit solution: shares nothing with the planner's."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import combinations

from xref.model.network import Action, Network


@dataclass(slots=True, kw_only=True)
class Nets:
    """Which node everything sits on once wires and closed contacts are joined. Absent = lifted or cut off."""

    node: dict[str, int]
    output: dict[str, int] = field(default_factory=dict)
    back: dict[str, int] = field(default_factory=dict)
    reads: dict[str, int] = field(default_factory=dict)
    lamps: dict[str, tuple[int, int]] = field(default_factory=dict)
    ohms: list[tuple[int, int, float]] = field(default_factory=list)
    rails: dict[int, float] = field(default_factory=dict)

    def tied(self, network: Network, start: int, state: dict[str, bool]) -> bool:
        """True when resistors or conducting outputs lead from a node to a fixed potential."""
        edges = [(one, two) for one, two, _ in self.ohms]
        for name, node in self.output.items():
            if network.sensors[name].drives == "both":
                edges.append((node, -1))
            elif state[name]:
                edges.append((node, self.back[name]))
        reached = {start}
        for _ in range(len(self.node) + 1):
            reached |= {b for a, b in edges if a in reached and a not in self.rails}
            reached |= {a for a, b in edges if b in reached and b not in self.rails}
        return -1 in reached or bool(reached & self.rails.keys())


def arrange(network: Network, actions: tuple[Action, ...], closed: set[str]) -> Nets:
    """Build the netlist of the changed network with these contacts closed."""
    gone = {(a.of, a.element) for a in actions if a.do in ("lift", "cut")}
    moved: dict[tuple[str, str, int], str] = {(a.of, a.element, a.end): a.nets[1] for a in actions if a.do == "move"}

    def on(of: str, name: str, end: int, net: str) -> str:
        return moved.get((of, name, end), net)

    wires = [*network.jumpers, *((a.nets[0], a.nets[1]) for a in actions if a.do == "jumper")]
    for name, contact in network.contacts.items():
        if name in closed and ("contact", name) not in gone:
            wires.append((on("contact", name, 0, contact.joins[0]), on("contact", name, 1, contact.joins[1])))
    sets = [{net} for net in network.nets]
    for one, two in wires:
        joined = [group for group in sets if one in group or two in group]
        sets = [group for group in sets if group not in joined] + [set().union(*joined)]
    nets = Nets(node={net: number for number, group in enumerate(sets) for net in group})
    zero = min(network.supplies, key=lambda net: abs(network.supplies[net]))
    for net, volts in network.supplies.items():
        nets.rails[nets.node[net]] = volts
    for name, sensor in network.sensors.items():
        if ("sensor", name) not in gone:
            nets.output[name] = nets.node[on("sensor", name, 0, sensor.output)]
            if sensor.drives == "open":
                nets.back[name] = nets.node[sensor.to or zero]
        if sensor.emitter is not None and ("emitter", name) not in gone:
            ends = (on("emitter", name, 0, sensor.emitter.anode), on("emitter", name, 1, sensor.emitter.cathode))
            nets.lamps[name] = (nets.node[ends[0]], nets.node[ends[1]])
    for name, resistor in network.resistors.items():
        if ("resistor", name) not in gone:
            one, two = (on("resistor", name, end, net) for end, net in enumerate(resistor.between))
            nets.ohms.append((nets.node[one], nets.node[two], resistor.value))
    for name, entry in network.inputs.items():
        nets.reads[name] = nets.node[on("input", name, 0, entry.net)]
    return nets


def volts_everywhere(
    network: Network, nets: Nets, state: dict[str, bool], healthy: bool
) -> tuple[dict[int, float], dict[str, float]]:
    """Return (node to volts, sensor to emitter amperes) in one state of the sensors (lit or not)."""
    ohms = list(nets.ohms)
    rails = dict(nets.rails)
    swing = (min(network.supplies.values(), key=abs), max(network.supplies.values()))
    for name, node in nets.output.items():
        sensor = network.sensors[name]
        dead = sensor.state == "dead" and not healthy
        lit_ohm = 300.0 if sensor.lit is None else sensor.lit
        dark_ohm = sensor.leaks if dead and sensor.leaks is not None else sensor.dark
        if sensor.drives == "both":
            source = 1000 + len(rails)
            low, high = sensor.swings or swing
            rails[source] = low if state[name] == (sensor.lit_level == "low") else high
            ohms.append((node, source, lit_ohm))
        elif state[name]:
            ohms.append((node, nets.back[name], lit_ohm))
        elif dark_ohm is not None:
            ohms.append((node, nets.back[name], dark_ohm))
    lamps = {}
    for name, ends in nets.lamps.items():
        emitter = network.sensors[name].emitter
        if emitter is not None and (healthy or not emitter.open):
            lamps[name] = (*ends, emitter.vf)
    nodes = sorted(set(nets.node.values()) - rails.keys())
    for count in range(len(lamps), -1, -1):
        for glowing in combinations(lamps, count):
            volts = _solved(nodes, rails, ohms, [lamps[name] for name in glowing])
            drop = {name: volts[a] - volts[c] - vf for name, (a, c, vf) in lamps.items()}
            if all(drop[name] > -1e-9 if name in glowing else drop[name] < 1e-9 for name in lamps):
                amps = {name: (drop[name] / 5.0 if name in glowing else 0.0) for name in lamps}
                return volts, {n: amps.get(n, 0.0) for n, s in network.sensors.items() if s.emitter is not None}
    raise AssertionError("no state of the emitters fits")


def _solved(
    nodes: list[int],
    rails: dict[int, float],
    ohms: list[tuple[int, int, float]],
    lamps: list[tuple[int, int, float]],
) -> dict[int, float]:
    """Gauss-Jordan on the node equations, each node held to 0 V by 1 teraohm."""
    table = {node: {node: 1e-12} for node in nodes}
    right = dict.fromkeys(nodes, 0.0)
    for one, two, ohm, push in [(a, b, r, 0.0) for a, b, r in ohms] + [(a, c, 5.0, vf) for a, c, vf in lamps]:
        for here, there, amps in ((one, two, push / ohm), (two, one, -push / ohm)):
            if here in table:
                table[here][here] += 1 / ohm
                right[here] += amps + (rails[there] / ohm if there in rails else 0.0)
                if there in table:
                    table[here][there] = table[here].get(there, 0.0) - 1 / ohm
    for pivot in nodes:
        scale = table[pivot][pivot]
        for node in nodes:
            share = table[node].get(pivot, 0.0) / scale
            if node != pivot and share:
                for column, value in table[pivot].items():
                    table[node][column] = table[node].get(column, 0.0) - share * value
                right[node] -= share * right[pivot]
    return {node: right[node] / table[node][node] for node in nodes} | rails
