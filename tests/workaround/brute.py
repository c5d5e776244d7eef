"""Brute force over all sets of changes, independent of the planner: batches of node equations in numpy.

Every set of up to three changes is tried (no ruling out, no early stop). Nets that are joined are found by powers of
the adjacency matrix, voltages by numpy's dense solver. Shares nothing with xref but the model classes.
"""

from __future__ import annotations

from itertools import combinations, pairwise, product

import numpy as np

TROUBLE = {"jumper": 0, "lift": 1, "move": 2, "cut": 3}


def all_changes(network):
    """(do, of, element, end, net or pair, terminals) of every single change the file allows."""
    kept = set(network.keep)
    found = []
    if "jumper" in network.may:
        found += [("jumper", "", "", 0, pair, ()) for pair in combinations(network.nets, 2) if not kept & set(pair)]
    for of, name, nets in elements(network):
        if name in kept:
            continue
        mine = [(of, name, end) for end in range(len(nets))]
        if "lift" in network.may and of == "contact":
            found.append(("lift", of, name, 0, "", tuple(mine)))
        if "cut" in network.may and of in ("sensor", "resistor"):
            found.append(("cut", of, name, 0, "", tuple(mine)))
        if "move" in network.may:
            found += [
                ("move", of, name, end, net, (mine[end],))
                for end in range(len(nets))
                for net in network.nets
                if net not in nets and net not in kept
            ]
    return found


def elements(network):
    """(kind, name, nets) of everything that has movable ends."""
    rows = [("contact", n, c.joins) for n, c in network.contacts.items()]
    rows += [("sensor", n, (s.output,)) for n, s in network.sensors.items()]
    rows += [("resistor", n, r.between) for n, r in network.resistors.items()]
    rows += [("input", n, (i.net,)) for n, i in network.inputs.items()]
    return rows


def all_sets(network, most):
    """Every set of up to ``most`` changes with no terminal changed twice, by size."""
    changes = all_changes(network)
    for size in range(most + 1):
        for chosen in combinations(changes, size):
            ends = [end for change in chosen for end in change[5]]
            if len(ends) == len(set(ends)):
                yield chosen


def key(network, chosen):
    """What a set of changes does to the wiring: the other changes, and which nets the jumpers join."""
    groups = [{net} for net in network.nets]
    for change in chosen:
        if change[0] == "jumper":
            hit = [group for group in groups if group & set(change[4])]
            groups = [group for group in groups if group not in hit] + [set().union(*hit)]
    rest = frozenset((change[1], change[2], change[3], change[4]) for change in chosen if change[0] != "jumper")
    return rest, frozenset(frozenset(group) for group in groups)


def selector_states(network):
    """(closed contacts, mode or None, modes next to it): rests first, then everything in between."""
    rest = {mode: frozenset(n for n, c in network.contacts.items() if mode in c.closed_in) for mode in network.modes}
    states = [(rest[mode], mode, {mode}) for mode in network.modes]
    for old, new in pairwise(network.modes):
        per_pole = []
        for pole in {c.pole for c in network.contacts.values()}:
            names = sorted(n for n, c in network.contacts.items() if c.pole == pole)
            now = [tuple(n in rest[old] for n in names), tuple(n in rest[new] for n in names)]
            middle = []
            for n in names:
                if (n in rest[old]) == (n in rest[new]):
                    middle.append([n in rest[old]])
                else:
                    timing = network.contacts[n].timing
                    middle.append(
                        {"break-before-make": [False], "make-before-break": [True], "not specified": [False, True]}[
                            timing
                        ]
                    )
            per_pole.append([{n for n, c in zip(names, way, strict=True) if c} for way in now + list(product(*middle))])
        for ways in product(*per_pole):
            closed = frozenset(set().union(*ways))
            if closed not in (rest[old], rest[new]):
                states.append((closed, None, {old, new}))
    return states


