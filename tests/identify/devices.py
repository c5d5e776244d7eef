"""Random devices for the bench in software: every kind that the identification claims to know, with wide spreads."""

from __future__ import annotations

import random
from collections.abc import Callable

from simulator import Device, diode, npn, resistor

Rng = random.Random

TORCH = 1.0


def _emitter_law(rng: Rng) -> tuple[float, float, float]:
    """Is, n, Rs of an infrared emitter: 0.98 to 1.17 V at 1 mA (the span of the V checks)."""
    emission = rng.uniform(1.4, 1.9)
    vf = rng.uniform(0.98, 1.17)
    saturation = 1e-3 / (2.718281828 ** (vf / (emission * 0.02585)) - 1)
    return saturation, emission, rng.uniform(1.0, 4.0)


def _photo(rng: Rng, kind: str) -> float:
    """Photo current into the base, at torch light, as an ampere figure."""
    if kind == "photodiode":
        return 10 ** rng.uniform(-5.3, -4.3)
    return 10 ** rng.uniform(-6.0, -5.2) if kind == "phototransistor" else 10 ** rng.uniform(-7.0, -6.2)


class Builder:
    """Puts a circuit together while it hands out nodes; leads come first and are shuffled at the end."""

    def __init__(self, rng: Rng) -> None:
        self.rng = rng
        self.functions: list[str] = []
        self.inner = 0
        self.stamps: list[Callable[[dict[object, int]], object]] = []
        self.emitter: tuple[object, object, float, float] | None = None
        self.coupling = 0.0

    def lead(self, function: str) -> str:
        """A lead that carries a function; its key is the function."""
        self.functions.append(function)
        return function

    def node(self) -> int:
        """An inner node; its key is a number."""
        self.inner += 1
        return self.inner

    def add(self, make: Callable[..., object], *nodes: object, **values: float) -> None:
        """An element between keys."""
        self.stamps.append(lambda number: make(*(number[n] for n in nodes), **values))

    def emit(self, a: object, k: object, *, coupled: float, resistor_ohm: float = 0.0, dead: str = "") -> None:
        """An infrared emitter, with its bulk resistance, perhaps a built-in resistor, perhaps dead."""
        if dead == "open":
            return
        if dead == "short":
            self.add(resistor, a, k, ohms=self.rng.uniform(0.2, 3.0))
            return
        saturation, emission, ohmic = _emitter_law(self.rng)
        inside = self.node()
        self.add(resistor, a, inside, ohms=ohmic + resistor_ohm)
        self.add(diode, inside, k, saturation=saturation, emission=emission)
        self.emitter, self.coupling = (inside, k, saturation, emission), coupled

    def receive(self, kind: str, c: object, e: object, *, base: object | None = None, dead: bool = False) -> None:
        """A detector between collector (cathode) and emitter (anode)."""
        rng = self.rng
        photo = 0.0 if dead else _photo(rng, kind)
        if kind == "photodiode":
            self.add(diode, e, c, saturation=10 ** rng.uniform(-12, -10), emission=rng.uniform(1.0, 1.2), photo=photo)
            return
        b = self.node() if base is None else base
        gain = rng.uniform(150, 700)
        if kind == "phototransistor":
            self.add(npn, c, b, e, saturation=10 ** rng.uniform(-14.3, -13.3), forward=gain,
                     reverse=rng.uniform(0.5, 6), photo=photo)  # fmt: skip
            return
        middle = self.node()
        for base_node, emitter_node, lit in ((b, middle, photo), (middle, e, 0.0)):
            self.add(npn, c, base_node, emitter_node, saturation=10 ** rng.uniform(-14.3, -13.3),
                     forward=gain / 3, reverse=rng.uniform(0.5, 4), photo=lit)  # fmt: skip

    def done(self, kind: str, *, shuffle: bool = True, group: str = "") -> Device:
        """The finished device, its leads in random order."""
        order = list(range(len(self.functions)))
        if shuffle:
            self.rng.shuffle(order)
        number: dict[object, int] = {}
        keys = self._lead_keys()
        for place, index in enumerate(order):
            number[keys[index]] = place
        for inner in range(1, self.inner + 1):
            number[inner] = len(order) + inner - 1
        emitter = None
        if self.emitter is not None:
            a, k, saturation, emission = self.emitter
            emitter = (number[a], number[k], saturation, emission)
        functions = tuple(self.functions[index] for index in order)
        return Device(
            kind=kind, functions=functions, nodes=len(order) + self.inner,
            stamps=[make(number) for make in self.stamps],  # type: ignore[misc]
            emitter=emitter, coupling=self.coupling, group=group or kind,
        )  # fmt: skip

    def _lead_keys(self) -> list[object]:
        seen: dict[str, int] = {}
        keys: list[object] = []
        for function in self.functions:
            seen[function] = seen.get(function, 0) + 1
            keys.append(function if seen[function] == 1 else (function, seen[function]))
        return keys


def _coupled(rng: Rng) -> float:
    """Light on the detector from 1 mA of its own emitter, relative to the torch; nothing reflects on a bench."""
    return 10 ** rng.uniform(-2.5, -1.0)


def lone_emitter(rng: Rng) -> Device:
    """Two leads, an infrared emitter."""
    b = Builder(rng)
    b.emit(b.lead("A"), b.lead("K"), coupled=0.0)
    return b.done("emitter")


def lone_detector(rng: Rng, kind: str) -> Device:
    """Two leads, a detector alone."""
    b = Builder(rng)
    if kind == "photodiode":
        k, a = b.lead("K"), b.lead("A")
        b.receive(kind, k, a)
    else:
        c, e = b.lead("C"), b.lead("E")
        b.receive(kind, c, e)
    return b.done(kind)


