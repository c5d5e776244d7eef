"""A small network around a few sensors: what the network file says, one class a block.

The classes are the document form of the file: names are keys, values carry their unit in the file (``10k``, ``4Hz``).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal

from xref.model.base import STRICT
from xref.model.site import Ampere, Hertz, Ohm, Volt

Second = Annotated[float, "s"]
Timing = Literal["break-before-make", "make-before-break", "not specified"]
SafetyMark = Literal["none", "lid", "laser", "gas", "guard", "heat", "mains"]
ActionKind = Literal["jumper", "lift", "move", "cut"]
Level = Literal["low", "high"]

ACTION_KINDS: tuple[ActionKind, ...] = ("jumper", "lift", "move", "cut")
"""What may be done, easiest to undo first."""

MAINS_FROM_V = 60.0
"""A supply at or above this is treated as dangerous, like mains (60 V d.c. is the ES1 limit of IEC 62368-1)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """One contact of the selector: the two nets it joins, and in which modes.

    ``pole``: contacts of one pole move together; two poles never switch at quite the same instant.
    """

    __pydantic_config__ = STRICT

    joins: tuple[str, str]
    closed_in: tuple[str, ...] = ()
    timing: Timing = "not specified"
    pole: str = "1"
    safety: SafetyMark = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkEmitter:
    """The light source of a sensor where its feed matters; ``least`` and ``most`` are the currents it can work with."""

    __pydantic_config__ = STRICT

    anode: str
    cathode: str
    vf: Volt = 1.2
    least: Ampere | None = None
    most: Ampere | None = None
    open: bool = False
    """True where the emitter is the dead half: no current flows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkSensor:
    """A sensor or a switch read by the controller.

    ``drives`` open: a transistor or contact between ``output`` and ``to``, of resistance ``lit`` or ``dark``;
    both: an output stage that drives high and low itself. ``flag``: what the tooth or flag does to the light.
    ``sees``: shaft, then mode, then pulse rate. A sensor that sees no shaft is a level sensor, dark or lit by its flag.
    """

    __pydantic_config__ = STRICT

    output: str
    to: str = ""
    drives: Literal["open", "both"] = "open"
    state: Literal["live", "dead"] = "live"
    stays: Literal["dark", "lit"] = "dark"
    lit: Ohm | None = None
    dark: Ohm | None = None
    leaks: Ohm | None = None
    lit_level: Level = "low"
    swings: tuple[Volt, Volt] | None = None
    """Low and high level of an output that drives both ways; None: from 0 V to the highest supply, assumed."""
    flag: Literal["dark", "lit"] = "dark"
    sees: dict[str, dict[str, Hertz | None]] = field(default_factory=dict)
    emitter: NetworkEmitter | None = None
    safety: SafetyMark = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkResistor:
    """A resistor that matters: pull-up, load, emitter resistor."""

    __pydantic_config__ = STRICT

    between: tuple[str, str]
    value: Ohm
    safety: SafetyMark = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondUser:
    """Something else that learns from the same signal: which shaft it needs to follow, and in which modes."""

    __pydantic_config__ = STRICT

    follows: str
    modes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ControllerInput:
    """An input of the controller and what it insists on.

    ``must_change``: a constant level is taken as a fault after ``time_out``. ``must_read``: the level that it needs
    while nothing is wrong. ``flag_reads``: the level that it takes for a flag in the sensor.
    """

    __pydantic_config__ = STRICT

    net: str
    input: str = ""
    """Chip or logic family behind the input (``74LS14``); stated levels go before it."""
    low_below: Volt | None = None
    high_above: Volt | None = None
    time_out: Second | None = None
    must_change: bool = False
    must_read: Level | None = None
    flag_reads: Level | None = None
    modes: tuple[str, ...] = ()
    also: dict[str, SecondUser] = field(default_factory=dict)
    safety: SafetyMark = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """What can go wrong: the shafts that stop, the level sensors that answer, and whether it matters to the owner."""

    __pydantic_config__ = STRICT

    stops: tuple[str, ...] = ()
    shown_by: tuple[str, ...] = ()
    modes: tuple[str, ...] = ()
    matters: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """The whole network file. Empty ``modes`` of an entry mean every mode.

    ``modes`` are the selector's positions in the order in which it passes them; ``motion`` names the shafts that
    turn in each mode. ``jumpers`` are wires that are already there (or that a plan added).
    """

    __pydantic_config__ = STRICT

    format: int = 1
    machine: str = ""
    nets: tuple[str, ...]
    supplies: dict[str, Volt]
    modes: tuple[str, ...]
    contacts: dict[str, Contact] = field(default_factory=dict)
    sensors: dict[str, NetworkSensor]
    resistors: dict[str, NetworkResistor] = field(default_factory=dict)
    inputs: dict[str, ControllerInput]
    motion: dict[str, tuple[str, ...]] = field(default_factory=dict)
    faults: dict[str, Fault] = field(default_factory=dict)
    jumpers: tuple[tuple[str, str], ...] = ()
    may: tuple[ActionKind, ...] = ACTION_KINDS
    keep: tuple[str, ...] = ()
    notes: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """One change with iron or knife.

    ``nets``: the two nets of a jumper; for a move from and to; for a cut or lift the nets that are parted.
    ``element``: the name; ``of``: which part of it; ``end``: 0 or 1 where it has two ends.
    """

    do: ActionKind
    nets: tuple[str, ...]
    of: Literal["", "contact", "sensor", "emitter", "resistor", "input"] = ""
    element: str = ""
    end: int = 0
    text: str = ""
    undo: str = ""