class Batch:
    """Many wirings of one network at once."""

    def __init__(self, network, sets):
        self.network = network
        self.index = {net: i for i, net in enumerate(network.nets)}
        n = len(network.nets)
        self.terms = [(of, name, end) for of, name, nets in elements(network) for end in range(len(nets))]
        base = [self.index[net] for _, _, nets in elements(network) for net in nets]
        self.at = {term: i for i, term in enumerate(self.terms)}
        self.place = np.tile(np.array(base, dtype=int), (len(sets), 1))
        self.joined = np.tile(np.eye(n, dtype=bool), (len(sets), 1, 1))
        for row, chosen in enumerate(sets):
            for do, _, _, _, where, ends in chosen:
                if do == "jumper":
                    a, b = (self.index[net] for net in where)
                    self.joined[row, a, b] = self.joined[row, b, a] = True
                for end in ends:
                    self.place[row, self.at[end]] = self.index[where] if do == "move" else -1

    def take(self, rows):
        new = object.__new__(Batch)
        new.network, new.index, new.terms, new.at = self.network, self.index, self.terms, self.at
        new.place, new.joined = self.place[rows], self.joined[rows]
        return new

    def labels(self, closed):
        """The lowest net joined to each net, (wirings, nets)."""
        joined = self.joined.copy()
        rows = np.arange(len(joined))
        for name in closed:
            a, b = (self.place[:, self.at["contact", name, end]] for end in (0, 1))
            good = (a >= 0) & (b >= 0)
            joined[rows[good], a[good], b[good]] = joined[rows[good], b[good], a[good]] = True
        return reach(joined).argmax(axis=2)

    def label_of(self, labels, term):
        place = self.place[:, self.at[term]]
        return np.where(place < 0, -1, labels[np.arange(len(labels)), place])


def reach(joined):
    """Transitive closure by squaring."""
    power = joined.astype(np.float32)
    for _ in range(4):
        power = ((power @ power) > 0).astype(np.float32)
    return power > 0


def far_end(network, name):
    lowest = min(network.supplies, key=network.supplies.get)
    return network.sensors[name].to or lowest


def clash(batch, labels, healthy):
    """True where supplies meet or driven outputs fight."""
    network, rows = batch.network, np.arange(len(labels))
    bad = np.zeros(len(labels), dtype=bool)
    rail = np.full(labels.shape, np.nan)
    for net, volts in network.supplies.items():
        place = labels[:, batch.index[net]]
        old = rail[rows, place]
        bad |= ~np.isnan(old) & (old != volts)
        rail[rows, place] = volts
    out = {name: batch.label_of(labels, ("sensor", name, 0)) for name in network.sensors}
    active = {n: healthy or s.state == "live" or s.stays == "lit" for n, s in network.sensors.items()}
    for name, sensor in network.sensors.items():
        there = out[name] >= 0
        at_rail = np.where(there, rail[rows, out[name]], np.nan)
        if sensor.drives == "open" and active[name]:
            other = rail[rows, labels[:, batch.index[far_end(network, name)]]]
            bad |= ~np.isnan(at_rail) & ~np.isnan(other) & (at_rail != other)
        if sensor.drives == "both":
            bad |= ~np.isnan(at_rail)
            for rival, entry in network.sensors.items():
                if rival != name and (entry.drives == "both" or active[rival]):
                    bad |= there & (out[rival] == out[name])
    return bad


