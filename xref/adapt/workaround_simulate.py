"""What every input gets in one position of the selector: levels for each state of the sensors, and which it follows."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass, field
from itertools import product

from xref.adapt.workaround_circuit import Branch, Diode, node_voltages
from xref.adapt.workaround_positions import Position
from xref.adapt.workaround_wiring import OFF, Compiled, Wiring, ground
from xref.model.network import ControllerInput, NetworkSensor

LIT_OHM = 300.0
"""A lit open output where the file does not say, assumed."""
LEAST_A, MOST_A = 1e-3, 50e-3
"""Emitter current limits where the file does not say, assumed."""
LOW_V, HIGH_V = 0.8, 2.0
"""Input levels where the file does not say: the usual levels of a TTL input, assumed."""

Element = tuple[str, str]


@dataclass(slots=True, kw_only=True)
class Region:
    """Everything that one node can feel: its nets (as labels) and the elements on them, up to the supplies."""

    labels: set[int]
    elements: set[Element] = field(default_factory=set)
    sensors: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What an input gets. ``follows``: each sensor whose change it sees whatever the others do, and the level at flag.

    ``trouble``: '' | 'floats' | 'level'; ``resting``: the levels that occur while every level sensor is at rest.
    """

    trouble: str = ""
    detail: str = ""
    follows: dict[str, str] = field(default_factory=dict)
    low_max: float | None = None
    high_min: float | None = None
    resting: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A reading, and everything that could change it."""

    reading: Reading
    region: Region


class Bench:
    """One wiring in one position, ready to be measured. ``healthy``: as if every sensor were live."""

    def __init__(self, compiled: Compiled, wiring: Wiring, position: Position, *, healthy: bool = False) -> None:
        self.network = compiled.network
        self.healthy = healthy
        terms, groups = wiring
        label = list(groups)
        closed: list[tuple[str, int, int]] = []
        for name in self.network.contacts:
            if name in position.closed:
                one, two = (terms[t] for t in compiled.ends["contact", name])
                if OFF not in (one, two):
                    closed.append((name, one, two))
                    keep, drop = label[one], label[two]
                    if keep != drop:
                        label = [keep if each == drop else each for each in label]
        self.label = label
        self.closed = [(name, label[one]) for name, one, _ in closed]
        self.place = {
            key: tuple(OFF if terms[t] == OFF else label[terms[t]] for t in ends) for key, ends in compiled.ends.items()
        }
        self.volts: dict[int, float] = {}
        self.shorted: tuple[int, float, float] | None = None
        for net, volts in enumerate(compiled.supply):
            if volts is not None and self.volts.setdefault(label[net], volts) != volts:
                self.shorted = (label[net], self.volts[label[net]], volts)
        self._starved: set[str] | None = None
        self._memo = compiled.memo
        self._links: list[tuple[Element, tuple[int, ...]]] = []
        for (kind, name), labels in self.place.items():
            if kind == "sensor":
                self._links.append(((kind, name), labels + self.place.get(("return", name), ())))
            elif kind in ("resistor", "emitter"):
                self._links.append(((kind, name), labels))

    def sensor(self, name: str) -> NetworkSensor:
        """Return the sensor's entry."""
        return self.network.sensors[name]

    def alive(self, name: str) -> bool:
        """True when the sensor reacts to its flag (its emitter apart)."""
        return self.healthy or self.network.sensors[name].state == "live"

    def can_conduct(self, name: str) -> bool:
        """True when an open output can pull."""
        return self.alive(name) or self.network.sensors[name].stays == "lit"

    def region(self, start: Iterable[int]) -> Region:
        """Collect what can act on the given labels, through resistors, outputs and emitters, up to the supplies."""
        found = Region(labels=set())
        frontier = [label for label in start if label != OFF]
        links = self._links
        while frontier:
            label = frontier.pop()
            if label in found.labels:
                continue
            found.labels.add(label)
            if label in self.volts:
                continue
            for key, labels in links:
                if label in labels and OFF not in labels:
                    if key not in found.elements:
                        found.elements.add(key)
                        if key[0] == "sensor":
                            found.sensors.append(key[1])
                    frontier += [other for other in labels if other not in self.volts and other != OFF]
        edge = found.labels | {label for key in found.elements for label in self.place[key]}
        edge |= {self.place["return", name][0] for name in found.sensors if ("return", name) in self.place}
        found.elements.update(("contact", name) for name, label in self.closed if label in edge)
        found.sensors.sort()
        return found

    def states(self, name: str) -> tuple[bool, ...]:
        """Return the states (lit or not) that a sensor can be in."""
        if not self.alive(name):
            return (self.network.sensors[name].stays == "lit",)
        return (False,) if name in self.starved() else (False, True)

    def starved(self) -> set[str]:
        """Return the live sensors whose emitter gets too little in some state of the others."""
        if self._starved is None:
            self._starved = set()
            self._starved = {
                name
                for name, sensor in self.network.sensors.items()
                if sensor.emitter is not None
                and self.alive(name)
                and self.emitter_current(name)[0] < (LEAST_A if sensor.emitter.least is None else sensor.emitter.least)
            }
        return self._starved

    def emitter_current(self, name: str) -> tuple[float, float]:
        """Return the least and most current of a sensor's emitter over all states of the sensors [A]."""
        if OFF in self.place["emitter", name] or self._is_open(name):
            return 0.0, 0.0
        region = self.region(self.place["emitter", name])
        region.elements.add(("emitter", name))
        currents = [amps[name] for _, _, amps in self.solve(region, full=True)]
        return min(currents), max(currents)

    def _is_open(self, name: str) -> bool:
        emitter = self.network.sensors[name].emitter
        return emitter is not None and emitter.open and not self.healthy

    def solve(
        self, region: Region, *, full: bool = False
    ) -> list[tuple[dict[str, bool], dict[int, float], dict[str, float]]]:
        """Return (sensor states, volts of each label, amperes of each emitter) for every state of the region's sensors.

        ``full``: leave starved sensors both states (used to find out which are starved).
        """
        free = [label for label in sorted(region.labels) if label not in self.volts]
        index = {label: number for number, label in enumerate(free)}
        fixed: list[float] = []

        def node(label: int) -> int:
            return index[label] if label in index else potential(self.volts[label])

        def potential(volts: float) -> int:
            if volts not in fixed:
                fixed.append(volts)
            return -1 - fixed.index(volts)

        steady: list[Branch] = []
        lamps: list[str] = []
        diodes: list[Diode] = []
        for kind, name in sorted(region.elements):
            if kind == "resistor":
                one, two = self.place[kind, name]
                steady.append((node(one), node(two), 1 / self.network.resistors[name].value))
            elif kind == "emitter" and not self._is_open(name):
                emitter = self.network.sensors[name].emitter
                assert emitter is not None
                one, two = self.place[kind, name]
                lamps.append(name)
                diodes.append((node(one), node(two), emitter.vf))
        results = []
        choices = [((False, True) if full and self.alive(name) else self.states(name)) for name in region.sensors]
        for choice in product(*choices):
            branches = list(steady)
            for name, lit in zip(region.sensors, choice, strict=True):
                conductance = self._conductance(name, lit)
                if conductance:
                    ends = self.place["sensor", name] + self.place.get(("return", name), ())
                    far = node(ends[1]) if len(ends) == 2 else potential(self._driven(name, lit))
                    branches.append((node(ends[0]), far, conductance))
            volts, amps = node_voltages(len(free), branches, diodes, fixed)
            levels = {label: volts[number] for label, number in index.items()}
            levels.update((label, self.volts[label]) for label in region.labels if label in self.volts)
            results.append(
                (dict(zip(region.sensors, choice, strict=True)), levels, dict(zip(lamps, amps, strict=True)))
            )
        return results

    def _conductance(self, name: str, lit: bool) -> float:
        sensor = self.network.sensors[name]
        if lit or sensor.drives == "both":
            return 1 / (LIT_OHM if sensor.lit is None else sensor.lit)
        if not self.alive(name) and sensor.leaks is not None:
            return 1 / sensor.leaks
        return 0.0 if sensor.dark is None else 1 / sensor.dark

    def _driven(self, name: str, lit: bool) -> float:
        sensor, supplies = self.network.sensors[name], self.network.supplies
        low, high = sensor.swings or (supplies[ground(self.network)], max(supplies.values()))
        return low if lit == (sensor.lit_level == "low") else high

    def held(self, label: int, region: Region, states: dict[str, bool]) -> bool:
        """True when a resistor, a lit output or a driven output ties the label to a fixed potential."""
        reached, frontier = set(), [label]
        while frontier:
            here = frontier.pop()
            if here in self.volts:
                return True
            if here in reached:
                continue
            reached.add(here)
            for kind, name in region.elements:
                ends: tuple[int, ...] = ()
                if kind == "resistor":
                    ends = self.place[kind, name]
                elif kind == "sensor":
                    driven = self.network.sensors[name].drives == "both"
                    ends = self.place[kind, name] + self.place.get(("return", name), ())
                    if driven and here in ends:
                        return True
                    ends = ends if states.get(name, False) else ()
                if here in ends:
                    frontier += ends
        return False

    def view(self, name: str) -> View:
        """Measure one input over every state of the sensors that can act on it."""
        label = self.place["input", name][0]
        region = self.region([label])
        key = self._key(name, label, region)
        known: Reading | None = self._memo.get(key)
        if known is None:
            known = self._measured(name, label, region)
            self._memo[key] = known
        for sensor in region.sensors:
            if ("emitter", sensor) in self.place:
                feed = self.region(self.place["emitter", sensor])
                region.elements |= feed.elements | {("emitter", sensor)}
                region.labels |= feed.labels - self.volts.keys()
        region.elements.add(("input", name))
        return View(reading=known, region=region)

    def _key(self, name: str, label: int, region: Region) -> Hashable:
        """Everything that the levels at an input depend on; equal keys need no second calculation."""
        volts = self.volts
        parts = [
            (kind, element, tuple(volts.get(end, f"node {end}") for end in self.place[kind, element]))
            + ((volts.get(back[0], f"node {back[0]}"),) if (back := self.place.get(("return", element))) else ())
            for kind, element in sorted(region.elements)
            if kind != "contact"
        ]
        starved = tuple(sensor for sensor in region.sensors if len(self.states(sensor)) < 2)
        return name, self.healthy, volts.get(label, f"node {label}"), tuple(parts), starved

    def _measured(self, name: str, label: int, region: Region) -> Reading:
        controller = self.network.inputs[name]
        steady = label in self.volts
        results = [({}, {label: self.volts[label]}, {})] if steady else self.solve(region)
        levels: dict[tuple[bool, ...], str] = {}
        lows: list[float] = []
        highs: list[float] = []
        resting = set()
        for states, volts, _ in results:
            if not self.held(label, region, states):
                return Reading(trouble="floats", detail="floats")
            level = level_of(controller, volts[label])
            if not level:
                return Reading(trouble="level", detail=f"sits at {volts[label]:.2f} V, neither low nor high")
            levels[tuple(states.values())] = level
            (lows if level == "low" else highs).append(volts[label])
            if all(self._rests(sensor, lit) for sensor, lit in states.items()):
                resting.add(level)
        return Reading(
            follows=self._followed(list(results[0][0]), levels),
            low_max=max(lows, default=None),
            high_min=min(highs, default=None),
            resting=frozenset(resting),
        )

    def _rests(self, name: str, lit: bool) -> bool:
        sensor = self.network.sensors[name]
        return bool(sensor.sees) or len(self.states(name)) < 2 or lit != (sensor.flag == "lit")

    def _followed(self, names: list[str], levels: dict[tuple[bool, ...], str]) -> dict[str, str]:
        follows = {}
        for number, name in enumerate(names):
            if len(self.states(name)) < 2:
                continue
            flag = self.network.sensors[name].flag == "lit"
            at_flag = {level for states, level in levels.items() if states[number] == flag}
            away = {level for states, level in levels.items() if states[number] != flag}
            if len(at_flag) == 1 and len(away) == 1 and at_flag != away:
                follows[name] = at_flag.pop()
        return follows


def level_of(controller: ControllerInput, volts: float) -> str:
    """Return 'low', 'high', or '' in between. Limits belong to the good side."""
    if volts <= (LOW_V if controller.low_below is None else controller.low_below):
        return "low"
    return "high" if volts >= (HIGH_V if controller.high_above is None else controller.high_above) else ""
