"""The nearest names to a worn marking. It suggests; picking is the user's."""

from __future__ import annotations

from collections.abc import Sequence

from xref.library.names import canonical, folded


def nearest(text: str, names: Sequence[tuple[str, str]], n: int = 5) -> list[str]:
    """The part names most like the marking, best first.

    Distance: characters wrong, missing, added or swapped with their neighbour, counted after look-alikes are made
    one; a swapped look-alike costs a little; characters missing at an end cost less than in the middle, because
    markings wear from the ends.

    Args:
        text: what can be read
        names: (name or alias, name of its part)
        n: how many to return
    """
    from rapidfuzz.distance import OSA

    plain, fold = canonical(text), folded(text)
    if not plain:
        return []
    best: dict[str, float] = {}
    for name, part in names:
        wanted = folded(name)
        distance = float(OSA.distance(fold, wanted))
        if len(fold) >= 3 and (wanted.startswith(fold) or wanted.endswith(fold)):
            distance = min(distance, 0.5 + 0.3 * (len(wanted) - len(fold)))
        distance += 0.1 * OSA.distance(plain, canonical(name))
        if distance < best.get(part, 99.0):
            best[part] = distance
    limit = max(2.5, 0.6 * len(fold))
    ranked = sorted((distance, name) for name, distance in best.items() if distance <= limit)
    return [name for _, name in ranked[:n]]
