"""Every set of changes that makes the machine run, smallest first; what is ruled out is ruled out by a reason.

Exact: while something is wrong, it stays wrong until a change reaches what it can feel. So only changes that reach
the first thing that is wrong are tried next, and every working set is still met. Two sets that end in the same wiring
count once.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from xref.adapt.workaround_checks import Failure, cures, exempt, failures, spared
from xref.adapt.workaround_positions import Position, positions
from xref.adapt.workaround_price import Baseline, Price, baseline, price
from xref.adapt.workaround_wiring import Change, Compiled, Wiring, apply, changes, compile_network
from xref.model.network import ACTION_KINDS, Network

TROUBLE = {kind: rank for rank, kind in enumerate(ACTION_KINDS)}
"""How much a change costs to undo: jumper 0, lifted contact 1, moved wire 2, cut track 3."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A wiring on which the machine runs, how it is reached, and its price."""

    changes: tuple[Change, ...]
    wiring: Wiring
    price: Price

    def rank(self) -> tuple[int, int, int, int, int, tuple[str, ...]]:
        """Fewest losses that matter, fewest changes, easiest to undo; then other losses, unknowns, the words."""
        return (
            losses(self.price),
            len(self.changes),
            sum(TROUBLE[change.action.do] for change in self.changes),
            len(self.price.lost),
            len(self.price.warnings),
            tuple(change.action.text for change in self.changes),
        )


def losses(price: Price) -> int:
    """Return how many losses matter to the owner."""
    return sum(loss.matters for loss in price.lost)


@dataclass(slots=True, kw_only=True)
class Search:
    """The result: all working wirings up to ``complete_to`` changes, and why the machine does not run unchanged."""

    compiled: Compiled
    places: list[Position]
    base: Baseline
    found: list[Found] = field(default_factory=list)
    first: Failure | None = None
    tried: int = 0
    complete_to: int = 0
    left_out: dict[str, int] = field(default_factory=dict)
    blocked: bool = False
    limited: bool = False


def search(network: Network, max_changes: int, *, unsafe: bool = False, limit: int = 400_000) -> Search:
    """Find every working wiring of up to ``max_changes`` changes.

    Stops early after the size at which the losses that no wiring could avoid are the only ones left: more changes
    cannot be better. ``unsafe`` also tries what touches a safety element; only used to tell "no way" from "refused".
    ``limit``: wirings to try before giving up (``limited`` is then True and ``complete_to`` says how far it is proved).
    """
    compiled = compile_network(network)
    places = positions(network)
    base = baseline(compiled, places)
    result = Search(compiled=compiled, places=places, base=base)
    every = changes(compiled)
    for change in every:
        if change.touches:
            result.left_out[change.touches] = result.left_out.get(change.touches, 0) + 1
    allowed = [change for change in every if unsafe or not change.touches]
    exemptions = exempt(compiled, places)
    floor = sum(1 for kind, _, what in base.hopeless if kind == "user" or network.faults[what].matters)
    order = list(range(len(places)))
    layer: dict[Wiring, tuple[Change, ...]] = {compiled.start: ()}
    seen: set[Wiring] = {compiled.start}
    for size in range(max_changes + 1):
        following: dict[Wiring, tuple[Change, ...]] = {}
        for wiring, path in layer.items():
            result.tried += 1
            if result.tried > limit:
                result.limited = True
                result.found.sort(key=Found.rank)
                return result
            leaf = size == max_changes
            wrong = _wrong(compiled, wiring, places, exemptions, order, first=leaf)
            if wrong and leaf:
                order.remove(wrong[0][0])
                order.insert(0, wrong[0][0])
            if size == 0:
                result.first = wrong[0][1] if wrong else None
            if not wrong:
                result.found.append(Found(changes=path, wiring=wiring, price=price(compiled, wiring, places, base)))
            if size < max_changes:
                result.blocked |= any(c.touches and cures(each, c) for _, each in wrong for c in every)
                for change in _next([each for _, each in wrong], allowed, last=size == max_changes - 1):
                    after = apply(wiring, change, compiled.start)
                    if after is not None and after not in seen:
                        seen.add(after)
                        following[after] = (*path, change)
        result.complete_to = size
        if any(losses(found.price) <= floor for found in result.found):
            break
        layer = following
    result.found.sort(key=Found.rank)
    return result


def _wrong(
    compiled: Compiled,
    wiring: Wiring,
    places: list[Position],
    exemptions: frozenset[tuple[int, str]],
    order: list[int],
    *,
    first: bool,
) -> list[tuple[int, Failure]]:
    """Return (position, failure) of everything wrong; ``first``: stop at one, looking first where one is likely."""
    found = []
    for number, failure in failures(compiled, wiring, places, order=order if first else ()):
        if not spared(number, failure, exemptions):
            found.append((number, failure))
            if first:
                break
    return found


def _next(wrong: list[Failure], allowed: list[Change], *, last: bool) -> list[Change]:
    """Return the changes worth trying: all when nothing is wrong; else those that reach what is wrong.

    Every failure needs a change that reaches it, so it is enough to follow the one with the fewest; the last change
    must reach all of them.
    """
    if not wrong:
        return allowed
    if last:
        return [change for change in allowed if all(cures(failure, change) for failure in wrong)]
    return min(([change for change in allowed if cures(failure, change)] for failure in wrong), key=len)
