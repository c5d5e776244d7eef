"""The nearest names to a worn marking. It suggests; picking is the user's."""

from __future__ import annotations

from collections.abc import Sequence

from xref.library.names import canonical, folded

WORN = 0.4
"""Cost of a character gone at an end, where markings wear first; in the middle it is 1."""
LOOKALIKE = 0.1
"""Cost of a character read as one that looks like it."""
WORN_MOST = 2
"""Characters taken as worn at each end."""


def nearest(text: str, names: Sequence[tuple[str, str]], n: int = 5) -> list[str]:
    """The part names most like the marking, best first; none when nothing is near.

    The cost counts characters wrong, lost, added or swapped with their neighbour (optimal string alignment) after
    look-alikes are made one, plus a little for each look-alike that differs, plus ``WORN`` for each character that
    is taken as rubbed off at an end.

    Args:
        text: what can be read
        names: (name or alias, name of its part)
        n: how many to return
    """
    from rapidfuzz.distance import OSA

    plain, fold = canonical(text)[:60], folded(text)[:60]
    if not plain:
        return []
    limit = max(2.0, 0.5 * len(fold))
    best: dict[str, float] = {}
    for name, part in names:
        wanted = folded(name)
        cost = min(
            OSA.distance(fold, wanted[front : len(wanted) - back]) + WORN * (front + back)
            for front in range(WORN_MOST + 1)
            for back in range(WORN_MOST + 1)
            if len(wanted) - front - back >= 2 or front + back == 0
        )
        if len(fold) >= 3 and wanted.startswith(fold):
            cost = min(cost, WORN * (len(wanted) - len(fold)))
        if cost <= limit:
            cost += LOOKALIKE * OSA.distance(plain, canonical(name))
            best[part] = min(cost, best.get(part, cost))
    ranked = sorted((cost, name) for name, cost in best.items())
    return [name for _, name in ranked[:n]]
