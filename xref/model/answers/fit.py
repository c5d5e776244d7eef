"""The answer of ``fit``: how a donor goes in, what changes around it, and whether it was proved."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """Donor laid over the site: turned counter-clockwise (component side), then shifted.

    ``side`` solder: the donor is first mirrored (x changes its sign), because it is put in from the other side.
    """

    turn_deg: int
    shift_mm: tuple[float, float]
    side: Literal["component", "solder"] = "component"


@dataclass(frozen=True, slots=True, kw_only=True)
class Connection:
    """One donor lead and the pad it reaches. ``route_mm``: corner points of a wire, component side."""

    lead: str
    function: str
    pad: str
    net: str
    by: Literal["direct", "formed", "wire"]
    length_mm: float
    lead_at_mm: tuple[float, float]
    pad_at_mm: tuple[float, float]
    route_mm: tuple[tuple[float, float], ...] = ()
    wire_number: int | None = None
    insulated: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class OverHole:
    """A lead that stands over a hole of another net: what keeps it out of that hole."""

    lead: str
    hole: str
    do: Literal["bend up", "bend over", "cut short"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A change of the board: a track cut, a pad lifted, a resistor moved to the other side."""

    do: Literal["cut", "lift", "move-resistor"]
    where: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A jumper between two places of the board that the fit adds (not a donor lead)."""

    between: tuple[str, str]
    length_mm: float
    why: str
    insulated: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueChange:
    """A resistor that changes. ``where``: 'emitter resistor' or 'load'."""

    where: str
    was_ohm: float | None
    now_ohm: float
    why: str
    parallel: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """A component that the fit adds."""

    what: str
    between: tuple[str, ...]
    why: str
    value_ohm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Signal:
    """What the input behind will see at the worst corner."""

    low_max_v: float | None
    high_min_v: float | None
    light_reserve: float | None
    dark_reserve: float | None
    limited_by: str
    emitter_ma: tuple[float, float] | None = None
    clean: bool | None = None
    """True: for any piece of the type; None: depends on the piece or on light that is not known; False: not."""
    typical_reserve: float | None = None
    """Smaller of both reserves for a typical piece, all other corners at their worst."""
    basis: str = "printed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """Switch: which donor position plays which original position."""

    original: str
    donor: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """One way in, with proof. ``possible`` False: ``because`` says why in one sentence, ``nearest`` what comes next."""

    original: str
    donor: str
    kind: str
    possible: bool
    donor_reference: str = ""
    """The donor as it was asked for (``stock:3``, a part file, a name); empty for the part that stays."""
    donor_remark: str = ""
    """What to know of this piece before anything else: doubtful, or none left."""
    because: str = ""
    nearest: str = ""
    pose: Pose | None = None
    connections: tuple[Connection, ...] = ()
    cuts: tuple[Cut, ...] = ()
    links: tuple[Link, ...] = ()
    over_holes: tuple[OverHole, ...] = ()
    open_leads: tuple[str, ...] = ()
    staged_leads: tuple[str, ...] = ()
    """Leads that go to an added stage instead of a pad."""
    wire_count: int = 0
    crossings: int = 0
    wire_length_mm: float = 0.0
    optical_offset_mm: float | None = None
    values: tuple[ValueChange, ...] = ()
    added: tuple[Added, ...] = ()
    signal: Signal | None = None
    positions: tuple[Position, ...] = ()
    verified: bool = False
    proven_best: bool = True
    warnings: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    fails_open: str = ""
    alternatives: tuple[Fit, ...] = ()
    basis: str = "printed"
