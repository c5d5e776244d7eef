"""From continuity readings to a contact table: poles, throws, commons, timing, and the reading to take next.

Readings may come in any order and be few. A reading between two positions (``@left-right``, the lever held half-way)
tells whether the switch joins before it lets go. Nothing is concluded that the readings do not prove.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence

from xref.bench.readings import Reading, show_reading
from xref.bench.switch_state import Pair, PositionState, least_readings, next_pair
from xref.errors import DataError, UsageError
from xref.model.answers.switch import NextContinuity, Pole, PositionTable, SwitchIdentity

JOINED_OHM = 100.0
"""Up to this a contact counts as closed, worn as it may be (an aged detector contact may reach 5 ohm; the rest is for
test leads and dirt: ours)."""

OPEN_OHM = 1e6
"""From this on it counts as open (makers print 100 Mohm and more; hands and dirt are lower: ours)."""

WEAK_OHM = 5.0
"""A closed contact above this is worn or dirty (largest makers' figure met: 5 ohm at the end of life, Alps SPVM)."""

MOST_LEADS = 16
AS_IT_LIES = "as it lies"


def identify_switch(
    leads: Sequence[str],
    readings: Sequence[Reading],
    *,
    positions: Sequence[str] = (),
    returns_to: str = "",
    bounce_ms: float | None = None,
) -> SwitchIdentity:
    """What continuity readings prove of a switch.

    Args:
        leads: names of all leads in the order in which they stand
        readings: continuity or ohms, each with its position
        positions: all positions in order; others that readings name are added behind
        returns_to: the position to which it springs back, '' when it stays or nobody tried
        bounce_ms: longest bounce that was measured

    Returns:
        the table as far as it is proved, and the reading to take next

    Raises:
        UsageError: too many leads, a position missing, a name that does not exist
        DataError: a reading that contradicts earlier ones, or is neither closed nor open
    """
    if not 2 <= len(leads) <= MOST_LEADS:
        raise UsageError(f"{len(leads)} leads: expected 2 to {MOST_LEADS}", "--leads")
    order, between = _positions(readings, positions)
    if returns_to and returns_to not in order:
        raise UsageError(f"there is no position {returns_to}; the positions are {', '.join(order)}", "--returns-to")
    index = {name: number for number, name in enumerate(leads)}
    states = {name: PositionState(len(leads)) for name in [*order, *between]}
    counts = dict.fromkeys(states, 0)
    enough: int | None = None
    worst: float | None = None
    for number, reading in enumerate(readings, start=1):
        name = reading.position or order[0]
        closed = is_closed(reading)
        one, other = index[reading.red], index[reading.black]
        if not states[name].add(one, other, closed):
            was = "joined" if not closed else "open"
            raise DataError(
                f"{show_reading(reading)} contradicts earlier readings, by which they are {was}; read it again"
            )
        counts[name] += 1
        if closed and reading.value:
            worst = max(worst or 0.0, reading.value)
        if enough is None and all(not states[each].open_pairs for each in order):
            enough = number
    settled = all(not states[name].open_pairs for name in order)
    tables = tuple(_table(name, states[name], leads, counts[name]) for name in order)
    poles = _poles([states[name] for name in order], leads) if settled else ()
    notes = _notes(worst, returns_to, settled, order)
    return SwitchIdentity(
        leads=tuple(leads),
        positions=tables,
        settled=settled,
        next_reading=None if settled else _next([states[name] for name in order], order, leads),
        readings=len(readings),
        enough_after=enough,
        least=sum(least_readings(len(leads), len(states[name].groups)) for name in order) if settled else None,
        poles=poles,
        name=_name(poles, [states[name] for name in order]) if settled else "",
        timing=_timing(states, order, between, len(leads)),
        returns_to=returns_to,
        idle_leads=tuple(name for name in leads if all(name not in pole.leads for pole in poles)) if settled else (),
        resistance_mohm=None if worst is None else worst * 1e3,
        bounce_ms=bounce_ms,
        notes=notes,
        joins=tuple(_joins(table) for table in tables) if settled else (),
    )


def session(
    leads: Sequence[str], positions: Sequence[str], ask: Callable[[str, str, str], bool]
) -> tuple[dict[str, tuple[tuple[str, ...], ...]], int]:
    """Read a whole switch, the tool choosing each reading.

    Args:
        leads, positions: names, in order
        ask: given two leads and a position, True when they are joined

    Returns:
        position to groups of joined leads, and the number of readings taken
    """
    states = [PositionState(len(leads)) for _ in positions]
    taken = 0
    for place, position in enumerate(positions):
        while (pair := next_pair(states, place)) is not None:
            states[place].add(*pair, ask(leads[pair[0]], leads[pair[1]], position))
            taken += 1
    return {name: _groups(states[place], leads) for place, name in enumerate(positions)}, taken


def is_closed(reading: Reading) -> bool:
    """True for a closed contact, False for an open one.

    Raises:
        DataError: the reading is neither, or not a continuity or ohms reading
    """
    if reading.value is None:
        return False
    text = show_reading(reading)
    if reading.mode != "ohms" or reading.supply is not None:
        raise DataError(f"{text} is no continuity reading: expected ohms, 0 or OL, like 1:2@left=0")
    if reading.value <= JOINED_OHM:
        return True
    if reading.value >= OPEN_OHM:
        return False
    raise DataError(
        f"{text} is neither a closed contact (up to {JOINED_OHM:g} ohm) nor an open one (from 1 Mohm): take the switch "
        "out of the circuit and read again"
    )


def _positions(readings: Sequence[Reading], stated: Sequence[str]) -> tuple[list[str], list[str]]:
    """Positions in order, and the names that stand for the way between two of them."""
    named = list(dict.fromkeys(reading.position for reading in readings))
    if "" in named and (stated or len(named) > 1):
        bare = next(reading for reading in readings if not reading.position)
        raise UsageError(
            f"{show_reading(bare)} names no position, others do: expected like {bare.red}:{bare.black}@left=0"
        )
    order = list(dict.fromkeys(stated)) or [name for name in named if name]
    every = list(dict.fromkeys([*order, *(name for name in named if name)]))
    between = [
        name
        for name in every
        if any(name == f"{a}-{b}" for a, b in itertools.permutations(every, 2) if name not in stated)
    ]
    found = [name for name in every if name not in between]
    return found or [AS_IT_LIES], between


def _table(name: str, state: PositionState, leads: Sequence[str], count: int) -> PositionTable:
    return PositionTable(
        position=name,
        joined=_groups(state, leads),
        unknown=tuple((leads[one], leads[other]) for one, other in state.open_pairs),
        readings=count,
    )


def _groups(state: PositionState, leads: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(leads[lead] for lead in group) for group in state.groups if len(group) > 1)


def _next(states: Sequence[PositionState], order: Sequence[str], leads: Sequence[str]) -> NextContinuity:
    """The next reading: in the position that was begun, else in the first that is not proved."""
    unproved = [number for number, state in enumerate(states) if state.open_pairs]
    begun = [number for number in unproved if states[number].apart or len(states[number].groups) < len(leads)]
    place = (begun or unproved)[0]
    pair = next_pair(states, place)
    assert pair is not None
    left = len(states[place].open_pairs)
    why = f"{left} pair{'s' * (left != 1)} not yet proved in {order[place]}"
    return NextContinuity(one=leads[pair[0]], other=leads[pair[1]], position=order[place], why=why)


def _poles(states: Sequence[PositionState], leads: Sequence[str]) -> tuple[Pole, ...]:
    whole = PositionState(len(leads))
    for state in states:
        for group in state.groups:
            for one, other in itertools.pairwise(group):
                whole.add(one, other, True)
    found = []
    for pole in whole.groups:
        if len(pole) < 2:
            continue
        joins = [set(group) for state in states for group in state.groups if len(group) > 1 and group[0] in pole]
        shared = set.intersection(*joins)
        changes = len({frozenset(join) for join in joins}) > 1
        common = [lead for lead in pole if lead in shared]
        single = len(common) == 1 and changes
        throws = len({frozenset(join) for join in joins})
        found.append(
            Pole(
                leads=tuple(leads[lead] for lead in pole),
                common=leads[common[0]] if single else "",
                throws=throws,
            )
        )
    return tuple(found)


_WORDS: Mapping[tuple[int, int], str] = {
    (1, 1): "SPST", (2, 1): "DPST", (1, 2): "SPDT", (2, 2): "DPDT", (3, 2): "3PDT", (4, 2): "4PDT", (1, 3): "SP3T",
    (2, 3): "DP3T", (1, 4): "SP4T",
}  # fmt: skip


def _name(poles: Sequence[Pole], states: Sequence[PositionState]) -> str:
    """The trade's word where all poles are alike, with the positions that join nothing."""
    if not poles:
        return "joins nothing"
    throws = {pole.throws for pole in poles}
    if len(throws) > 1 or any(pole.throws > 1 and not pole.common for pole in poles):
        return f"{len(poles)} pole{'s' * (len(poles) > 1)}, not a plain change-over"
    count = throws.pop()
    word = _WORDS.get((len(poles), count), f"{len(poles)} poles, {count} throws")
    off = sum(all(len(group) == 1 for group in state.groups) for state in states)
    return f"{word}, {off} position off" if off and count > 1 else word


def _timing(states: Mapping[str, PositionState], order: Sequence[str], between: Sequence[str], count: int) -> str:
    """'shorting' when two leads that no end position joins are joined half-way; 'non-shorting' when a lead that both
    ends join is alone half-way, fully read."""
    found = set()
    for name in between:
        state = states[name]
        ends = [states[each] for each in order if name.startswith(f"{each}-") or name.endswith(f"-{each}")]
        for one, other in itertools.combinations(range(count), 2):
            if state.joined(one, other) and all(end.joined(one, other) is False for end in ends):
                found.add("shorting")
        for lead in range(count):
            mates: list[Pair] = [(lead, k) for k in range(count) if k != lead]
            alone = all(state.joined(*pair) is False for pair in mates)
            if alone and all(any(end.joined(*pair) for pair in mates) for end in ends):
                found.add("non-shorting")
    return found.pop() if len(found) == 1 else ""


def _notes(worst: float | None, returns_to: str, settled: bool, order: Sequence[str]) -> tuple[str, ...]:
    found = []
    if worst is not None and worst > WEAK_OHM:
        found.append(f"a closed contact reads {worst:g} ohm: worn or dirty; subtract the test leads, work it 20 times")
    if settled and not returns_to:
        found.append("spring return not said: let go of it in each position (--returns-to POSITION)")
    if settled and len(order) == 1:
        found.append("one position only: read the others too")
    return tuple(found)


def _joins(table: PositionTable) -> str:
    pairs = [f"{a}:{b}" for group in table.joined for a, b in itertools.pairwise(group)]
    return f"{table.position}={','.join(pairs) or 'none'}"
