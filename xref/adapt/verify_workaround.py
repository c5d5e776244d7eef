"""Re-check a workaround from its answer alone: own netlist, own circuit solution, own reading of the motion table.

Shares no code with the planner. It walks through every state of all sensors at once, where the planner looks at one
node and what acts on it.
"""

from __future__ import annotations

from itertools import pairwise, product

from xref.adapt.verify_network import Nets, arrange, volts_everywhere
from xref.model.answers.workaround import WorkaroundOption
from xref.model.network import Network

State = dict[str, bool]
Follows = dict[tuple[str, str], dict[str, bool]]
"""(mode, input) to the sensors whose change it sees, and whether their sense is right."""

Levels = dict[str, list[tuple[State, str]]]
"""input to (state of the sensors, level); level '' = between low and high, 'floats' = nothing holds it."""


def verify_option(network: Network, option: WorkaroundOption) -> list[str]:
    """Return what does not hold in a planned option; empty when everything was confirmed."""
    wrong: list[str] = []
    follows: Follows = {}
    was: Follows = {}
    for closed, name, neighbours in _positions(network):
        nets = arrange(network, option.actions, closed)
        wrong += [f"{name}: {text}" for text in _clashes(network, nets)]
        if wrong:
            return wrong
        levels, amps = _measure(network, nets, healthy=False)
        wrong += [f"{name}: {text}" for text in _too_much(network, amps)]
        for entry, rows in levels.items():
            watch = network.inputs[entry].modes
            if watch and not set(neighbours) & set(watch):
                continue
            bad = sorted({level or "no clear level" for _, level in rows if level not in ("low", "high")})
            if bad and not (len(neighbours) == 2 and _healthy_does_it(network, closed, entry)):
                wrong.append(f"{name}: {entry}: {', '.join(bad)}")
            if len(neighbours) == 1 and not bad:
                follows[name, entry] = {s: _right_sense(network, entry, s, rows) for s in _flips(rows)}
                wrong += _content(network, name, entry, rows)
        if len(neighbours) == 1:
            was.update(_healthy(network, name, closed))
    if wrong:
        return wrong
    before, after = _noticed(network, was), _noticed(network, follows)
    if before != {(row.mode, row.fault, row.input, row.sensor) for row in option.seen_before}:
        wrong.append("what was seen before is not what the answer says")
    if after != {(row.mode, row.fault, row.input, row.sensor) for row in option.seen_after}:
        wrong.append("what is seen after is not what the answer says")
    gone = {(mode, fault) for mode, fault, _, _ in before} - {(mode, fault) for mode, fault, _, _ in after}
    if gone != {(loss.mode, loss.what) for loss in option.lost if loss.kind == "fault"}:
        wrong.append("the faults no longer noticed are not those of the answer")
    users = _users(network, was, follows)
    if users != {(loss.mode, loss.what) for loss in option.lost if loss.kind == "user"}:
        wrong.append("the second users that lose their signal are not those of the answer")
    return wrong


def _healthy(network: Network, mode: str, closed: set[str]) -> Follows:
    nets = arrange(network, (), closed)
    if "two supplies are joined" in _clashes(network, nets):
        return {}
    levels, _ = _measure(network, nets, healthy=True)
    return {
        (mode, entry): {s: _right_sense(network, entry, s, rows) for s in _flips(rows)}
        for entry, rows in levels.items()
        if not network.inputs[entry].modes or mode in network.inputs[entry].modes
    }


def _positions(network: Network) -> list[tuple[set[str], str, tuple[str, ...]]]:
    """Every state of the contacts: (closed contacts, name, (mode,) or (mode, mode))."""
    rests = [({n for n, c in network.contacts.items() if m in c.closed_in}, m, (m,)) for m in network.modes]
    states: list[tuple[set[str], str, tuple[str, ...]]] = list(rests)
    for (closed, old, _), (closed_next, new, _) in pairwise(rests):
        ways: list[set[str]] = [set()]
        for pole in {contact.pole for contact in network.contacts.values()}:
            mine = {name for name, contact in network.contacts.items() if contact.pole == pole}
            sure = closed & closed_next & mine
            options: list[set[str]] = [closed & mine, closed_next & mine, sure]
            for name in (closed ^ closed_next) & mine:
                timing = network.contacts[name].timing
                if timing == "make-before-break":
                    options = options[:2] + [way | {name} for way in options[2:]]
                elif timing == "not specified":
                    options += [way | {name} for way in options[2:]]
            ways = [way | option for way in ways for option in options]
        states += [(way, f"{old} to {new}", (old, new)) for way in ways if way not in (closed, closed_next)]
    return states


