"""Whether the machine runs on a wiring: the first thing that is wrong, and which changes could cure it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from xref.adapt.workaround_positions import Position
from xref.adapt.workaround_simulate import MOST_A, Bench, Reading
from xref.adapt.workaround_wiring import Change, Compiled, Wiring
from xref.model.network import ControllerInput, Network


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """One thing that is wrong in one position.

    ``nets`` and ``elements``: all that it can feel. While nothing of them is changed, it stays wrong; ``adding``:
    False where only taking something away can help (a short stays a short, however many jumpers are added).
    """

    kind: str
    position: str
    element: str
    text: str
    nets: frozenset[int]
    elements: frozenset[tuple[str, str]]
    adding: bool = True


def failures(
    compiled: Compiled, wiring: Wiring, places: list[Position], *, healthy: bool = False, order: Sequence[int] = ()
) -> Iterator[tuple[int, Failure]]:
    """Yield (number of the position, failure), in the order of the positions, or in ``order``."""
    for number in order or range(len(places)):
        bench = Bench(compiled, wiring, places[number], healthy=healthy)
        for failure in _in_position(bench, places[number]):
            yield number, failure


UNCLEAR = ("floats", "level")


def exempt(compiled: Compiled, places: list[Position]) -> frozenset[tuple[int, str]]:
    """Return (position, input) where the healthy machine has no clear level itself while the selector moves.

    That is no fault of a plan. Shorts and fighting outputs are never spared.
    """
    return frozenset(
        (number, failure.element)
        for number, failure in failures(compiled, compiled.start, places, healthy=True)
        if not places[number].is_mode and failure.kind in UNCLEAR
    )


def spared(number: int, failure: Failure, exemptions: frozenset[tuple[int, str]]) -> bool:
    """True for an unclear level that the healthy machine has in the same position."""
    return failure.kind in UNCLEAR and (number, failure.element) in exemptions


def cures(failure: Failure, change: Change) -> bool:
    """True when a change can have an influence on the failure."""
    if change.action.element and (change.action.of, change.action.element) in failure.elements:
        return True
    if not failure.adding:
        return False
    if change.merge is not None:
        return bool(failure.nets & set(change.merge))
    return any(net in failure.nets for _, net in change.terms)


def _in_position(bench: Bench, position: Position) -> Iterator[Failure]:
    network = bench.network
    where = f"in mode {position.name}" if position.is_mode else position.name
    yield from _conflicts(bench, where)
    if bench.shorted is not None:
        return
    for name, sensor in network.sensors.items():
        if sensor.emitter is None:
            continue
        most = MOST_A if sensor.emitter.most is None else sensor.emitter.most
        current = bench.emitter_current(name)[1]
        if current > most * (1 + 1e-9):
            region = bench.region(bench.place["emitter", name])
            text = f"{where} the emitter of {name} gets {current * 1e3:.0f} mA, more than {most * 1e3:.0f} mA"
            elements = frozenset(region.elements | {("emitter", name)})
            labels = region.labels - bench.volts.keys()
            yield Failure(
                kind="emitter", position=where, element=name, text=text, nets=_nets(bench, labels), elements=elements
            )
    for name, controller in network.inputs.items():
        if watched(controller, position):
            yield from _at_input(bench, position, name, where)


def watched(controller: ControllerInput, position: Position) -> bool:
    """True when the controller looks at the input in this mode, or in a mode next to this state."""
    return not controller.modes or bool(set(position.between) & set(controller.modes))


def _conflicts(bench: Bench, where: str) -> Iterator[Failure]:
    network = bench.network
    if bench.shorted is not None:
        label, one, two = bench.shorted
        text = f"{where} {one:g} V is joined to {two:g} V"
        yield _conflict(bench, "short", where, "", text, {label}, ())
        return
    drivers: dict[int, list[str]] = {}
    for name, sensor in network.sensors.items():
        label = bench.place["sensor", name][0]
        if label < 0:
            continue
        if sensor.drives == "both" or bench.can_conduct(name):
            drivers.setdefault(label, []).append(name)
        if sensor.drives == "open" and bench.can_conduct(name):
            far = bench.place["return", name][0]
            if label in bench.volts and far in bench.volts and bench.volts[label] != bench.volts[far]:
                text = f"{where} {name} shorts {bench.volts[label]:g} V to {bench.volts[far]:g} V when it conducts"
                yield _conflict(bench, "short", where, name, text, {label, far}, (name,))
    for label, names in drivers.items():
        strong = [name for name in names if network.sensors[name].drives == "both"]
        if not strong:
            continue
        if label in bench.volts:
            text = f"{where} the driven output of {strong[0]} is joined to {bench.volts[label]:g} V"
            yield _conflict(bench, "outputs", where, strong[0], text, {label}, tuple(strong))
        elif len(names) > 1:
            text = f"{where} the outputs of {' and '.join(names)} drive against each other"
            yield _conflict(bench, "outputs", where, "+".join(names), text, {label}, tuple(names))


def _conflict(
    bench: Bench, kind: str, where: str, element: str, text: str, labels: set[int], sensors: tuple[str, ...]
) -> Failure:
    elements = {("contact", name) for name, label in bench.closed if label in labels}
    elements |= {("sensor", name) for name in sensors}
    nets = _nets(bench, labels)
    return Failure(
        kind=kind, position=where, element=element, text=text, nets=nets, elements=frozenset(elements), adding=False
    )


def _nets(bench: Bench, labels: set[int]) -> frozenset[int]:
    return frozenset(net for net, label in enumerate(bench.label) if label in labels)


def _at_input(bench: Bench, position: Position, name: str, where: str) -> Iterator[Failure]:
    view = bench.view(name)
    text = ""
    reading = view.reading
    if reading.trouble:
        kind, text = reading.trouble, f"{where} input {name} {reading.detail}"
    elif position.is_mode:
        kind, text = _wants(bench.network, position.name, name, reading)
        text = f"{where} {text}" if text else ""
    if text:
        yield Failure(
            kind=kind,
            position=where,
            element=name,
            text=text,
            nets=_nets(bench, view.region.labels),
            elements=frozenset(view.region.elements),
        )


def _wants(network: Network, mode: str, name: str, view: Reading) -> tuple[str, str]:
    controller = network.inputs[name]
    if controller.must_read is not None and view.resting - {controller.must_read}:
        got = " and ".join(sorted(view.resting))
        return "reads", f"input {name} reads {got} at rest, the controller needs {controller.must_read}"
    if not controller.must_change or not moving_shafts(network, mode):
        return "", ""
    good = followed(network, mode, name, view)
    if not good:
        turning = [s for s in view.follows if pulse_rate(network, s, mode)[0]]
        if not turning:
            return "still", f"input {name} sees no living sensor that moves"
        if controller.flag_reads and all(view.follows[s] != controller.flag_reads for s in turning):
            return "sense", f"input {name} gets {turning[0]} with the sense turned round"
        rate = pulse_rate(network, turning[0], mode)[1]
        return (
            "slow",
            f"input {name} gets {turning[0]} at {rate:g} Hz, too slow for its time-out of {controller.time_out:g} s",
        )
    return "", ""


def moving_shafts(network: Network, mode: str) -> tuple[str, ...]:
    """Return the shafts that turn in a mode."""
    return network.motion.get(mode, ())


def pulse_rate(network: Network, sensor: str, mode: str, stopped: tuple[str, ...] = ()) -> tuple[bool, float | None]:
    """Return (does it move, fastest known pulse rate [Hz] or None) of a sensor in a mode, some shafts stopped."""
    rates = [
        rates[mode]
        for shaft, rates in network.sensors[sensor].sees.items()
        if mode in rates and shaft in moving_shafts(network, mode) and shaft not in stopped and rates[mode] != 0
    ]
    known = [rate for rate in rates if rate is not None]
    return bool(rates), (max(known) if known and len(known) == len(rates) else None)


def followed(network: Network, mode: str, name: str, view: Reading) -> list[str]:
    """Return the sensors that keep the input content in a mode: seen, moving, right sense, fast enough."""
    controller = network.inputs[name]
    good = []
    for sensor, at_flag in view.follows.items():
        moves, rate = pulse_rate(network, sensor, mode)
        if not moves or (controller.flag_reads and at_flag != controller.flag_reads):
            continue
        if rate is not None and controller.time_out is not None and rate * controller.time_out <= 1:
            continue
        good.append(sensor)
    return good
