"""Read a network file: the reader checks keys, words and units; here the names are checked against each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from xref.errors import DataError
from xref.examples import shipped
from xref.job.remarks import doubt_safety
from xref.library.problem import Problem, clip
from xref.library.reader import examine, first, nearest
from xref.library.tree import Node, read_text, tree
from xref.model.network import Network
from xref.physics.logic_input import family_key

FORMAT = 1
MOST_NETS, MOST_MODES, MOST_ELEMENTS, MOST_LIVE, MOST_POLES = 40, 12, 60, 8, 4
"""Larger than any network a technician draws by hand; above this a search would not end."""

Wrong = tuple[tuple[str | int, ...], str, str]
"""(key path, what is wrong, what instead)."""


def load_network(path: str | Path) -> Network:
    """Read a network file.

    Raises:
        DataError: the file cannot be read, or something in it is wrong (file:line, what, what instead)
    """
    return network_from_text(read_text(Path(path)), str(path))


def network_from_text(text: str, name: str) -> Network:
    """Read a network from the text of a file; ``name`` stands in the messages.

    Raises:
        DataError: the first thing wrong, and how many more there are
    """
    network, found = examine(text, Network, name)
    if network is None:
        _no_job(text, name)
        raise first(found)
    root = tree(text, name)
    wrong = [_problem(root, name, item) for item in contradictions(network)]
    if wrong:
        raise first(sorted(wrong))
    for own, sensor in network.sensors.items():
        doubt_safety(sensor.safety, (own, sensor.output), name, f"{own} is taken as")
    for own, contact in network.contacts.items():
        doubt_safety(contact.safety, (own,), name, f"{own} is taken as")
    return network


def _no_job(text: str, name: str) -> None:
    """Say so when the file is a job file, the form of all other commands."""
    try:
        entries = tree(text, name).entries or {}
    except DataError:
        return
    if "site" in entries and "inputs" not in entries:
        raise DataError(
            "this is a job file (site:); a network file is wanted: answer the questions of xref workaround NEW.yaml "
            f"--ask, or copy {shipped('ring-selector.yaml')}",
            name,
        )


def _problem(root: Node, name: str, item: Wrong) -> Problem:
    path, what, expected = item
    node, line = root, root.line
    for step in path:
        inner = None
        if node.entries is not None:
            inner, line = node.entries.get(str(step)), node.key_lines.get(str(step), line)
        elif node.items is not None and isinstance(step, int) and step < len(node.items):
            inner = node.items[step]
            line = inner.line
        if inner is None:
            break
        node = inner
    return Problem(file=name, line=line, key=".".join(str(step) for step in path), what=what, expected=expected)


def contradictions(network: Network) -> Iterator[Wrong]:
    """Yield everything in a network that does not go together: unknown names, names used twice, impossible values."""
    if network.format != FORMAT:
        yield ("format",), f"format {network.format} is not known", f"format: {FORMAT}"
    yield from _sizes(network)
    yield from _names(network)
    yield from _electrical(network)
    yield from _motion(network)


def _sizes(network: Network) -> Iterator[Wrong]:
    live = sum(sensor.state == "live" for sensor in network.sensors.values())
    poles = len({contact.pole for contact in network.contacts.values()})
    elements = len(network.contacts) + len(network.sensors) + len(network.resistors) + len(network.inputs)
    for key, count, most in (
        ("nets", len(network.nets), MOST_NETS),
        ("modes", len(network.modes), MOST_MODES),
        ("contacts", poles, MOST_POLES),
        ("sensors", live, MOST_LIVE),
        ("inputs", elements, MOST_ELEMENTS),
    ):
        if count > most:
            what = {
                "contacts": "poles",
                "sensors": "living sensors",
                "inputs": "contacts, sensors, resistors and inputs",
            }.get(key, key)
            yield (key,), f"{count} {what}", f"at most {most}: leave out what has nothing to do with the dead sensor"
    for key in ("nets", "modes", "supplies", "sensors", "inputs"):
        if not getattr(network, key):
            yield (key,), "is empty", "at least one entry"


def _names(network: Network) -> Iterator[Wrong]:
    owner: dict[str, str] = dict.fromkeys(network.nets, "nets")
    for key, names in (("nets", network.nets), ("modes", network.modes)):
        for number, name in enumerate(names):
            if not name or name in names[:number]:
                yield (key, number), f'"{clip(name)}" stands twice' if name else "is empty", "each name once"
    for block in ("contacts", "sensors", "resistors", "inputs"):
        for name in getattr(network, block):
            if name in owner:
                yield (block, name), f'"{name}" is already a name under {owner[name]}', "another name"
            owner[name] = block
    for name, contact in network.contacts.items():
        yield from _known(contact.joins, network.nets, ("contacts", name, "joins"), "net", numbered=True)
        yield from _known(contact.closed_in, network.modes, ("contacts", name, "closed_in"), "mode", numbered=True)
    for name, sensor in network.sensors.items():
        yield from _known([sensor.output], network.nets, ("sensors", name, "output"), "net")
        yield from _known([sensor.to] if sensor.to else [], network.nets, ("sensors", name, "to"), "net")
        if sensor.emitter is not None:
            for end in ("anode", "cathode"):
                net = getattr(sensor.emitter, end)
                yield from _known([net], network.nets, ("sensors", name, "emitter", end), "net")
    for name, resistor in network.resistors.items():
        yield from _known(resistor.between, network.nets, ("resistors", name, "between"), "net", numbered=True)
    for name, entry in network.inputs.items():
        yield from _known([entry.net], network.nets, ("inputs", name, "net"), "net")
        yield from _known(entry.modes, network.modes, ("inputs", name, "modes"), "mode", numbered=True)
    for number, pair in enumerate(network.jumpers):
        yield from _known(pair, network.nets, ("jumpers", number), "net", numbered=True)
    yield from _known(network.supplies, network.nets, ("supplies",), "net", keyed=True)
    yield from _known(network.keep, list(owner), ("keep",), "net, contact, sensor, resistor or input", numbered=True)


def _known(
    used: Iterable[str],
    known: Iterable[str],
    path: tuple[str | int, ...],
    what: str,
    *,
    numbered: bool = False,
    keyed: bool = False,
) -> Iterator[Wrong]:
    choices = list(known)
    for number, name in enumerate(used):
        if name not in choices:
            near = nearest(name, choices)
            expected = f'"{near}"' if near else "one of " + ", ".join(choices[:12])
            place = (*path, number) if numbered else (*path, name) if keyed else path
            yield place, f'no {what} "{clip(name)}"', f"expected {expected}"


def _electrical(network: Network) -> Iterator[Wrong]:
    for name, contact in network.contacts.items():
        if contact.joins[0] == contact.joins[1]:
            yield ("contacts", name, "joins"), "joins a net with itself", "two different nets"
    for name, resistor in network.resistors.items():
        if resistor.between[0] == resistor.between[1]:
            yield ("resistors", name, "between"), "both ends on one net", "two different nets"
        if resistor.value <= 0:
            yield ("resistors", name, "value"), "is not above zero", "a resistance like 10k"
    for name, sensor in network.sensors.items():
        for key in ("lit", "dark", "leaks"):
            value = getattr(sensor, key)
            if value is not None and value <= 0:
                yield ("sensors", name, key), "is not above zero", "a resistance like 300R"
        if sensor.drives == "both" and (sensor.to or sensor.dark is not None):
            key = "to" if sensor.to else "dark"
            yield ("sensors", name, key), "belongs to an open output", "leave it out, or drives: open"
        if sensor.swings is not None and sensor.swings[0] >= sensor.swings[1]:
            yield ("sensors", name, "swings"), "low is not under high", "like [0.3V, 4.5V]"
        if sensor.to and sensor.to == sensor.output:
            yield ("sensors", name, "to"), "is the output itself", "the net that it pulls to, mostly 0V"
        if sensor.state == "live" and (sensor.leaks is not None or sensor.stays != "dark"):
            key = "leaks" if sensor.leaks is not None else "stays"
            yield ("sensors", name, key), "says how a dead sensor fails, but this one is live", "state: dead"
        emitter = sensor.emitter
        if emitter is not None and emitter.anode == emitter.cathode:
            yield ("sensors", name, "emitter"), "anode and cathode on one net", "two different nets"
        if emitter is not None and emitter.open and sensor.state == "live":
            yield ("sensors", name, "emitter", "open"), "the emitter is open, so the sensor is not live", "state: dead"
    for name, entry in network.inputs.items():
        if entry.input and (entry.low_below is None or entry.high_above is None):
            try:
                family_key(entry.input)
            except DataError as error:
                yield ("inputs", name, "input"), error.message, ""
        low = 0.8 if entry.low_below is None else entry.low_below
        high = 2.0 if entry.high_above is None else entry.high_above
        if low >= high:
            yield ("inputs", name), f"low_below {low:g} V is not under high_above {high:g} V", "low under high"
        if entry.time_out is not None and entry.time_out <= 0:
            yield ("inputs", name, "time_out"), "is not above zero", "a time like 2s"


def _motion(network: Network) -> Iterator[Wrong]:
    shafts = sorted({shaft for turning in network.motion.values() for shaft in turning})
    yield from _known(network.motion, network.modes, ("motion",), "mode", keyed=True)
    for name, sensor in network.sensors.items():
        for shaft, rates in sensor.sees.items():
            yield from _known([shaft], shafts, ("sensors", name, "sees", shaft), "shaft under motion")
            yield from _known(rates, network.modes, ("sensors", name, "sees", shaft), "mode", keyed=True)
            for mode, rate in rates.items():
                if (
                    shaft in shafts
                    and mode in network.modes
                    and rate != 0
                    and shaft not in network.motion.get(mode, ())
                ):
                    yield (
                        ("sensors", name, "sees", shaft, mode),
                        f"{shaft} does not turn in mode {mode} by motion",
                        f"{shaft} under motion.{mode}, or no rate here",
                    )
    for name, fault in network.faults.items():
        yield from _known(fault.stops, shafts, ("faults", name, "stops"), "shaft under motion", numbered=True)
        yield from _known(fault.shown_by, network.sensors, ("faults", name, "shown_by"), "sensor", numbered=True)
        yield from _known(fault.modes, network.modes, ("faults", name, "modes"), "mode", numbered=True)
        if not fault.stops and not fault.shown_by:
            yield ("faults", name), "neither stops a shaft nor is shown by a sensor", "stops: or shown_by:"
    for name, entry in network.inputs.items():
        for user, needs in entry.also.items():
            path = ("inputs", name, "also", user)
            yield from _known([needs.follows], shafts, (*path, "follows"), "shaft under motion")
            yield from _known(needs.modes, network.modes, (*path, "modes"), "mode", numbered=True)
