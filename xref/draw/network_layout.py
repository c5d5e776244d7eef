"""A network as a grid: each net a row, each element a column that reaches from one net to the other.

This form draws any network, without crossings that could be taken for joints, and shows each mode by its contacts.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from xref.model.network import Action, Network

Symbol = Literal["sensor", "dead", "closed", "open", "resistor", "emitter", "jumper"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One element: its name, a word below it, what it is, and the rows that it touches (none when cut off)."""

    name: str
    note: str
    symbol: Symbol
    rows: tuple[int, ...]
    changed: bool = False

    @property
    def conducts(self) -> bool:
        """False for an open contact and a dead sensor."""
        return self.symbol not in ("open", "dead")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ladder:
    """One network in one mode. ``rows`` are the nets from the highest supply down to the lowest."""

    title: str
    rows: tuple[str, ...]
    reads: tuple[tuple[str, ...], ...]
    """Inputs of the controller on each row, a moved one with a star."""
    columns: tuple[Column, ...]


def ladder(network: Network, mode: str, title: str, actions: tuple[Action, ...] = ()) -> Ladder:
    """Lay out a network in one mode. ``actions``: what was done, to mark the changed columns and new jumpers."""
    rows = _rows(network)
    at = {net: number for number, net in enumerate(rows)}
    changed: dict[tuple[str, str], str] = {
        (action.of, action.element): action.do for action in actions if action.element
    }

    def place(*nets: str) -> tuple[int, ...]:
        return tuple(at[net] for net in nets) if "" not in nets else ()

    def note(of: str, name: str, usual: str) -> str:
        return {"lift": "off", "cut": "off", "move": "moved"}.get(changed.get((of, name), ""), usual)

    columns = []
    zero = min(network.supplies, key=lambda net: abs(network.supplies[net]))
    for name, sensor in network.sensors.items():
        nets = (sensor.output,) if sensor.drives == "both" else (sensor.output, sensor.to or zero)
        dead = sensor.state == "dead"
        columns.append(
            Column(
                name=name,
                note=note("sensor", name, "DEAD" if dead else "live"),
                symbol="dead" if dead else "sensor",
                rows=place(*nets),
                changed=("sensor", name) in changed,
            )
        )
    for name, sensor in network.sensors.items():
        if sensor.emitter is not None:
            columns.append(
                Column(
                    name=f"{name} emitter",
                    note=note("emitter", name, "open" if sensor.emitter.open else ""),
                    symbol="dead" if sensor.emitter.open else "emitter",
                    rows=place(sensor.emitter.anode, sensor.emitter.cathode),
                    changed=("emitter", name) in changed,
                )
            )
    for name, contact in network.contacts.items():
        closed = mode in contact.closed_in
        columns.append(
            Column(
                name=name,
                note=note("contact", name, "closed" if closed else "open"),
                symbol="closed" if closed else "open",
                rows=place(*contact.joins),
                changed=("contact", name) in changed,
            )
        )
    new = [action.nets for action in actions if action.do == "jumper"]
    for pair in network.jumpers:
        fresh = pair in new
        columns.append(
            Column(name="jumper", note="NEW" if fresh else "", symbol="jumper", rows=place(*pair), changed=fresh)
        )
    for name, resistor in network.resistors.items():
        columns.append(
            Column(
                name=name,
                note=note("resistor", name, ohms(resistor.value)),
                symbol="resistor",
                rows=place(*resistor.between),
                changed=("resistor", name) in changed,
            )
        )
    reads: list[list[str]] = [[] for _ in rows]
    for name, entry in network.inputs.items():
        reads[at[entry.net]].append(("*" if ("input", name) in changed else "") + name)
    return Ladder(title=title, rows=rows, reads=tuple(map(tuple, reads)), columns=tuple(columns))


def ohms(value: float) -> str:
    """Return a resistance as it is written on a drawing: 220R, 4.7k, 1M."""
    for factor, letter in ((1e6, "M"), (1e3, "k")):
        if value >= factor:
            return f"{value / factor:g}{letter}"
    return f"{value:g}R"


def _rows(network: Network) -> tuple[str, ...]:
    supplies = sorted(network.supplies, key=lambda net: -network.supplies[net])
    signals = [net for net in network.nets if net not in network.supplies]
    return (*supplies[:1], *signals, *supplies[1:])
