"""The answer of ``workaround``: plans, what each costs, and what was refused."""

from __future__ import annotations

from dataclasses import dataclass

from xref.model.network import Action


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One way in which a fault is noticed in one mode.

    ``within_s``: time until the controller knows, 0 for a level that changes at once, None if the time-out is not
    known. ``pulse_hz``: pulse rate while all is well. ``reserve``: time-out x pulse rate, must stay above 1.
    """

    mode: str
    fault: str
    input: str
    sensor: str
    within_s: float | None
    pulse_hz: float | None = None
    reserve: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lost:
    """One thing that the machine, or a second user of the signal, no longer learns.

    ``curable``: some live sensor does know it, so another wiring might bring it back; False: no wiring can.
    """

    mode: str
    what: str
    kind: str
    matters: bool
    curable: bool
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Signal:
    """What an input gets in one mode: the sensor that reaches it, its rate, and the worst levels."""

    mode: str
    input: str
    sensor: str
    pulse_hz: float | None
    low_max_v: float | None
    high_min_v: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkaroundOption:
    """One plan, with its price and the way back."""

    actions: tuple[Action, ...]
    seen_before: tuple[Seen, ...]
    seen_after: tuple[Seen, ...]
    lost: tuple[Lost, ...]
    signals: tuple[Signal, ...]
    undo: tuple[str, ...]
    warnings: tuple[str, ...] = ()
    verified: bool = False
    nothing_lost: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """A safety element, and how many possible changes were left out because they touch it."""

    element: str
    kind: str
    why: str
    ask: str
    actions_left_out: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkaroundAnswer:
    """All plans up to ``max_actions`` changes, best first.

    ``complete_to``: every set of changes up to this size was tried or ruled out. ``because``: why the machine does
    not run as it stands (empty when it does).
    """

    machine: str
    options: tuple[WorkaroundOption, ...]
    refused: tuple[Refused, ...]
    because: tuple[str, ...]
    max_actions: int
    complete_to: int
    tried: int
    proof: str
    assumed: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
