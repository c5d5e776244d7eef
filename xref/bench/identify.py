"""From readings to which lead is what: the posterior over all hypotheses.

A hypothesis is a set of placed blocks that do not touch each other, so its likelihood is a product: one factor for
each placement with the readings that have both probes on it, one for the readings between leads that nothing joins.
Each placement is worked out once and serves all hypotheses that hold it; the pieces of a placement keep their weights,
so that two readings of one emitter are judged together.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from xref.bench.hypotheses import Hypothesis, hypotheses
from xref.bench.hypotheses_types import ROLES
from xref.bench.likelihood import SLIP, nothing_between, piece_likelihood, pieces, slip_density, tables_for
from xref.bench.meters import MeterModel
from xref.bench.readings import Reading, show_reading
from xref.errors import UsageError

STRANGER = 1e-3
"""Prior of a device that is none of the known types."""
FULL_LEADS = 6
"""Up to here every arrangement is searched; above only with pairs that are known to belong together."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranked:
    """A hypothesis with its probability."""

    hypothesis: Hypothesis
    probability: float
    number: int


class Identifier:
    """The state of one identification: readings so far and the weight of everything that may be behind them."""

    def __init__(
        self,
        labels: Sequence[str],
        meter: MeterModel,
        *,
        switch: bool = False,
        together: Sequence[tuple[str, str]] = (),
    ) -> None:
        import numpy as np

        count = len(labels)
        if not 2 <= count <= 8 or len(set(labels)) != count:
            raise UsageError(f"{count} leads: identify knows parts with 2 to 8 leads, each with its own label")
        if count > FULL_LEADS and not together:
            raise UsageError(
                f"{count} leads have too many arrangements: name the pairs that belong together, --together 1:2,3:4"
            )
        self.np, self.labels, self.meter = np, tuple(labels), meter
        self.number = {label: place for place, label in enumerate(labels)}
        for pair in together:
            for label in pair:
                if label not in self.number:
                    raise UsageError(f"--together names lead {label}; the leads are {', '.join(labels)}")
        pairs = tuple((self.number[a], self.number[b]) for a, b in together)
        self.space = hypotheses(count, switch=switch, together=pairs)
        if not self.space.all:
            raise UsageError("no known type has these pairs together; leave out --together")
        self.tables = tables_for(meter)
        self.readings: list[Reading] = []
        self.positions: list[str] = []
        self._prepare()

    def _prepare(self) -> None:
        np, space = self.np, self.space
        kinds = sorted({kind for kind, _ in space.placements})
        self.apart = np.zeros(len(space.placements))
        """Log likelihood, for each placement, of its own readings if nothing joined its leads."""
        self.factors = np.zeros((len(space.placements) + 1, self.tables.variants))
        """Log of how much better a placement explains its readings than nothing does, by variant; the last is empty."""
        self.group = np.array([kinds.index(kind) for kind, _ in space.placements], dtype=int)
        """Placements of one group have seen the same readings on the same roles, so their pieces weigh the same."""
        self.weights = {kinds.index(kind): np.full(pieces(kind), 1.0 / pieces(kind)) for kind in kinds}
        """Weight of each piece, by group; they sum to one."""
        self.levels = {kinds.index(kind): np.zeros(self.tables.variants) for kind in kinds}
        """Log likelihood of the readings of a group, by variant of the meter."""
        self.last_group = len(kinds)
        listed: dict[tuple[str, int, int], tuple[list[int], list[int]]] = {}
        for place, (kind, at) in enumerate(space.placements):
            for u, v in itertools.permutations(range(ROLES[kind]), 2):
                places, codes = listed.setdefault((kind, u, v), ([], []))
                places.append(place)
                codes.append(at[u] * space.leads + at[v])
        self.rows = {at: (np.array(places), np.array(codes)) for at, (places, codes) in listed.items()}
        """For two roles of a block: the placements, and the leads under them as red * leads + black."""
        widest = max((len(index) for index in space.index), default=0)
        empty = len(space.placements)
        self.index = np.full((len(space.all), max(widest, 1)), empty)
        for row, index in enumerate(space.index):
            self.index[row, : len(index)] = index
        self.prior = np.log([item.prior for item in space.all])
        self.total_apart = 0.0
        self.stranger = math.log(STRANGER)
        self._posterior: Any = None

    def add(self, reading: Reading) -> None:
        """Take a reading into account."""
        np = self.np
        red, black = self.number[reading.red], self.number[reading.black]
        position = self._position(reading.position)
        apart = math.log(nothing_between(reading, self.meter))
        code = red * self.space.leads + black
        for at, (places, codes) in self.rows.items():
            touched = places[codes == code]
            if not touched.size:
                continue
            likely = piece_likelihood(self.tables, at, reading, position)
            self.apart[touched] += apart
            for group in np.unique(self.group[touched]):
                own = touched[self.group[touched] == group]
                self.last_group += 1
                self.group[own] = self.last_group
                self._weigh(int(group), self.last_group, likely)
                self.factors[own] = self.levels[self.last_group] - self.apart[own, np.newaxis]
        used = set(np.unique(self.group).tolist())
        self.weights = {group: item for group, item in self.weights.items() if group in used}
        self.levels = {group: item for group, item in self.levels.items() if group in used}
        self.total_apart += apart
        self.stranger += math.log(slip_density(reading, self.meter))
        self.readings.append(reading)
        self._posterior = None

    def _weigh(self, old: int, new: int, likely: Any) -> None:
        """Weights and level of a new group: the old one's pieces times their likelihood of one more reading."""
        np = self.np
        before = self.weights[old]
        after = before * likely
        by_variant = after.reshape(-1, self.tables.variants).sum(axis=0)
        share = before.reshape(-1, self.tables.variants).sum(axis=0)
        self.levels[new] = self.levels[old] + np.log(np.maximum(by_variant, 1e-290) / np.maximum(share, 1e-290))
        self.weights[new] = after / after.sum()

    def add_all(self, readings: Sequence[Reading]) -> None:
        """Take several readings into account."""
        for reading in readings:
            self.add(reading)

    def back(self) -> Reading | None:
        """Forget the last reading and return it."""
        if not self.readings:
            return None
        kept, last = self.readings[:-1], self.readings[-1]
        self.readings, self.positions = [], []
        self._prepare()
        self.add_all(kept)
        return last

    def _position(self, name: str) -> int:
        if name not in self.positions:
            self.positions.append(name)
        return min(self.positions.index(name), 4)

    def piece_weights(self, place: int) -> Any:
        """Weights of the pieces of one placement, summing to one."""
        return self.weights[int(self.group[place])]

    def posterior(self) -> tuple[Any, float]:
        """Probability of each hypothesis, and of a device that is none of them."""
        if self._posterior is None:
            self._posterior = self._work_out()
        return self._posterior  # type: ignore[no-any-return]

    def _work_out(self) -> tuple[Any, float]:
        np = self.np
        each = self.factors[self.index].sum(axis=1)
        peak = each.max(axis=1)
        log = self.prior + self.total_apart + peak + np.log(np.exp(each - peak[:, np.newaxis]).mean(axis=1))
        highest = max(float(log.max()), self.stranger)
        weight, strange = np.exp(log - highest), math.exp(self.stranger - highest)
        total = float(weight.sum()) + strange
        return weight / total, strange / total

    def ranked(self, least: float = 0.0, most: int = 20) -> list[Ranked]:
        """The likeliest hypotheses, best first."""
        probability, _ = self.posterior()
        order = self.np.argsort(-probability)[:most]
        return [
            Ranked(hypothesis=self.space.all[row], probability=float(probability[row]), number=int(row))
            for row in order
            if probability[row] > least
        ]

    def unexplained(self, row: int) -> list[tuple[Reading, str]]:
        """Readings that a hypothesis can take only as a slip, each with what it would have made the meter show."""
        found = []
        owner: dict[int, int] = {}
        for place in self.space.index[row]:
            for lead in self.space.placements[place][1]:
                owner[lead] = place
        for reading in self.readings:
            red, black = self.number[reading.red], self.number[reading.black]
            place = owner.get(red, -1)
            if place < 0 or place != owner.get(black, -2):
                likely = nothing_between(reading, self.meter)
                expected = "overload" if reading.mode != "supply" else f"about {reading.supply:g} V"
            else:
                likely, expected = self._expected(place, reading, red, black)
            if SLIP * slip_density(reading, self.meter) > 0.5 * likely:
                found.append((reading, expected))
        return found

    def _expected(self, place: int, reading: Reading, red: int, black: int) -> tuple[float, str]:
        """Likelihood of a reading given all readings of its placement, and what was to be expected without it."""
        np = self.np
        kind, at = self.space.placements[place]
        where = (kind, at.index(red), at.index(black))
        position = self.positions.index(reading.position)
        own = piece_likelihood(self.tables, where, reading, min(position, 4))
        weight = self.piece_weights(place)
        mode = "diode" if reading.mode == "unsaid" else reading.mode
        # the harmonic form takes the reading's own say out of the weights again
        alone = 1.0 / float((weight / own).sum())
        if kind in ("switch", "changeover"):
            return alone, "the other state of the contact"
        shown = self.tables.shown(where, mode, reading.supply or 0.0, reading.series or 0.0)
        if shown is None:
            return alone, "overload"
        without = weight / own
        without /= without.sum()
        light = 2 if reading.light == "lit" else 0
        over = float(without[np.isinf(shown[light])].sum())
        if over > 0.5:
            return alone, "overload"
        from xref.quantity import show

        finite = np.isfinite(shown[light])
        order = np.argsort(shown[light][finite])
        running = np.cumsum(without[finite][order])
        middle = shown[light][finite][order][int(np.searchsorted(running, running[-1] / 2))]
        return alone, f"about {show(float(max(middle, 0.0)), 'ohm' if mode == 'ohms' else 'V', 2)}"


def why_unexplained(items: Sequence[tuple[Reading, str]], device: str) -> list[str]:
    """One sentence for each reading that does not suit."""
    return [f"{show_reading(reading)}: {device} would show {expected}" for reading, expected in items]
