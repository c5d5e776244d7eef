"""Bright and dark reserve of a chain for many pairs of resistors, each half reckoned once.

The light depends on the emitter resistor alone and what the levels ask of it on the load alone, so a search over pairs
only divides one by the other.
"""

from __future__ import annotations

from typing import Any

from xref.adapt.signal import Chain, logic_at, logic_levels
from xref.physics.operating import light_currents, light_limits
from xref.physics.spread import end_corners

_Key = tuple[float, float, float]
"""Supply, temperature and load of a corner: what the load's side depends on."""


class Reserves:
    """The reserves of one chain; ``of`` remembers what it has reckoned."""

    def __init__(self, link: Chain) -> None:
        self.link = link
        self._lights: dict[float, list[tuple[bool, _Key, float, Any]]] = {}
        self._limits: dict[float, dict[tuple[bool, _Key], float]] = {}
        self._logic: dict[tuple[float, float], tuple[float, float]] = {}

    def of(self, emitter_ohm: float, load_ohm: float) -> tuple[float, float]:
        """(bright, dark) reserve over the corners that can be worst; -inf where the part is not known well enough."""
        link = self.link
        if link.data.logic is not None:
            return self._of_logic(emitter_ohm, load_ohm)
        if link.transfer is None or link.data.detector is None:
            return float("-inf"), float("-inf")
        limits = self._limits.setdefault(load_ohm, {})
        bright = dark = float("inf")
        for dim, key, light, corner in self._light(emitter_ohm):
            limit = limits.get((dim, key))
            if limit is None:
                found = light_limits(link.setup_receiver(load_ohm), corner)
                limit = limits[dim, key] = found[0] if dim else max(found[1], 0.0)
            if dim:
                bright = min(bright, light / limit if limit > 0 else float("inf"))
            else:
                dark = min(dark, limit / light if light > 0 else float("inf") if limit > 0 else 0.0)
        return bright, dark

    def _light(self, emitter_ohm: float) -> list[tuple[bool, _Key, float, Any]]:
        """Every corner that can be worst: dim or not, its key, the light that decides there, the corner itself."""
        known = self._lights.get(emitter_ohm)
        if known is None:
            setup = self.link.setup(emitter_ohm, self.link.board.load_ohm)
            known = []
            for corner in end_corners(setup, self.link.ranges, worst_only=True):
                _, bright, dark = light_currents(setup, corner)
                dim = corner.part == "low"
                known.append((dim, (corner.supply, corner.temp_c, corner.load), bright if dim else dark, corner))
            self._lights[emitter_ohm] = known
        return known

    def _of_logic(self, emitter_ohm: float, load_ohm: float) -> tuple[float, float]:
        known = self._logic.get((emitter_ohm, load_ohm))
        if known is None:
            point = logic_at(self.link, emitter_ohm, load_ohm)
            lost = not point.valid or not logic_levels(self.link, point)
            known = (0.0, 0.0) if lost else (point.bright_reserve, point.dark_reserve)
            self._logic[emitter_ohm, load_ohm] = known
        return known