def levels(batch, labels, state, healthy):
    """Level of each input (0 low, 1 high, 2 unclear or floating) in one state of the sensors (lit or not)."""
    network, count, n = batch.network, *labels.shape
    rows = np.arange(count)
    size = n + 1
    conduct = np.zeros((count, size, size))
    source = np.zeros((count, size))
    tie = np.tile(np.eye(size, dtype=bool), (count, 1, 1))
    low, high = min(network.supplies.values()), max(network.supplies.values())

    def link(a, b, ohm, firm):
        good = (a >= 0) & (b >= 0) & (a != b)
        r, x, y = rows[good], a[good], b[good]
        np.add.at(conduct, (r, x, x), 1 / ohm)
        np.add.at(conduct, (r, y, y), 1 / ohm)
        np.add.at(conduct, (r, x, y), -1 / ohm)
        np.add.at(conduct, (r, y, x), -1 / ohm)
        if firm:
            tie[r, x, y] = tie[r, y, x] = True

    for name, resistor in network.resistors.items():
        link(*(batch.label_of(labels, ("resistor", name, end)) for end in (0, 1)), resistor.value, True)
    for name, sensor in network.sensors.items():
        out = batch.label_of(labels, ("sensor", name, 0))
        if sensor.drives == "both":
            good = out >= 0
            down, up = sensor.swings or (low, high)
            volts = down if state[name] == (sensor.lit_level == "low") else up
            np.add.at(conduct, (rows[good], out[good], out[good]), 1 / (sensor.lit or 300.0))
            np.add.at(source, (rows[good], out[good]), volts / (sensor.lit or 300.0))
            tie[rows[good], out[good], n] = tie[rows[good], n, out[good]] = True
            continue
        far = labels[:, batch.index[far_end(network, name)]]
        dead = sensor.state == "dead" and not healthy
        dark = sensor.leaks if dead and sensor.leaks else sensor.dark
        if state[name]:
            link(out, far, sensor.lit or 300.0, True)
        elif dark:
            link(out, far, dark, False)
    diagonal = np.arange(size)
    conduct[:, diagonal, diagonal] += 1e-12
    fixed = np.zeros((count, size), dtype=bool)
    for net, volts in network.supplies.items():
        place = labels[:, batch.index[net]]
        conduct[rows, place, :] = 0
        conduct[rows, place, place] = 1
        source[rows, place] = volts
        fixed[rows, place] = True
    fixed[:, n] = True
    volts = np.linalg.solve(conduct, source[:, :, None])[:, :, 0]
    tie &= ~(fixed[:, :, None] & fixed[:, None, :]) | np.eye(size, dtype=bool)[None]
    # a supply must not pass a tie on: cut the ways out of it before asking what reaches one
    onward = tie & ~fixed[:, :, None]
    held = fixed.copy()
    for _ in range(size):
        held |= (onward & held[:, None, :]).any(axis=2)
    result = {}
    for name, entry in network.inputs.items():
        label = batch.label_of(labels, ("input", name, 0))
        at = volts[rows, label]
        level = np.where(at <= (entry.low_below or 0.8), 0, np.where(at >= (entry.high_above or 2.0), 1, 2))
        result[name] = np.where(held[rows, label], level, 2)
    return result


def tables(batch, labels, healthy):
    """States of the living sensors, and for each input the levels (states, wirings)."""
    network = batch.network
    live = [n for n, s in network.sensors.items() if healthy or s.state == "live"]
    stuck = {n: s.stays == "lit" for n, s in network.sensors.items() if n not in live}
    states = [dict(zip(live, choice, strict=True)) for choice in product((False, True), repeat=len(live))]
    found = [levels(batch, labels, stuck | state, healthy) for state in states]
    return live, states, {name: np.array([row[name] for row in found]) for name in network.inputs}


def follows(live, states, table):
    """Sensor to (for each wiring: does the level always flip with it, the level when it is lit)."""
    result = {}
    for name in live:
        dark = np.array([i for i, s in enumerate(states) if not s[name]])
        lit = np.array([states.index(states[i] | {name: True}) for i in dark])
        a, b = table[dark], table[lit]
        flips = (a != 2).all(0) & (b != 2).all(0) & (a == a[0]).all(0) & (b == b[0]).all(0) & (a[0] != b[0])
        result[name] = (flips, b[0])
    return result


def rates(network, mode, sensor, stopped=()):
    turning = set(network.motion.get(mode, ())) - set(stopped)
    return [r[mode] for s, r in network.sensors[sensor].sees.items() if s in turning and mode in r and r[mode] != 0]


def content(network, mode, name, live, states, table):
    """True for wirings that keep the controller content at this input in this mode."""
    entry = network.inputs[name]
    good = (table != 2).all(axis=0)
    if entry.must_read:
        want = 0 if entry.must_read == "low" else 1
        for i, state in enumerate(states):
            if all(state[s] == (network.sensors[s].flag != "lit") for s in live if not network.sensors[s].sees):
                good &= table[i] == want
    if entry.must_change and network.motion.get(mode):
        seen = np.zeros_like(good)
        for sensor, (flips, lit_level) in follows(live, states, table).items():
            if keeps_content(network, mode, name, sensor):
                right = np.ones_like(good)
                if entry.flag_reads:
                    flag = lit_level if network.sensors[sensor].flag == "lit" else 1 - lit_level
                    right = flag == (0 if entry.flag_reads == "low" else 1)
                seen |= flips & right
        good &= seen
    return good


