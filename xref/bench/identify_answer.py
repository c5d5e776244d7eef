"""From the posterior to an answer: settled or not, the class that no reading parts, what settled it, what to do."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from xref.bench.identify import Identifier, Ranked, why_unexplained
from xref.bench.next_reading import Proposal, proposals
from xref.bench.readings import Reading, show_reading
from xref.model.answers.identify import IdentifyAnswer, NextReading, OtherDevice
from xref.quantity import rkm

UNPARTED = 0.04
"""A reading that tells less than this share of what is still open does not part what is left."""
KNOWN = 0.9
"""Before it is settled, a lead's function is told from this probability on; below it is unknown."""
NOTHING_TOLD = 2e-3
CLASS_MOST = 8
STRANGE = "none of the known types"
TORCH = (
    "The torch must have infrared: an incandescent lamp or sunlight (many white LEDs have none: common practice, no "
    "source). Never use a laser."
)
POWER = "Never power the part before its emitter is known; an own supply only through 4.7 kohm or more."
OHMS = (
    "On ohms the red lead is plus on some meters and minus on others: try yours on a known diode once, then "
    "xref meter --ohms-red plus"
)
EARTHED = "Hold the part only at an earthed place (IEC 61340-5-1): logic outputs are static-sensitive."


def answer_for(
    bench: Identifier,
    *,
    settle: float = 0.99,
    skip: frozenset[tuple[Any, ...]] = frozenset(),
    supply: bool = True,
) -> IdentifyAnswer:
    """The answer for the readings so far.

    Args:
        bench: the identification
        settle: probability at which it is settled
        skip: keys of readings that cannot be taken
        supply: an own supply is at hand
    """
    ranked = bench.ranked(0.0, 40)
    _, strange = bench.posterior()
    group, settled, proposal = _decide(bench, ranked, settle, skip, supply)
    best = group[0]
    chance = sum(item.probability for item in group)
    leads = _leads(bench, group)
    if not settled:
        best, chance, leads = _so_far(bench)
        group = [best]
    if strange > best.probability:
        return _stranger(bench, ranked, strange, proposal, settle)
    others = tuple(
        [_other(bench, item, same=settled) for item in group[1:]]
        + _other_names(bench, best)
        + [_other(bench, item) for item in ranked if item not in group and item.probability >= 0.001][:5]
    )
    device = " or ".join(dict.fromkeys(item.hypothesis.device for item in group))
    return IdentifyAnswer(
        device=device,
        leads=leads,
        probability=min(chance, 1.0),
        settled=settled,
        alternatives=others,
        next_reading=None if settled or proposal is None else next_reading(proposal),
        unexplained=tuple(why_unexplained(bench.unexplained(best.number), device)),
        because=tuple(_because(bench, best)),
        warnings=tuple(_warnings(bench, device, None if settled else proposal)),
        assumed=bench.meter.assumed,
        readings=tuple(show_reading(reading) for reading in bench.readings),
        **(_forward(bench, group) if settled else {}),
    )


def _decide(
    bench: Identifier, ranked: list[Ranked], settle: float, skip: frozenset[tuple[Any, ...]], supply: bool
) -> tuple[list[Ranked], bool, Proposal | None]:
    """The class that the answer names, whether it is settled, and the next reading where it is not."""
    if ranked[0].probability >= settle:
        return ranked[:1], True, None
    found = proposals(bench, skip=skip, supply=supply, top=400)
    probability, _ = bench.posterior()
    left = float(-(probability * bench.np.log2(bench.np.maximum(probability, 1e-300))).sum())
    most = max((item.bits for item in found), default=0.0)
    if most > max(NOTHING_TOLD, UNPARTED * left):
        return ranked[:1], False, found[0]
    if not bench.readings:
        return ranked[:1], False, found[0] if found else None
    total = 0.0
    for count, item in enumerate(ranked[:CLASS_MOST], 1):
        total += item.probability
        if total >= settle:
            return ranked[:count], True, None
    return ranked[:1], False, None


def _stranger(
    bench: Identifier, ranked: list[Ranked], strange: float, proposal: Proposal | None, settle: float
) -> IdentifyAnswer:
    """No known type explains the readings: said, with what comes nearest."""
    best = ranked[0]
    return IdentifyAnswer(
        device=STRANGE,
        leads=dict.fromkeys(bench.labels, "unknown"),
        probability=strange,
        settled=strange >= settle,
        alternatives=tuple(_other(bench, item) for item in ranked[:3]),
        next_reading=None if strange >= settle or proposal is None else next_reading(proposal),
        unexplained=tuple(why_unexplained(bench.unexplained(best.number), best.hypothesis.device)),
        warnings=(POWER,),
        assumed=bench.meter.assumed,
        readings=tuple(show_reading(reading) for reading in bench.readings),
    )


def _so_far(bench: Identifier) -> tuple[Ranked, float, dict[str, str]]:
    """Before it is settled: the likeliest device over all its arrangements, and its leads as far as known."""
    probability, _ = bench.posterior()
    order = [int(row) for row in bench.np.argsort(-probability) if probability[row] > 1e-7]
    devices: dict[str, float] = {}
    for row in order:
        name = bench.space.all[row].device
        devices[name] = devices.get(name, 0.0) + float(probability[row])
    device = max(devices, key=lambda name: devices[name])
    own = [row for row in order if bench.space.all[row].device == device]
    leads = {}
    for place, label in enumerate(bench.labels):
        chances: dict[str, float] = {}
        for row in own:
            function = bench.space.all[row].functions[place]
            chances[function] = chances.get(function, 0.0) + float(probability[row]) / devices[device]
        likeliest = max(chances, key=lambda name: chances[name])
        leads[label] = likeliest if chances[likeliest] >= KNOWN else "unknown"
    row = own[0]
    best = Ranked(hypothesis=bench.space.all[row], probability=float(probability[row]), number=row)
    return best, devices[device], leads


