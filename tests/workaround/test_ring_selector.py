"""The fraction collector: two ring sensors, one selector, one of them dead. Expected values are worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from xref.adapt.workaround import check_plan, plan
from xref.adapt.workaround_search import search
from xref.errors import DataError, NoSolution
from xref.examples import FOLDER
from xref.job.network_file import load_network
from xref.model.network import Contact, ControllerInput, Fault, Network, NetworkResistor, NetworkSensor, SecondUser

EXAMPLE = FOLDER / "ring-selector.yaml"


@pytest.fixture
def collector() -> Network:
    """The shipped example."""
    return load_network(EXAMPLE)


def with_sensor(network: Network, name: str, **fields: object) -> Network:
    """The network with a changed sensor."""
    return replace(network, sensors={**network.sensors, name: replace(network.sensors[name], **fields)})


def with_input(network: Network, name: str, **fields: object) -> Network:
    """The network with a changed input."""
    return replace(network, inputs={**network.inputs, name: replace(network.inputs[name], **fields)})


def texts(option: object) -> list[str]:
    """The actions of an option in words."""
    return [action.text for action in option.actions]  # type: ignore[attr-defined]


def test_the_selector_is_strapped_so_that_the_living_sensor_serves_both_modes(collector: Network) -> None:
    """One jumper between the two selector contacts, or straight to the common, is the whole plan."""
    answer = plan(collector, 3)

    assert texts(answer.options[0]) == ["jumper from INNER to OUTER"]
    assert ["jumper from INNER to STEP"] in [texts(option) for option in answer.options]
    assert all(option.verified for option in answer.options)
    assert {(row.mode, row.sensor, row.pulse_hz) for row in answer.options[0].signals if row.input == "step"} == {
        ("inner", "inner step", 4.0),
        ("outer", "inner step", 1.0),
    }


def test_the_report_names_the_ring_whose_stall_is_no_longer_noticed(collector: Network) -> None:
    """By hand: only the outer ring, only in mode outer; a jam and a lost drive also stop the inner ring."""
    option = plan(collector, 3).options[0]

    assert [(loss.mode, loss.what, loss.curable) for loss in option.lost] == [("outer", "outer ring stuck", False)]
    assert not option.nothing_lost
    assert option.lost[0].text == (
        "in mode outer, 'outer ring stuck' is no longer noticed (was seen by outer step at input step, within 2.5 s); "
        "step now gets inner step, which goes on at 1 Hz"
    )
    seen = {(row.mode, row.fault, row.sensor, row.within_s, row.reserve) for row in option.seen_after}
    assert ("outer", "jam", "inner step", 2.5, 2.5) in seen  # 1 Hz x 2.5 s
    assert ("inner", "inner ring stuck", "inner step", 2.5, 10.0) in seen  # 4 Hz x 2.5 s
    assert ("outer", "end reached", "arm park", 0.0, None) in seen


def test_the_levels_are_those_of_the_divider(collector: Network) -> None:
    """5 V through 10 k to 300 ohm beside 220 k of the dead sensor; dark: 2 M and 220 k in parallel to 0 V."""
    signals = plan(collector, 1).options[0].signals
    lit = 1 / (1 / 300 + 1 / 220e3)
    dark = 1 / (1 / 2e6 + 1 / 220e3)

    step = next(row for row in signals if row.input == "step" and row.mode == "outer")

    assert step.low_max_v == pytest.approx(5 * lit / (lit + 10e3), rel=1e-6)
    assert step.high_min_v == pytest.approx(5 * dark / (dark + 10e3), rel=1e-6)


def selector(count: int, timing: str, pulls_to: str, dead: int) -> Network:
    """``count`` like sensors, each shown to the controller in its own mode."""
    modes = tuple(f"ring {i}" for i in range(count))
    other = "5V" if pulls_to == "0V" else "0V"
    return Network(
        nets=("5V", "0V", "STEP", *(f"L{i}" for i in range(count))),
        supplies={"5V": 5.0, "0V": 0.0},
        modes=modes,
        contacts={
            f"S{i}": Contact(joins=(f"L{i}", "STEP"), closed_in=(modes[i],), timing=timing)  # type: ignore[arg-type]
            for i in range(count)
        },
        sensors={
            f"sensor {i}": NetworkSensor(
                output=f"L{i}",
                to=pulls_to,
                state="dead" if i == dead else "live",
                lit=300.0,
                sees={f"shaft {i}": {modes[i]: 4.0}, "all rings": dict.fromkeys(modes, 2.0)},
            )
            for i in range(count)
        },
        resistors={"R1": NetworkResistor(between=(other, "STEP"), value=10e3)},
        inputs={"step": ControllerInput(net="STEP", must_change=True, time_out=2.0)},
        motion={mode: (f"shaft {i}", "all rings") for i, mode in enumerate(modes)},
        faults={"stall": Fault(stops=("all rings",))},
    )


@pytest.mark.parametrize("timing", ["break-before-make", "make-before-break", "not specified"])
@pytest.mark.parametrize("pulls_to", ["0V", "5V"])
@pytest.mark.parametrize(("count", "dead", "living"), [(2, 0, 1), (2, 1, 0), (3, 1, 2), (4, 3, 0)])
def test_trade_rule_strapping_keeps_the_controller_content(
    timing: str, pulls_to: str, count: int, dead: int, living: int
) -> None:
    """A dead sensor's selector contact strapped to a living like sensor does in every position.

    Source: common practice, no source.
    """
    network = selector(count, timing, pulls_to, dead)

    answer = check_plan(network, (f"jumper L{dead} L{living}",))

    assert answer.options[0].verified
    assert f"jumper from L{min(dead, living)} to L{max(dead, living)}" in [
        text for option in plan(network, 1, show=99).options for text in texts(option)
    ]


def test_a_dead_sensor_that_conducts_must_be_taken_off_first(collector: Network) -> None:
    """A shorted output holds the line low: the jumper alone does not do, and the message says so."""
    stuck = with_sensor(collector, "outer step", stays="lit")

    with pytest.raises(NoSolution, match="sees no living sensor"):
        check_plan(stuck, ("jumper INNER OUTER",))

    best = plan(stuck, 3).options[0]
    assert texts(best) == ["move the wire of contact S1-out from OUTER to INNER"]


def test_a_leaking_dead_sensor_spoils_the_level(collector: Network) -> None:
    """470 ohm in parallel: dark would be 5 V x 470 / 10470 = 0.22 V, never high; so the dead one must go."""
    leaking = with_sensor(collector, "outer step", leaks=470.0)

    with pytest.raises(NoSolution):
        check_plan(leaking, ("jumper INNER OUTER",))


def test_a_constant_level_does_not_content_a_controller_that_wants_change(collector: Network) -> None:
    """Bridging the input to a supply is no workaround where a constant level is a fault."""
    with pytest.raises(NoSolution, match="no living sensor that moves"):
        check_plan(collector, ("jumper STEP 0V", "lift S1-in"))


def test_pulses_slower_than_the_time_out_are_no_solution(collector: Network) -> None:
    """1 Hz against 0.9 s: the controller would stop in every plan."""
    with pytest.raises(NoSolution) as caught:
        plan(with_input(collector, "step", time_out=0.9), 2)

    assert caught.value.message == (
        "no workaround of any size: in mode outer input step needs pulses within 0.9 s, and no living sensor gives "
        "them (inner step 1 Hz)"
    )


def test_no_plan_within_the_allowed_changes_is_said_with_their_number(collector: Network) -> None:
    """Only lifting contacts cannot bring the living sensor to the input."""
    with pytest.raises(NoSolution, match="no workaround of up to 3 changes exists, every one was tried or ruled out"):
        plan(replace(collector, may=("lift",)), 3)


def test_a_reserve_below_two_pulses_is_a_warning(collector: Network) -> None:
    """1 Hz against 1.5 s runs, with a warning that names the reserve."""
    option = plan(with_input(collector, "step", time_out=1.5), 1).options[0]

    assert option.warnings == (
        "in mode outer, inner step gives 1 Hz: only 1.5 pulses in the time-out of 1.5 s; a little slower and the "
        "controller stops",
    )


def test_an_unknown_rate_is_said_not_guessed(collector: Network) -> None:
    """A pulse rate that nobody measured makes a warning with the measurement to take."""
    unknown = with_sensor(collector, "inner step", sees={"inner ring": {"inner": 4.0, "outer": None}})

    assert plan(unknown, 1).options[0].warnings == (
        "in mode outer, the pulse rate of inner step is not known: count its pulses against the time-out of step "
        "before you rely on it",
    )


def test_a_second_user_of_the_signal_is_part_of_the_price(collector: Network) -> None:
    """A tube counter that followed the outer ring now counts the inner one: said in words."""
    network = with_input(collector, "step", also={"tube counter": SecondUser(follows="outer ring", modes=("outer",))})

    lost = plan(network, 1).options[0].lost

    assert [loss.text for loss in lost if loss.kind == "user"] == [
        "in mode outer, tube counter (second user of step) followed outer ring at 4 Hz; it now gets inner ring at 1 Hz"
    ]


def test_a_fault_that_does_not_matter_does_not_count(collector: Network) -> None:
    """The owner's `matters: no` moves a loss behind, but it is still printed."""
    careless = replace(
        collector, faults={**collector.faults, "outer ring stuck": Fault(stops=("outer ring",), matters=False)}
    )

    answer = plan(careless, 2)

    assert [loss.matters for loss in answer.options[0].lost] == [False]
    assert not answer.options[0].nothing_lost
    assert "loses nothing" in answer.proof


