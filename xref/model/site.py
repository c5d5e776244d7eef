"""The site: the board around a sensor or switch, as the technician writes it in a job or site file.

One document for all: a site file is a job file with nothing else in it. Values are typed text with a unit in the file
(``220R``, ``5V``); the aliases below carry the unit, the reader parses the text into SI (mm stays mm).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal

from xref.model.base import STRICT

Volt = Annotated[float, "V"]
Ampere = Annotated[float, "A"]
Ohm = Annotated[float, "ohm"]
Hertz = Annotated[float, "Hz"]
Mm = Annotated[float, "mm"]
RangeC = Annotated[tuple[float, float], "range:C"]
SizeMm = Annotated[tuple[float, ...], "size:mm"]
GridMm = Annotated[tuple[float, float], "grid:mm"]

SiteKind = Literal["reflective", "slotted", "pair", "emitter", "detector", "two-state resistor", "switch"]
Safety = Literal["none", "unknown", "lid", "laser", "gas", "guard", "heat"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pads:
    """The pads: ``map`` with ``grid`` (rows top to bottom as seen, words left to right, '.' nothing), or ``at``."""

    __pydantic_config__ = STRICT

    map: str = ""
    grid: GridMm | None = None
    at: dict[str, tuple[Mm, Mm]] = field(default_factory=dict)
    seen_from: Literal["component", "solder"] = "component"
    nets: dict[str, str] = field(default_factory=dict)
    functions: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteEmitter:
    """How the board feeds the emitter."""

    __pydantic_config__ = STRICT

    supply: Volt | None = None
    resistor: Ohm | None = None
    resistor_side: Literal["A", "K"] | None = None
    in_series: int | None = None
    driver_drop: Volt | None = None
    current_watched: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteOutput:
    """How the board reads the detector. ``input``: a logic family; or the two levels."""

    __pydantic_config__ = STRICT

    supply: Volt | None = None
    load: Ohm | None = None
    load_side: Literal["C", "E"] | None = None
    input: str = ""
    low_below: Volt | None = None
    high_above: Volt | None = None
    lit: Literal["low", "high"] | None = None
    must_change: bool | None = None
    read_by: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sees:
    """What passes in front of the sensor, and how fast."""

    __pydantic_config__ = STRICT

    distance: Mm | None = None
    bright: str = ""
    dark: str = ""
    gap: Mm | None = None
    flag: Mm | None = None
    beam_height: Mm | None = None
    rate: Hertz | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The space that is there: body at most this large, screw holes present, halves that stay, neighbours.

    ``bodies``: components nearby, each with its middle x, y and its width and height: wires go round them, and the
    donor's body stays off them. Same side as the pads are seen from.
    """

    __pydantic_config__ = STRICT

    body: SizeMm | None = None
    holes: tuple[Mm, ...] = ()
    keep: tuple[Literal["housing", "emitter", "detector"], ...] = ()
    bodies: dict[str, tuple[Mm, Mm, Mm, Mm]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoState:
    """Anything with a resistance when lit and another when dark; the window is in ohms."""

    __pydantic_config__ = STRICT

    lit: Ohm
    dark: Ohm
    low_below: Ohm | None = None
    high_above: Ohm | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """The whole board side; everything but ``kind`` is optional. What is missing is assumed and said."""

    __pydantic_config__ = STRICT

    kind: SiteKind
    pads: Pads = field(default_factory=Pads)
    emitter: SiteEmitter = field(default_factory=SiteEmitter)
    output: SiteOutput = field(default_factory=SiteOutput)
    sees: Sees = field(default_factory=Sees)
    room: Room = field(default_factory=Room)
    taps: dict[str, tuple[Mm, Mm]] = field(default_factory=dict)
    temperature: RangeC | None = None
    safety: Safety = "unknown"
    if_open: str = ""
    two_state: TwoState | None = None
