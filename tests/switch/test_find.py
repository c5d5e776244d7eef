"""Search by what joins when: gates, unknowns that cost, every shipped switch in reach."""

from __future__ import annotations

import functools

import networkx as nx
import pytest

from xref.errors import SafetyRefusal, UsageError
from xref.library.store import Library, open_library
from xref.model.answers.find import FindAnswer
from xref.model.contact_need import ContactNeed, Load
from xref.model.switch_want import SwitchWant
from xref.tasks.switch import find

ON_OFF: dict[str, tuple[tuple[str, ...], ...]] = {"off": (), "on": (("1", "2"),)}
SPDT = {"left": (("1", "2"),), "right": (("2", "3"),)}
DPDT = {"left": (("1", "2"), ("4", "5")), "right": (("2", "3"), ("5", "6"))}


@functools.cache
def library() -> Library:
    return open_library()


def ask(**more: object) -> FindAnswer:
    need = more.pop("need", ContactNeed())
    return find(SwitchWant(need=need, **more), limit=0, library=library())  # type: ignore[arg-type]


def names(answer: FindAnswer) -> set[str]:
    return {found.part for found in answer.candidates}


@pytest.mark.parametrize(
    "want", [{"joins": SPDT}, {"action": "slide"}, {"pitch_mm": 2.5}, {"force": 1.0}, {"leads": 6}]
)
def test_every_shipped_switch_is_in_reach(want: dict[str, object]) -> None:
    """Whatever is asked, each shipped switch is either a candidate or refused with a reason."""
    answer = ask(**want)

    every = {part.name for part in library().parts("switch")}
    assert names(answer) | {item.part for item in answer.refused} == every
    assert all(item.why for item in answer.refused)


def has_change_over(part_name: str) -> bool | None:
    """From the sheet's table alone (networkx): two contacts, each closed where the other is open. None: no table."""
    contacts = library().get(part_name).contacts
    if contacts is None or not contacts.table:
        return None
    edges = []
    for groups in contacts.table.values():
        graph = nx.Graph()
        for group in groups:
            nx.add_path(graph, group)
        edges.append(
            {frozenset((a, b)) for part in nx.connected_components(graph) for a in part for b in part if a != b}
        )
    always = set.intersection(*edges)
    return any(one - other - always and other - one - always for one in edges for other in edges)


def test_change_over_is_found_in_whatever_contains_it() -> None:
    """Two contacts, each closed where the other is open, are a change-over; nothing else is."""
    answer = ask(joins=SPDT)

    found, refused = names(answer), {item.part for item in answer.refused}
    told = {name: has_change_over(name) for name in found | refused}
    assert {name for name in found if told[name] is False} == set()
    assert {name for name in refused if told[name] is True} == set()
    assert sum(told[name] is True for name in found) > 60


def test_unknown_table_costs_but_does_not_hide() -> None:
    """AS22AP is known as two poles, two throws, not by its leads: behind every switch whose table is known to do it."""
    answer = ask(joins=DPDT)

    order = [found.part for found in answer.candidates]
    known = [found.part for found in answer.candidates if found.checks[0].verdict != "unknown"]
    assert "AS22AP" in order
    assert order[: len(known)] == known
    assert {"5MD1", "OS202011MS2QN1"} <= set(known)
    assert "5MS1" not in order


def test_unknown_table_with_too_few_contacts_is_refused() -> None:
    """One pole with one throw cannot change over, whatever its leads are called."""
    answer = ask(joins=SPDT)

    why = {item.part: item.why for item in answer.refused}
    assert why["S101"] == "1 pole(s) with 1 throw(s): 2 contacts are needed"


def test_dry_circuit_excludes_power_contacts() -> None:
    """20 mV, 0.1 mA: gold slides (NKK AS: 0.1 mA at 20 mV) pass, a 1 mA, 5 V micro and a 5 A toggle do not."""
    answer = ask(joins=SPDT, need=ContactNeed(load=Load(volts=0.02, current=0.0001)))

    refused = {item.part: item.why for item in answer.refused}
    assert "AS12AP" in names(answer)
    assert "under its smallest load 5 V, 1 mA (printed)" in refused["SS-01"]
    assert "under its smallest load 5 V, 100 mA (assumed: silver contact of 5 A)" in refused["1004P1T1B1M1QEH"]


