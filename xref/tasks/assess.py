"""Is it the part: the board and part as a circuit, the readings as typed, the bench's verdict."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from xref import quantity
from xref.adapt.electrical import electrics
from xref.adapt.signal import chain
from xref.bench.assess import VOLTS
from xref.bench.assess import assess as judge
from xref.bench.causes import TESTS
from xref.bench.circuit import Circuit
from xref.bench.expect import expect as table
from xref.errors import UsageError
from xref.model.answers.assess import AssessAnswer, ExpectAnswer
from xref.model.part import Coupling, Detector, Emitter, Part
from xref.model.site import Site
from xref.model.value import Value

if TYPE_CHECKING:
    from xref.library.store import Library

GENERIC_IC_MA = {"reflective": (0.05, 0.5, 5.0), "slotted": (0.3, 1.5, 8.0)}
"""Collector current at IF 20 mA where the part is not known: the span that most shipped parts print (derived)."""

ANSWERS = {
    "replaced": {"yes": True, "no": False},
    "resistors": {"as marked": True, "yes": True, "off": False, "no": False},
    "cover": {"goes dark": True, "yes": True, "stays": False, "no": False},
    "glow": {"yes": True, "no": False},
    "torch": {"reacts": True, "yes": True, "no reaction": False, "no": False},
    "tap": {"changes": True, "yes": True, "no change": False, "no": False},
    "wiggle": {"changes": True, "yes": True, "no change": False, "no": False},
    "shade": {"changes": True, "yes": True, "no change": False, "no": False},
    "clean": {"better": True, "yes": True, "no better": False, "no": False},
    "card": {"better": True, "yes": True, "no better": False, "no": False},
    "slow": {"works": True, "yes": True, "fails too": False, "no": False},
    "selector": {"changes": True, "yes": True, "no change": False, "no": False},
    "exchange": {"follows": True, "yes": True, "stays": False, "no": False},
}
"""Words accepted for the outcome of each test."""


def assess(
    site: Site, running: Mapping[str, str], *, original: str = "", library: Library | None = None
) -> AssessAnswer:
    """Rank the causes for a board from readings as typed.

    Args:
        site: the board side
        running: reading or test to text: ``{"emitter": "1.12V", "torch": "reacts"}``
        original: part name where known; else the usual part of the kind is taken, and said

    Raises:
        UsageError: an unknown reading or outcome
    """
    volts, tests = read(running)
    circuit, assumed = circuit_of(site, original, library)
    answer = judge(circuit, volts, tests, assumed=assumed)
    if not volts and not tests:
        answer = replace(answer, assumed=(*answer.assumed, "no reading yet: the order is that of experience alone"))
    return answer


def expect(site: Site, *, original: str = "", library: Library | None = None) -> ExpectAnswer:
    """The table of readings for a board."""
    circuit, assumed = circuit_of(site, original, library)
    return table(circuit, assumed=assumed, basis="assumed" if assumed else "derived")


def read(running: Mapping[str, str]) -> tuple[dict[str, float], dict[str, bool]]:
    """Volt readings and test outcomes from text.

    Raises:
        UsageError: an unknown name or outcome
    """
    volts: dict[str, float] = {}
    tests: dict[str, bool] = {}
    for name, text in running.items():
        key = name.replace("-", "_").replace(" ", "_")
        if key in VOLTS:
            volts[key] = quantity.parse(text, "V")
        elif key in ANSWERS:
            words = ANSWERS[key]
            if text.strip().lower() not in words:
                raise UsageError(f"{text!r} is not one of {', '.join(words)}", name)
            tests[key] = words[text.strip().lower()]
        else:
            known = ", ".join((*VOLTS, *(test.key for test in TESTS)))
            raise UsageError(f"no reading {name!r}; known: {known}", "readings")
    return volts, tests


def circuit_of(site: Site, original: str, library: Library | None) -> tuple[Circuit, tuple[str, ...]]:
    """Nominal circuit of a board and part, and what had to be assumed."""
    if site.kind in ("switch", "two-state resistor"):
        raise UsageError(
            f"readings of a {site.kind} need no verdict of halves: read it lit and dark (or both positions)"
        )
    assumed: list[str] = []
    part = _part(site, original, library, assumed)
    link = chain(electrics(part), site)
    if link.transfer is None or link.data.detector is None:
        generic = _generic(site)
        assumed.append(f"{part.name}: collector current not known; that of a usual {site.kind} part is taken")
        link = chain(electrics(generic), site)
    assert link.transfer is not None
    assert link.data.detector is not None
    board, made = link.board, link.transfer
    for what, ohm in (("emitter resistor", board.emitter_ohm + link.data.built_in_ohm), ("load", board.load_ohm)):
        if ohm <= 0:
            raise UsageError(f"the {what} is 0: its value is needed to know a current; read its rings or measure it")
    circuit = Circuit(
        diode=link.data.diode,
        emitter_supply=board.emitter_supply,
        emitter_ohm=board.emitter_ohm + link.data.built_in_ohm,
        in_series=board.in_series,
        driver_drop=board.driver_drop,
        detector=link.data.detector,
        supply=board.supply,
        load_ohm=board.load_ohm,
        side=board.side,
        thresholds=link.thresholds,
        lit_low=board.lit_low,
        ic=(made.low, made.typical, made.high),
        if_ref=made.if_ref,
        bright=made.bright,
        dark=made.dark,
        target_band=link.target_band,
    )
    return circuit, tuple(dict.fromkeys((*assumed, *link.assumed)))


def _part(site: Site, original: str, library: Library | None, assumed: list[str]) -> Part:
    if original and original not in ("blank", "unknown"):
        from xref.tasks.references import resolve

        return resolve(original, library)
    low, _, high = GENERIC_IC_MA.get(site.kind, GENERIC_IC_MA["slotted"])
    assumed.append(
        f"the part is not known: a usual {site.kind} phototransistor, IC {low:g} to {high:g} mA at IF 20 mA, is taken"
    )
    return _generic(site)


def _generic(site: Site) -> Part:
    low, typ, high = GENERIC_IC_MA.get(site.kind, GENERIC_IC_MA["slotted"])
    distance = {} if site.sees.distance is None else {"distance_mm": site.sees.distance}
    ic = Value(
        min=low, typ=typ, max=high, at={"if_ma": 20.0, "vce_v": 5.0, **distance}, target="white card", basis="assumed"
    )
    return Part(
        name=f"a usual {site.kind} part",
        kind="reflective" if site.kind == "reflective" else "slotted",
        output="phototransistor",
        emitter=Emitter(wavelength_nm=940.0, if_max_ma=50.0),
        detector=Detector(),
        coupling=Coupling(ic_ma=(ic,)),
        origin="typed",
    )
