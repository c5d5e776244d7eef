"""Resistors around the donor: the values that leave the most light reserve within every limit, and the least change.

For one emitter resistor the bright reserve rises and the dark reserve falls with the load, so the best load is found
by bisection over the series; emitter resistors are tried one by one. Tests compare with the full E24 x E24 table.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass

from xref.adapt.signal import Chain, detector_limits, fast_enough, logic_at, signal
from xref.model.answers.fit import Signal, ValueChange
from xref.physics.corners import worst_reserves
from xref.physics.standard_values import rkm, values_between

ENOUGH = 2.0
"""Reserve that is enough to leave a resistor as it is: an old emitter may lose half of its light
(ageing_factor, lower edge assumed)."""

LOADS = (220.0, 470e3)
LEAST_CURRENT = 1e-3
"""Below this emitter current nothing is printed for most parts [A]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One choice of values: its reserve (the smaller of bright and dark) and what has to change."""

    emitter_ohm: float
    load_ohm: float
    reserve: float
    changes: int
    allowed: bool
    why_not: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Values:
    """The chosen values and the compared ones."""

    best: Choice
    nothing: Choice
    compared: tuple[Choice, ...]
    changes: tuple[ValueChange, ...]
    signal: Signal
    window_ohm: tuple[float, float] | None
    warnings: tuple[str, ...]


def choose(link: Chain, *, change: Iterable[str] = ("emitter resistor", "load"), series: str = "E24") -> Values:
    """Compare 'change nothing', 'emitter resistor', 'load' and 'both', and take the least change that is enough.

    Args:
        link: donor and board
        change: what may be altered: 'emitter resistor', 'load'
        series: E12, E24 or E96

    Returns:
        the choice, its signal, both limits of the emitter resistor, and warnings
    """
    may = set(change)
    board = link.board
    nothing = _choice(link, board.emitter_ohm, board.load_ohm, 0)
    compared = [nothing]
    if nothing.reserve != float("-inf"):
        emitters = _emitters(link, series)
        loads = [load for load in values_between(*LOADS, series) if _usable(link, load)]
        if "emitter resistor" in may:
            compared.append(_best([_choice(link, ohms, board.load_ohm, 1) for ohms in emitters] or [nothing]))
        if "load" in may and not (link.data.logic and link.data.logic.kind == "totem-pole"):
            compared.append(_best_load(link, board.emitter_ohm, loads, 1)[0] if loads else nothing)
            if "emitter resistor" in may:
                compared.append(_best_both(link, emitters, loads) or nothing)
    best = next((c for c in compared if c.allowed and c.reserve >= ENOUGH), None) or _best(compared)
    return Values(
        best=best,
        nothing=nothing,
        compared=tuple(compared),
        changes=_changes(link, best),
        signal=signal(link, best.emitter_ohm, best.load_ohm),
        window_ohm=emitter_window(link, best.load_ohm, series),
        warnings=_warnings(link, best),
    )


def reserve(link: Chain, emitter_ohm: float, load_ohm: float) -> tuple[float, float]:
    """(bright, dark) reserve over the corners that can be worst; -inf where the part is not known well enough."""
    if link.data.logic is not None:
        point = logic_at(link, emitter_ohm, load_ohm)
        if not point.valid:
            return 0.0, 0.0
        return point.bright_reserve, point.dark_reserve
    if link.transfer is None or link.data.detector is None:
        return float("-inf"), float("-inf")
    return worst_reserves(link.setup(emitter_ohm, load_ohm), link.ranges)


def emitter_window(link: Chain, load_ohm: float, series: str = "E24") -> tuple[float, float] | None:
    """Smallest and largest standard emitter resistor: the emitter's limit on one side, the level on the other."""
    good = [ohms for ohms in _emitters(link, series) if min(reserve(link, ohms, load_ohm)) >= 1.0]
    return (good[0], good[-1]) if good else None


def parallel_for(was: float, wanted: float, series: str = "E24") -> float | None:
    """Standard resistor that, put across the old one, comes nearest to a smaller value; None when it cannot.

    R = was * wanted / (was - wanted), Ohm's law.
    """
    if wanted >= 0.98 * was:
        return None
    from xref.physics.standard_values import nearest

    return nearest(was * wanted / (was - wanted), series)


def _emitters(link: Chain, series: str) -> list[float]:
    """Standard resistors whose current lies between LEAST_CURRENT and the emitter's limit at the highest corner."""
    board, limit = link.board, link.if_limit
    most = limit if limit is not None else 20e-3
    drive = board.emitter_supply - board.driver_drop
    found = []
    for ohms in values_between(10.0, max(drive / LEAST_CURRENT, 11.0), series):
        current = link.forward_current(ohms)
        if current < LEAST_CURRENT:
            break
        # supply high, resistor low: the current that the limit must bear
        if current * (1 + link.ranges.supply + link.ranges.emitter_resistor) <= most:
            found.append(ohms)
    return found


