"""Resistors around the donor: the values that leave the most light reserve within every limit, and the least change.

For one emitter resistor the bright reserve rises and the dark reserve falls with the load, so the best load is found
by bisection over the series; emitter resistors are tried one by one. Tests compare with the full E24 x E24 table.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass, replace

from xref.adapt.reserves import Reserves
from xref.adapt.signal import Chain, detector_limits, fast_enough, signal, usual_vf
from xref.model.answers.fit import Signal, ValueChange
from xref.physics.standard_values import nearest, rkm, values_between

ENOUGH = 2.0
"""Reserve that is enough to leave a resistor as it is: an old emitter may lose half of its light
(ageing_factor, lower edge assumed)."""

WORTH = 1.25
"""A further changed resistor has to gain this factor of reserve, or it is left as it is (assumed)."""

UNKNOWN_LIMIT = 20e-3
"""Emitter current taken as the most where no limit is known [A]. Assumed; said."""

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
    doubt: str = ""
    """What stands against it only by an assumed limit; '' where nothing does."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Values:
    """The chosen values and the compared ones."""

    best: Choice
    nothing: Choice
    compared: tuple[Choice, ...]
    changes: tuple[ValueChange, ...]
    signal: Signal
    window_ohm: tuple[float, float] | None
    window: str
    """Both limits of the emitter resistor with the chosen load, in words; '' where nothing can be said."""
    warnings: tuple[str, ...]


def choose(link: Chain, *, change: Iterable[str] = ("emitter resistor", "load"), series: str = "E24") -> Values:
    """Compare 'change nothing', 'emitter resistor', 'load' and 'both', and take the least change that is enough.

    Args:
        link: donor and board
        change: what may be altered: 'emitter resistor', 'load'; with 'across' only by a resistor across the old one
        series: E12, E24 or E96

    Returns:
        the choice, its signal, both limits of the emitter resistor, and warnings
    """
    asked = frozenset(change)
    may = set(asked)
    across = "across" in may
    if across and may == {"across"}:
        may = {"emitter resistor", "load"}
    board, table = link.board, Reserves(link)
    nothing = _choice(table, board.emitter_ohm, board.load_ohm, 0)
    compared = [nothing]
    if nothing.reserve == float("-inf") and not nothing.allowed and "emitter resistor" in may:
        # nothing is known of the light, but the emitter must not be driven beyond its limit
        within = [ohms for ohms in _emitters(link, series, board.emitter_ohm if across else None)
                  if ohms > board.emitter_ohm]  # fmt: skip
        compared += [_choice(table, ohms, board.load_ohm, 1) for ohms in within[:1]]
    if nothing.reserve != float("-inf"):
        emitters = _emitters(link, series, board.emitter_ohm if across else None)
        loads = [load for load in _loads(series, board.load_ohm if across else None) if _usable(link, load)]
        if link.data.logic is not None:
            # a logic output only needs a load that it can drive: the one next to the old is the least change
            held = [load for load in loads if min(table.of(board.emitter_ohm, load)) > 0]
            loads = sorted(held, key=lambda load: abs(math.log(load / board.load_ohm)))[:1]
        if "emitter resistor" in may and emitters:
            compared.append(_best([_choice(table, ohms, board.load_ohm, 1) for ohms in emitters]))
        if "load" in may and loads and not (link.data.logic and link.data.logic.kind == "totem-pole"):
            compared.append(_best_load(table, board.emitter_ohm, loads, 1)[0])
            both = _best_both(table, emitters, loads) if "emitter resistor" in may else None
            if both is not None:
                compared.append(both)
    best = _least_change(compared)
    if link.data.logic is not None and link.ranges.vf_up is not None and 0 <= best.reserve < 1:
        # not every piece of the type gets its threshold current: then the values are for one of the usual VF
        usual = choose(usual_vf(link), change=asked, series=series).best
        if usual.reserve >= 1:
            best = _choice(table, usual.emitter_ohm, usual.load_ohm, usual.changes)
    shown = signal(link, best.emitter_ohm, best.load_ohm)
    if not best.allowed:
        shown = not_allowed(shown, best)
    window = emitter_window(table, best.load_ohm, series)
    return Values(
        best=best,
        nothing=nothing,
        compared=tuple(compared),
        changes=_changes(link, best, nothing, across=across),
        signal=shown,
        window_ohm=window,
        window=_window_words(link, best, window, series),
        warnings=_warnings(link, best),
    )


def not_allowed(shown: Signal, best: Choice) -> Signal:
    """The signal of values beyond a limit: not clean; beyond one that is only assumed: not decided."""
    if best.why_not:
        return replace(shown, clean=False, limited_by=best.why_not)
    if shown.clean is False:
        return shown
    words = best.doubt if shown.clean else f"{best.doubt}; {shown.limited_by}"
    return replace(shown, clean=None, limited_by=words)


