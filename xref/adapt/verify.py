"""The independent check of a fit: rebuilds the nets from the answer alone and says what is wrong with it.

It shares no code with the solvers. It knows the original (pads, nets, functions), the donor (leads, functions) and
the answer; it lays the donor down itself, solders the connections itself, and then asks of every function of the board
whether exactly the right leads of the donor hang on its net.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable

from xref.adapt.original import Original
from xref.adapt.verify_nets import GROUND, Board
from xref.model.answers.fit import Connection, Fit
from xref.model.part import Part
from xref.model.site import Site

_DIRECT_MM = 0.31
_GEOMETRY_MM = 0.002
_LEAD_MM = 6.0
_BARE_MM = 12.7
_EMITTERS = {"A", "K", "A2", "K2"}


def verify(original: Original, donor: Part, fit: Fit, site: Site | None = None) -> list[str]:
    """Reasons why ``fit`` must not be trusted; empty when it is confirmed.

    ``site`` is only needed where it says more of the nets than ``original`` does.
    """
    if not fit.possible:
        return []
    leads = _leads(donor)
    places = _LeadAt(donor, fit)
    reasons = _names(original, leads, fit, places) or _geometry(original, donor, fit, places)
    if reasons:
        return reasons
    board = Board(original, fit, site)
    if board.reasons:
        return board.reasons
    return [*_shorts(board, leads, fit), *_functions(original, donor, board, leads, fit)]


class _LeadAt:
    """Donor leads by name: functions and place on the board under the pose of the answer."""

    def __init__(self, donor: Part, fit: Fit) -> None:
        self.at: dict[str, tuple[float, float]] = {}
        if fit.pose is None:
            return
        angle = math.radians(fit.pose.turn_deg)
        cos, sin = math.cos(angle), math.sin(angle)
        for name, (_, at) in _leads(donor).items():
            if at is not None:
                x = -at[0] if fit.pose.side == "solder" else at[0]
                self.at[name] = (
                    x * cos - at[1] * sin + fit.pose.shift_mm[0],
                    x * sin + at[1] * cos + fit.pose.shift_mm[1],
                )


def _leads(donor: Part) -> dict[str, tuple[frozenset[str], tuple[float, float] | None]]:
    """Lead name to (functions, place in the donor's axes); a repeated label gets ``-2``, ``-3``."""
    found: dict[str, tuple[frozenset[str], tuple[float, float] | None]] = {}
    times: dict[str, int] = {}
    for number, lead in enumerate(donor.geometry.leads, start=1):
        label = lead.label if lead.label else f"{number}"
        times[label] = times.get(label, 0) + 1
        name = label if times[label] == 1 else label + f"-{times[label]}"
        found[name] = (frozenset(lead.function.split("+")) - {"NC", ""}, lead.at_mm)
    return found


def _names(
    original: Original,
    leads: dict[str, tuple[frozenset[str], tuple[float, float] | None]],
    fit: Fit,
    places: _LeadAt,
) -> list[str]:
    """Every name in the answer exists, no lead is used twice, none is both open and connected, none forgotten."""
    reasons = []
    pads = {pad.label for pad in original.pads} | {f"tap {tap.net}" for tap in original.taps}
    used = [connection.lead for connection in fit.connections]
    for connection in fit.connections:
        if connection.lead not in leads:
            reasons.append(f"the donor has no lead {connection.lead}")
        elif connection.pad not in pads:
            reasons.append(f"the board has no pad {connection.pad}")
        elif set(connection.function.split("+")) - {"NC", ""} != leads[connection.lead][0]:
            reasons.append(f"lead {connection.lead} is called {connection.function} and is not")
    for lead in sorted({name for name in used if used.count(name) > 1}):
        reasons.append(f"lead {lead} is connected twice")
    for lead in leads:
        if (lead in used) == (lead in fit.open_leads):
            reasons.append(f"lead {lead} is {'both connected and open' if lead in used else 'forgotten'}")
    if fit.pose is not None and set(places.at) != set(leads):
        reasons.append("a pose is given and a lead has no place")
    holes = [connection.pad for connection in fit.connections if connection.by != "wire"]
    for pad in sorted({name for name in holes if holes.count(name) > 1}):
        reasons.append(f"two leads share the hole of pad {pad}")
    wires = sum(1 for connection in fit.connections if connection.by == "wire") + len(fit.links)
    if wires != fit.wire_count:
        reasons.append(f"{fit.wire_count} wires are counted and {wires} are there")
    return reasons


def _geometry(original: Original, donor: Part, fit: Fit, places: _LeadAt) -> list[str]:
    """Lead, pad and route are where the pose and the board put them."""
    if fit.pose is None:
        return [f"{c.lead} is not on a wire and there is no pose" for c in fit.connections if c.by != "wire"]
    spots = {pad.label: pad.at_mm for pad in original.pads} | {f"tap {tap.net}": tap.at_mm for tap in original.taps}
    reasons = []
    for connection in fit.connections:
        pad, lead = spots[connection.pad], places.at[connection.lead]
        if pad is None or math.dist(pad, connection.pad_at_mm) > _GEOMETRY_MM:
            reasons.append(f"pad {connection.pad} is not at {connection.pad_at_mm}")
        elif math.dist(lead, connection.lead_at_mm) > _GEOMETRY_MM:
            reasons.append(f"lead {connection.lead} is not at {connection.lead_at_mm} in this pose")
        else:
            reasons += _ends(connection, math.dist(pad, lead), donor.geometry.lead_length_mm or _LEAD_MM)
    return reasons


def _ends(connection: Connection, apart: float, longest: float) -> list[str]:
    name = f"lead {connection.lead} to pad {connection.pad}"
    if connection.by != "wire" and connection.pad.startswith("tap "):
        return [f"{name}: a tap has no hole"]
    if connection.by == "direct":
        return [f"{name}: {apart:.2f} mm off the hole"] if apart > _DIRECT_MM else []
    if connection.by == "formed":
        return [f"{name}: {apart:.2f} mm is too far to bend"] if apart > longest else []
    route = connection.route_mm
    if len(route) < 2:
        return [f"{name}: a wire without a route"]
    if (
        math.dist(route[0], connection.lead_at_mm) > _GEOMETRY_MM
        or math.dist(route[-1], connection.pad_at_mm) > _GEOMETRY_MM
    ):
        return [f"{name}: the route does not run from the lead to the pad"]
    legs = list(itertools.pairwise(route))
    if any(abs(a[0] - b[0]) > _GEOMETRY_MM and abs(a[1] - b[1]) > _GEOMETRY_MM for a, b in legs):
        return [f"{name}: the route is not X-Y"]
    length = sum(math.dist(a, b) for a, b in legs)
    if connection.length_mm < length - _GEOMETRY_MM:
        return [f"{name}: {connection.length_mm:g} mm of wire for a route of {length:.1f} mm"]
    if not connection.insulated and length > _BARE_MM:
        return [f"{name}: {length:.1f} mm of bare wire"]
    return []


def _shorts(board: Board, leads: dict[str, tuple[frozenset[str], tuple[float, float] | None]], fit: Fit) -> list[str]:
    """A donor lead, or leads joined inside the donor, must not bridge nets with different requirements."""
    reasons = []
    reached: dict[str, set[str]] = {}
    for connection in fit.connections:
        net = board.net.get(connection.pad)
        if net is None:
            reasons.append(f"lead {connection.lead} goes to pad {connection.pad}, which is lifted")
            continue
        if net != connection.net:
            reasons.append(f"pad {connection.pad} is on net {net}, not {connection.net}")
        reached.setdefault(connection.lead, set()).add(net)
    if reasons:
        return reasons
    for joined in _joined(leads):
        nets = set().union(*(reached.get(lead, set()) for lead in joined))
        same = set(board.needs)
        for net in nets:
            same &= {function for function, there in board.needs.items() if net in there}
        if len(nets) > 1 and not same:
            reasons.append(f"lead {'+'.join(sorted(joined))} shorts {' to '.join(sorted(nets))}")
    return reasons


def _joined(leads: dict[str, tuple[frozenset[str], tuple[float, float] | None]]) -> list[set[str]]:
    """Sets of leads that are one conductor inside the donor: they share a function."""
    rest = [(set(functions), {name}) for name, (functions, _) in leads.items() if functions]
    merged = True
    while merged:
        merged = False
        for i in range(len(rest)):
            for j in range(i + 1, len(rest)):
                if rest[i][0] & rest[j][0]:
                    rest[i] = (rest[i][0] | rest[j][0], rest[i][1] | rest[j][1])
                    del rest[j]
                    merged = True
                    break
            if merged:
                break
    return [names for _, names in rest]


def _functions(
    original: Original,
    donor: Part,
    board: Board,
    leads: dict[str, tuple[frozenset[str], tuple[float, float] | None]],
    fit: Fit,
) -> list[str]:
    """Every function that the board asks for hangs on its net, and nothing of the donor hangs elsewhere."""
    keep = original.keep
    wanted = _half(set(board.needs), original.kind, keep)
    offered = _half({f for functions, _ in leads.values() for f in functions}, donor.kind, keep)
    plain = _plays(original, board, wanted, offered, donor)
    second = {f: g for f, g in (("C2", "C"), ("E2", "E"), ("OUT2", "OUT")) if f in offered}
    tries = [plain]
    if second and not {"C2", "E2", "OUT2"} & wanted:
        # either channel of a double part may serve a board that has one
        tries.append({**plain, **{f: plain.get(g, g) for f, g in second.items()}, **dict.fromkeys(second.values(), "")})
    found = [_served(original, board, leads, fit, wanted, offered, plays) for plays in tries]
    return min(found, key=len)


def _served(
    original: Original,
    board: Board,
    leads: dict[str, tuple[frozenset[str], tuple[float, float] | None]],
    fit: Fit,
    wanted: set[str],
    offered: set[str],
    plays: dict[str, str],
) -> list[str]:
    """The same with it settled which function of the donor plays which of the board."""
    found: dict[str, set[str]] = {}
    reasons = []
    for connection in fit.connections:
        net = board.net[connection.pad]
        for function in leads[connection.lead][0]:
            if function not in offered:
                continue
            found.setdefault(function, set()).add(net)
    joined = {name: group for group in _joined(leads) for name in group}
    for function in sorted(offered):
        ask = plays.get(function, function)
        nets = set(found.get(function, set()))
        if ask in wanted:
            right = board.needs[ask]
            if not nets:
                reasons.append(f"{function} of the donor is not connected; the board needs {ask}")
            elif nets - right:
                reasons.append(_swapped(function, nets - right, board))
            elif right - nets:
                reasons.append(f"{ask} is wanted on {' and '.join(sorted(right - nets))} too")
        elif function in ("VCC", "GND"):
            if not nets or not all(_rail_like(net, board, function) for net in nets):
                reasons.append(f"{function} of the donor is not on a point that supplies it")
        elif nets:
            shared = any(
                other in wanted
                for name in joined
                if function in leads[name][0]
                for member in joined[name]
                for other in (plays.get(f, f) for f in leads[member][0])
            )
            if not shared:
                reasons.append(f"{function} of the donor is connected and the board does not ask for it")
    served = {plays.get(function, function) for function in offered}
    spared = {"B"} | ({"VCC"} if "OUT" in wanted and "C" in offered else set())
    reasons += [f"the board needs {ask} and nothing of the donor serves it" for ask in sorted(wanted - served - spared)]
    for connection in fit.connections:
        if not leads[connection.lead][0]:
            reasons.append(f"lead {connection.lead} has no function and is connected")
        elif not leads[connection.lead][0] & offered:
            reasons.append(f"lead {connection.lead} belongs to the half that is not used")
    return reasons


def _swapped(function: str, nets: set[str], board: Board) -> str:
    net = sorted(nets)[0]
    there = sorted(f for f, wanted in board.needs.items() if net in wanted)
    where = f"net {net}" + (f", where the board wants {' and '.join(there)}" if there else "")
    turned = {"A": "K", "K": "A", "C": "E", "E": "C"}.get(function)
    word = "reversed: " if turned in there else ""
    return f"{word}{function} of the donor is on {where}"


def _rail_like(net: str, board: Board, function: str) -> bool:
    """Whether a net may feed a logic donor: a ground name for GND, any other named rail for VCC."""
    ground = net.upper() in GROUND or net == board.ground_before
    return ground if function == "GND" else not ground


def _half(functions: Iterable[str], kind: str, keep: tuple[str, ...]) -> set[str]:
    left = set(functions)
    if kind not in ("emitter", "detector"):
        if "emitter" in keep:
            left -= _EMITTERS
        if "detector" in keep:
            left &= _EMITTERS
    return left


def _plays(original: Original, board: Board, wanted: set[str], offered: set[str], donor: Part) -> dict[str, str]:
    """Donor function to the function of the board that it stands for, where they differ."""
    if {"OUT", "VCC"} <= offered and "OUT" not in wanted and "C" in wanted:
        return {"VCC": "C", "OUT": "E"} if board.side["load"] == "E" else {"OUT": "C", "GND": "E"}
    if "OUT" in wanted and "C" in offered and "OUT" not in offered:
        return {"C": "OUT", "E": "GND"}
    if "C" in wanted and "C" not in offered and donor.output == "photodiode":
        return {"K2": "C", "A2": "E"} if "K2" in offered else {"K": "C", "A": "E"}
    no_detector = not ({"C", "E", "OUT"} & wanted) and original.kind != "emitter" and len(wanted & _EMITTERS) == 4
    if "C" in offered and "C" not in wanted and (original.output == "photodiode" or no_detector):
        return {"C": "K2", "E": "A2"} if "K2" in wanted else {"C": "K", "E": "A"}
    return {}
