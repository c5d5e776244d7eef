"""A two-state resistor on its divider: levels, reserve, and the resistors that centre it in its window."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

from xref.adapt.electrical import thresholds
from xref.adapt.signal import Board, board_of
from xref.adapt.values import ENOUGH, LOADS, WORTH
from xref.model.answers.fit import Added, Fit, Signal, ValueChange
from xref.model.base import weakest
from xref.model.site import Site, TwoState
from xref.physics.logic_input import Thresholds
from xref.physics.standard_values import rkm, values_between
from xref.physics.two_state import two_state_point

TOLERANCE = 0.05
"""Tolerance of supply and load, as for every other board."""


def two_state_signal(answer: Fit, site: Site, *, change: tuple[str, ...], series: str) -> Fit:
    """The fit of a two-state resistor: by its window in ohms where the site gives one, else by the divider."""
    state = site.two_state
    assert state is not None
    if state.low_below is not None and state.high_above is not None:
        return _by_window(answer, state, state.low_below, state.high_above, may=bool(change), series=series)
    return _by_divider(answer, site, state, may="load" in change, series=series)


def divider_reserve(
    state: TwoState, board: Board, limits: Thresholds, load: float
) -> tuple[float, float, float, float]:
    """Lit and dark reserve, highest low and least high level over the ends of supply and load [1, 1, V, V]."""
    ends = []
    for rail, size in product((1 - TOLERANCE, 1 + TOLERANCE), repeat=2):
        scaled = limits
        if limits.follows_supply:
            scaled = replace(limits, vil=limits.vil * rail, vih=limits.vih * rail)
        ends.append(two_state_point(
            state.lit, state.dark, scaled, supply=board.supply * rail, load=load * size, side=board.side
        ))  # fmt: skip
    lit, dark = min(p.lit_reserve for p in ends), min(p.dark_reserve for p in ends)
    lows = [p.lit_v if p.lit_is == "low" else p.dark_v for p in ends]
    highs = [p.dark_v if p.lit_is == "low" else p.lit_v for p in ends]
    return lit, dark, max(lows), min(highs)


def _by_divider(answer: Fit, site: Site, state: TwoState, *, may: bool, series: str) -> Fit:
    board = board_of(site)
    assumed = [text for text in board.assumed if "emitter" not in text or "load" in text]
    limits = thresholds(site, assumed)

    def least(load: float) -> float:
        return min(divider_reserve(state, board, limits, load)[:2])

    load = board.load_ohm
    if may and least(load) < ENOUGH:
        best = max(values_between(*LOADS, series), key=least)
        load = best if least(best) > least(load) * WORTH else load
    lit, dark, low, high = divider_reserve(state, board, limits, load)
    good = [value for value in values_between(*LOADS, series) if least(value) >= 1]
    inverted = (board.side == "collector") != board.lit_low
    limited = "lit resistance" if lit <= dark else "dark resistance"
    current = board.supply / (load + state.lit)
    values: tuple[ValueChange, ...] = ()
    if abs(load - board.load_ohm) > 1e-9:
        was = board.load_ohm if site.output.load is not None else None
        why = f"smaller of both reserves {least(board.load_ohm):.2g} before, {least(load):.2g} with it"
        values = (ValueChange(where="load", was_ohm=was, now_ohm=load, why=why),)
    window = f"load: {rkm(good[0])} to {rkm(good[-1])} keeps both levels" if good else "no load keeps both levels"
    return replace(
        answer,
        values=values,
        signal=Signal(
            low_max_v=low, high_min_v=high, light_reserve=lit, dark_reserve=min(dark, 1e6),
            limited_by="the output goes the other way: an inverter is needed" if inverted else limited,
            clean=min(lit, dark) >= 1 and not inverted, basis=weakest("derived", limits.basis),
        ),
        warnings=(f"{window}; current when lit {current * 1e3:.3g} mA",
                  "light reserve: factor by which the lit resistance may rise; dark: by which the dark one may fall"),
        assumed=tuple(assumed),
    )  # fmt: skip


def _by_window(answer: Fit, state: TwoState, low: float, high: float, *, may: bool, series: str) -> Fit:
    """Lit must lie below ``low``, dark above ``high`` [ohm]; a series or a parallel resistor moves both."""

    def reserve(in_series: float, across: float) -> tuple[float, float]:
        lit, dark = (in_series + 1 / (1 / ohms + 1 / across) for ohms in (state.lit, state.dark))
        return low / lit, dark / high

    plain = reserve(0.0, float("inf"))
    best = (0.0, float("inf"))
    if may and min(plain) < ENOUGH:
        around = list(values_between(max(low / 1000, 1.0), high * 100, series))
        tried = [(0.0, across) for across in around] + [(ohms, float("inf")) for ohms in around if ohms < low]
        tried += product([ohms for ohms in around[::2] if ohms < low], around[::2])
        found = max(tried, key=lambda pair: min(reserve(*pair)))
        best = found if min(reserve(*found)) > min(plain) * WORTH else best
    lit, dark = reserve(*best)
    added = []
    if best[0] > 0:
        added.append(Added(what="series resistor", between=("two-state resistor", "its pad"), value_ohm=best[0],
                           why="raises the dark resistance"))  # fmt: skip
    if best[1] < float("inf"):
        added.append(Added(what="parallel resistor", between=("two-state resistor", "its other end"),
                           value_ohm=best[1], why="lowers the lit resistance"))  # fmt: skip
    return replace(
        answer,
        added=tuple(added),
        signal=Signal(
            low_max_v=None, high_min_v=None, light_reserve=lit, dark_reserve=min(dark, 1e6), clean=min(lit, dark) >= 1,
            limited_by="lit resistance" if lit <= dark else "dark resistance", basis="derived",
        ),
        warnings=(f"window: lit below {rkm(low)}, dark above {rkm(high)}",),
    )  # fmt: skip
