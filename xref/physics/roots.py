"""Root of a monotone function in a bracket; fails with the numbers that show why there is none."""

from __future__ import annotations

from collections.abc import Callable

from xref.errors import NoSolution


def bracketed_root(
    function: Callable[[float], float], low: float, high: float, *, what: str = "", relative: float = 1e-12
) -> float:
    """Root between two ends where the function has opposite signs (Illinois variant of the false position).

    Args:
        function: continuous function of one number [any]
        low: lower end of the bracket [any]
        high: upper end of the bracket [any]
        what: words for the error message [text]
        relative: width at which to stop, relative to the bracket [1]

    Returns:
        the root [as low and high]

    Raises:
        NoSolution: both ends have the same sign; the message holds the bracket and the residuals

    Valid: for continuous functions; the method needs no derivative.
    Source: the halving of the stagnant end is common practice (named the Illinois algorithm; from memory).
    """
    f_low, f_high = function(low), function(high)
    if f_low == 0.0:
        return low
    if f_high == 0.0:
        return high
    if (f_low > 0) == (f_high > 0):
        raise NoSolution(
            f"{what or 'no root'}: between {low:.6g} and {high:.6g} the residual runs from {f_low:.4g} to {f_high:.4g}"
        )
    width = abs(high - low)
    for _ in range(200):
        middle = high - f_high * (high - low) / (f_high - f_low)
        if not min(low, high) < middle < max(low, high):
            middle = (low + high) / 2
        f_middle = function(middle)
        if f_middle == 0.0:
            return middle
        if (f_middle > 0) != (f_high > 0):
            low, f_low = high, f_high
        else:
            f_low /= 2
        step = abs(middle - high)
        high, f_high = middle, f_middle
        if step <= relative * width or abs(high - low) <= relative * width:
            return high
    return high
