"""Which net each function of the donor must reach, from what the pads ask for.

Same functions answer each other. Logic for transistor and the reverse, and a photodiode for a transistor, are mapped
as far as wiring goes; what must be added around them is the business of others.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from xref.adapt.original import EMITTER, Original
from xref.model.part import Part

GROUND_NAMES = frozenset({"0V", "GND", "0", "VSS", "COMMON"})
"""Names that a ground net or tap usually has (compared without case)."""

CHECK_LOGIC = "a logic output replaces a transistor: sense and levels need a check"
"""Said until a clean signal has settled it."""

DECOUPLE_DONOR = "100 nF between VCC and GND of the donor, close to its leads (common practice, no source)"

NEVER_SHARED = "a totem pole must never share a line with another output: the two would drive against each other"

OPTIONAL = frozenset({"B"})
"""A base pad may stay empty: the light drives the base."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Roles:
    """``nets``: donor function to net. ``missing``: what the board asks for and the donor has not; one word each."""

    nets: dict[str, str]
    missing: tuple[str, ...] = ()
    needs_supply: bool = False
    empty_pads: tuple[str, ...] = ()
    spare: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()


def function_nets(original: Original) -> dict[str, list[str]]:
    """Nets of every function that the pads ask for, in the order of the pads."""
    found: dict[str, list[str]] = {}
    for pad in original.pads:
        for function in pad.functions:
            if pad.net not in found.setdefault(function, []):
                found[function].append(pad.net)
    return found


def used_half(functions: frozenset[str], kind: str, keep: tuple[str, ...]) -> frozenset[str]:
    """The functions left when one half of the original stays in service."""
    if kind in ("emitter", "detector"):
        return functions
    if "emitter" in keep:
        functions = functions - EMITTER
    if "detector" in keep:
        functions = functions & EMITTER
    return functions


def channels(original: Original, donor: Part) -> tuple[int, ...]:
    """Channels of the donor that may serve a board with one: (1,) or (1, 2)."""
    asked = {function for pad in original.pads for function in pad.functions}
    two = {"C2", "E2", "OUT2"}
    return (1, 2) if two & _functions(donor) and not two & asked else (1,)


def roles(
    original: Original, donor: Part, nets: Mapping[str, str], keep: tuple[str, ...] = (), channel: int = 1
) -> Roles:
    """Nets that the donor's functions must reach.

    Args:
        original: pads and rails
        donor: the part that goes in
        nets: net of every function of the board (after board changes)
        keep: 'emitter' or 'detector': that half of the original stays in service
        channel: 2 uses the second channel of the donor in place of the first
    """
    wanted = used_half(frozenset(nets), original.kind, keep)
    offered = used_half(_functions(donor), donor.kind, keep)
    seconds = {f"{f}2": f for f in ("C", "E", "OUT") if f"{f}2" in offered} if channel == 2 else {}
    plays, notes, assumed = _plays(original, wanted, offered, donor)
    if seconds:
        plays = {
            **plays,
            **{second: plays.get(f, f) for second, f in seconds.items()},
            **dict.fromkeys(seconds.values(), ""),
        }
        assumed.append(f"channel 2 of {donor.name} is used: its beam does not lie in the middle of the part")
    found: dict[str, str] = {}
    for function in sorted(offered):
        target = plays.get(function, function)
        if target in wanted:
            found[function] = nets[target]
    needs_supply = False
    for function in ("VCC", "GND"):
        if function in offered and function not in found:
            net = _tap(original, ground=function == "GND")
            if net is None:
                needs_supply = True
            else:
                found[function] = net
                assumed.append(f"{function} taken from the point {net}")
    played = {plays.get(function, function) for function in found}
    lacking = wanted - played - OPTIONAL
    if "VCC" in offered:
        notes.append(DECOUPLE_DONOR)
    if donor.output == "logic-totem-pole":
        notes.append(NEVER_SHARED)
    dropped = {"VCC"} if "OUT" in wanted and "C" in offered else set()
    return Roles(
        nets=found,
        missing=tuple(sorted(lacking - dropped)),
        needs_supply=needs_supply,
        empty_pads=tuple(sorted(lacking & dropped)),
        spare=tuple(sorted(offered - set(found))),
        notes=tuple(notes),
        assumed=tuple(assumed),
    )