def _choice(link: Chain, emitter_ohm: float, load_ohm: float, changes: int) -> Choice:
    bright, dark = reserve(link, emitter_ohm, load_ohm)
    why: list[str] = detector_limits(link, load_ohm)
    limit = link.if_limit
    current = link.forward_current(emitter_ohm)
    if limit is not None and current > limit:
        why.append(f"emitter current {current * 1e3:.3g} mA is above its limit of {limit * 1e3:.3g} mA")
    fast, words = fast_enough(link, load_ohm)
    if fast is False:
        why.append(words)
    return Choice(emitter_ohm=emitter_ohm, load_ohm=load_ohm, reserve=min(bright, dark), changes=changes,
                  allowed=not why, why_not="; ".join(why))  # fmt: skip


def _best(choices: list[Choice]) -> Choice:
    return max(choices, key=lambda c: (c.allowed, round(c.reserve, 6), -c.changes))


def _usable(link: Chain, load_ohm: float) -> bool:
    return not detector_limits(link, load_ohm) and fast_enough(link, load_ohm)[0] is not False


def _best_load(link: Chain, emitter_ohm: float, loads: list[float], changes: int, near: int = -1) -> tuple[Choice, int]:
    """The load where the falling dark reserve meets the rising bright one, and its place in ``loads``.

    The two loads around the crossing are compared. ``near``: the place for the emitter resistor before, one step
    away; the crossing moves little, so a small window is searched first and the whole range only if it lies outside.
    """

    def bright_wins(place: int) -> bool:
        bright, dark = reserve(link, emitter_ohm, loads[place])
        return bright >= dark

    low, high = 0, len(loads)
    if near >= 0:
        window = max(near - 1, 0), min(near + 3, len(loads) - 1)
        if bright_wins(window[1]):
            high = window[1]
            if window[0] > 0 and not bright_wins(window[0]):
                low = window[0]
        else:
            low = window[1]
    place = bisect_left(range(len(loads)), True, low, high, key=bright_wins)
    around = loads[max(place - 1, 0) : place + 1] or loads[-1:]
    return _best([_choice(link, emitter_ohm, load, changes) for load in around]), min(place, len(loads) - 1)


def _best_both(link: Chain, emitters: list[float], loads: list[float]) -> Choice | None:
    """Every emitter resistor with its best load."""
    if not loads:
        return None
    found: list[Choice] = []
    near = -1
    for ohms in emitters:
        choice, near = _best_load(link, ohms, loads, 2, near)
        found.append(choice)
    return _best(found) if found else None


def _changes(link: Chain, best: Choice) -> tuple[ValueChange, ...]:
    board, found = link.board, []
    for where, was, now in (
        ("emitter resistor", board.emitter_ohm, best.emitter_ohm),
        ("load", board.load_ohm, best.load_ohm),
    ):
        if abs(now - was) < 1e-9:
            continue
        across = parallel_for(was, now)
        trick = f"; or {rkm(across)} across the old one, which needs no desoldering" if across else ""
        if where == "emitter resistor":
            current = link.forward_current(now) * 1e3
            why = f"emitter current {current:.3g} mA (was {link.forward_current(was) * 1e3:.3g} mA){trick}"
        else:
            why = f"both levels keep the same reserve{trick}"
        known = (board.site.emitter.resistor if where == "emitter resistor" else board.site.output.load) is not None
        found.append(ValueChange(where=where, was_ohm=was if known else None, now_ohm=now, why=why))
    return tuple(found)


def _warnings(link: Chain, best: Choice) -> tuple[str, ...]:
    said = [best.why_not] if best.why_not else []
    was, now = link.forward_current(link.board.emitter_ohm), link.forward_current(best.emitter_ohm)
    if best.emitter_ohm < link.board.emitter_ohm:
        said.append(
            f"the emitter shines {now / was:.2g} times stronger than before; its class of irradiance (IEC 62471) is "
            "not known for this board: never look into it from near"
        )
        if link.board.site.emitter.current_watched:
            said.append("the board watches the emitter current: another current may be taken for a fault")
    if link.if_limit is None:
        said.append("IF max of the donor not known: 20 mA taken as the most")
    _, words = fast_enough(link, best.load_ohm)
    if words and words not in said and best.why_not != words:
        said.append(words)
    if 0 <= best.reserve < ENOUGH:
        said.append(f"light reserve {best.reserve:.2g}: below {ENOUGH:g}, an ageing emitter can use it up")
    return tuple(said)