def test_timing_wanted_is_a_gate_and_not_given_is_a_question() -> None:
    """--between open refuses the shorting twin, passes the non-shorting one, and leaves a silent sheet open."""
    answer = ask(joins=SPDT, need=ContactNeed(between="open"))

    way = {
        found.part: {check.quantity: check for check in found.checks}["on the way"].verdict
        for found in answer.candidates
    }
    assert way["OS102011MS2QN1"] == "meets"
    assert way["5MS1"] == "unknown"
    assert "OS102011MS2QS1" in {item.part for item in answer.refused}


def test_silent_sheet_is_refused_where_supplies_meet() -> None:
    """Two supplies on the common: timing not given may not stand in."""
    answer = ask(joins=SPDT, need=ContactNeed(drives="supplies", between="open"))

    assert "5MS1" in {item.part for item in answer.refused}
    assert "OS102011MS2QN1" in names(answer)


def test_spring_return_and_rest() -> None:
    """A momentary normally open contact: returns to the open position; a normally closed one is refused."""
    answer = ask(joins={"free": (), "pressed": (("1", "2"),)}, rest="free", springs="back")

    assert "SKHHAJA010" in names(answer)
    assert {"KSR223GNC", "OS102011MS2QN1"} <= {item.part for item in answer.refused}


def test_size_and_feel_rank() -> None:
    """A 2 mm slide is asked for: the one of 2 mm stands before the one of 4.7 mm; too large a body is refused."""
    answer = ask(joins=SPDT, action="slide", pitch_mm=2.0, body_mm=(9.0, 4.5, 5.0))

    assert answer.candidates[0].part.startswith("OS102011M")
    assert any("is larger than" in item.why for item in answer.refused)


def test_nothing_to_search_by() -> None:
    """An empty question is a usage error."""
    with pytest.raises(UsageError) as caught:
        ask()

    assert str(caught.value) == (
        "switch find: nothing to search by: give --joins, --load, --action, --leads, --pitch or --body"
    )


def test_interlock_is_not_chosen_by_behaviour() -> None:
    """A switch of an interlock is refused for safety."""
    with pytest.raises(SafetyRefusal):
        ask(joins=SPDT, need=ContactNeed(drives="interlock"))


@pytest.mark.parametrize("load", [None, Load(volts=5, current=1e-3), Load(volts=230, current=1, ac_dc="DC"),
                                  Load(volts=230, current=1), Load(volts=24, current=1, ac_dc="AC")])  # fmt: skip
def test_mains_asks_for_its_load(load: Load | None) -> None:
    """Without a load in volts AC nothing is ranked for a mains circuit."""
    with pytest.raises(UsageError, match=r"--load: mains: .*230VAC/2A"):
        ask(joins=ON_OFF, need=ContactNeed(drives="mains", load=load))


@pytest.mark.parametrize("drives", ["mains", "", "coil"])
@pytest.mark.parametrize(("volts", "current"), [(230.0, 2.0), (230.0, 0.05), (120.0, 4.0)])
def test_mains_lists_only_an_approved_rating_that_reaches(drives: str, volts: float, current: float) -> None:
    """Every candidate has a printed AC line with an approval that reaches; every other part is refused with a reason.
    The factor 2 for a coil is Omron's (basic switch notes, inductive load)."""
    answer = ask(joins=ON_OFF, need=ContactNeed(drives=drives, load=Load(volts=volts, current=current, ac_dc="AC")))

    asked = current * (2 if drives == "coil" else 1)
    plates = {
        part.name: [
            line for line in part.contacts.ratings
            if line.ac_dc in ("AC", "AC/DC") and (line.v or 0) >= volts and (line.a or 0) >= asked and line.standard
        ]
        for part in library().parts("switch") if part.contacts is not None
    }  # fmt: skip
    assert all(plates[name] for name in names(answer))
    every = {part.name for part in library().parts("switch")}
    assert names(answer) | {item.part for item in answer.refused} == every
    assert any("licensed electrician" in note for note in answer.notes)


def test_mains_by_hand_from_the_sheets() -> None:
    """DC1C (6 A 250 V AC, EN 61058: Cherry sheet) reaches 230 V 2 A; D2F-01 (0.1 A 30 V DC, Omron sheet) does not;
    for SS-5D no approval is on file."""
    answer = ask(joins=ON_OFF, need=ContactNeed(drives="mains", load=Load(volts=230, current=2, ac_dc="AC")))

    why = {item.part: item.why for item in answer.refused}
    assert "DC1C-A1AA" in names(answer)
    assert why["D2F-01"] == "no AC rating known that reaches 230 V, 2 A"
    assert why["SS-5D"] == "approval of its rating 250 V AC 3 A not known"