def _clashes(network: Network, nets: Nets) -> list[str]:
    """Supplies joined, directly or through a conducting output; driven outputs against anything that drives."""
    found = []
    rails: dict[int, set[float]] = {}
    for net, volts in network.supplies.items():
        rails.setdefault(nets.node[net], set()).add(volts)
    found += ["two supplies are joined" for volts in rails.values() if len(volts) > 1]
    names = [n for n in network.sensors if n in nets.output]
    for name in names:
        sensor = network.sensors[name]
        own = nets.output[name]
        pulls = sensor.state == "live" or sensor.stays == "lit"
        if sensor.drives == "open":
            far = nets.back[name]
            if pulls and own in rails and far in rails and rails[own] != rails[far]:
                found.append(f"{name} shorts a supply")
            continue
        if own in rails:
            found.append(f"{name} drives a supply")
        for other in names:
            rival = network.sensors[other]
            drives = rival.drives == "both" or rival.state == "live" or rival.stays == "lit"
            if other != name and nets.output[other] == own and drives:
                found.append(f"{name} drives against {other}")
    return found


def _measure(network: Network, nets: Nets, *, healthy: bool) -> tuple[Levels, dict[str, list[float]]]:
    """Levels of every input and emitter currents [A] for every state of the sensors."""
    alive = [n for n, sensor in network.sensors.items() if healthy or sensor.state == "live"]
    stuck = {n: sensor.stays == "lit" for n, sensor in network.sensors.items() if n not in alive}
    amps: dict[str, list[float]] = {n: [] for n, sensor in network.sensors.items() if sensor.emitter is not None}
    unlit: set[str] = set()
    if amps:
        for choice in product((False, True), repeat=len(alive)):
            _, currents = volts_everywhere(network, nets, stuck | dict(zip(alive, choice, strict=True)), healthy)
            for name, current in currents.items():
                amps[name].append(current)
        unlit = {n for n in alive if n in amps and min(amps[n]) < _least(network, n)}
    levels: Levels = {name: [] for name in network.inputs}
    free = [name for name in alive if name not in unlit]
    for choice in product((False, True), repeat=len(free)):
        state = stuck | dict.fromkeys(unlit, False) | dict(zip(free, choice, strict=True))
        volts, _ = volts_everywhere(network, nets, state, healthy)
        for name in network.inputs:
            levels[name].append((state, _level(network, nets, name, volts, state)))
    return levels, amps


def _least(network: Network, name: str) -> float:
    emitter = network.sensors[name].emitter
    return 0.0 if emitter is None else (1e-3 if emitter.least is None else emitter.least)


def _too_much(network: Network, amps: dict[str, list[float]]) -> list[str]:
    found = []
    for name, currents in amps.items():
        emitter = network.sensors[name].emitter
        most = 50e-3 if emitter is None or emitter.most is None else emitter.most
        if max(currents) > most * (1 + 1e-6):
            found.append(f"the emitter of {name} gets {max(currents):.3g} A")
    return found


def _level(network: Network, nets: Nets, name: str, volts: dict[int, float], state: State) -> str:
    entry = network.inputs[name]
    if name not in nets.reads or not nets.tied(network, nets.reads[name], state):
        return "floats"
    value = volts[nets.reads[name]]
    low, high = (
        0.8 if entry.low_below is None else entry.low_below,
        2.0 if entry.high_above is None else entry.high_above,
    )
    return "low" if value <= low + 1e-9 else "high" if value >= high - 1e-9 else ""


def _healthy_does_it(network: Network, closed: set[str], entry: str) -> bool:
    levels, _ = _measure(network, arrange(network, (), closed), healthy=True)
    return any(level not in ("low", "high") for _, level in levels[entry])


