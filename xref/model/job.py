"""The job document: site, meter, readings, choice and what was measured afterwards."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal

from xref.model.base import STRICT
from xref.model.site import Ampere, Site, Volt

AnyQuantity = Annotated[str, "text"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Meter:
    """The user's multimeter: diode-test current and open voltage, the reading above which it shows overload."""

    __pydantic_config__ = STRICT

    diode: Ampere | None = None
    open: Volt | None = None
    overload: Volt | None = None
    ohms_red: Literal["plus", "minus", "unknown"] = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """Readings as typed at the shell: on the loose part, and in the running machine."""

    __pydantic_config__ = STRICT

    loose: tuple[str, ...] = ()
    running: dict[str, AnyQuantity] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One repair. ``format`` is the version of this document form."""

    __pydantic_config__ = STRICT

    format: int
    job: str = ""
    date: str = ""
    machine: str = ""
    original: str = ""
    site: Site | None = None
    meter: Meter = field(default_factory=Meter)
    readings: Readings = field(default_factory=Readings)
    change: tuple[str, ...] = ()
    donor: str = ""
    after: dict[str, AnyQuantity] = field(default_factory=dict)
    notes: str = ""
