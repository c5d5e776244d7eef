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
from xref.bench.causes import TESTS, BenchTest
from xref.bench.circuit import Circuit
from xref.bench.expect import expect as table
from xref.errors import DataError, UsageError, one_of
from xref.model.answers.assess import AssessAnswer, ExpectAnswer
from xref.model.part import Coupling, Detector, Emitter, Part
from xref.model.site import Site
from xref.model.value import Value
from xref.physics.logic_input import family_key
from xref.tasks.references import BLANK, known, resolve
from xref.tasks.safety import notice

if TYPE_CHECKING:
    from xref.library.store import Library

GENERIC_IC_MA = {"reflective": (0.05, 0.5, 5.0), "slotted": (0.3, 1.5, 8.0)}
"""Collector current at IF 20 mA where the part is not known: the span that most shipped parts print (derived)."""


def _words(test: BenchTest) -> dict[str, bool]:
    """Words accepted for the outcome of a test: as it is shown, its first words, yes and no."""
    found: dict[str, bool] = {}
    for outcome, text, plain in ((True, test.yes, "yes"), (False, test.no, "no")):
        found |= dict.fromkeys((text.partition(" the ")[0], text, plain), outcome)
    return found


ANSWERS = {test.key: _words(test) for test in TESTS}
"""Words accepted for the outcome of each test."""

RAILS = (3.3, 5.0, 9.0, 12.0, 15.0, 24.0)
"""Usual supplies [V] (common practice, no source)."""

LEAST_RAIL = 5.0
"""A reading far below every usual supply is a fault on the commonest one, not a rail of its own (assumed)."""


def assess(
    site: Site,
    running: Mapping[str, str],
    *,
    original: str = "",
    named: str = "",
    assumed: tuple[str, ...] = (),
    library: Library | None = None,
) -> AssessAnswer:
    """Rank the causes for a board from readings as typed.

    Args:
        site: the board side
        running: reading or test to text: ``{"emitter": "1.12V", "torch": "reacts"}``
        original: part name where known; else the usual part of the kind is taken, and said
        named: what a job file calls the part; counts as ``original`` where the library knows it
        assumed: what was assumed of the board already, as ``typed_site`` says it

    Raises:
        UsageError: an unknown reading or outcome, volts that cannot be there, or a kind of site that has no halves
        NotFound: ``original`` is not known
    """
    volts, tests = read(running)
    circuit, more = circuit_of(site, original, library, named)
    _possible(volts, circuit)
    assumed = (*assumed, *more)
    answer = replace(judge(circuit, volts, tests, assumed=assumed), basis=_basis(assumed))
    if not volts and not tests:
        answer = replace(answer, assumed=(*answer.assumed, "no reading yet: the order is that of experience alone"))
    return _safe(answer, site)


SAFE_MEND = "by the machine maker's service or a licensed technician: same number only, no value changed"


def _safe(answer: AssessAnswer, site: Site) -> AssessAnswer:
    """For a safety function no mending that changes a value or the part is named."""
    said = notice(site.safety)
    if not said:
        return answer
    sensor = ("replace", "xref fit", "xref find", "resistor", "load")
    verdicts = tuple(
        replace(verdict, mend=SAFE_MEND) if any(word in verdict.mend for word in sensor) else verdict
        for verdict in answer.verdicts
    )
    return replace(answer, verdicts=verdicts, notices=(said,))


MOST_SUPPLY = 60.0
"""No sensor of such a machine hangs on more [V]; above it a d.c. voltage is dangerous (ES1 limit, IEC 62368-1)."""


def _possible(volts: Mapping[str, float], circuit: Circuit) -> None:
    """Refuse readings that no point of this board can show: a slip of the pen would become a verdict.

    Raises:
        UsageError: negative, or above every supply
    """
    highest = max(circuit.supply, circuit.emitter_supply, volts.get("supply", 0.0))
    for name, value in volts.items():
        if value < -0.3:
            raise UsageError(f"{value:g} V is negative: exchange the probes (black on 0 V) and read again", name)
        if name == "supply" and value > MOST_SUPPLY:
            raise UsageError(f"{value:g} V is no supply of a sensor: expected 3 to 24 V, like 5.02V", name)
        if value > 1.1 * highest + 0.5:
            raise UsageError(
                f"{value:g} V is more than the highest supply, {highest:g} V, can give: read again, or give the supply "
                "that you read",
                name,
            )


