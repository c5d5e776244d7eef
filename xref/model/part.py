"""A part: shipped, the user's own, a piece of salvage or the unknown original on the board, known to different degrees.

Fields keep the unit as printed in their name; ``xref.model.si`` turns them into SI. A missing value is None: not
known, never zero.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from xref.model.base import STRICT, Basis
from xref.model.contacts import Contacts
from xref.model.lead import Lead
from xref.model.value import Source, Value

Kind = Literal["reflective", "slotted", "pair", "emitter", "detector", "switch"]
Output = Literal[
    "phototransistor",
    "photodarlington",
    "photodiode",
    "logic-open-collector",
    "logic-totem-pole",
    "logic-pull-up",
    "logic-unspecified",
]
Mount = Literal["through-hole", "smd", "panel/wired"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Emitter:
    """The infrared (or visible) light-emitting half."""

    __pydantic_config__ = STRICT

    wavelength_nm: float | None = None
    vf_v: tuple[Value, ...] = ()
    if_max_ma: float | None = None
    if_peak_ma: float | None = None
    vr_max_v: float | None = None
    ir_ua: Value | None = None
    p_max_mw: float | None = None
    radiant_mw_sr: Value | None = None
    resistor_ohm: float | None = None
    """Series resistor built into the part."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Detector:
    """The receiving half, plain or with logic behind it."""

    __pydantic_config__ = STRICT

    vceo_max_v: float | None = None
    veco_max_v: float | None = None
    ic_max_ma: float | None = None
    ic_peak_max_ma: float | None = None
    p_max_mw: float | None = None
    iceo_na: Value | None = None
    vce_sat_v: Value | None = None
    vcc_v: Value | None = None
    vcc_abs_max_v: float | None = None
    icc_ma: Value | None = None
    vol_v: Value | None = None
    voh_v: Value | None = None
    ioh_ua: Value | None = None
    ift_ma: Value | None = None
    io_max_ma: float | None = None
    vo_max_v: float | None = None
    hysteresis: str = ""
    pull_up_ohm: float | None = None
    light_current_ma: Value | None = None
    """A lone detector: collector or photo current at the irradiance in ``at`` (``ee_mw_cm2``)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Coupling:
    """What one half sends and the other receives, with time."""

    __pydantic_config__ = STRICT

    ic_ma: tuple[Value, ...] = ()
    ic_bins_ma: dict[str, tuple[float, float]] = field(default_factory=dict)
    peak_distance_mm: float | None = None
    distance_curve: tuple[tuple[float, float], ...] = ()
    """(distance in mm, relative collector current)."""
    crosstalk_ua: Value | None = None
    tr_us: Value | None = None
    tf_us: Value | None = None
    ton_us: Value | None = None
    toff_us: Value | None = None
    tprop_low_high_us: Value | None = None
    tprop_high_low_us: Value | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """The gap of a slotted part."""

    __pydantic_config__ = STRICT

    gap_mm: float | None = None
    depth_mm: float | None = None
    aperture_mm: float | None = None
    direction: Literal["", "open-top", "open-side"] = ""
    floor_mm: float | None = None
    """Height of the slot's floor above the mounting plane."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A screw hole or a peg, component side, origin at the body centre."""

    __pydantic_config__ = STRICT

    kind: Literal["screw", "peg"]
    at_mm: tuple[float, float]
    diameter_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Geometry:
    """Leads and body. ``body_mm`` is (x, y, z) in the axes of the leads, or None when its direction is unknown."""

    __pydantic_config__ = STRICT

    leads: tuple[Lead, ...] = ()
    lead_count: int | None = None
    pinout: str = ""
    """Name of the arrangement in pinouts/ that the leads came from."""
    view: Literal["top", "bottom", "unknown"] = "unknown"
    """From where the maker's drawing numbers the leads; the positions are already turned to the component side."""
    pitch_mm: float | None = None
    row_mm: float | None = None
    facing: dict[str, str] = field(default_factory=dict)
    quadrants: dict[str, str] = field(default_factory=dict)
    order: tuple[str, ...] = ()
    mount: Mount | None = None
    lead_length_mm: float | None = None
    uncertain_mm: dict[str, tuple[float, float]] = field(default_factory=dict)
    size_mm: tuple[float, ...] = ()
    """Body as the sheet gives it: length, width, height; not tied to the leads."""
    body_mm: tuple[float, float] | None = None
    """Body along x and y of the leads, where the drawing ties them."""
    optical_axis_mm: tuple[float, float] | None = None
    beam_height_mm: float | None = None
    senses: Literal["", "up", "side"] = ""
    holes: tuple[Hole, ...] = ()
    wire_colours: dict[str, str] = field(default_factory=dict)

    @property
    def wired(self) -> bool:
        """True when every lead's place and function are known, so that a wiring can be solved."""
        return bool(self.leads) and all(lead.at_mm is not None and lead.function for lead in self.leads)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A sensor, a lone emitter or detector, or a switch."""

    __pydantic_config__ = STRICT

    name: str
    kind: Kind
    maker: str = ""
    aliases: tuple[str, ...] = ()
    successor: str = ""
    """The part that the maker names to take its place; in a safety function it may go in as the same number may."""
    output: Output | None = None
    logic: Literal["", "high-when-lit", "low-when-lit"] = ""
    channels: int = 1
    sources: dict[str, Source] = field(default_factory=dict)
    emitter: Emitter = field(default_factory=Emitter)
    detector: Detector = field(default_factory=Detector)
    coupling: Coupling = field(default_factory=Coupling)
    slot: Slot = field(default_factory=Slot)
    geometry: Geometry = field(default_factory=Geometry)
    contacts: Contacts | None = None
    temp_c: tuple[float, float] | None = None
    solder: str = ""
    provenance: dict[str, Basis] = field(default_factory=dict)
    """Basis of what is not a Value, by key path prefix (``geometry.leads: derived``); the rest is printed."""
    stated_in: dict[str, str] = field(default_factory=dict)
    """Source key of what is not a Value, by key path prefix (``geometry: drawing``); the rest: the first source."""
    notes: str = ""
    origin: Literal["shipped", "user", "stock", "file", "typed"] = "shipped"
    path: str = ""

    def basis_of(self, key_path: str) -> str:
        """The basis of a plain (not Value) field: the longest prefix in ``provenance``, else 'printed'."""
        hits = [p for p in self.provenance if key_path == p or key_path.startswith(p + ".")]
        return self.provenance[max(hits, key=len)] if hits else "printed"

    @property
    def source(self) -> Source | None:
        """The first source, which every value without a source key stands in."""
        return next(iter(self.sources.values()), None)
