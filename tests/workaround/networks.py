"""Seeded random networks: some like real machines with a selector, some without any sense."""

from __future__ import annotations

import random
from dataclasses import replace

from tests.workaround.brute import all_changes
from xref.model.network import Contact, ControllerInput, Fault, Network, NetworkResistor, NetworkSensor, SecondUser

MAY = (
    ("jumper", "lift"),
    ("jumper", "cut", "lift"),
    ("lift", "move"),
    ("jumper", "move"),
    ("jumper", "lift", "move", "cut"),
)
TIMINGS = ("break-before-make", "make-before-break", "not specified")


def random_network(seed: int) -> Network:
    """Return network number ``seed``: 4 to 10 nets, 1 to 4 modes, two or three sensors of which some are dead."""
    rng = random.Random(seed)
    return _selector(rng) if seed % 5 else _chaos(rng)


def _selector(rng: random.Random) -> Network:
    count = rng.choice((2, 2, 3))
    modes = tuple(f"m{i}" for i in range(min(rng.choice((1, 2, 2, 3, 4)), 4)))
    lines = [f"L{i}" for i in range(count)]
    extra = [f"X{i}" for i in range(rng.randint(0, 7 - count))]
    nets = ("5V", "0V", "STEP", *lines, *extra)
    contacts = {}
    for i, line in enumerate(lines):
        closed = tuple(mode for number, mode in enumerate(modes) if number % count == i)
        contacts[f"S{i}"] = Contact(
            joins=(line, "STEP"), closed_in=closed, timing=rng.choice(TIMINGS), pole=rng.choice(("1", "1", "1", "2"))
        )
    dead = set(rng.sample(range(count), rng.choice((1, 1, 1, 1, 1, 2))))
    sensors, motion = {}, {mode: ["drive"] for mode in modes}
    for i, line in enumerate(lines):
        sees = {}
        for number, mode in enumerate(modes):
            if number % count == i or rng.random() < 0.9:
                sees[mode] = rng.choice((4.0, 4.0, 4.0, 1.0, None if rng.random() < 0.5 else 8.0))
                if f"ring {i}" not in motion[mode]:
                    motion[mode].append(f"ring {i}")
        sensors[f"ring sensor {i}"] = NetworkSensor(
            output=line,
            to="0V",
            drives="both" if rng.random() < 0.1 else "open",
            state="dead" if i in dead else "live",
            stays="lit" if i in dead and rng.random() < 0.3 else "dark",
            lit=rng.choice((100.0,) * 6 + (300.0,) * 5 + (2500.0,)),
            dark=rng.choice((None, 2e6, 1e5)),
            leaks=rng.choice((None, 1e6, 1e5, 1e5, 1e5, 3e3)),
            flag=rng.choice(("dark", "dark", "lit")),
            sees={f"ring {i}": sees},
        )
    resistors = {"R1": NetworkResistor(between=("5V", "STEP"), value=rng.choice((1e4, 1e4, 1e4, 4.7e3, 1e3)))}
    if rng.random() < 0.1:
        resistors["R2"] = NetworkResistor(between=(lines[0], "0V"), value=rng.choice((1e4, 1e5)))
    step = ControllerInput(
        net="STEP",
        low_below=0.8,
        high_above=rng.choice((2.0, 3.5)),
        time_out=rng.choice((0.5, 2.0, 2.0, 2.0, 2.0, None)),
        must_change=rng.random() < 0.9,
        must_read=None,
        flag_reads=rng.choice((None, None, None, None, None, "low", "high")),
        also={"counter": SecondUser(follows="ring 0")} if rng.random() < 0.3 else {},
    )
    inputs = {"step": step}
    if extra and rng.random() < 0.4:
        sensors["arm"] = NetworkSensor(
            output=extra[0],
            to="0V",
            state=rng.choice(("live", "live", "dead")),
            stays=rng.choice(("dark", "lit")),
            lit=300.0,
        )
        resistors["R3"] = NetworkResistor(between=("5V", extra[0]), value=1e4)
        inputs["park"] = ControllerInput(
            net=extra[0], low_below=0.8, high_above=2.0, must_read=rng.choice((None, "low"))
        )
    return _finish(rng, nets, modes, contacts, sensors, resistors, inputs, motion)


