"""Voltage over current between each two leads of a building block, for many random pieces of it at once.

A block is what hangs together inside a part: an emitter, a detector, a logic receiver. Its pieces are drawn from what
makers print and devices do, not from any one part. Only closed forms: every path is a series; of two paths side by side
the easier one counts. numpy is imported by the caller's array module argument, so that importing this costs nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from xref.bench.hypotheses_types import LOGIC, PLAIN
from xref.physics.detector import VBE_1MA
from xref.physics.emitter import MATERIALS

VT = 0.02585
BLOCKED = 40.0
"""Volts that stand for 'this current cannot flow'."""
CURRENTS = (-9.0, -2.0, 85)
"""Grid of currents: log10 of the lowest and highest in A, and how many."""
TORCH = (0.0, 0.6, 1.0, 1.7)
"""Light in the four columns of every table: dark, and a torch that is never held twice at the same place."""

Curves = dict[tuple[int, int], tuple[Any, ...]]
"""(plus role, minus role) to one table for each light; shape (pieces, currents). Missing: no current flows."""


class Draws:
    """Stratified random draws for ``size`` pieces, always the same for the same seed."""

    def __init__(self, np: Any, size: int, seed: int) -> None:
        self.np, self.size = np, size
        self.rng = np.random.default_rng(seed)
        low, high, count = CURRENTS
        self.log_grid = np.linspace(low, high, count)
        self.grid = 10.0**self.log_grid

    def uniform(self, low: float, high: float) -> Any:
        """A column of values, evenly spread."""
        np = self.np
        strata = (self.rng.permutation(self.size) + self.rng.random(self.size)) / self.size
        return (low + (high - low) * strata)[:, np.newaxis]

    def log(self, low: float, high: float) -> Any:
        """A column of values whose logarithm is evenly spread."""
        return 10 ** self.uniform(self.np.log10(low), self.np.log10(high))

    def share(self, part: float) -> Any:
        """A column of True in that share of the pieces."""
        return self.uniform(0.0, 1.0) < part


def emitter(d: Draws, extra: float | tuple[float, float] = 0.0) -> Any:
    """Forward table of an infrared (seldom red) emitter, with a resistor inside where ``extra`` is a range [ohm].

    Source: materials of xref.physics.emitter, deviations taken as even spreads of two deviations each way.
    """
    np = d.np
    pick = d.uniform(0, 1)
    columns = []
    for name in ("gaas", "gaalas", "red"):
        m = MATERIALS[name]
        slope = d.uniform(m.slope - 2 * m.slope_deviation / 1.5, m.slope + 2 * m.slope_deviation / 1.5)
        ohm = d.uniform(0.5, m.ohmic + 2 * m.ohmic_deviation)
        vf = d.uniform(m.vf_10ma - 2 * m.vf_deviation, m.vf_10ma + 2 * m.vf_deviation)
        saturation = 1e-2 / np.expm1((vf - ohm * 1e-2) / slope)
        columns.append((slope, ohm, saturation))
    chosen = []
    for index in range(3):
        chosen.append(np.where(pick < 0.72, columns[0][index], np.where(pick < 0.95, *(c[index] for c in columns[1:]))))
    slope, ohm, saturation = chosen
    if isinstance(extra, tuple):
        ohm = ohm + d.log(*extra)
    return slope * np.log1p(d.grid / saturation) + ohm * d.grid


class Transistor:
    """Ebers-Moll transistor with floating base and light as a current into the base, solved for the current.

    Source: J. J. Ebers and J. L. Moll, Proc. IRE 42, 1761 (1954).
    """

    def __init__(self, d: Draws, gain: tuple[float, float], reverse: tuple[float, float]) -> None:
        self.d = d
        vbe = d.uniform(VBE_1MA - 0.045, VBE_1MA + 0.045)
        self.saturation = 1e-3 / d.np.exp(vbe / VT)
        self.forward, self.reverse = d.log(*gain), d.log(*reverse)
        self.ohm = d.uniform(0.0, 5.0)

    def voltage(self, current: Any, photo: Any, *, reverse: bool = False) -> Any:
        """Collector-emitter voltage (emitter-collector if ``reverse``) for a current and a photo current."""
        np = self.d.np
        sign = -1.0 if reverse else 1.0
        f, r = self.forward, self.reverse
        s, i = photo / self.saturation, sign * current / self.saturation
        x = 1 + f * (r * s + i) / (f + r + 1)
        y = 1 + r * ((f + 1) * s - i) / (f + r + 1)
        flows = (x > 0) & (y > 0)
        volts = sign * VT * np.log(np.where(flows, x, 1.0) / np.where(flows, y, 1.0)) + self.ohm * current
        return np.where(flows, np.minimum(volts, BLOCKED), BLOCKED)

    def base_to_emitter(self) -> Any:
        """Base-emitter voltage with the collector left open."""
        f, r = self.forward, self.reverse
        return self._junction(1 / f + 1 / (1 + r))

    def base_to_collector(self) -> Any:
        """Base-collector voltage with the emitter left open."""
        f, r = self.forward, self.reverse
        return self._junction(1 / r + 1 / (1 + f))

    def _junction(self, share: Any) -> Any:
        return VT * self.d.np.log1p(self.d.grid / (self.saturation * share)) + self.ohm * self.d.grid


REVERSE = (0.05, 9.0)
"""Reverse gain of a detector: by reciprocity (af IES = ar ICS, Ebers and Moll) it falls as the base-collector junction,
which takes the light, grows over the emitter's; reversed in weak light such a part shows overload. The areas are common
practice, no source."""
REVERSE_BASE = (0.2, 9.0)
"""The same with the base brought out: nearer an ordinary transistor (0.618 V and 0.648 V of check V15 make 0.46)."""


class Receiver:
    """A plain detector of one kind: its tables between collector (cathode) and emitter (anode), with any light.

    Light currents: a lamp or the sun gives of the order of 1 mW/cm2 of infrared; silicon makes about 0.5 A/W of it, on
    0.2 to 1 mm2 of a transistor or 1 to 8 mm2 of a photodiode; a factor of some five either way for the distance.
    """

    def __init__(self, d: Draws, kind: str, reverse: tuple[float, float] = REVERSE) -> None:
        self.d, self.kind = d, kind
        self.leak = d.log(3e-14, 1e-10)
        if kind == "photodiode":
            self.saturation, self.slope = d.log(1e-12, 3e-9), d.uniform(1.0, 1.4) * VT
            self.photo = d.log(2e-6, 1e-4)
            self.ohm = d.uniform(1.0, 30.0)
            return
        gain = (80.0, 1200.0) if kind == "phototransistor" else (30.0, 400.0)
        self.first = Transistor(d, gain, reverse)
        self.second = Transistor(d, gain, reverse) if kind == "photodarlington" else None
        self.photo = d.log(4e-7, 1.5e-5) if kind == "phototransistor" else d.log(4e-8, 8e-6)

    def forward(self, photo: Any) -> Any:
        """Plus on the collector or cathode."""
        np, grid = self.d.np, self.d.grid
        if self.kind == "photodiode":
            left = np.minimum(grid - photo, 0.9999 * self.saturation)
            volts = -self.slope * np.log1p(-left / self.saturation)
            return np.where(grid < photo + self.saturation, np.minimum(volts, BLOCKED), BLOCKED)
        if self.second is None:
            return self.first.voltage(grid, photo)
        base = grid / (self.second.forward + 1)
        knee = VT * np.log1p(grid / self.second.saturation) + self.second.ohm * grid
        return np.minimum(knee + self.first.voltage(base, photo), BLOCKED)

    def backward(self, photo: Any) -> Any:
        """Plus on the emitter or anode; a darlington passes nothing that way."""
        np, grid = self.d.np, self.d.grid
        if self.kind == "photodiode":
            return self.slope * np.log1p((grid + photo) / self.saturation) + self.ohm * grid
        if self.second is None:
            return self.first.voltage(grid, photo, reverse=True)
        return np.full((self.d.size, grid.size), BLOCKED)


def _same(table: Any) -> tuple[Any, ...]:
    return (table,) * len(TORCH)


def _lights(part: Receiver) -> list[Any]:
    """Current that light makes in the junction, for each light."""
    return [part.leak + part.photo * torch for torch in TORCH]


def _ahead(part: Receiver) -> tuple[Any, ...]:
    return tuple(part.forward(light) for light in _lights(part))


def _back(part: Receiver) -> tuple[Any, ...]:
    return tuple(part.backward(light) for light in _lights(part))


def _plain(d: Draws, kind: str) -> Curves:
    part = Receiver(d, kind)
    return {(0, 1): _ahead(part), (1, 0): _back(part)}


def _with_base(d: Draws) -> Curves:
    """Roles C, E, B."""
    part = Receiver(d, "phototransistor", REVERSE_BASE)
    junction = tuple(d.np.where(d.grid < light, 0.05, BLOCKED) for light in _lights(part))
    return {
        (0, 1): _ahead(part),
        (1, 0): _back(part),
        (2, 0): _same(part.first.base_to_collector()),
        (2, 1): _same(part.first.base_to_emitter()),
        (0, 2): junction,
    }


def _two_receivers(d: Draws) -> Curves:
    """Roles C, E, E2: two transistors on one collector."""
    one, two = Receiver(d, "phototransistor"), Receiver(d, "phototransistor")
    # both lie under one lamp: about the same light
    two.photo = one.photo * d.log(0.5, 2.0)
    found: Curves = {}
    for role, part in ((1, one), (2, two)):
        found[(0, role)], found[(role, 0)] = _ahead(part), _back(part)
    for plus, minus in ((1, 2), (2, 1)):
        found[(plus, minus)] = tuple(a + b for a, b in zip(found[(plus, 0)], found[(0, minus)], strict=True))
    return found


def _shared(d: Draws, kind: str, which: str) -> Curves:
    """Roles A, C, K+E or K, E, A+C; the emitter's own current lights the detector behind it."""
    part, forward = Receiver(d, kind), emitter(d)
    own = d.log(1e-7, 1e-3) * d.grid
    chain = tuple(forward + part.backward(light + own) for light in _lights(part))
    if which == "K+E":
        return {(0, 2): _same(forward), (1, 2): _ahead(part), (2, 1): _back(part), (0, 1): chain}
    return {(2, 0): _same(forward), (2, 1): _ahead(part), (1, 2): _back(part), (1, 0): chain}