def _functions(part: Part) -> frozenset[str]:
    return frozenset(f for lead in part.geometry.leads for f in lead.functions if f not in ("NC", ""))


def _plays(
    original: Original, wanted: frozenset[str], offered: frozenset[str], donor: Part
) -> tuple[dict[str, str], list[str], list[str]]:
    """Donor function to the board's function that it plays, where the two differ."""
    if "OUT" in offered and "OUT" not in wanted and "C" in wanted:
        assumed = []
        side = original.load_side
        if not side:
            side = "C"
            assumed.append("the load sits on the collector side (measure: the emitter pad reads 0 ohm to ground)")
        notes = [CHECK_LOGIC]
        if side == "E":
            return {"VCC": "C", "OUT": "E"}, notes, assumed
        return {"OUT": "C", "GND": "E"}, notes, assumed
    if "OUT" in wanted and "OUT" not in offered and "C" in offered:
        notes = ["a transistor output replaces a logic output: pull-up, edges and sense need a check"]
        return {"C": "OUT", "E": "GND"}, notes, []
    if donor.output == "photodiode" and "C" in wanted and "C" not in offered:
        anode, cathode = ("A2", "K2") if "A2" in offered else ("A", "K")
        return {cathode: "C", anode: "E"}, ["a photodiode replaces a transistor: its current needs an amplifier"], []
    if "C" in offered and "C" not in wanted and _is_photodiode(original, wanted):
        anode, cathode = ("A2", "K2") if "A2" in wanted else ("A", "K")
        return {"C": cathode, "E": anode}, ["a transistor replaces a photodiode: it is slower and stronger"], []
    return {}, [], []


def _is_photodiode(original: Original, wanted: frozenset[str]) -> bool:
    """Said by the part; or A2 and K2 on a board that would otherwise have no detector at all."""
    alone = {"A", "K", "A2", "K2"} <= wanted and not wanted & {"C", "E", "OUT"} and original.kind != "emitter"
    return original.output == "photodiode" or alone


def settled(notes: tuple[str, ...], clean: bool | None) -> tuple[str, ...]:
    """The remarks without those that a signal found clean has answered."""
    return tuple(note for note in notes if not (clean and note == CHECK_LOGIC))


def supplies(original: Original) -> dict[str, str]:
    """Points that may feed a donor, each with where it is: a tap, or a pad's net.

    ``5V``, ``+5V`` and ``5.0V`` are one supply. Points that the user named as taps go before nets of pads: a tap is
    named to be taken from.
    """
    found: dict[str, dict[object, tuple[str, str]]] = {"tap": {}, "pad": {}}
    places = [("tap", tap.net, "tap") for tap in original.taps]
    places += [("pad", pad.net, f"pad {pad.label}") for pad in original.pads]
    for kind, name, where in places:
        if name.upper() not in GROUND_NAMES and _is_volts(name):
            found[kind].setdefault(_supply_key(name), (name, where))
    return dict((found["tap"] or found["pad"]).values())


def _tap(original: Original, *, ground: bool) -> str | None:
    """The net that gives ground or supply: a tap or a pad net by its name; None when none is known for sure."""
    if ground:
        names = [tap.net for tap in original.taps] + [pad.net for pad in original.pads]
        return next((name for name in names if name.upper() in GROUND_NAMES), None)
    there = list(supplies(original))
    return there[0] if len(there) == 1 else None


def _is_volts(name: str) -> bool:
    return re.fullmatch(r"\+?\d+(\.\d+)?V|\+?\d+V\d+|VCC|VDD|V\+", name.upper()) is not None


def _supply_key(name: str) -> object:
    """What two names of one supply have in common: its volts, else the word."""
    match = re.fullmatch(r"\+?(\d+)(?:\.(\d+)V|V(\d*))", name.upper())
    if match is None:
        return name.upper()
    return float(f"{match[1]}.{match[2] or match[3] or 0}")