def test_nothing_lost_is_said_only_when_every_fault_is_still_seen() -> None:
    """Two like sensors on one shaft: strapping loses nothing, and the proof says that nothing smaller does."""
    network = selector(2, "break-before-make", "0V", 1)

    option = plan(network, 2).options[0]

    assert option.nothing_lost
    assert option.lost == ()


def test_driven_outputs_are_never_joined(collector: Network) -> None:
    """With outputs that drive both ways, a dead one still drives: the jumper is refused, a moved wire is the plan."""
    driven = collector
    for name in ("inner step", "outer step"):
        driven = with_sensor(driven, name, drives="both", to="", dark=None, leaks=None)

    with pytest.raises(NoSolution, match="drive against each other"):
        check_plan(driven, ("jumper INNER OUTER",))

    assert texts(plan(driven, 2).options[0]) == ["move the wire of contact S1-out from OUTER to INNER"]


def test_a_shorting_selector_between_driven_outputs_is_told_as_a_mistake_of_the_file(collector: Network) -> None:
    """No healthy machine can be so: the timing in the file must be wrong."""
    driven = collector
    for name in ("inner step", "outer step"):
        driven = with_sensor(driven, name, drives="both", to="", dark=None, leaks=None)
    contacts = {name: replace(contact, timing="make-before-break") for name, contact in driven.contacts.items()}

    with pytest.raises(
        DataError, match=r"between inner and outer the outputs .* correct the file, or the contact's timing"
    ):
        plan(replace(driven, contacts=contacts), 1)