def based(rng: Rng) -> Device:
    """Three leads, a phototransistor with its base brought out."""
    b = Builder(rng)
    c, e, base = b.lead("C"), b.lead("E"), b.lead("B")
    b.receive("phototransistor", c, e, base=base)
    return b.done("phototransistor with base")


def pair(rng: Rng, kind: str, *, dead: str = "", built_in: float = 0.0, spare: int = 0) -> Device:
    """Four leads: an emitter and a detector; perhaps dead halves, a resistor inside, spare leads."""
    b = Builder(rng)
    a, k, c, e = b.lead("A"), b.lead("K"), b.lead("C"), b.lead("E")
    b.emit(a, k, coupled=_coupled(rng), resistor_ohm=built_in, dead=dead if dead in ("open", "short") else "")
    b.receive(kind, c, e, dead=dead == "detector")
    for _ in range(spare):
        b.lead("NC")
    name = f"emitter + {kind}"
    if dead:
        name += {"open": ", emitter open", "short": ", emitter shorted", "detector": ", detector dead"}[dead]
    return b.done(name + (", resistor inside" if built_in else ""))


def shared(rng: Rng, kind: str, which: str) -> Device:
    """Three leads: one carries two functions (K+E or A+C)."""
    b = Builder(rng)
    if which == "K+E":
        a, c, both = b.lead("A"), b.lead("C"), b.lead("K+E")
        b.emit(a, both, coupled=_coupled(rng))
        b.receive(kind, c, both)
    else:
        k, e, both = b.lead("K"), b.lead("E"), b.lead("A+C")
        b.emit(both, k, coupled=_coupled(rng))
        b.receive(kind, both, e)
    return b.done(f"emitter + {kind}, {which}")


def two_channels(rng: Rng) -> Device:
    """Five leads: one emitter, two phototransistors with a common collector."""
    b = Builder(rng)
    a, k, c, e, e2 = b.lead("A"), b.lead("K"), b.lead("C"), b.lead("E"), b.lead("E2")
    b.emit(a, k, coupled=_coupled(rng))
    b.receive("phototransistor", c, e)
    b.receive("phototransistor", c, e2)
    return b.done("emitter + two phototransistors, common collector")


def logic(rng: Rng, output: str) -> Device:
    """Five leads: an emitter and a logic receiver, unpowered on the bench: substrate diodes, pull-up, bias current."""
    b = Builder(rng)
    a, k, vcc, out, gnd = b.lead("A"), b.lead("K"), b.lead("VCC"), b.lead("OUT"), b.lead("GND")
    b.emit(a, k, coupled=_coupled(rng))
    silicon = {"saturation": 10 ** rng.uniform(-14.5, -13.5), "emission": rng.uniform(1.0, 1.1)}
    for pin in (out, vcc):
        inside = b.node()
        b.add(resistor, gnd, inside, ohms=rng.uniform(3, 30))
        b.add(diode, inside, pin, **silicon)
    # bias: two junctions and a resistor from VCC to GND
    first, second = b.node(), b.node()
    b.add(resistor, vcc, first, ohms=rng.uniform(1500, 8000))
    b.add(diode, first, second, **silicon)
    b.add(diode, second, gnd, **silicon)
    if output == "logic-pull-up":
        b.add(resistor, vcc, out, ohms=rng.uniform(8e3, 15e3))
    elif output == "logic-totem-pole":
        top = b.node()
        b.add(resistor, vcc, top, ohms=rng.uniform(2e3, 2e4))
        b.add(diode, top, out, **silicon)
        b.add(diode, out, vcc, **silicon)
    return b.done(f"emitter + {output}")


def lone_resistor(rng: Rng) -> Device:
    """Two leads, a resistor."""
    b = Builder(rng)
    b.add(resistor, b.lead("R1"), b.lead("R2"), ohms=10 ** rng.uniform(1.5, 5.0))
    return b.done("resistor")


def lone_short(rng: Rng) -> Device:
    """Two leads joined: a link, a closed switch."""
    b = Builder(rng)
    b.add(resistor, b.lead("S1"), b.lead("S2"), ohms=rng.uniform(0.02, 0.6))
    return b.done("short")


MAKERS: tuple[tuple[str, Callable[[Rng], Device]], ...] = (
    ("emitter", lone_emitter),
    ("phototransistor", lambda r: lone_detector(r, "phototransistor")),
    ("photodarlington", lambda r: lone_detector(r, "photodarlington")),
    ("photodiode", lambda r: lone_detector(r, "photodiode")),
    ("base lead", based),
    ("transistor pair", lambda r: pair(r, "phototransistor")),
    ("darlington pair", lambda r: pair(r, "photodarlington")),
    ("diode pair", lambda r: pair(r, "photodiode")),
    ("resistor inside", lambda r: pair(r, "phototransistor", built_in=r.choice((180.0, 220.0, 330.0, 430.0)))),
    ("spare lead", lambda r: pair(r, "phototransistor", spare=1)),
    ("emitter open", lambda r: pair(r, "phototransistor", dead="open")),
    ("emitter shorted", lambda r: pair(r, "phototransistor", dead="short")),
    ("detector dead", lambda r: pair(r, "phototransistor", dead="detector")),
    ("K+E", lambda r: shared(r, "phototransistor", "K+E")),
    ("A+C", lambda r: shared(r, "phototransistor", "A+C")),
    ("two channels", two_channels),
    ("open collector", lambda r: logic(r, "logic-open-collector")),
    ("pull-up", lambda r: logic(r, "logic-pull-up")),
    ("totem pole", lambda r: logic(r, "logic-totem-pole")),
    ("resistor", lone_resistor),
    ("short", lone_short),
)
"""(name, maker) of every type on the bench."""
