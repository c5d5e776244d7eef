"""The highest forward voltage that a sheet allows: what a piece at that end lies above the typical one."""

from __future__ import annotations

import math

from xref.model.part import Part
from xref.model.si import si
from xref.model.value import Value
from xref.physics.emitter import Diode

PULSED_MA = 100.0
"""A forward voltage printed above this current is that of a short pulse and outside the diode law [mA]."""


def vf_limit(part: Part, forward: float) -> Value | None:
    """The printed highest forward voltage nearest to an emitter current [A]; None where none is printed."""
    rows = [v for v in part.emitter.vf_v if v.max is not None and 0 < v.at.get("if_ma", 0.0) <= PULSED_MA]
    near = max(forward, 1e-4) * 1e3
    return min(rows, key=lambda value: abs(math.log(value.at["if_ma"] / near)), default=None)


def vf_up(limit: Value | None, diode: Diode) -> float | None:
    """How far the worst piece lies above the diode's law, the same at every current [V]; None: nothing printed."""
    if limit is None or limit.max is None:
        return None
    return max(limit.max - diode.vf(si("if_ma", limit.at["if_ma"])), 0.0)


def vf_words(limit: Value | None, band: float) -> str:
    """What the upper end of the forward voltage rests on."""
    if limit is None:
        return f"{band:g} V either way assumed, no VF max printed"
    return f"VF max {limit.max:g} V at {limit.at['if_ma']:g} mA, {limit.basis}"
