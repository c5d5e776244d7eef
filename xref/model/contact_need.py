"""What a circuit asks of a switch beside its contact table: load, what hangs on it, what may happen on the way."""

from __future__ import annotations

from dataclasses import dataclass

DRIVES = ("", "logic", "ladder", "outputs", "supplies", "lamp", "motor", "coil", "mains", "interlock")
"""What the contacts drive. ``outputs``, ``supplies``: two of them meet on one common lead."""

BETWEEN = ("", "open", "joined", "any")
"""What must hold on the way: all let go first (non-shorting), the next made first (shorting), or nothing depends."""

LEVERS = ("", "same", "reversed")
"""How the donor's list of positions runs against the original's, when the user has tried it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """Open voltage [V] and closed current [A] of the circuit; ``ac_dc``: 'AC', 'DC' or '' where not said."""

    volts: float
    current: float
    ac_dc: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ContactNeed:
    """The circuit around a switch. Empty: not known.

    ``ohm_max``: contact resistance that the circuit still stands [ohm]. ``doubled``: every contact twice in parallel.
    """

    load: Load | None = None
    drives: str = ""
    between: str = ""
    lever: str = ""
    ohm_max: float | None = None
    doubled: bool = False