def _chaos(rng: random.Random) -> Network:
    signals = [f"N{i}" for i in range(rng.randint(2, 7))]
    supplies = ("5V", "0V") if rng.random() < 0.8 else ("5V", "0V", "12V")
    nets = (*supplies, *signals)
    modes = tuple(f"m{i}" for i in range(rng.randint(1, 4)))
    contacts = {}
    for i in range(rng.randint(1, 4)):
        joins = tuple(rng.sample(signals if rng.random() < 0.8 else nets, 2))
        closed = tuple(mode for mode in modes if rng.random() < 0.5)
        contacts[f"S{i}"] = Contact(joins=joins, closed_in=closed, timing=rng.choice(TIMINGS), pole=rng.choice("12"))
    sensors, motion = {}, {mode: ["drive"] for mode in modes}
    for i in range(rng.randint(1, 3)):
        sees = {mode: rng.choice((1.0, 4.0)) for mode in modes if rng.random() < 0.8}
        for mode in sees:
            motion[mode].append(f"ring {i}")
        sensors[f"ring sensor {i}"] = NetworkSensor(
            output=rng.choice(signals),
            to=rng.choice(("0V", "0V", "5V")),
            drives="both" if rng.random() < 0.2 else "open",
            swings=rng.choice((None, (0.3, 4.0))),
            state=rng.choice(("live", "live", "dead")),
            stays=rng.choice(("dark", "dark", "lit")),
            lit=rng.choice((100.0, 1000.0)),
            leaks=rng.choice((None, 1e5)),
            sees={f"ring {i}": sees},
        )
    resistors = {
        f"R{i}": NetworkResistor(between=tuple(rng.sample(nets, 2)), value=rng.choice((1e3, 1e4, 1e5)))
        for i in range(rng.randint(1, 3))
    }
    inputs = {
        f"in {i}": ControllerInput(
            net=rng.choice(signals),
            low_below=0.8,
            high_above=2.0,
            time_out=rng.choice((0.5, 2.0)),
            must_change=rng.random() < 0.6,
            must_read=rng.choice((None, None, "low", "high")),
            modes=() if rng.random() < 0.7 else (rng.choice(modes),),
        )
        for i in range(rng.randint(1, 2))
    }
    return _finish(rng, nets, modes, contacts, sensors, resistors, inputs, motion)


def _finish(rng, nets, modes, contacts, sensors, resistors, inputs, motion) -> Network:
    shafts = sorted({shaft for turning in motion.values() for shaft in turning})
    faults = {"drive lost": Fault(stops=tuple(shafts))}
    for shaft in shafts:
        if shaft != "drive":
            faults[f"{shaft} stuck"] = Fault(stops=(shaft,), matters=rng.random() < 0.9)
    if "arm" in sensors:
        faults["end reached"] = Fault(shown_by=("arm",))
    may = rng.choice(MAY)
    network = Network(
        nets=nets,
        supplies={"5V": 5.0, "0V": 0.0} | ({"12V": 12.0} if "12V" in nets else {}),
        modes=modes,
        contacts=contacts,
        sensors=sensors,
        resistors=resistors,
        inputs=inputs,
        motion={mode: tuple(turning) for mode, turning in motion.items()},
        faults=faults,
        may=may,
    )
    most = rng.choice((14, 18, 22, 24, 26, 28, 36))
    names = [*nets, *contacts, *sensors, *resistors, *inputs]
    rng.shuffle(names)
    if rng.random() < 0.7:  # leave the selector and its lines free, so that more networks have an answer
        names.sort(key=lambda name: name[0] in "LSir", reverse=True)
    while len(all_changes(network)) > most:
        network = replace(network, keep=(*network.keep, names.pop()))
    return network