def _leads(bench: Identifier, group: Sequence[Ranked]) -> dict[str, str]:
    """Function of each lead over the whole class."""
    columns: list[list[str]] = [[] for _ in bench.labels]
    for item in group:
        for place, function in enumerate(item.hypothesis.functions):
            columns[place] += [word for word in function.split(" or ") if word not in columns[place]]
    return {label: " or ".join(column) for label, column in zip(bench.labels, columns, strict=True)}


def _other(bench: Identifier, item: Ranked, same: bool = False) -> OtherDevice:
    leads = dict(zip(bench.labels, item.hypothesis.functions, strict=True))
    return OtherDevice(device=item.hypothesis.device, leads=leads, probability=item.probability, same=same)


def _other_names(bench: Identifier, best: Ranked) -> list[OtherDevice]:
    """The other names of a hypothesis: devices that differ in nothing that a meter can see."""
    total = sum(naming.prior for naming in best.hypothesis.namings)
    found = []
    for device in best.hypothesis.devices[1:4]:
        names = [naming for naming in best.hypothesis.namings if naming.device == device]
        columns = zip(*(naming.functions for naming in names), strict=True)
        leads = {label: " or ".join(dict.fromkeys(column)) for label, column in zip(bench.labels, columns, strict=True)}
        share = sum(naming.prior for naming in names) / total
        found.append(OtherDevice(device=device, leads=leads, probability=best.probability * share, same=True))
    return found


def _because(bench: Identifier, best: Ranked) -> list[str]:
    """The readings that show something of each block, in words, and how many show nothing; contrary ones left out."""
    contrary = [reading for reading, _ in bench.unexplained(best.number)]
    found = []
    silent = 0
    roles = dict(zip(bench.labels, best.hypothesis.functions, strict=True))
    for reading in bench.readings:
        if reading in contrary:
            continue
        if reading.value is None or (reading.mode == "supply" and reading.value > 0.96 * (reading.supply or 5.0)):
            silent += 1
        else:
            found.append(f"{show_reading(reading)}: from {roles[reading.red]} to {roles[reading.black]}")
    if silent:
        found.append(f"{silent} reading{'s' if silent > 1 else ''} with nothing between the leads")
    return found


def _forward(bench: Identifier, group: Sequence[Ranked]) -> dict[str, Any]:
    """Forward voltage of the emitter: the last diode reading where the meter's current is known, or an own supply's."""
    if len(group) > 1 and len({item.hypothesis.functions for item in group}) > 1:
        return {}
    roles = dict(zip(bench.labels, group[0].hypothesis.functions, strict=True))
    if "resistor inside" in group[0].hypothesis.device:
        return {}
    low, high = bench.meter.current
    known = high < 1.1 * low
    # a voltage without its current says little: an own supply and its resistor say both
    for mode in ("diode", "supply") if known else ("supply", "diode"):
        for reading in reversed(bench.readings):
            if reading.mode != mode or reading.value is None or "or" in roles[reading.red]:
                continue
            ahead = "A" in roles[reading.red].split("+") and "K" in roles[reading.black].split("+")
            if ahead and (mode == "diode" or reading.value < 0.96 * (reading.supply or 5.0)):
                at = f"{(low + high) / 2 * 1e3:.3g}mA" if known else ""
                if mode == "supply":
                    at = f"{reading.supply:g}V/{rkm(reading.series or 0.0)}"
                return {"vf_v": reading.value, "vf_at": at}
    return {}


def _warnings(bench: Identifier, device: str, proposal: Proposal | None) -> list[str]:
    found = []
    used = [*bench.readings, *([proposal.reading] if proposal else [])]
    if proposal is not None:
        found.append(POWER)
    if any(reading.light == "lit" for reading in used):
        found.append(TORCH)
    if any(reading.mode == "ohms" and reading.value != 0.0 for reading in used) and bench.meter.ohms_red == "unknown":
        found.append(OHMS)
    if "logic" in device or proposal is not None:
        found.append(EARTHED)
    return found


def next_reading(proposal: Proposal) -> NextReading:
    """The proposal as an answer, in words."""
    reading = proposal.reading
    return NextReading(
        red=reading.red, black=reading.black, light=reading.light, mode=reading.mode, supply_v=reading.supply,
        series_ohm=reading.series, how=how(reading), bits=round(proposal.bits, 3),
    )  # fmt: skip


def how(reading: Reading) -> str:
    """What to do, in one sentence."""
    what = {"diode": "diode test", "ohms": "ohms range"}.get(reading.mode, "")
    if reading.mode == "supply":
        what = f"{reading.supply:g} V through {rkm(reading.series or 0.0)}, volts over the part"
    light = "torch on" if reading.light == "lit" else "detector covered"
    return f"{what}, {light}: red on {reading.red}, black on {reading.black}"
