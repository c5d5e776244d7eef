"""The independent check of values and signal: rebuilds the circuit of a fit from the answer and asks what is wrong.

It shares no code with the solvers, nor with the physics rooms: plain series circuits, straight load lines and the
printed limits, in its own few equations. Of other rooms it reads model classes and the printed table of logic levels.
Light is known to it only roughly, so its band for a reserve is wide (``verify_levels``); limits, polarity, sense and
what hangs together are exact.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from xref.adapt.original import Original
from xref.adapt.verify_levels import Seen, level_reasons, sense_reasons
from xref.model.answers.fit import Added, Fit
from xref.model.part import Part
from xref.model.site import Site

_OFF = 0.05
_HOT = 100.0
_ASSUMED_MA = 20.0
"""Emitter current that may be used where no limit is known; beyond it nothing may be called clean."""
_LOW = {"0V", "GND", "0", "VSS", "COMMON"}
_RAILS = {"supply", "0V", "emitter supply", "two-state resistor", "its pad", "its other end"}
_GOES = {
    "A": {"A"}, "K": {"K"}, "C": {"C", "OUT", "K2"}, "E": {"E", "GND", "A2"}, "OUT": {"OUT", "C", "E"},
    "GND": {"GND", "E"}, "VCC": {"VCC", "C"}, "A2": {"A2", "E"}, "K2": {"K2", "C"}, "B": {"B"},
}  # fmt: skip
_FALLING = {"A": "high", "C": "high", "VCC": "high", "K2": "high", "K": "low", "E": "low", "GND": "low", "A2": "low"}


def verify_signal(original: Original, donor: Part, fit: Fit, site: Site) -> list[str]:
    """Reasons why values and signal of ``fit`` must not be trusted; empty when they are confirmed.

    Args:
        original: pads and what they ask for
        donor: the part that goes in
        fit: the answer, with connections, values, added and signal
        site: the board as it was before the fit's own changes
    """
    if not fit.possible or fit.signal is None:
        return []
    if donor.kind != "switch" and donor.origin == "typed":
        return level_reasons(Seen(original, donor, fit, site))
    seen = Seen(original, donor, fit, site)
    reasons = [*_values(fit), *_stage(original, donor, fit)]
    if reasons:
        return reasons
    reasons = _polarity(original, donor, fit, seen)
    reasons += _emitter(donor, fit, seen) + _detector(donor, seen) + _drive(original, donor, fit, site, seen)
    if reasons or fit.signal.clean is False:
        # what is said not to be clean needs no proof of its levels
        return reasons
    return [*sense_reasons(seen), *level_reasons(seen)]


def _values(fit: Fit) -> list[str]:
    reasons = [
        f"{change.where}: {change.now_ohm:g} ohm is no resistor"
        for change in fit.values
        if not 0 < change.now_ohm < math.inf
    ]
    names = [change.where for change in fit.values]
    return reasons + [f"{name} is changed twice" for name in sorted(set(names)) if names.count(name) > 1]


def _end(text: str) -> str:
    return text.split(": ")[-1]


def _stage(original: Original, donor: Part, fit: Fit) -> list[str]:
    """Added components: every end exists or is shared by two, resistors have a value, no lead of a stage hangs free."""
    pads = {f"pad {pad.label}" for pad in original.pads} | {f"pad tap {tap.net}" for tap in original.taps}
    leads = {f"lead {name}" for name in _lead_names(donor)}
    ends = [_end(text) for item in fit.added for text in item.between]
    reasons = []
    for end in sorted(set(ends)):
        if end.startswith("lead "):
            if end not in leads:
                reasons.append(f"an added part is on {end}, which the donor has not")
        elif end.startswith("pad "):
            if end not in pads:
                reasons.append(f"an added part is on {end}, which the board has not")
        elif end not in _RAILS and ends.count(end) < 2:
            reasons.append(f"'{end}' of the added stage hangs free")
    for item in fit.added:
        reasons += _component(item)
    reasons += [f"lead {name} goes to an added stage and none takes it" for name in fit.staged_leads
                if f"lead {name}" not in ends]  # fmt: skip
    return reasons


def _component(item: Added) -> list[str]:
    ends = [_end(text) for text in item.between]
    resistor = "resistor" in item.what or item.what == "dummy load"
    if resistor and (item.value_ohm is None or not 0 < item.value_ohm < math.inf):
        return [f"{item.what} has no value"]
    if resistor and (len(ends) != 2 or ends[0] == ends[1]):
        return [f"{item.what} does not stand between two places"]
    if not resistor and {"supply", "0V"} == set(ends):
        return [f"{item.what} shorts the supply"]
    if "transistor" in item.what and [text.split(": ")[0] for text in item.between] != ["collector", "base", "emitter"]:
        return [f"{item.what}: collector, base and emitter are not all connected"]
    if "gate" in item.what and {text.split(": ")[0] for text in item.between} != {"input", "output", "VCC", "GND"}:
        return [f"{item.what}: input, output, supply and ground are not all connected"]
    return []


def _lead_names(donor: Part) -> dict[str, frozenset[str]]:
    found: dict[str, frozenset[str]] = {}
    for number, lead in enumerate(donor.geometry.leads, 1):
        base = lead.label or str(number)
        name, again = base, 2
        while name in found:
            name, again = f"{base}-{again}", again + 1
        found[name] = frozenset(word.rstrip("2") if word in ("C2", "E2", "OUT2") else word
                                for word in lead.function.split("+") if word not in ("", "NC"))  # fmt: skip
    return found


def _polarity(original: Original, donor: Part, fit: Fit, seen: Seen) -> list[str]:
    """Every function of the donor on a net that may take it; nothing reversed, nothing across the rails."""
    leads = _lead_names(donor)
    there: dict[str, set[str]] = {}
    for pad in original.pads:
        there.setdefault(f"pad {pad.label}", set()).update(pad.functions)
    nets: dict[str, set[str]] = {}
    # a cut gives a pad another net; without cuts the board's own nets count
    moved = {c.pad: c.net for c in fit.connections} if fit.cuts else {}
    for pad in original.pads:
        nets.setdefault(moved.get(pad.label, pad.net), set()).update(pad.functions)
    reasons: list[str] = []
    sides: dict[str, set[str]] = {}
    for connection in fit.connections:
        asked = set(there.get(f"pad {connection.pad}", set()))
        asked |= nets.get(connection.net, set())
        tap = connection.pad.startswith("tap ")
        for function in leads.get(connection.lead, frozenset()):
            if not seen.uses(function):
                continue
            sides.setdefault(function, set()).update({_FALLING[f] for f in asked if f in _FALLING})
            if tap:
                low = connection.net.upper() in _LOW
                if function in ("VCC", "GND") and low == (function == "VCC"):
                    reasons.append(f"{function} of the donor is on {connection.net}")
                continue
            if asked and not asked & _goes(function, seen):
                reasons.append(_misplaced(function, asked, donor, seen))
    for function, both in sides.items():
        if both == {"high", "low"} and len([c for c in fit.connections if function in leads.get(c.lead, ())]) > 1:
            reasons.append(f"{function} of the donor joins a high and a low net: a short across the supply")
    bridged = {(pad.label): {_FALLING[f] for f in pad.functions if f in _FALLING} for pad in original.pads}
    for link in fit.links:
        if {"high", "low"} <= set().union(*(bridged.get(end, set()) for end in link.between)):
            reasons.append(f"the link {' to '.join(link.between)} shorts a high net to a low one")
    return reasons


def _goes(function: str, seen: Seen) -> set[str]:
    allowed = set(_GOES.get(function, {function}))
    if seen.donor.output == "photodiode" and seen.donor.kind == "detector":
        allowed |= {"A": {"E"}, "K": {"C"}}.get(function, set())
    if seen.half == "detector":
        allowed |= {"C": {"K"}, "E": {"A"}}.get(function, set())
    if function == "OUT":
        allowed -= {"C"} if seen.side == "E" else {"E"}
    return allowed


def _misplaced(function: str, asked: set[str], donor: Part, seen: Seen) -> str:
    wrong = "+".join(sorted(asked))
    if function in ("A", "K") and asked & {"A", "K"} - {function}:
        limit = donor.emitter.vr_max_v
        known = "not known" if limit is None else f"{limit:g} V"
        volts = f"{seen.emitter_supply:g} V against VR {known}"
        return f"the emitter is reversed: {function} is where {wrong} belongs, {volts}"
    if function in ("C", "E") and asked & {"C", "E"} - {function}:
        limit = donor.detector.veco_max_v
        known = "not known" if limit is None else f"{limit:g} V"
        return f"the detector is reversed: {function} is where {wrong} belongs, {seen.supply:g} V against VECO {known}"
    return f"{function} of the donor is where the board wants {wrong}"


def _emitter(donor: Part, fit: Fit, seen: Seen) -> list[str]:
    """The emitter current over all tolerances against its limit, derated to 0 at 100 C, and against what is said."""
    if not seen.uses("A") or seen.half == "detector":
        return []
    low, high = seen.emitter_current(-1), seen.emitter_current(1)
    reasons = []
    limit = donor.emitter.if_max_ma
    if limit is not None:
        hot = max(seen.temp_c[1], 25.0)
        allowed = limit * 1e-3 * max(_HOT - hot, 0.0) / (_HOT - 25.0)
        if high > allowed * 1.03 + 1e-6:
            reasons.append(
                f"emitter current up to {high * 1e3:.3g} mA, {allowed * 1e3:.3g} mA are allowed at {hot:g} C"
            )
    elif high > _ASSUMED_MA * 1.03e-3 and fit.signal is not None:
        changed = any(change.where == "emitter resistor" for change in fit.values)
        if fit.signal.clean or changed:
            reasons.append(f"emitter current up to {high * 1e3:.3g} mA, IF max not known: {_ASSUMED_MA:g} mA assumed")
    stated = fit.signal.emitter_ma if fit.signal is not None else None
    if stated is not None:
        for mine, theirs in ((low, stated[0] / 1e3), (high, stated[1] / 1e3)):
            if abs(mine - theirs) > 0.1 * mine + 0.2e-3:
                reasons.append(f"emitter current {theirs * 1e3:.3g} mA is stated, {mine * 1e3:.3g} mA found")
    return reasons


def _detector(donor: Part, seen: Seen) -> list[str]:
    """VCEO, IC, PD of a transistor; the supply range of a logic output."""
    if seen.half == "emitter":
        return []
    d, top = donor.detector, seen.supply * (1 + _OFF)
    reasons = []
    if seen.logic:
        reasons += _supplied(donor, seen)
        return reasons
    if d.vceo_max_v is not None and top > d.vceo_max_v:
        reasons.append(f"{top:.3g} V across the detector, VCEO is {d.vceo_max_v:g} V")
    current = top / (seen.load * (1 - _OFF))
    if seen.amplified:
        current /= 100.0
    if d.ic_max_ma is not None and current > d.ic_max_ma * 1e-3 * 1.01:
        reasons.append(f"collector current up to {current * 1e3:.3g} mA, IC is {d.ic_max_ma:g} mA at most")
    if d.p_max_mw is not None and top * current / 4 > d.p_max_mw * 1e-3 * 1.01:
        reasons.append(f"{top * current / 4e-3:.3g} mW in the detector, {d.p_max_mw:g} mW are allowed")
    return reasons


def _supplied(donor: Part, seen: Seen) -> list[str]:
    d = donor.detector
    low = d.vcc_v.min if d.vcc_v is not None else None
    high = d.vcc_v.max if d.vcc_v is not None else None
    most = min((value for value in (high, d.vcc_abs_max_v) if value is not None), default=None)
    if low is not None and seen.supply < low:
        return [f"the sensor needs {low:g} V, the supply is {seen.supply:g} V"]
    if most is not None and seen.supply > most:
        return [f"the sensor bears {most:g} V, the supply is {seen.supply:g} V"]
    return []


def _drive(original: Original, donor: Part, fit: Fit, site: Site, seen: Seen) -> list[str]:
    """An output that only pulls one way needs something that pulls the other way; a stage needs its base current."""
    if seen.half == "emitter" or fit.signal is None or fit.signal.clean is False:
        return []
    pulls_up = any(_rises(item) for item in fit.added)
    asks_out = any("OUT" in pad.functions for pad in original.pads)
    open_ended = not seen.logic or donor.output == "logic-open-collector"
    reasons = []
    if seen.inverter:
        reasons += _base(donor, fit, seen, pulls_up)
    elif asks_out and site.output.load is None and not seen.logic and not pulls_up and not seen.gates:
        reasons.append("nothing pulls the output up: the old logic output did, a transistor needs a pull-up resistor")
    elif open_ended and seen.logic and seen.side == "E" and not pulls_up:
        reasons.append("nothing pulls the open collector up: its load goes to 0 V")
    if seen.gates and seen.own_load is None:
        reasons.append("the detector has no load of its own at the added gate")
    return reasons


def _rises(item: Added) -> bool:
    return "pull-up" in item.what and "supply" in [_end(text) for text in item.between]


def _base(donor: Part, fit: Fit, seen: Seen, pulls_up: bool) -> list[str]:
    """The base current of an added transistor against a twentieth of its collector current."""
    base = [
        item.value_ohm or 0.0
        for item in fit.added
        if "base of Q1" in [_end(t) for t in item.between] and item.value_ohm
    ]
    if not base:
        return ["the added transistor has no base resistor"]
    bottom = seen.supply * (1 - _OFF)
    above = _sum(item.value_ohm for item in fit.added if _rises(item))
    drive = bottom
    if donor.output == "logic-open-collector" and not pulls_up:
        return ["nothing pulls the base of the added transistor up: a pull-up resistor is missing"]
    if donor.output == "logic-pull-up" and not pulls_up:
        above = donor.detector.pull_up_ohm or 10e3
    if donor.output == "logic-totem-pole":
        voh = donor.detector.voh_v
        drive = voh.min if voh is not None and voh.min is not None else bottom - 1.0
        above = 0.0
    current = (drive - 0.8) / (sum(base) + above)
    collector = seen.supply * (1 + _OFF) / (seen.load * (1 - _OFF)) + seen.input_low
    return [] if current * 20 >= collector else [f"base current {current * 1e6:.3g} uA is too little for the load"]


def _sum(values: Iterable[float | None]) -> float:
    return sum(value for value in values if value is not None)
