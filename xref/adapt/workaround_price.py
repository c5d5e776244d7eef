"""The price of a wiring: for every mode and fault, who noticed it before and who notices it now."""

from __future__ import annotations

from dataclasses import dataclass

from xref.adapt.workaround_checks import followed, moving_shafts, pulse_rate
from xref.adapt.workaround_positions import Position
from xref.adapt.workaround_simulate import Bench, Reading
from xref.adapt.workaround_wiring import Compiled, Wiring
from xref.model.answers.workaround import Lost, Seen, Signal
from xref.model.network import Fault, Network

Views = dict[tuple[str, str], Reading]
"""(mode, input) to what the input gets."""

LOW_RESERVE = 2.0
"""Fewer pulses than this in one time-out is said as a warning: a slow turn of the shaft would stop the machine."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """What a wiring notices, what it loses against the healthy machine, and what deserves a warning."""

    before: tuple[Seen, ...]
    after: tuple[Seen, ...]
    lost: tuple[Lost, ...]
    signals: tuple[Signal, ...]
    warnings: tuple[str, ...]


def views(compiled: Compiled, wiring: Wiring, places: list[Position], *, healthy: bool = False) -> Views:
    """Measure every watched input in every mode."""
    found: Views = {}
    for position in places:
        if position.is_mode:
            bench = Bench(compiled, wiring, position, healthy=healthy)
            if bench.shorted is not None:
                continue
            for name, controller in compiled.network.inputs.items():
                if not controller.modes or position.name in controller.modes:
                    found[position.name, name] = bench.view(name).reading
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Baseline:
    """The machine with every sensor alive, and what no living sensor could tell any more."""

    views: Views
    seen: tuple[Seen, ...]
    hopeless: frozenset[tuple[str, str, str]]


def baseline(compiled: Compiled, places: list[Position]) -> Baseline:
    """Measure the healthy machine once."""
    then = views(compiled, compiled.start, places, healthy=True)
    seen = noticed(compiled.network, then)
    return Baseline(views=then, seen=seen, hopeless=_hopeless(compiled.network, then, seen))


def price(compiled: Compiled, wiring: Wiring, places: list[Position], base: Baseline) -> Price:
    """Compare a wiring with the machine as it was when every sensor lived."""
    network = compiled.network
    now = views(compiled, wiring, places)
    after = noticed(network, now)
    lost = _lost_faults(network, base, after, now) + _lost_users(network, base, now)
    warnings = _warnings(network, base.views, now)
    return Price(before=base.seen, after=after, lost=lost, signals=_signals(network, now), warnings=warnings)


def noticed(network: Network, seen: Views) -> tuple[Seen, ...]:
    """List every way in which a fault is noticed."""
    rows = []
    for mode in network.modes:
        for name, fault in network.faults.items():
            if not applies(network, mode, fault):
                continue
            for (where, controller), view in seen.items():
                if where == mode:
                    rows += _by_level(mode, name, fault, controller, view)
                    rows += _by_pulses(network, mode, name, fault, controller, view)
    return tuple(rows)


def applies(network: Network, mode: str, fault: Fault) -> bool:
    """True when the fault can happen in the mode: it stops something that turns there, or a level sensor shows it."""
    if fault.modes and mode not in fault.modes:
        return False
    return bool(fault.shown_by) or bool(set(fault.stops) & set(moving_shafts(network, mode)))


def _by_level(mode: str, name: str, fault: Fault, controller: str, view: Reading) -> list[Seen]:
    shown = [sensor for sensor in view.follows if sensor in fault.shown_by]
    return [Seen(mode=mode, fault=name, input=controller, sensor=sensor, within_s=0.0) for sensor in shown]


def _by_pulses(network: Network, mode: str, name: str, fault: Fault, controller: str, view: Reading) -> list[Seen]:
    entry = network.inputs[controller]
    if not entry.must_change:
        return []
    rows = []
    for sensor in followed(network, mode, controller, view):
        moves, left = pulse_rate(network, sensor, mode, fault.stops)
        rate = pulse_rate(network, sensor, mode)[1]
        slow = left is not None and entry.time_out is not None and left * entry.time_out < 1
        if not moves or slow:
            reserve = None if rate is None or entry.time_out is None else rate * entry.time_out
            rows.append(
                Seen(
                    mode=mode,
                    fault=name,
                    input=controller,
                    sensor=sensor,
                    within_s=entry.time_out,
                    pulse_hz=rate,
                    reserve=reserve,
                )
            )
    return rows


def _signals(network: Network, seen: Views) -> tuple[Signal, ...]:
    rows = []
    for (mode, controller), view in seen.items():
        for sensor in view.follows:
            rate = pulse_rate(network, sensor, mode)[1]
            rows.append(
                Signal(
                    mode=mode,
                    input=controller,
                    sensor=sensor,
                    pulse_hz=rate,
                    low_max_v=view.low_max,
                    high_min_v=view.high_min,
                )
            )
    return tuple(rows)


def _lost_faults(network: Network, base: Baseline, after: tuple[Seen, ...], now: Views) -> tuple[Lost, ...]:
    still = {(row.mode, row.fault) for row in after}
    lost: dict[tuple[str, str], Lost] = {}
    for row in base.seen:
        key = (row.mode, row.fault)
        if key in still or key in lost:
            continue
        text = f"in mode {row.mode}, '{row.fault}' is no longer noticed (was seen by {row.sensor} at input {row.input}"
        text += _time(row) + ")" + _instead(network, row, now.get((row.mode, row.input)))
        lost[key] = Lost(
            mode=row.mode,
            what=row.fault,
            kind="fault",
            matters=network.faults[row.fault].matters,
            curable=("fault", *key) not in base.hopeless,
            text=text,
        )
    return tuple(lost.values())


def _time(row: Seen) -> str:
    if row.within_s == 0:
        return ", at once"
    return ", time-out not stated" if row.within_s is None else f", within {row.within_s:g} s"


def _instead(network: Network, row: Seen, view: Reading | None) -> str:
    if view is None or not view.follows:
        return f"; {row.input} now gets a constant level"
    sensor = next(iter(view.follows))
    moves, rate = pulse_rate(network, sensor, row.mode, network.faults[row.fault].stops)
    if not moves:
        return f"; {row.input} now gets {sensor}"
    return f"; {row.input} now gets {sensor}, which goes on{_at(rate)}"


def _at(rate: float | None) -> str:
    return " (rate not known)" if rate is None else f" at {rate:g} Hz"


def carried(network: Network, mode: str, view: Reading | None) -> frozenset[tuple[str, float | None]]:
    """Return the (shaft, rate [Hz]) that the sensors seen at an input report in a mode."""
    if view is None:
        return frozenset()
    return frozenset(
        (shaft, rates[mode])
        for sensor in view.follows
        for shaft, rates in network.sensors[sensor].sees.items()
        if mode in rates and shaft in moving_shafts(network, mode) and rates[mode] != 0
    )


def _lost_users(network: Network, base: Baseline, now: Views) -> tuple[Lost, ...]:
    lost = []
    for name, controller in network.inputs.items():
        for user, entry in controller.also.items():
            for mode in entry.modes or network.modes:
                had, has = (carried(network, mode, seen.get((mode, name))) for seen in (base.views, now))
                if entry.follows not in {shaft for shaft, _ in had} or had == has:
                    continue
                gets = " and ".join(f"{shaft}{_at(rate)}" for shaft, rate in sorted(has, key=str)) or "no pulses"
                was = " and ".join(f"{shaft}{_at(rate)}" for shaft, rate in sorted(had, key=str))
                text = f"in mode {mode}, {user} (second user of {name}) followed {was}; it now gets {gets}"
                curable = ("user", mode, f"{name}/{user}") not in base.hopeless
                lost.append(Lost(mode=mode, what=user, kind="user", matters=True, curable=curable, text=text))
    return tuple(lost)


def _hopeless(network: Network, then: Views, seen: tuple[Seen, ...]) -> frozenset[tuple[str, str, str]]:
    """Return ('fault', mode, fault) and ('user', mode, input/user) that no living sensor could tell.

    A lower bound: the healthy machine had it, and every wiring loses it.
    """
    had = {(row.mode, row.fault) for row in seen}
    living = [name for name, sensor in network.sensors.items() if sensor.state == "live"]
    lost = set()
    for mode, name in had:
        fault = network.faults[name]
        if set(fault.shown_by) & set(living):
            continue
        if not any(_slows(network, sensor, mode, fault) for sensor in living):
            lost.add(("fault", mode, name))
    for name, controller in network.inputs.items():
        for user, entry in controller.also.items():
            for mode in entry.modes or network.modes:
                shafts = {shaft for shaft, _ in carried(network, mode, then.get((mode, name)))}
                tells = any(mode in network.sensors[s].sees.get(entry.follows, {}) for s in living)
                if entry.follows in shafts and not tells:
                    lost.add(("user", mode, f"{name}/{user}"))
    return frozenset(lost)


def _slows(network: Network, sensor: str, mode: str, fault: Fault) -> bool:
    return any(
        mode in rates and shaft in fault.stops and shaft in moving_shafts(network, mode)
        for shaft, rates in network.sensors[sensor].sees.items()
    )


def _warnings(network: Network, then: Views, now: Views) -> tuple[str, ...]:
    lines = []
    for (mode, name), view in now.items():
        entry = network.inputs[name]
        old = then.get((mode, name))
        for sensor in followed(network, mode, name, view):
            if not entry.must_change or (old is not None and sensor in old.follows):
                continue
            rate = pulse_rate(network, sensor, mode)[1]
            if rate is None:
                lines.append(
                    f"in mode {mode}, the pulse rate of {sensor} is not known: count its pulses against the time-out "
                    f"of {name} before you rely on it"
                )
            elif entry.time_out is None:
                lines.append(
                    f"the time-out of {name} is not known: whether {rate:g} Hz is enough in mode {mode} is open"
                )
            elif rate * entry.time_out < LOW_RESERVE:
                lines.append(
                    f"in mode {mode}, {sensor} gives {rate:g} Hz: only {rate * entry.time_out:.2g} pulses in the "
                    f"time-out of {entry.time_out:g} s; a little slower and the controller stops"
                )
    return tuple(lines)
