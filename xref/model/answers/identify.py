"""The answers of ``identify`` and ``meter``: which lead is what, which reading to take next."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class NextReading:
    """The reading to take next. ``mode``: diode, ohms or supply; ``light``: dark or lit."""

    red: str
    black: str
    light: str
    mode: str
    supply_v: float | None
    series_ohm: float | None
    how: str
    bits: float
    """What it is expected to tell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherDevice:
    """Another device that the readings allow. ``same``: no reading that may be taken parts it from the answer."""

    device: str
    leads: dict[str, str]
    probability: float
    same: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class IdentifyAnswer:
    """What the part is, as far as the readings say. Functions that no reading can tell are joined by ``or``."""

    device: str
    leads: dict[str, str]
    probability: float
    settled: bool
    alternatives: tuple[OtherDevice, ...]
    next_reading: NextReading | None
    unexplained: tuple[str, ...]
    because: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    readings: tuple[str, ...] = ()
    vf_v: float | None = None
    vf_at: str = ""
    """Current of the forward voltage as ``find --vf`` takes it: 1mA, 5V/10k, or empty when not known."""
    saved: str = ""
    next_command: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedFigures:
    """A meter as its manual prints it."""

    meter: str
    source: str
    diode_ma: float
    open_v: float | None
    overload_v: tuple[float, ...]
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterAnswer:
    """The user's meter, and printed figures of others. None: not known, then assumed and said."""

    diode_ma: float | None
    open_v: float | None
    overload_v: float | None
    ohms_red: str
    saved: str
    assumed: tuple[str, ...]
    printed: tuple[PrintedFigures, ...] = field(default=())
