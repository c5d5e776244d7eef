"""The device types that can be told apart on the bench, and the building blocks that each consists of."""

from __future__ import annotations

from dataclasses import dataclass

PLAIN = ("phototransistor", "photodarlington", "photodiode")
LOGIC = ("logic-open-collector", "logic-pull-up", "logic-totem-pole")

ROLES = {
    "emitter": 2, "emitter, resistor inside": 2, "short": 2, "resistor": 2, "phototransistor": 2, "photodarlington": 2,
    "photodiode": 2, "base": 3, "two": 3, "switch": 2, "changeover": 3,
    **dict.fromkeys(LOGIC, 3),
    **{f"{kind}, {which}": 3 for kind in PLAIN for which in ("K+E", "A+C")},
}  # fmt: skip
"""Block kind to its number of roles."""

SYMMETRIC = {"short": 0, "resistor": 0, "two": 1, "switch": 0, "changeover": 1}
"""Blocks whose roles from that one on may be exchanged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceType:
    """A type: its lead functions, its blocks over them, its prior weight. ``exact``: never with spare leads;
    ``switch``: only with readings in positions."""

    name: str
    functions: tuple[str, ...]
    blocks: tuple[tuple[str, tuple[int, ...]], ...]
    weight: float
    exact: bool = False
    spare: float = 0.04
    """Prior factor of each lead that goes nowhere."""
    switch: bool = False
    twins: tuple[tuple[int, int], ...] = ()
    """Roles that are alike by nature, so that only one order of them is a naming."""

    @property
    def leads(self) -> int:
        """Number of leads without spare ones."""
        return len(self.functions)


def _pair(kind: str) -> list[DeviceType]:
    name = f"emitter + {kind}"
    leads = ("A", "K", "C", "E")
    share = {"phototransistor": 1.0, "photodarlington": 0.6, "photodiode": 0.4}[kind]
    return [
        DeviceType(name=name, functions=leads, blocks=(("emitter", (0, 1)), (kind, (2, 3))), weight=share),
        DeviceType(name=name + ", resistor inside", functions=leads, weight=0.08 * share,
                   blocks=(("emitter, resistor inside", (0, 1)), (kind, (2, 3)))),
        DeviceType(name=name + ", emitter open", functions=leads, blocks=((kind, (2, 3)),), weight=0.4 * share),
        DeviceType(name=name + ", emitter shorted", functions=leads, blocks=(("short", (0, 1)), (kind, (2, 3))),
                   weight=0.3 * share),
        DeviceType(name=name + ", detector dead", functions=leads, blocks=(("emitter", (0, 1)),), weight=0.4 * share),
        DeviceType(name=name + ", detector shorted", functions=leads, blocks=(("emitter", (0, 1)), ("short", (2, 3))),
                   weight=0.1 * share),
        DeviceType(name=name + ", K+E", functions=("A", "C", "K+E"), blocks=((f"{kind}, K+E", (0, 1, 2)),),
                   weight=0.6 * share, spare=0.01),
        DeviceType(name=name + ", A+C", functions=("K", "E", "A+C"), blocks=((f"{kind}, A+C", (0, 1, 2)),),
                   weight=0.6 * share, spare=0.01),
        DeviceType(name=kind, functions=("K", "A") if kind == "photodiode" else ("C", "E"),
                   blocks=((kind, (0, 1)),), weight=0.8 * share),
    ]  # fmt: skip


def _logic(kind: str) -> list[DeviceType]:
    leads = ("A", "K", "VCC", "OUT", "GND")
    return [
        DeviceType(name=f"emitter + {kind}", functions=leads, blocks=(("emitter", (0, 1)), (kind, (2, 3, 4))),
                   weight=0.6),
        DeviceType(name=f"emitter + {kind}, resistor inside", functions=leads, weight=0.05,
                   blocks=(("emitter, resistor inside", (0, 1)), (kind, (2, 3, 4)))),
        DeviceType(name=f"emitter + {kind}, emitter open", functions=leads, blocks=((kind, (2, 3, 4)),), weight=0.15),
        DeviceType(name=kind, functions=("VCC", "OUT", "GND"), blocks=((kind, (0, 1, 2)),), weight=0.25, exact=True),
    ]  # fmt: skip


TYPES: tuple[DeviceType, ...] = (
    DeviceType(name="emitter", functions=("A", "K"), blocks=(("emitter", (0, 1)),), weight=0.8),
    DeviceType(name="resistor", functions=("R1", "R2"), blocks=(("resistor", (0, 1)),), weight=0.3, twins=((0, 1),)),
    DeviceType(name="short", functions=("S1", "S2"), blocks=(("short", (0, 1)),), weight=0.3, twins=((0, 1),)),
    DeviceType(name="no connection found", functions=("NC", "NC"), blocks=(), weight=0.1),
    *(kind for plain in PLAIN for kind in _pair(plain)),
    DeviceType(name="emitter + detector, both halves dead", functions=("A", "K", "C", "E"), blocks=(), weight=0.05),
    DeviceType(name="phototransistor with base", functions=("C", "E", "B"), blocks=(("base", (0, 1, 2)),), weight=0.6),
    DeviceType(name="emitter + phototransistor with base", functions=("A", "K", "C", "E", "B"), weight=0.3,
               blocks=(("emitter", (0, 1)), ("base", (2, 3, 4)))),
    DeviceType(name="emitter + two phototransistors, common collector", functions=("A", "K", "C", "E", "E2"),
               weight=0.5, blocks=(("emitter", (0, 1)), ("two", (2, 3, 4))), twins=((3, 4),)),
    DeviceType(name="emitter + two phototransistors", functions=("A", "K", "C", "E", "C2", "E2"), weight=0.5,
               blocks=(("emitter", (0, 1)), ("phototransistor", (2, 3)), ("phototransistor", (4, 5))), twins=((2, 4),)),
    DeviceType(name="two emitters + two phototransistors", functions=("A", "K", "C", "E", "A2", "K2", "C2", "E2"),
               weight=0.5, twins=((0, 4), (2, 6)), blocks=(("emitter", (0, 1)), ("phototransistor", (2, 3)),
                                                           ("emitter", (4, 5)), ("phototransistor", (6, 7)))),
    *(kind for output in LOGIC for kind in _logic(output)),
    DeviceType(name="switch", functions=("S1", "S2"), blocks=(("switch", (0, 1)),), weight=20.0, switch=True,
               twins=((0, 1),)),
    DeviceType(name="changeover switch", functions=("COM", "T1", "T2"), blocks=(("changeover", (0, 1, 2)),),
               weight=20.0, switch=True, twins=((1, 2),)),
)  # fmt: skip
"""Every type that ``identify`` knows, with weights that are common practice, no source: readings outweigh them."""
