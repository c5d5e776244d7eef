"""A machine with one known fault, solved as a network of junctions and transistors (tests/identify/simulator.py).

Shares nothing with the bench's own circuit: the light current is an Ebers-Moll transistor driven by a base current in
proportion to the emitter's current, every node is solved by Newton's method.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "identify"))

from simulator import METERS, Bench, Device, diode, npn, resistor

SUPPLY, EMITTER_OHM, LOAD_OHM = 5.0, 220.0, 10e3
GROUND, RAIL, ANODE, INNER, OUT, BASE = range(6)
METER = next(meter for meter in METERS if meter.name == "M5")

CULPRITS = (
    "dirty window", "emitter aged", "emitter open", "emitter shorted", "detector aged", "detector leaky",
    "detector open", "cracked joint", "connector", "selector contact", "emitter resistor", "load", "supply",
    "target", "flag", "edge too slow", "input dead", "room light",
)  # fmt: skip


class Machine:
    """One machine: what a meter and the tests without a meter show of it."""

    def __init__(self, culprit: str, seed: int) -> None:
        self.culprit = culprit
        self.rng = random.Random(f"{culprit}/{seed}")
        rng = self.rng
        self.rail = rng.uniform(4.9, 5.1)
        self.gain = rng.uniform(200, 500)
        self.emission = rng.uniform(1.5, 1.8)
        vf = rng.uniform(1.0, 1.12)
        self.saturation = 1e-3 / (2.718281828 ** (vf / (self.emission * 0.02585)) - 1)
        self.emitter_ohm = EMITTER_OHM * rng.uniform(0.96, 1.04)
        self.load_ohm = LOAD_OHM * rng.uniform(0.96, 1.04)
        # the machine once worked: lit it gave 0.9 to 4 mA at about 17 mA through the emitter
        self.light = rng.uniform(0.9e-3, 4e-3) / self.gain / 17.0
        self.healthy_light = self.light
        self.blocked = rng.uniform(0.002, 0.01)
        self.leak_ohm = 1e9
        self.emitter = self.detector = ""
        self.stray = 0.0
        self.joint = rng.choice(("emitter", "detector"))
        self._break(rng)

    def _break(self, rng: random.Random) -> None:
        c = self.culprit
        if c in ("dirty window", "emitter aged", "target"):
            self.light *= rng.uniform(0.02, 0.08)
        elif c == "detector aged":
            self.gain *= rng.uniform(0.02, 0.08)
        elif c == "emitter open" or (c in ("cracked joint", "connector") and self.joint == "emitter"):
            self.emitter = "open"
        elif c == "emitter shorted":
            self.emitter = "short"
        elif c == "detector open" or (c in ("cracked joint", "connector") and self.joint == "detector"):
            self.detector = "open"
        elif c == "detector leaky":
            self.leak_ohm = rng.uniform(500, 4000)
        elif c == "emitter resistor":
            self.emitter_ohm *= rng.uniform(15, 40)
        elif c == "load":
            self.load_ohm *= rng.choice((rng.uniform(0.02, 0.05), rng.uniform(200, 500)))
        elif c == "supply":
            self.rail *= rng.uniform(0.05, 0.4)
        elif c == "flag":
            self.blocked = rng.uniform(0.6, 1.0)
        elif c == "room light":
            self.stray = rng.uniform(0.7, 1.5) * self.healthy_light * 17.0

    def _solve(self, target: float, torch: float = 0.0) -> tuple[float, float, float]:
        """(volts of the rail, across the emitter, at the output) with this share of the bright target's light."""
        stamps = [resistor(RAIL, ANODE, self.emitter_ohm), resistor(RAIL, OUT, self.load_ohm),
                  resistor(OUT, GROUND, self.leak_ohm), resistor(OUT, GROUND, 10e6)]  # fmt: skip
        emitter = None
        if self.emitter == "short":
            stamps.append(resistor(ANODE, GROUND, 1.5))
        elif self.emitter != "open":
            stamps += [resistor(ANODE, INNER, 2.0), diode(INNER, GROUND, self.saturation, self.emission)]
            emitter = (INNER, GROUND, self.saturation, self.emission)
        if self.detector != "open":
            stamps.append(npn(OUT, BASE, GROUND, 3e-14, self.gain, 2.0, photo=1.0))
        device = Device("machine", ("G", "V", "A"), 6, stamps, emitter, coupling=self.light * target)
        v = Bench(device, METER, self.rng)._solve([(RAIL, GROUND, self.rail, 0.5)], self.stray + torch)
        v = v - v[GROUND]
        return float(v[RAIL]), float(v[ANODE]), float(v[OUT])

    def volts(self, name: str) -> float:
        """One reading, with the noise of a cheap meter."""
        if name == "twin":
            other = Machine("input dead", self.rng.randrange(10**6))
            if self.culprit == "supply" and self.rng.random() < 0.5:
                other.rail = self.rail
            return self._noisy(other._solve(1.0)[2])
        rail, emitter, lit = self._solve(1.0)
        value = {"supply": rail, "emitter": emitter, "emitter_resistor": rail - emitter, "lit": lit}.get(name)
        return self._noisy(self._solve(self.blocked)[2] if value is None else value)

    def _noisy(self, value: float) -> float:
        return round(value * (1 + self.rng.gauss(0, 0.005)) + self.rng.gauss(0, 0.005), 2)

    def test(self, key: str) -> bool:
        """The outcome of a test without a meter."""
        if key == "glow":
            rail, emitter, _ = self._solve(1.0)
            return self.emitter == "" and (rail - emitter) / self.emitter_ohm > 0.4e-3
        if key == "torch":
            plain, lit = self._solve(0.0)[2], self._solve(0.0, torch=self.healthy_light * 17.0)[2]
            return plain - lit > 0.3
        if key == "cover":
            lit = self.stray
            self.stray = 0.0
            out = self._solve(0.0)[2]
            self.stray = lit
            return out > 0.7 * self.rail
        return {
            "tap": self.culprit == "cracked joint",
            "replaced": self.culprit == "wrong part",
            "resistors": self.culprit not in ("load", "emitter resistor"),
            "wiggle": self.culprit == "connector",
            "shade": self.culprit == "room light",
            "clean": self.culprit == "dirty window",
            "card": self.culprit in ("target", "flag"),
            "slow": self.culprit == "edge too slow",
            "selector": self.culprit == "selector contact",
            "exchange": self.culprit in ("emitter aged", "emitter open", "emitter shorted", "detector aged",
                                         "detector leaky", "detector open"),
        }[key]  # fmt: skip