def _logic(d: Draws, output: str) -> Curves:
    """Roles VCC, OUT, GND of a receiver without supply: substrate diodes, bias path, what drives the output.

    Source: common practice, no source; drawn wide.
    """
    np, grid = d.np, d.grid

    def silicon() -> Any:
        vf = d.uniform(0.56, 0.74)
        slope = d.uniform(1.0, 1.3) * VT
        return slope * np.log1p(grid / (1e-3 / np.expm1(vf / slope)))

    def substrate() -> Any:
        return silicon() + d.log(1.0, 80.0) * grid

    to_out, to_vcc = substrate(), substrate()
    more = np.where(d.share(0.5), silicon(), 0.0)
    bias = silicon() + more + d.log(600.0, 2e4) * grid
    found = {(2, 1): _same(to_out), (2, 0): _same(to_vcc), (0, 2): _same(bias), (0, 1): _same(bias + to_out)}
    if output == "pull-up":
        pull = d.log(3e3, 5e4) * grid
        found[(0, 1)] = _same(np.minimum(pull, bias + to_out))
        found[(1, 0)] = _same(pull)
        found[(1, 2)] = _same(pull + bias)
    elif output == "totem-pole":
        top = d.log(50.0, 5e4) * grid + silicon()
        up = silicon()
        found[(0, 1)] = _same(np.minimum(top, bias + to_out))
        found[(1, 0)] = _same(up)
        found[(1, 2)] = _same(up + bias)
    return found


