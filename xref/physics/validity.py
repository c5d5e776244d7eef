"""A computed number with its band, its basis, and whether it lies inside the range of its model."""

from __future__ import annotations

from dataclasses import dataclass

BASES = ("printed", "curve", "measured", "derived", "assumed", "memory")


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A value between ``low`` and ``high``; ``valid`` is False outside the model's range and ``why`` says so."""

    value: float
    low: float
    high: float
    valid: bool = True
    why: str = ""
    basis: str = "derived"

    @property
    def half_width(self) -> float:
        """Half of the band, in the unit of the value."""
        return (self.high - self.low) / 2


def exact(value: float, basis: str = "derived") -> Estimate:
    """An estimate without a band.

    Args:
        value: the number [any]
        basis: one of the basis words [text]

    Returns:
        the estimate, with low = value = high [as value]

    Valid: everywhere.
    Source: definition.
    """
    return Estimate(value=value, low=value, high=value, basis=basis)


def weakest(*bases: str) -> str:
    """The weakest of several bases; a result carries this one.

    Args:
        bases: basis words of everything that went in [text]

    Returns:
        the word that stands last in ``BASES`` [text]

    Valid: for the words of ``BASES``; an unknown word counts as the weakest.
    Source: definition (design rule: a result shows the weakest basis that went into it).
    """
    return max(bases, key=lambda b: BASES.index(b) if b in BASES else len(BASES), default="derived")


def product(first: Estimate, *others: Estimate) -> Estimate:
    """Product of positive factors; the bands multiply end by end, the widest case.

    Args:
        first: a positive factor [any]
        others: further positive factors [any]

    Returns:
        the product with its band, valid only if all are [product of the units]

    Valid: for factors that are not negative.
    Source: interval arithmetic, definition.
    """
    value, low, high = first.value, first.low, first.high
    why = [first.why] if first.why else []
    for other in others:
        value, low, high = value * other.value, low * other.low, high * other.high
        if other.why and other.why not in why:
            why.append(other.why)
    parts = (first, *others)
    return Estimate(
        value=value,
        low=low,
        high=high,
        valid=all(p.valid for p in parts),
        why="; ".join(why),
        basis=weakest(*(p.basis for p in parts)),
    )
