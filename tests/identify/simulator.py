"""A bench in software: devices as small circuits, meters with their own laws. Shares nothing with the program.

Written from published device physics, before the identification was: junctions after W. Shockley, Bell Syst. Tech. J.
28, 435 (1949); transistors after J. J. Ebers and J. L. Moll, Proc. IRE 42, 1761 (1954); light as a current into the
collector-base junction. Meters after the user manuals that tests/reference/checks.yaml names (ids M1 to M7). Substrate
diodes and quiescent current of the logic types are common practice, no source, and vary widely here on purpose.

A circuit is solved by Newton's method on the node voltages, with a conductance of 1e-12 S from each node to ground.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

VT = 0.02585  # volt, at 300 K
GMIN = 1e-12
BEYOND = 12.0
"""Volts above which no meter here shows a number."""

Stamp = Callable[[np.ndarray, np.ndarray, np.ndarray, float], None]
"""Adds currents out of the nodes and their derivatives for node voltages and a light level (0 dark, 1 torch)."""


def _junction(v: float, saturation: float, emission: float) -> tuple[float, float]:
    """Current and conductance of a junction; the exponential goes on as its tangent above 0.9 A worth of drive."""
    x = v / (emission * VT)
    limit = math.log(1.0 / saturation + 1.0)
    if x > limit:
        slope = math.exp(limit) * saturation
        return slope * (1 + x - limit) - saturation, slope / (emission * VT)
    e = math.exp(max(x, -60.0))
    return saturation * (e - 1), saturation * e / (emission * VT)


def resistor(a: int, b: int, ohms: float) -> Stamp:
    """A resistor between two nodes."""

    def stamp(v: np.ndarray, i: np.ndarray, g: np.ndarray, light: float) -> None:
        c = 1.0 / ohms
        i[a] += c * (v[a] - v[b])
        i[b] -= c * (v[a] - v[b])
        for row, column, sign in ((a, a, 1), (a, b, -1), (b, a, -1), (b, b, 1)):
            g[row, column] += sign * c

    return stamp


def diode(a: int, k: int, saturation: float, emission: float, photo: float = 0.0) -> Stamp:
    """A junction from a to k; ``photo`` is the current that light drives from k to a inside (A at light 1)."""

    def stamp(v: np.ndarray, i: np.ndarray, g: np.ndarray, light: float) -> None:
        current, slope = _junction(v[a] - v[k], saturation, emission)
        current -= photo * light
        i[a] += current
        i[k] -= current
        for row, column, sign in ((a, a, 1), (a, k, -1), (k, a, -1), (k, k, 1)):
            g[row, column] += sign * slope

    return stamp


def npn(c: int, b: int, e: int, saturation: float, forward: float, reverse: float, photo: float = 0.0) -> Stamp:
    """An Ebers-Moll transistor; light drives ``photo`` ampere from collector to base."""
    af, ar = forward / (1 + forward), reverse / (1 + reverse)

    def stamp(v: np.ndarray, i: np.ndarray, g: np.ndarray, light: float) -> None:
        ie, ge = _junction(v[b] - v[e], saturation / af, 1.0)
        ic, gc = _junction(v[b] - v[c], saturation / ar, 1.0)
        lit = photo * light
        i[c] += af * ie - ic + lit
        i[e] += -ie + ar * ic
        i[b] += (1 - af) * ie + (1 - ar) * ic - lit
        g[c, b] += af * ge - gc
        g[c, e] -= af * ge
        g[c, c] += gc
        g[e, b] += -ge + ar * gc
        g[e, e] += ge
        g[e, c] -= ar * gc
        g[b, b] += (1 - af) * ge + (1 - ar) * gc
        g[b, e] -= (1 - af) * ge
        g[b, c] -= (1 - ar) * gc

    return stamp


@dataclass
class Device:
    """A device on the bench: its true kind and lead functions, and the circuit behind them.

    Nodes 0 .. leads-1 are the leads, in the order of the labels "1", "2", ...; the rest are inside.
    ``emitter``: nodes (anode, cathode) whose current lights the detector by ``coupling`` (light at 1 mA).
    """

    kind: str
    functions: tuple[str, ...]
    nodes: int
    stamps: list[Stamp]
    emitter: tuple[int, int, float, float] | None = None
    coupling: float = 0.0
    group: str = ""
    joined: tuple[tuple[int, int], ...] = field(default=())

    @property
    def leads(self) -> int:
        """Number of leads."""
        return len(self.functions)


@dataclass(frozen=True)
class Meter:
    """A multimeter. ``law`` of the diode test: "source" (constant current) or "thevenin" (open volts behind ohms)."""

    name: str
    current: float
    open_volts: float
    overload: float
    law: str = "source"
    digit: float = 0.001
    error: float = 0.005
    ohms_reversed: bool = False
    ohms_current: tuple[float, ...] = (1e-3, 1e-4, 1e-5, 1e-6, 1e-7)
    ohms_volts: float = 0.6
    ohms_open: float = 2.5


METERS = (
    Meter("M1 slow", 0.5e-3, 9.0, 1.2),
    Meter("M1 medium", 0.5e-3, 9.0, 2.5),
    Meter("M2", 0.7e-3, 3.2, 2.5),
    Meter("M3", 0.5e-3, 4.5, 3.999, error=0.015),
    Meter("M4", 1.5e-3, 3.0, 2.0, law="thevenin", error=0.015),
    Meter("M5", 1.0e-3, 3.0, 2.0),
    Meter("M6", 1.0e-3, 2.8, 2.0, law="thevenin", ohms_reversed=True),
    Meter("M7", 1.0e-3, 3.0, 2.0, ohms_volts=0.35),
)


class Bench:
    """One device, one meter, one random number generator."""

    def __init__(self, device: Device, meter: Meter, rng: random.Random) -> None:
        self.device, self.meter, self.rng = device, meter, rng

    def _solve(self, drive: Sequence[tuple[int, int, float, float]], light: float) -> np.ndarray:
        """Node voltages with sources ``(plus, minus, open volts, ohms)``; emitter current adds to the light."""
        lit = light
        v = np.zeros(self.device.nodes)
        for _ in range(12):
            v = self._newton(drive, lit, v)
            more = light + self._self_light(v)
            if abs(more - lit) <= 1e-3 * max(lit, 1e-6):
                break
            lit = more
        return v

    def _self_light(self, v: np.ndarray) -> float:
        if self.device.emitter is None:
            return 0.0
        a, k, saturation, emission = self.device.emitter
        current, _ = _junction(v[a] - v[k], saturation, emission)
        return self.device.coupling * max(current, 0.0) / 1e-3

    def _newton(self, drive: Sequence[tuple[int, int, float, float]], light: float, start: np.ndarray) -> np.ndarray:
        size = self.device.nodes
        v = start.copy()
        for step in range(400):
            i, g = GMIN * v, GMIN * np.eye(size)
            for stamp in self.device.stamps:
                stamp(v, i, g, light)
            for plus, minus, volts, ohms in drive:
                c = 1.0 / ohms
                current = c * (volts - (v[plus] - v[minus]))
                i[plus] -= current
                i[minus] += current
                for row, column, sign in ((plus, plus, 1), (plus, minus, -1), (minus, plus, -1), (minus, minus, 1)):
                    g[row, column] += sign * c
            delta = np.linalg.solve(g + 1e-13 * np.eye(size), -i)
            # a junction must not be thrown over its knee in one step
            worst = float(np.max(np.abs(delta)))
            v = v + delta * min(1.0, (0.3 if step < 60 else 0.05) / max(worst, 1e-12))
            if worst < 1e-9:
                break
            if any(v[plus] - v[minus] > BEYOND for plus, minus, _, _ in drive):
                break  # every meter shows overload long before; where exactly the volts would end does not matter
        return v

    def _shown(self, value: float) -> float:
        noisy = value * (1 + self.rng.gauss(0, self.meter.error / 2)) + self.rng.gauss(0, self.meter.digit / 2)
        return round(noisy / self.meter.digit) * self.meter.digit

    def diode(self, red: int, black: int, light: float = 0.0) -> float | None:
        """The diode test: volts, or None for overload."""
        meter = self.meter
        if meter.law == "thevenin":
            sources = [(red, black, meter.open_volts, meter.open_volts / meter.current)]
        else:
            # a current source with a clamp: stiff volts far above the clamp, checked afterwards
            sources = [(red, black, 1000.0, 1000.0 / meter.current)]
        v = self._solve(sources, light)
        volts = float(v[red] - v[black])
        if volts > min(meter.overload, meter.open_volts):
            return None
        return max(self._shown(volts), -0.5)

    def ohms(self, red: int, black: int, light: float = 0.0) -> float | None:
        """The ohms range, auto-ranging from the lowest: ohms, or None for overload."""
        plus, minus = (black, red) if self.meter.ohms_reversed else (red, black)
        for current in self.meter.ohms_current:
            v = self._solve([(plus, minus, self.meter.ohms_open, self.meter.ohms_open / current)], light)
            volts = float(v[plus] - v[minus])
            flows = (self.meter.ohms_open - volts) * current / self.meter.ohms_open
            if flows > 1e-12 and volts <= self.meter.ohms_volts:
                return max(volts / flows, 0.0) * (1 + self.rng.gauss(0, self.meter.error)) + abs(self.rng.gauss(0, 0.1))
        return None

    def supply(self, red: int, black: int, volts: float, ohms: float, light: float = 0.0) -> float:
        """Own supply through a resistor across a pair: volts over the part."""
        v = self._solve([(red, black, volts, ohms)], light)
        return self._shown(float(v[red] - v[black]))