def keeps_content(network, mode, name, sensor):
    pulses, wait = rates(network, mode, sensor), network.inputs[name].time_out
    return bool(pulses) and (wait is None or None in pulses or max(pulses) * wait > 1)


def working(network, sets):
    """Numbers of the sets on which the machine runs."""
    batch = Batch(network, sets)
    alive = np.arange(len(sets))
    start = Batch(network, [()])
    for closed, mode, near in selector_states(network):
        if not len(alive):
            break
        labels = batch.labels(closed)
        good = ~clash(batch, labels, False)
        batch, labels, alive = batch.take(good), labels[good], alive[good]
        live, states, table = tables(batch, labels, False)
        spare = set()
        if mode is None:
            at_start = start.labels(closed)
            rails = {}
            for net, volts in network.supplies.items():
                rails.setdefault(at_start[0, batch.index[net]], set()).add(volts)
            if all(len(volts) == 1 for volts in rails.values()):
                _, _, healthy = tables(start, at_start, True)
                spare = {name for name in network.inputs if (healthy[name] == 2).any()}
        good = np.ones(len(alive), dtype=bool)
        for name, entry in network.inputs.items():
            if entry.modes and not near & set(entry.modes):
                continue
            if mode is not None:
                good &= content(network, mode, name, live, states, table[name])
            elif name not in spare:
                good &= (table[name] != 2).all(axis=0)
        batch, alive = batch.take(good), alive[good]
    return list(alive)


def seen_of(network, chosen, healthy):
    """What one wiring notices: {(mode, fault)}, and what each second user hears."""
    batch = Batch(network, [chosen])
    noticed, heard = set(), {}
    for closed, mode, _ in selector_states(network):
        if mode is None:
            continue
        labels = batch.labels(closed)
        rails = {}
        for net, volts in network.supplies.items():
            rails.setdefault(labels[0, batch.index[net]], set()).add(volts)
        if any(len(volts) > 1 for volts in rails.values()):
            continue
        live, states, table = tables(batch, labels, healthy)
        for name, entry in network.inputs.items():
            if entry.modes and mode not in entry.modes:
                continue
            if (table[name] == 2).any():
                continue
            for sensor, (flips, lit_level) in follows(live, states, table[name]).items():
                if not flips[0]:
                    continue
                for shaft, by_mode in network.sensors[sensor].sees.items():
                    if shaft in network.motion.get(mode, ()) and by_mode.get(mode, 0) != 0:
                        heard.setdefault((mode, name), set()).add((shaft, by_mode[mode]))
                flag = lit_level[0] if network.sensors[sensor].flag == "lit" else 1 - lit_level[0]
                sense = not entry.flag_reads or flag == (0 if entry.flag_reads == "low" else 1)
                noticed |= {
                    (mode, fault)
                    for fault, what in network.faults.items()
                    if (not what.modes or mode in what.modes)
                    and (sensor in what.shown_by or (sense and stalls(network, mode, name, sensor, what)))
                }
    return noticed, heard


def stalls(network, mode, name, sensor, fault):
    if not network.inputs[name].must_change or not keeps_content(network, mode, name, sensor):
        return False
    if not set(fault.stops) & set(network.motion.get(mode, ())) and not fault.shown_by:
        return False
    left, wait = rates(network, mode, sensor, fault.stops), network.inputs[name].time_out
    return not left or (None not in left and wait is not None and max(left) * wait < 1)


def lost_of(network, chosen):
    """{('fault', mode, fault)} and {('user', mode, user)} lost against the healthy machine."""
    had, heard = seen_of(network, (), True)
    has, hears = seen_of(network, chosen, False)
    lost = {("fault", mode, fault) for mode, fault in had - has}
    for name, entry in network.inputs.items():
        for user, needs in entry.also.items():
            for mode in needs.modes or network.modes:
                was, now = heard.get((mode, name), set()), hears.get((mode, name), set())
                if needs.follows in {shaft for shaft, _ in was} and was != now:
                    lost.add(("user", mode, user))
    return lost