def _flips(rows: list[tuple[State, str]]) -> set[str]:
    """Sensors whose change always changes the level, whatever the others do."""
    table = {tuple(sorted(state.items())): level for state, level in rows}
    names = list(rows[0][0])
    result = set()
    for name in names:
        pairs = [(state, {**state, name: not state[name]}) for state, _ in rows if not state[name]]
        keys = [(tuple(sorted(a.items())), tuple(sorted(b.items()))) for a, b in pairs]
        changes = {(table[a], table.get(b, table[a])) for a, b in keys}
        if len(changes) == 1 and changes <= {("low", "high"), ("high", "low")}:
            result.add(name)
    return result


def _turning(network: Network, mode: str, sensor: str, stopped: tuple[str, ...] = ()) -> list[float | None]:
    turning = set(network.motion.get(mode, ())) - set(stopped)
    seen = network.sensors[sensor].sees
    return [seen[shaft][mode] for shaft in seen if shaft in turning and mode in seen[shaft] and seen[shaft][mode] != 0]


def _fast(network: Network, entry: str, rates: list[float | None]) -> bool:
    wait = network.inputs[entry].time_out
    if not rates:
        return False
    known = [rate for rate in rates if rate is not None]
    return wait is None or len(known) < len(rates) or max(known) > 1 / wait


def _right_sense(network: Network, entry: str, sensor: str, rows: list[tuple[State, str]]) -> bool:
    wanted = network.inputs[entry].flag_reads
    flag = network.sensors[sensor].flag == "lit"
    return wanted is None or all(level == wanted for state, level in rows if state[sensor] == flag)


def _content(network: Network, mode: str, name: str, rows: list[tuple[State, str]]) -> list[str]:
    """What the controller misses in a mode."""
    entry = network.inputs[name]
    found = []
    at_rest = {s: sensor.flag != "lit" for s, sensor in network.sensors.items() if not sensor.sees}
    live = {s for s, sensor in network.sensors.items() if sensor.state == "live"}
    for state, level in rows:
        starved = {s for s in at_rest if len({row[s] for row, _ in rows}) == 1}
        quiet = all(state[s] == at_rest[s] for s in at_rest if s in live and s not in starved)
        if entry.must_read and quiet and level != entry.must_read:
            found.append(f"{mode}: {name} reads {level} at rest")
            break
    if entry.must_change and network.motion.get(mode):
        good = [s for s in _flips(rows) if _right_sense(network, name, s, rows)]
        if not any(_fast(network, name, _turning(network, mode, s)) for s in good):
            found.append(f"{mode}: {name} sees nothing that moves fast enough")
    return found


def _noticed(network: Network, follows: Follows) -> set[tuple[str, str, str, str]]:
    found = set()
    for (mode, entry), sensors in follows.items():
        for name, fault in network.faults.items():
            happens = fault.shown_by or set(fault.stops) & set(network.motion.get(mode, ()))
            if not happens or (fault.modes and mode not in fault.modes):
                continue
            for sensor in sensors:
                if sensor in fault.shown_by:
                    found.add((mode, name, entry, sensor))
                if (
                    network.inputs[entry].must_change
                    and sensors[sensor]
                    and _stall(network, mode, entry, sensor, fault.stops)
                ):
                    found.add((mode, name, entry, sensor))
    return found


def _stall(network: Network, mode: str, entry: str, sensor: str, stops: tuple[str, ...]) -> bool:
    if not _fast(network, entry, _turning(network, mode, sensor)):
        return False
    left = _turning(network, mode, sensor, stops)
    known = [rate for rate in left if rate is not None]
    wait = network.inputs[entry].time_out
    return not left or (len(known) == len(left) and wait is not None and max(known) < 1 / wait)


def _users(network: Network, was: Follows, now: Follows) -> set[tuple[str, str]]:
    found = set()
    for entry, controller in network.inputs.items():
        for user, needs in controller.also.items():
            for mode in needs.modes or network.modes:
                had, has = (_heard(network, mode, table.get((mode, entry), {})) for table in (was, now))
                if needs.follows in {shaft for shaft, _ in had} and had != has:
                    found.add((mode, user))
    return found


def _heard(network: Network, mode: str, sensors: dict[str, bool]) -> set[tuple[str, float | None]]:
    turning = network.motion.get(mode, ())
    heard = set()
    for sensor in sensors:
        for shaft, rates in network.sensors[sensor].sees.items():
            if shaft in turning and mode in rates and rates[mode] != 0:
                heard.add((shaft, rates[mode]))
    return heard
