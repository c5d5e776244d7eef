"""Seeded original, donor and board triples from the shipped library, solved through the whole chain."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from functools import cache

from xref.adapt.electrical import electrics
from xref.adapt.fit import FitOptions, fit
from xref.adapt.original import Original, from_part
from xref.adapt.signal import Chain, chain
from xref.library.store import open_library
from xref.model.answers.fit import Fit
from xref.model.part import Part
from xref.model.site import Sees, Site, SiteEmitter, SiteOutput
from xref.tasks.signal import with_signal

BOARD = Site(
    kind="slotted",
    emitter=SiteEmitter(supply=5.0, resistor=220.0, resistor_side="A", in_series=1, driver_drop=0.0),
    output=SiteOutput(supply=5.0, load=10e3, load_side="C", input="74HC14", lit="low"),
    sees=Sees(rate=40.0),
    taps={"5V": (12.0, 3.0), "0V": (9.0, -4.0)},
    temperature=(10.0, 45.0),
    safety="none",
)


@dataclass(frozen=True)
class Case:
    """One triple and what was said of it."""

    seed: int
    original: Original
    donor: Part
    site: Site
    answer: Fit

    @property
    def name(self) -> str:
        return f"{self.original.name}-{self.donor.name}-{self.site.output.load_side}-{self.seed}"

    @property
    def link(self) -> Chain:
        return chain(electrics(self.donor), self.site)

    def ohms(self, where: str) -> float:
        """A resistor after the answer's changes."""
        now = {change.where: change.now_ohm for change in self.answer.values}
        known = self.site.emitter.resistor if where == "emitter resistor" else self.site.output.load
        return now.get(where, known or 0.0)


def board(kind: str, rng: random.Random, side: str) -> Site:
    """A board of that kind with seeded supply side, load, input and temperatures."""
    sees = Sees(distance=rng.choice((2.0, 3.0)), bright="white card", dark=rng.choice(("black", "open")), rate=40.0)
    output = replace(
        BOARD.output,
        load=rng.choice((4700.0, 10e3, 22e3)),
        load_side=side,  # type: ignore[arg-type]
        lit="low" if side == "C" else "high",
        input=rng.choice(("74HC14", "74HCT14", "74LS14", "4093", "TTL") if side == "C" else ("74HC14", "74HCT14")),
    )
    return replace(
        BOARD,
        kind=kind,  # type: ignore[arg-type]
        output=output,
        sees=sees if kind == "reflective" else BOARD.sees,
        emitter=replace(BOARD.emitter, resistor=rng.choice((150.0, 220.0, 330.0))),
        temperature=rng.choice(((10.0, 45.0), (0.0, 60.0))),
    )


def solved(original: Part, donor: Part, site: Site, seed: int = 0) -> Case | None:
    """The case, or None where the wiring alone is impossible."""
    there = from_part(original, site)
    plain = fit(there, donor, FitOptions(alternatives=0))
    if not plain.possible:
        return None
    answer = with_signal(plain, there, donor, site, change=None, series="E24", part=original)
    return Case(seed, there, donor, site, answer)


@cache
def wired(kind: str, output: str) -> tuple[Part, ...]:
    """Wired parts of one kind whose output begins so, by name."""
    parts = [p for p in open_library().parts() if p.kind == kind and p.geometry.wired]
    return tuple(sorted((p for p in parts if (p.output or "").startswith(output)), key=lambda p: p.name))


@cache
def triples(count: int) -> tuple[Case, ...]:
    """``count`` cases with levels: collector and emitter loads, single and darlington, reflective and slotted."""
    rng, found, seed = random.Random(20), [], 0
    shapes = (("slotted", "phototransistor", "C"), ("reflective", "phototransistor", "C"),
              ("slotted", "phototransistor", "E"), ("slotted", "photodarlington", "C"))  # fmt: skip
    while len(found) < count:
        seed += 1
        kind, output, side = shapes[seed % 4]
        donors, originals = wired(kind, output), wired(kind, "phototransistor")
        if output == "photodarlington":
            # the shipped darlingtons with leads are few; those without known leads serve on their own pads' board
            donors = tuple(p for p in donors if p.coupling.ic_ma)
        if not donors:
            continue
        case = solved(rng.choice(originals), rng.choice(donors), board(kind, rng, side), seed)
        signal = case.answer.signal if case is not None else None
        if case is None or signal is None or signal.clean is False or case.answer.added:
            continue
        if signal.light_reserve is None or signal.dark_reserve is None:
            continue
        if min(signal.light_reserve, signal.dark_reserve) < 1:
            # a lost level is cut at the rails in the answer; there is nothing to compare
            continue
        found.append(case)
    return tuple(found)