def _least_change(compared: list[Choice]) -> Choice:
    """The fewest changes that are enough; else the most reserve, each further change having to be worth it."""
    old = compared[0].emitter_ohm
    most = _best(compared)
    enough = [c for c in compared if c.allowed and c.reserve >= ENOUGH]
    near = enough or [
        c for c in compared
        if c.allowed and 0 < most.reserve <= c.reserve * WORTH and (c.reserve >= 1 or most.reserve < 1)
    ]  # fmt: skip
    # of equals the one that does not drive the emitter harder
    return min(near, key=lambda c: (c.changes, c.emitter_ohm < old, -c.reserve), default=most)


def emitter_window(table: Reserves, load_ohm: float, series: str = "E24") -> tuple[float, float] | None:
    """Smallest and largest standard emitter resistor within its limit with which every piece keeps both levels.

    A larger resistor costs bright reserve and gains dark reserve, so both ends are found by bisection.
    """
    tried = _emitters(table.link, series)
    first = bisect_left(tried, True, key=lambda ohms: table.of(ohms, load_ohm)[1] >= 1.0)
    past = bisect_left(tried, True, key=lambda ohms: table.of(ohms, load_ohm)[0] < 1.0)
    return (tried[first], tried[past - 1]) if first < past else None


def _window_words(link: Chain, best: Choice, window: tuple[float, float] | None, series: str) -> str:
    tried = _emitters(link, series)
    if not tried or best.reserve == float("-inf"):
        return ""
    limit, most = tried[0], link.if_limit
    if most is None:
        bound = f"not below {rkm(limit)} ({UNKNOWN_LIMIT * 1e3:g} mA assumed as the most)"
    else:
        bound = f"not below {rkm(limit)} (limit of the emitter, {most * 1e3:.3g} mA at {link.board.temp_c[1]:g} C)"
    words = f"emitter resistor: {bound}"
    if window is None:
        return f"{words}; none keeps both levels of every piece with a load of {rkm(best.load_ohm)}"
    low, high = (f"{rkm(ohms)} ({link.forward_current(ohms) * 1e3:.3g} mA)" for ohms in window)
    words += f"; with a load of {rkm(best.load_ohm)} from {low}"
    if window[0] > limit:
        words += ", below which the strongest piece loses the dark level,"
    return f"{words} to {high}, above which the weakest piece loses the lit level"


def parallel_for(was: float, wanted: float, series: str = "E24") -> float | None:
    """Standard resistor that, put across the old one, comes nearest to a smaller value; None when it cannot.

    R = was * wanted / (was - wanted), Ohm's law.
    """
    if wanted >= 0.98 * was:
        return None
    return nearest(was * wanted / (was - wanted), series)


def _across(was: float, series: str, least: float) -> list[float]:
    """The old resistor alone and with each standard value across it, rising, not below ``least``."""
    values = [1 / (1 / was + 1 / other) for other in values_between(was / 20, was * 50, series)]
    return sorted(value for value in {*values, was} if value >= least)


def _emitters(link: Chain, series: str, across: float | None = None) -> list[float]:
    """Resistors whose current lies between LEAST_CURRENT and the emitter's limit at the highest corner, rising."""
    board, limit = link.board, link.if_limit
    most = limit if limit is not None else UNKNOWN_LIMIT
    drive = board.emitter_supply - board.driver_drop
    if across is not None:
        tried = _across(across, series, 1.0)
    else:
        tried = list(values_between(10.0, max(drive / LEAST_CURRENT, 11.0), series))
    # the current only falls with the resistor, so the permitted ones stand together
    first = bisect_left(tried, True, key=lambda ohms: link.current_range(ohms)[1] <= most)
    past = bisect_left(tried, True, key=lambda ohms: link.forward_current(ohms) < LEAST_CURRENT)
    return tried[first:past]


def _loads(series: str, across: float | None) -> list[float]:
    return list(values_between(*LOADS, series)) if across is None else _across(across, series, LOADS[0])


def _choice(table: Reserves, emitter_ohm: float, load_ohm: float, changes: int) -> Choice:
    link = table.link
    bright, dark = table.of(emitter_ohm, load_ohm)
    why: list[str] = detector_limits(link, load_ohm)
    limit = link.if_limit
    current = link.current_range(emitter_ohm)[1]
    doubt = ""
    if limit is not None and current > limit:
        why.append(f"emitter current up to {current * 1e3:.3g} mA is above its limit of {limit * 1e3:.3g} mA")
    elif limit is None and current > UNKNOWN_LIMIT:
        doubt = above_assumed(current)
    fast, words = fast_enough(link, load_ohm)
    if fast is False:
        why.append(words)
    return Choice(emitter_ohm=emitter_ohm, load_ohm=load_ohm, reserve=min(bright, dark), changes=changes,
                  allowed=not why and not doubt, why_not="; ".join(why), doubt=doubt)  # fmt: skip


