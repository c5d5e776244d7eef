"""Runs the identification on benches in software and judges the answers; knows the truth, shares no device law."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

from devices import MAKERS
from simulator import METERS, Bench, Device

from xref.model.answers.identify import IdentifyAnswer
from xref.model.job import Meter
from xref.tasks.identify import Ask, Running

ALIKE = {"E2": "E", "R2": "R1", "S2": "S1"}
"""Functions that nobody can tell from each other, by the nature of the part."""
MOST = 70


@dataclass
class Tally:
    """What came out, by type."""

    settled_right: Counter[str] = field(default_factory=Counter)
    settled_wrong: Counter[str] = field(default_factory=Counter)
    stayed_open: Counter[str] = field(default_factory=Counter)
    readings: Counter[str] = field(default_factory=Counter)
    pairs: Counter[str] = field(default_factory=Counter)
    notes: list[str] = field(default_factory=list)

    @property
    def count(self) -> int:
        """All benches."""
        return sum((self.settled_right + self.settled_wrong + self.stayed_open).values())

    def __str__(self) -> str:
        lines = []
        for name, _ in MAKERS:
            done = self.settled_right[name] + self.settled_wrong[name] + self.stayed_open[name]
            if done:
                lines.append(
                    f"{name:18s} right {self.settled_right[name]:4d} wrong {self.settled_wrong[name]:3d} "
                    f"open {self.stayed_open[name]:3d}  readings {self.readings[name] / done:5.2f} "
                    f"of {self.pairs[name] / done:4.1f} ordered pairs"
                )
        lines += self.notes
        return "\n".join(lines)


def user_meter(bench: Bench, rng: random.Random) -> Meter:
    """What the user knows of the meter: its printed figures; the polarity on ohms in every second case."""
    meter = bench.meter
    known = rng.random() < 0.5
    return Meter(
        diode=meter.current,
        open=meter.open_volts,
        overload=meter.overload,
        ohms_red=("minus" if meter.ohms_reversed else "plus") if known else "unknown",
    )


def identify(device: Device, bench: Bench, meter: Meter, settle: float = 0.99) -> tuple[IdentifyAnswer, int]:
    """Take the readings that are asked for until it is settled or nothing is left to ask."""
    labels = tuple(str(number + 1) for number in range(device.leads))
    running = Running(Ask(labels=labels, meter=meter, settle=settle))
    for count in range(MOST):
        answer = running.answer()
        asked = running.proposed(answer)
        if answer.settled or asked is None:
            return answer, count
        red, black = int(asked.red) - 1, int(asked.black) - 1
        light = 1.0 if asked.light == "lit" else 0.0
        if asked.mode == "diode":
            value = bench.diode(red, black, light)
        elif asked.mode == "ohms":
            value = bench.ohms(red, black, light)
        else:
            value = bench.supply(red, black, asked.supply or 5.0, asked.series or 1e4, light)
        running.add(replace(asked, value=value))
    return answer, MOST


def agrees(device: Device, kind: str, leads: dict[str, str]) -> bool:
    """True when a named device is the true one, every lead with its true function."""
    truth = device.kind.replace(", resistor inside", "")
    if kind.replace(", resistor inside", "") != truth or ("inside" in kind) != ("inside" in device.kind):
        return False
    for place, function in enumerate(device.functions):
        told = {ALIKE.get(word, word) for word in leads[str(place + 1)].split(" or ")}
        if ALIKE.get(function, function) not in told:
            return False
    return True


def vague(answer: IdentifyAnswer, device: Device) -> bool:
    """True when the answer is a class although readings could part its members: what is dead alone may be a class."""
    dead = any(word in device.kind for word in ("emitter open", "emitter shorted", "detector dead"))
    return not dead and any(" or " in word for word in (answer.device, *answer.leads.values()))


def run(per_type: int, *, seed: int,
        only: Callable[[str], bool] = lambda name: True) -> Tally:  # fmt: skip
    """Benches of every type, seeded."""
    tally = Tally()
    for name, device, bench, rng in draw(per_type, seed, only):
        answer, count = identify(device, bench, user_meter(bench, rng))
        names = [(answer.device, answer.leads)]
        names += [(other.device, other.leads) for other in answer.alternatives if other.same]
        right = any(agrees(device, kind, leads) for kind, leads in names)
        tally.readings[name] += count
        tally.pairs[name] += device.leads * (device.leads - 1)
        if not answer.settled or (right and vague(answer, device)):
            tally.stayed_open[name] += 1
            tally.notes.append(f"open  {name} with {bench.meter.name}: {answer.device} {answer.probability:.3f}")
        elif right:
            tally.settled_right[name] += 1
        else:
            tally.settled_wrong[name] += 1
            tally.notes.append(f"wrong {name} with {bench.meter.name}: {answer.device} {answer.probability:.4f}")
    return tally


def draw(per_type: int, seed: int, only: Callable[[str], bool]) -> Iterator[tuple[str, Device, Bench, random.Random]]:
    """Type name, device, bench and its random numbers."""
    for name, maker in MAKERS:
        if not only(name):
            continue
        for number in range(per_type):
            rng = random.Random(f"{seed} {name} {number}")
            device = maker(rng)
            yield name, device, Bench(device, rng.choice(METERS), rng), rng
