"""The smallest change of the board when a joined lead of the donor forbids it as it is.

What a board can be given: the emitter resistor moved from one side of the emitter to the other (the track at the new
side is cut and the resistor bridges the cut), the load moved from one side of the detector to the other likewise, and
a pad lifted so that the detector returns through the driver of the emitter. Every combination of these is tried, fewest
steps first; nothing else can bring two functions onto one net without losing a resistor.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from xref.adapt.original import Original
from xref.adapt.roles import GROUND_NAMES, function_nets
from xref.model.answers.fit import Cut

Nets = Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A set of steps, the net of each function after it, and what it rests on.

    ``pad_nets``: pads that hang on another net than before. ``inverts``: the signal changes its sense.
    """

    cuts: tuple[Cut, ...] = ()
    nets: dict[str, str]
    pad_nets: dict[str, str]
    assumed: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    inverts: bool = False


_Step = Callable[[Original, Change, str], "Change | None"]


def changes(original: Original, nets: Nets) -> list[list[Change]]:
    """All board changes by number of steps, fewest first; the first level is 'none'.

    Args:
        original: pads, rails
        nets: net of every function now
    """
    none = Change(nets=dict(nets), pad_nets={pad.label: pad.net for pad in original.pads})
    steps: tuple[tuple[_Step, str], ...] = (
        (_move_emitter_resistor, ""),
        (_move_load, ""),
        (_lift, "E"),
        (_lift, "C"),
    )
    found = [none]
    for size in range(1, len(steps)):
        for chosen in itertools.permutations(steps, size):
            now: Change | None = none
            for step, word in chosen:
                now = step(original, now, word) if now else None
            if now is not None and all(_key(now) != _key(other) for other in found):
                found.append(now)
    levels: dict[int, list[Change]] = {}
    for change in found:
        levels.setdefault(len(change.cuts), []).append(change)
    return [levels[count] for count in sorted(levels)]


def joined_conflict(groups: list[tuple[str, ...]], nets: Nets) -> tuple[tuple[str, ...], list[str]] | None:
    """The first group of functions sharing a lead whose nets differ, with those nets; None when there is none."""
    for group in groups:
        there = list(dict.fromkeys(nets[function] for function in group if function in nets))
        if len(there) > 1:
            return group, there
    return None


def _move_emitter_resistor(original: Original, now: Change, _: str) -> Change | None:
    side = original.resistor_side
    if side not in ("A", "K") or "A" not in now.nets or "K" not in now.nets:
        return None
    if any(cut.do == "move-resistor" and cut.where.startswith("emitter") for cut in now.cuts):
        return None
    other = "K" if side == "A" else "A"
    name, assumed = _rail(original, ground=side == "K")
    if len([pad for pad in original.pads if other in pad.functions]) != 1:
        return None
    moved = _move(now, original, side, other, name, "emitter resistor")
    return replace(moved, assumed=(*moved.assumed, assumed)) if moved else None


def _move_load(original: Original, now: Change, _: str) -> Change | None:
    side = original.load_side
    if side not in ("C", "E") or "C" not in now.nets or "E" not in now.nets:
        return None
    if any(cut.do == "move-resistor" and cut.where.startswith("load") for cut in now.cuts):
        return None
    other = "E" if side == "C" else "C"
    name, assumed = _rail(original, ground=side == "E")
    moved = _move(now, original, side, other, name, "load")
    if moved is None:
        return None
    note = f"with the load on the {_WORDS[other]} side the signal changes its sense and is taken at pad {other}"
    return replace(moved, assumed=(*moved.assumed, assumed), notes=(*moved.notes, note), inverts=not now.inverts)


_WORDS = {"A": "anode", "K": "cathode", "C": "collector", "E": "emitter"}


def _move(now: Change, original: Original, side: str, other: str, rail: str, what: str) -> Change | None:
    """``what`` from ``side`` to ``other``: the old side goes straight to its rail, the new side gets its own net."""
    new_pads = [pad.label for pad in original.pads if pad.functions == (other,)]
    old_pads = [pad.label for pad in original.pads if pad.functions == (side,)]
    if len(new_pads) != 1 or len(old_pads) != 1:
        return None
    new, old = new_pads[0], old_pads[0]
    fresh = f"{other} behind the {what}"
    cuts = (
        Cut(do="cut", where=f"track at pad {new}", why=f"the {what} has to bridge it"),
        Cut(
            do="move-resistor",
            where=f"{what} from {side} to {other}",
            why=f"across the cut at pad {new}; its old place at pad {old} is bridged if that pad is used",
        ),
    )
    return replace(
        now,
        cuts=(*now.cuts, *cuts),
        nets={**now.nets, side: rail, other: fresh},
        pad_nets={**now.pad_nets, old: rail, new: fresh},
    )


def _lift(original: Original, now: Change, function: str) -> Change | None:
    """The detector's rail pad left unused: E returns through the emitter's low driver, C through its high driver."""
    partner = {"E": "K", "C": "A"}[function]
    if original.driver_drop is None or original.driver_drop <= 0:
        return None
    if function not in now.nets or partner not in now.nets or now.nets[function] == now.nets[partner]:
        return None
    if original.resistor_side == partner or original.load_side == function or any(cut.do != "lift" for cut in now.cuts):
        return None
    if not original.resistor_side or not original.load_side:
        return None
    pads = [pad.label for pad in original.pads if function in pad.functions]
    if len(pads) != 1 or any(cut.where == f"pad {pads[0]}" for cut in now.cuts):
        return None
    cut = Cut(
        do="lift",
        where=f"pad {pads[0]}",
        why=f"{function} then goes through the driver of the emitter, together with {partner}",
    )
    note = (
        f"the detector works only while the emitter is driven, and its level shifts by the driver's "
        f"{original.driver_drop:g} V"
    )
    lifted = {label: net for label, net in now.pad_nets.items() if label != pads[0]}
    return replace(
        now,
        cuts=(*now.cuts, cut),
        nets={**now.nets, function: now.nets[partner]},
        pad_nets=lifted,
        notes=(*now.notes, note),
    )


def _rail(original: Original, *, ground: bool) -> tuple[str, str]:
    """The rail at the far end of a resistor that moves away, and the sentence that says it is assumed.

    The far end is not among the pads; it is taken to be the rail on which the other half hangs directly, before any
    change; else a ground point of the site; else just that rail by its usual word.
    """
    nets = {function: there[0] for function, there in function_nets(original).items()}
    word = "ground" if ground else "supply"
    direct = (
        (("E", original.load_side == "C"), ("GND", True), ("K", original.resistor_side == "A"))
        if ground
        else (("C", original.load_side == "E"), ("VCC", True), ("A", original.resistor_side == "K"))
    )
    for function, hangs in direct:
        if hangs and function in nets:
            net = nets[function]
            return net, f"the {word} end of the moved resistor is on net {net} (measure: 0 ohm to pad {function})"
    taps = [tap.net for tap in original.taps if ground and tap.net.upper() in GROUND_NAMES]
    name = taps[0] if taps else "0V" if ground else "supply"
    return name, f"emitter and detector share one {word}, {name} (measure: 0 ohm from one to the other)"


def _key(change: Change) -> tuple[object, ...]:
    return frozenset((cut.do, cut.where) for cut in change.cuts), tuple(sorted(change.nets.items()))
