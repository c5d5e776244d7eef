"""The answers of ``assess`` and ``expect``: what is to blame, what to read."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """One cause with its probability and the readings that speak for and against it."""

    cause: str
    probability: float
    because: tuple[str, ...]
    against: tuple[str, ...]
    mend: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NextTest:
    """The cheapest test that decides most. ``expect`` says what each outcome would mean."""

    what: str
    how: str
    expect: tuple[str, ...]
    caution: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TransferSeen:
    """Collector current over emitter current as measured, and the spread of the part (as a ratio)."""

    measured_per_1: float | None
    expected_min_per_1: float | None
    expected_max_per_1: float | None
    saturated: bool = False
    """True: the lit detector takes the whole supply, so that this ratio and the light reserve are only lower bounds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelsSeen:
    """Output levels as measured and the input's limits [V]."""

    bright_v: float | None
    dark_v: float | None
    vil_v: float
    vih_v: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AssessAnswer:
    """The ranked causes. ``settled``: one cause (or causes that no test here parts) has at least the asked share."""

    verdicts: tuple[Verdict, ...]
    settled: bool
    next_test: NextTest | None
    emitter_ma: float | None
    transfer: TransferSeen
    levels: LevelsSeen
    light_reserve: float | None
    notices: tuple[str, ...] = ()
    """What must be read first: a safety function."""
    contradictions: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    basis: str = "assumed"


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectRow:
    """What to read at one point: state of the target, ranges for a good, weak and dead part, probes and range."""

    point: str
    state: str
    red_probe: str
    black_probe: str
    good: str
    weak: str
    dead: str
    meter: str
    caution: str = ""
    """Of this step alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectAnswer:
    """The table for one board."""

    rows: tuple[ExpectRow, ...]
    cautions: tuple[str, ...]
    """Before any reading in the running machine."""
    assumed: tuple[str, ...]
    basis: str
