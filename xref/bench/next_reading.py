"""The next reading: the one that is expected to tell most for its effort.

A reading tells only about the placement that holds both of its leads, so what it is worth is worked out over
placements, not over hypotheses: a matrix product for each block kind and pair of roles.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from xref.bench.identify import Identifier
from xref.bench.likelihood import BINS
from xref.bench.readings import SAFE_SERIES, Reading

LEAST = 2e-4
"""Placements below this probability are left out of what a reading may tell."""
SUPPLIES = ((5.0, 10_000.0), (5.0, SAFE_SERIES))
"""Own supply and series resistor that may be asked for [V, ohm]."""
LIGHTS = (("dark", 0), ("lit", 2))
"""The word for a light, and its column in the tables."""
TURN_RANGE, TORCH, COVER, SUPPLY = 0.1, 0.15, 0.05, 1.5
"""Effort beyond moving a probe (1): another range, torch on, torch off, setting up an own supply."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A reading to take. ``bits``: what it is expected to tell; ``worth``: that for its effort."""

    reading: Reading
    bits: float
    worth: float


def proposals(bench: Identifier, *, skip: frozenset[tuple[Any, ...]] = frozenset(), supply: bool = True,
              top: int = 1) -> list[Proposal]:  # fmt: skip
    """The readings that tell most, best first; empty when no reading tells anything.

    Args:
        bench: the identification so far
        skip: keys of readings that cannot be taken
        supply: an own supply is at hand
        top: how many
    """
    if not bench.readings:
        # all leads are alike as long as nothing was read
        first = Reading(red=bench.labels[0], black=bench.labels[1], mode="diode", light="lit")
        if key(first) not in skip:
            return [Proposal(reading=first, bits=1.0, worth=1.0)]
    taken = {key(reading) for reading in bench.readings} | skip
    for reading in bench.readings:
        if reading.mode == "unsaid":
            taken |= {key(reading, mode) for mode in ("diode", "ohms")}
    gains = Gains(bench)
    found = _rated(bench, gains, taken, [("diode", 0.0, 0.0), ("ohms", 0.0, 0.0)])
    if supply and (not found or found[0].bits < 0.25):
        found += _rated(bench, gains, taken, [("supply", *pair) for pair in SUPPLIES])
        found.sort(key=lambda item: -item.worth)
    return found[:top]


def key(reading: Reading, mode: str = "") -> tuple[Any, ...]:
    """What makes two readings the same one."""
    return (reading.red, reading.black, mode or reading.mode, reading.light or "dark", reading.supply, reading.series)


def _rated(bench: Identifier, gains: Gains, taken: set[tuple[Any, ...]],
           modes: list[tuple[str, float, float]]) -> list[Proposal]:  # fmt: skip
    last = bench.readings[-1] if bench.readings else None
    found = []
    for mode, supply, series in modes:
        for light, place in LIGHTS:
            effort = _effort(last, mode, light)
            bits = gains.bits(mode, supply, series, place)
            for (red, black), told in bits.items():
                reading = Reading(
                    red=bench.labels[red], black=bench.labels[black], mode=mode, light=light,
                    supply=supply or None, series=series or None,
                )  # fmt: skip
                if told > 1e-6 and key(reading) not in taken:
                    found.append(Proposal(reading=reading, bits=told, worth=told / effort))
    found.sort(key=lambda item: (-round(item.worth, 6), item.reading.red, item.reading.black))
    return found


def _effort(last: Reading | None, mode: str, light: str) -> float:
    effort = 1.0
    if (last.mode if last else "diode") != mode:
        effort += SUPPLY if mode == "supply" else TURN_RANGE
    before = (last.light if last else "dark") or "dark"
    if light != before:
        effort += TORCH if light == "lit" else COVER
    return effort


class Gains:
    """Expected information of readings, in bits, about which hypothesis holds."""

    def __init__(self, bench: Identifier) -> None:
        np = self.np = bench.np
        self.bench = bench
        probability, _ = bench.posterior()
        self.placed = np.zeros(len(bench.space.placements) + 1)
        for column in range(bench.index.shape[1]):
            self.placed += np.bincount(bench.index[:, column], probability, len(self.placed))
        self.placed = self.placed[:-1]
        self.live = self.placed > LEAST
        self.rows = []
        for at, (places, codes) in bench.rows.items():
            alive = self.live[places]
            if alive.any() and at[0] not in ("switch", "changeover"):
                self.rows.append((at, *self._grouped(places[alive], codes[alive])))
        self.told: dict[tuple[Any, ...], Any] = {}

    def _grouped(self, places: Any, codes: Any) -> tuple[Any, Any, Any]:
        """Weights by group (placements that have seen the same readings are alike), probability by leads and group."""
        np = self.np
        _, first, group = np.unique(self.bench.group[places], return_index=True, return_inverse=True)
        weights = np.array([self.bench.piece_weights(place) for place in places[first]])
        share = np.zeros((self.bench.space.leads**2, len(first)))
        np.add.at(share, (codes, group), self.placed[places])
        return weights, share, share.sum(axis=1)

    def bits(self, mode: str, supply: float, series: float, light: int) -> dict[tuple[int, int], float]:
        """Bits by (red, black) for one kind of reading; ``light`` is a column of the tables."""
        np, bench = self.np, self.bench
        leads = bench.space.leads
        mixed = np.zeros((leads * leads, BINS))
        known, covered = np.zeros(leads * leads), np.zeros(leads * leads)
        for at, weights, share, total in self.rows:
            found = bench.tables.outcomes(at, mode, supply, series, light)
            if found is None:
                continue
            order, starts, present = found
            name = (at, mode, supply, series, id(order))
            if name not in self.told:
                chance = np.add.reduceat(weights[:, order], starts, axis=1)
                self.told[name] = share @ chance, share @ _entropy(np, chance)
            outcome, entropy = self.told[name]
            mixed[:, present] += outcome
            known += entropy
            covered += total
        mixed[:, BINS - 1] += np.clip(1.0 - covered, 0.0, 1.0)
        told = _entropy(np, mixed) - known
        return {divmod(int(code), leads): float(told[code]) for code in np.flatnonzero(covered > 0)}


def _entropy(np: Any, chance: Any) -> Any:
    safe = np.where(chance > 1e-12, chance, 1.0)
    return -(chance * np.log2(safe)).sum(axis=-1)