def above_assumed(current: float) -> str:
    """An emitter current [A] beyond UNKNOWN_LIMIT, in words."""
    most = f"{UNKNOWN_LIMIT * 1e3:g} mA (IF max not known)"
    return f"emitter current up to {current * 1e3:.3g} mA is above the assumed {most}"


def _best(choices: list[Choice]) -> Choice:
    return max(choices, key=lambda c: (c.allowed, _rounded(c.reserve), -c.changes))


def _rounded(value: float) -> float:
    return round(value, 6) if math.isfinite(value) else value


def _usable(link: Chain, load_ohm: float) -> bool:
    return not detector_limits(link, load_ohm) and fast_enough(link, load_ohm)[0] is not False


def _best_load(
    table: Reserves, emitter_ohm: float, loads: list[float], changes: int, near: int = -1
) -> tuple[Choice, int]:
    """The load where the falling dark reserve meets the rising bright one, and its place in ``loads``.

    The two loads around the crossing are compared. ``near``: the place for the emitter resistor before, one step
    away; the crossing moves little, so a small window is searched first and the whole range only if it lies outside.
    """

    def bright_wins(place: int) -> bool:
        bright, dark = table.of(emitter_ohm, loads[place])
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
    return _best([_choice(table, emitter_ohm, load, changes) for load in around]), min(place, len(loads) - 1)


def _best_both(table: Reserves, emitters: list[float], loads: list[float]) -> Choice | None:
    """Every emitter resistor with its best load."""
    if not loads:
        return None
    found: list[Choice] = []
    near = -1
    for ohms in emitters:
        choice, near = _best_load(table, ohms, loads, 2, near)
        found.append(choice)
    return _best(found) if found else None


def _changes(link: Chain, best: Choice, nothing: Choice, *, across: bool) -> tuple[ValueChange, ...]:
    board, found = link.board, []
    for where, was, now in (
        ("emitter resistor", board.emitter_ohm, best.emitter_ohm),
        ("load", board.load_ohm, best.load_ohm),
    ):
        if abs(now - was) < 1e-9:
            continue
        known = (board.site.emitter.resistor if where == "emitter resistor" else board.site.output.load) is not None
        if where == "emitter resistor":
            current = link.forward_current(now) * 1e3
            why = f"emitter current {current:.3g} mA (was {link.forward_current(was) * 1e3:.3g} mA)"
        else:
            why = f"smaller of both reserves {nothing.reserve:.2g} before, {best.reserve:.2g} with all changes"
        found.append(ValueChange(
            where=where, was_ohm=was if known else None, now_ohm=now, parallel=across,
            why=why + (_trick(was, now, across=across) if known or across else ""),
        ))  # fmt: skip
    return tuple(found)


def _trick(was: float, now: float, *, across: bool) -> str:
    """A smaller value made by a resistor across the old one, where that comes within 5 %."""
    other = parallel_for(was, now)
    if other is None:
        return ""
    if across:
        return f"; put {rkm(nearest(1 / (1 / now - 1 / was), 'E96'))} across the old one, which stays"
    made = 1 / (1 / was + 1 / other)
    return f"; or {rkm(other)} across the old one, which needs no desoldering" if abs(made / now - 1) < 0.05 else ""


def _warnings(link: Chain, best: Choice) -> tuple[str, ...]:
    said = [words for words in (best.why_not, best.doubt) if words]
    was, now = link.forward_current(link.board.emitter_ohm), link.forward_current(best.emitter_ohm)
    if best.emitter_ohm < link.board.emitter_ohm:
        said.append(
            f"the emitter shines {now / was:.2g} times stronger than before; its class of irradiance (IEC 62471) is "
            "not known for this board: never look into it from near"
        )
    if abs(best.emitter_ohm - link.board.emitter_ohm) > 1e-9 and link.board.site.emitter.current_watched:
        said.append("the board watches the emitter current: another current may be taken for a fault")
    if link.if_limit is None and not best.doubt:
        said.append(f"IF max of the donor not known: {UNKNOWN_LIMIT * 1e3:g} mA taken as the most")
    _, words = fast_enough(link, best.load_ohm)
    if words and words not in said and best.why_not != words:
        said.append(words)
    if 0 <= best.reserve < 1:
        said.append(
            f"light reserve {best.reserve:.2g}: below 1, the weakest or strongest piece of the type does not work even "
            "today; measure yours lit and dark before you solder"
        )
    elif 1 <= best.reserve < ENOUGH:
        said.append(f"light reserve {best.reserve:.2g}: below {ENOUGH:g}, an ageing emitter can use it up")
    return tuple(said)