def _link(d: Draws, low: float, high: float) -> Curves:
    table = _same(d.log(low, high) * d.grid)
    return {(0, 1): table, (1, 0): table}


PIECES = {
    **dict.fromkeys(LOGIC, 3072),
    "base": 4096,
    "emitter": 2048,
    "emitter, resistor inside": 3072,
    "resistor": 4096,
    **dict.fromkeys(PLAIN, 1024),
}
"""Pieces of a block where several parameters are read at once, or one over decades; the rest has ``FEW``."""
FEW = 512

CURVES: dict[str, Callable[[Draws], Curves]] = {
    "emitter": lambda d: {(0, 1): _same(emitter(d))},
    "emitter, resistor inside": lambda d: {(0, 1): _same(emitter(d, (120.0, 1500.0)))},
    "short": lambda d: _link(d, 0.01, 4.0),
    "resistor": lambda d: _link(d, 8.0, 2e6),
    "phototransistor": lambda d: _plain(d, "phototransistor"),
    "photodarlington": lambda d: _plain(d, "photodarlington"),
    "photodiode": lambda d: _plain(d, "photodiode"),
    "base": _with_base,
    "two": _two_receivers,
    "logic-open-collector": lambda d: _logic(d, "open-collector"),
    "logic-pull-up": lambda d: _logic(d, "pull-up"),
    "logic-totem-pole": lambda d: _logic(d, "totem-pole"),
    **{f"{kind}, {which}": partial(_shared, kind=kind, which=which) for kind in PLAIN for which in ("K+E", "A+C")},
}
"""Block kind to the function that draws its tables."""