def expect(site: Site, *, original: str = "", named: str = "", library: Library | None = None) -> ExpectAnswer:
    """The table of readings for a board; the arguments are those of :func:`assess`.

    Raises:
        UsageError: a kind of site that has no halves
        NotFound: ``original`` is not known
    """
    circuit, assumed = circuit_of(site, original, library, named)
    answer = table(circuit, assumed=assumed, basis=_basis(assumed))
    said = notice(site.safety)
    return replace(answer, cautions=(said, *answer.cautions)) if said else answer


def _basis(assumed: tuple[str, ...]) -> str:
    return "assumed" if assumed else "derived"


def typed_site(
    site: Site | None = None,
    *,
    kind: str = "",
    supply: str = "",
    emitter_resistor: str = "",
    in_series: int = 0,
    load: str = "",
    input_family: str = "",
) -> tuple[Site, tuple[str, ...]]:
    """The board side as typed, over the one of a file, and what was taken from the readings.

    Args:
        site: of the file; None: nothing known but what is typed
        kind: 'reflective' or 'slotted'; needed only without a file
        supply: the supply as read, '5.02V'; without a file the nominal one is taken from it
        emitter_resistor: '220R'
        in_series: emitters on one resistor; 0: as in the file
        load: load or pull-up, '10k'
        input_family: '74HC14'

    Raises:
        UsageError: an unknown kind, or an input that names no logic family
        QuantityError: a value that cannot be read
    """
    one_of(kind, ("", "reflective", "slotted"), "--kind")
    board = site or Site(kind="slotted" if kind == "slotted" else "reflective")
    emitter, output = board.emitter, board.output
    assumed: list[str] = []
    if site is None and not kind:
        assumed.append("a reflective sensor, as no kind was said; for a slot: --kind slotted")
    if emitter_resistor:
        emitter = replace(emitter, resistor=quantity.parse(emitter_resistor, "ohm"))
    if in_series:
        emitter = replace(emitter, in_series=in_series)
    if supply and site is None:
        nominal = _nominal(quantity.parse(supply, "V"))
        assumed.append(f"nominal supply: {nominal:g} V, from the {supply} that was read; a site file says it for sure")
        emitter, output = replace(emitter, supply=nominal), replace(output, supply=nominal)
    if load:
        output = replace(output, load=quantity.parse(load, "ohm"))
    if input_family:
        try:
            family_key(input_family)
        except DataError as error:
            raise UsageError(f"{error.message} (in a site file)", "--input") from None
        output = replace(output, input=input_family)
    return replace(board, emitter=emitter, output=output), tuple(assumed)


def _nominal(volts: float) -> float:
    """The usual supply that a reading belongs to: the nearest within 5 %, else the next above, at least 5 V."""
    near = [rail for rail in RAILS if abs(volts / rail - 1) <= 0.05]
    above = [rail for rail in RAILS if rail >= max(volts, LEAST_RAIL)]
    return near[0] if near else above[0] if above else volts


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


def circuit_of(site: Site, original: str, library: Library | None, named: str = "") -> tuple[Circuit, tuple[str, ...]]:
    """Nominal circuit of a board and part, and what had to be assumed.

    Raises:
        UsageError: a kind of site that has no halves, or a resistor of 0
        NotFound: ``original`` is not known
    """
    if site.kind in ("switch", "two-state resistor"):
        raise UsageError(
            f"readings of a {site.kind} need no verdict of halves: read it lit and dark (or both positions)"
        )
    assumed: list[str] = []
    part = _part(site, original, named, library, assumed)
    link = chain(electrics(part), site)
    if link.transfer is None or link.data.detector is None:
        generic = _generic(site)
        logic = (part.output or "").startswith("logic")
        why = "a logic output shows no levels in between" if logic else "collector current not known"
        assumed.append(f"{part.name}: {why}; a usual {site.kind} phototransistor is taken in its place")
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
        vf_spread=(link.ranges.vf_shift(up=False), link.ranges.vf_shift(up=True)),
        vf_basis=link.vf_words,
    )
    return circuit, tuple(dict.fromkeys((*assumed, *link.assumed)))


def _part(site: Site, original: str, named: str, library: Library | None, assumed: list[str]) -> Part:
    if original not in BLANK:
        return resolve(original, library)
    if named not in BLANK:
        part = known(named, library)
        if part is not None:
            return part
        assumed.append(f"{named} is not in the library")
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