def test_in_between_positions_count() -> None:
    """A jumper that is good at rest but joins two supplies while the contacts change over is refused."""
    network = selector(2, "make-before-break", "0V", 1)
    wiring = replace(
        network,
        nets=(*network.nets, "A", "B"),
        contacts={
            **network.contacts,
            "T0": Contact(joins=("A", "5V"), closed_in=("ring 0",), timing="make-before-break", pole="2"),
            "T1": Contact(joins=("B", "0V"), closed_in=("ring 1",), timing="make-before-break", pole="2"),
        },
    )

    with pytest.raises(NoSolution, match=r"between ring 0 and ring 1 .*5 V is joined to 0 V|0 V is joined to 5 V"):
        check_plan(wiring, ("jumper L0 L1", "jumper A B"))


def test_the_inner_sense_matters_where_the_controller_says_so(collector: Network) -> None:
    """A sensor of the other sense does not content an input that insists on one."""
    turned = with_sensor(collector, "inner step", flag="lit")
    turned = with_input(turned, "step", flag_reads=None)
    assert plan(turned, 1).options
    insisting = replace(turned, inputs={**turned.inputs, "step": replace(turned.inputs["step"], flag_reads="high")})

    with pytest.raises(DataError, match="with the sense turned round"):
        plan(insisting, 1)


def test_a_larger_plan_that_loses_less_comes_first(collector: Network) -> None:
    """One jumper contents the controller; a second one brings a spare park sensor to the dead one's line as well."""
    spare = replace(collector.sensors["arm park"], output="SPARE")
    network = replace(
        with_sensor(collector, "arm park", state="dead"),
        nets=(*collector.nets, "SPARE"),
        faults={**collector.faults, "end reached": Fault(shown_by=("arm park", "spare park"), modes=("inner",))},
    )
    network = replace(network, sensors={**network.sensors, "spare park": spare})

    answer = plan(network, 3)

    assert texts(answer.options[0]) == ["jumper from INNER to OUTER", "jumper from PARK to SPARE"]
    assert [loss.what for loss in answer.options[0].lost] == ["outer ring stuck"]
    assert "no wiring of any size can lose less" in answer.proof


def test_a_contact_behind_the_pull_up_is_found(collector: Network) -> None:
    """The pull-up hangs on a net that a contact ties to 0V: only lifting it, then feeding the net, makes a high."""
    network = replace(
        collector,
        nets=(*collector.nets, "PULL"),
        contacts={**collector.contacts, "S2": Contact(joins=("PULL", "0V"), closed_in=("inner", "outer"))},
        resistors={**collector.resistors, "R1": replace(collector.resistors["R1"], between=("PULL", "STEP"))},
        may=("jumper", "lift"),
        keep=("PARK", "COVER", "cover", "cover in", "0V", "STEP"),
    )

    found = {frozenset(change.action.text for change in each.changes) for each in search(network, 3).found}

    assert {"lift contact S2 off (PULL - 0V)", "jumper from 5V to PULL", "jumper from INNER to OUTER"} in found


def test_undo_is_the_plan_backwards(collector: Network) -> None:
    """Each change has its way back, last change first."""
    answer = check_plan(collector, ("lift S1-out", "jumper INNER STEP"))

    assert answer.options[0].undo == (
        "take off the jumper INNER - STEP",
        "solder contact S1-out back on OUTER and STEP",
    )
