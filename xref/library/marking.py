"""The nearest names to a worn marking. It suggests; picking is the user's."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from itertools import accumulate

from xref.library.names import canonical, folded

WORN = 0.4
"""Cost of a character gone at an end, where markings wear first; in the middle it is 1."""
LOOKALIKE = 0.1
"""Cost of a character read as one that looks like it."""
WORN_MOST = 2
"""Characters taken as worn at each end."""

STAGES = ((1.8, 2), (2.2, 3), (2.4, 4))
"""(cost, radius): a name that costs less than this lies within that plain distance, or holds the marking whole between
worn ends. With k characters worn, less than 1.8 leaves one error for k = 0 and 1 and none for more (k * WORN is 0.8 and
up), so the plain distance is at most 2; the other rows in the same way."""

MANY = 5000
"""Above this many names a marking that one mishap explains is not compared with all the rest."""


class Markings:
    """Names made ready for many look-ups; (name or alias, name of its part)."""

    def __init__(self, names: Iterable[tuple[str, str]]) -> None:
        self._parts: list[str] = []
        self._plain: list[str] = []
        self._folds: list[str] = []
        for name, part in names:
            self._parts.append(part)
            self._plain.append(canonical(name))
            self._folds.append(folded(name))
        self._joined = "\n".join(self._folds)
        self._starts = list(accumulate((len(fold) + 1 for fold in self._folds), initial=0))[:-1]

    def nearest(self, text: str, n: int = 5) -> list[str]:
        """The part names most like the marking, best first; none when nothing is near.

        The cost counts characters wrong, lost, added or swapped with their neighbour (optimal string alignment) after
        look-alikes are made one, plus a little for each look-alike that differs, plus ``WORN`` for each character that
        is taken as rubbed off at an end.

        Args:
            text: what can be read
            n: how many to return
        """
        plain, fold = canonical(text)[:60], folded(text)[:60]
        if not plain:
            return []
        limit = max(2.0, 0.5 * len(fold))
        best: dict[str, float] = {}
        done = -1
        for below, radius in (*STAGES, (float("inf"), 999)):
            for at in self._within(fold, done, radius):
                part = self._parts[at]
                cost = self._cost(plain, fold, at, min(limit, best.get(part, limit)))
                if cost is not None and cost < best.get(part, float("inf")):
                    best[part] = cost
            done = radius
            ranked = sorted((cost, name) for name, cost in best.items())
            if below > limit or (len(ranked) >= n and ranked[n - 1][0] < below):
                break
            if len(self._folds) > MANY and ranked and ranked[0][0] < 1.0:
                # one mishap explains it; the weakest of the five are not worth a look at a hundred thousand names
                break
        return [name for _, name in ranked[:n]]

    def _within(self, fold: str, done: int, radius: int) -> Iterable[int]:
        """Places of the names whose plain distance is above ``done`` and at most ``radius``; at first also of those
        that hold the marking whole, because torn-off ends are cheap at any length.
        """
        from rapidfuzz import process
        from rapidfuzz.distance import OSA

        found = [
            at
            for _, distance, at in process.extract_iter(fold, self._folds, scorer=OSA.distance, score_cutoff=radius)
            if distance > done
        ]
        if done < 0:
            found += self._holding(fold)
        return found

    def _holding(self, fold: str) -> Iterable[int]:
        """Places of the names that hold the marking whole: one search through all of them as one text."""
        spot = self._joined.find(fold)
        while spot >= 0:
            at = bisect_right(self._starts, spot) - 1
            yield at
            spot = self._joined.find(fold, self._starts[at] + len(self._folds[at]))

    def _cost(self, plain: str, fold: str, at: int, limit: float) -> float | None:
        """What the marking costs as a reading of that name; None beyond the limit."""
        from rapidfuzz.distance import OSA

        wanted = self._folds[at]
        size = len(wanted)
        cost = float(OSA.distance(fold, wanted))
        for front, back, price in _WORN_ENDS:
            # the rest cannot be nearer than the difference of the lengths
            rest = size - front - back
            if rest >= 2 and price + abs(rest - len(fold)) < cost:
                cost = min(cost, OSA.distance(fold, wanted[front : size - back]) + price)
        if len(fold) >= 3 and wanted.startswith(fold):
            cost = min(cost, WORN * (size - len(fold)))
        if cost > limit:
            return None
        return cost + LOOKALIKE * OSA.distance(plain, self._plain[at])


_WORN_ENDS = tuple(
    (front, back, WORN * (front + back))
    for front in range(WORN_MOST + 1)
    for back in range(WORN_MOST + 1)
    if front + back
)


def nearest(text: str, names: Sequence[tuple[str, str]], n: int = 5) -> list[str]:
    """The part names most like the marking, best first; see :meth:`Markings.nearest`."""
    return Markings(names).nearest(text, n)
