"""Switch for switch: every answer joins what the original joined, wrong answers are refused, worked examples."""

from __future__ import annotations

import functools
import itertools
import random
from dataclasses import replace

import pytest

from tests.switch.solder import same_joins
from xref.adapt.contacts_fit import fit_switch
from xref.adapt.contacts_verify import verify_contacts
from xref.adapt.fit import fit as fit_any
from xref.adapt.original import from_part
from xref.errors import SafetyRefusal
from xref.library.store import Library, open_library
from xref.model.contact_need import ContactNeed, Load
from xref.model.contacts import Contacts, Rating
from xref.model.lead import Lead
from xref.model.part import Geometry, Part

ANY = ContactNeed(between="any")


@functools.cache
def library() -> Library:
    return open_library()


def kinds_of_switch() -> list[Part]:
    """One shipped switch for each different table, timing, action and load class with a known table."""
    found: dict[object, Part] = {}
    for part in library().parts("switch"):
        if part.contacts is not None and part.contacts.table:
            found.setdefault((str(part.contacts.table), part.contacts.timing, part.geometry.wired), part)
    return list(found.values())


def made(
    name: str, table: dict[str, list[str]], at: dict[str, tuple[float, float]] | None = None, **more: object
) -> Part:
    """A switch of the test's own; groups of leads are words such as '1 2'."""
    joins = {place: tuple(tuple(group.split()) for group in groups) for place, groups in table.items()}
    labels = list(at or dict.fromkeys(lead for groups in joins.values() for group in groups for lead in group))
    leads = tuple(Lead(label=label, function=label, at_mm=(at or {}).get(label)) for label in labels)
    action = str(more.pop("action", "slide"))
    contacts = Contacts(action=action, table=joins, **more)  # type: ignore[arg-type]
    return Part(name=name, kind="switch", geometry=Geometry(leads=leads, mount="through-hole"), contacts=contacts)


def row(names: str, pitch: float, y: float = 0.0) -> dict[str, tuple[float, float]]:
    """Leads in one row, centred."""
    words = names.split()
    return {name: ((i - (len(words) - 1) / 2) * pitch, y) for i, name in enumerate(words)}


def test_every_pair_of_shipped_kinds_joins_what_the_original_joined() -> None:
    """All pairs of different shipped tables: networkx confirms a possible answer from wires and contacts alone."""
    parts = kinds_of_switch()
    possible = 0
    for original, donor in itertools.product(parts, parts):
        answer = fit_switch(from_part(original), donor, None, ANY)
        if answer.possible:
            possible += 1
            assert answer.verified
            assert same_joins(original, donor, answer), (original.name, donor.name)
    assert possible > 200


@pytest.mark.parametrize("seed", range(3))
def test_changed_answers_are_refused_exactly_when_they_are_wrong(seed: int) -> None:
    """Two wires swapped, one lost, two positions swapped: the verifier objects where networkx sees another joining."""
    rng = random.Random(seed)
    parts = kinds_of_switch()
    wrong = 0
    for _ in range(60):
        original, donor = rng.choice(parts), rng.choice(parts)
        answer = fit_switch(from_part(original), donor, None, ANY)
        if not answer.possible or len(answer.connections) < 2:
            continue
        wires = [replace(wire, by="wire", wire_number=i) for i, wire in enumerate(answer.connections, 1)]
        answer = replace(answer, connections=tuple(wires), pose=None,
                         wire_count=len(wires) + sum(len(added.between) - 1 for added in answer.added))  # fmt: skip
        how = rng.choice(("swap", "lose", "turn"))
        if how == "swap":
            one, other = rng.sample(range(len(wires)), 2)
            a, b = wires[one], wires[other]
            wires[one], wires[other] = replace(a, pad=b.pad, net=b.net), replace(b, pad=a.pad, net=a.net)
            changed = replace(answer, connections=tuple(wires))
        elif how == "lose":
            lost = wires.pop(rng.randrange(len(wires)))
            changed = replace(answer, connections=tuple(wires), wire_count=answer.wire_count - 1,
                              open_leads=(*answer.open_leads, lost.lead))  # fmt: skip
        else:
            names = [item.donor for item in answer.positions]
            turned = [replace(item, donor=name) for item, name in zip(answer.positions, names[::-1], strict=True)]
            changed = replace(answer, positions=tuple(turned))
        right = same_joins(original, donor, changed)

        reasons = verify_contacts(from_part(original), donor, changed, ANY)

        if how == "turn" and original.contacts and original.contacts.returns_to:
            assert reasons or right
        else:
            assert bool(reasons) != right, (original.name, donor.name, how, reasons)
        wrong += not right
    assert wrong > 5


def test_toggle_for_slide_with_reversed_lever_is_crossed() -> None:
    """A DPDT slide (C&K OS202, 12 V 0.1 A) by a 4PDT toggle whose lever works the other way: outer leads change places.

    By hand from the two sheets: OS202 joins 1-2, 4-5 then 2-3, 5-6; the toggle joins 2-3, 5-6 in 1 and 2-1, 5-4 in 3.
    """
    slide, toggle = library().get("OS202011MS2QN1"), library().get("1004P1T1B1M1QEH")
    load = Load(volts=12, current=0.1)

    straight = fit_switch(from_part(slide), toggle, None, ContactNeed(load=load, lever="same"))
    crossed = fit_switch(from_part(slide), toggle, None, ContactNeed(load=load, lever="reversed"))

    assert {wire.lead: wire.pad for wire in straight.connections} == dict(zip("123456", "321654", strict=True))
    assert {wire.lead: wire.pad for wire in crossed.connections} == dict(zip("123456", "123456", strict=True))
    assert [item.donor for item in crossed.positions] == ["3", "1"]
    assert straight.open_leads == ("7", "8", "9", "10", "11", "12")
    assert straight.verified
    assert crossed.verified


def test_lever_direction_is_seen_from_the_places_of_the_leads() -> None:
    """A slider stands over the leads it joins, a toggle's tip points away: turning does not help, the wires cross.

    By hand: with the slider left, pads 1-2 and 4-5 are joined; with the tip left, the toggle joins its right leads.
    """
    places = {**row("1 2 3", 4.7, 2.0), **row("4 5 6", 4.7, -2.0)}
    table = {"a": ["1 2", "4 5"], "b": ["2 3", "5 6"]}
    slide = made("slide", table, places, timing="non-shorting")
    toggle = made("toggle", table, places, timing="non-shorting", action="toggle")

    answer = fit_switch(from_part(slide), toggle)

    assert answer.wire_count == 4
    assert answer.pose is not None
    assert (answer.pose.turn_deg, [item.donor for item in answer.positions]) in [(0, ["b", "a"]), (180, ["a", "b"])]
    assert same_joins(slide, toggle, answer)
    assert fit_switch(from_part(slide), slide).wire_count == 0
    assert any("the lever works as before" in text for text in answer.assumed)


def test_shorting_selector_by_a_non_shorting_one_is_refused() -> None:
    """C&K OS202 ...QS (shorting) by its twin ...QN (non-shorting): refused with the reason, unless told not to mind."""
    original, donor = library().get("OS202011MS2QS1"), library().get("OS202011MS2QN1")

    answer = fit_switch(from_part(original), donor)
    waived = fit_switch(from_part(original), donor, None, ANY)

    assert not answer.possible
    assert answer.because == (
        "OS202011MS2QN1: between POS.1 and POS.2 it lets go of 2; 5, which the original never does (it is shorting: "
        "make before break)"
    )
    assert waived.possible


def test_gold_contact_by_silver_on_a_logic_input_is_refused() -> None:
    """Omron SS-01 (0.1 A, 1 mA at 5 V) by SS-5 (5 A) on a 5 V 0.5 mA input: refused (rule 2 of the switch rules)."""
    original, donor = library().get("SS-01"), library().get("SS-5")

    answer = fit_switch(
        from_part(original), donor, None, ContactNeed(load=Load(volts=5, current=0.0005), drives="logic")
    )
    unsaid = fit_switch(from_part(original), donor)

    assert not answer.possible
    assert answer.because == (
        "5 V, 500 uA is under its smallest load 5 V, 100 mA (assumed: silver contact of 5 A): the film on the contact "
        "may not break"
    )
    assert not unsaid.possible
    assert "silver power contacts fail in a logic line" in unsaid.because


def test_unspecified_timing_may_not_stand_in_where_supplies_meet() -> None:
    """Timing not given may be either (Shinmei word list): named in a signal line, refused where two supplies meet."""
    original = made("known", {"a": ["1 2"], "b": ["2 3"]}, timing="non-shorting")
    donor = made("silent", {"a": ["1 2"], "b": ["2 3"]})

    plain = fit_switch(from_part(original), donor)
    rails = fit_switch(from_part(original), donor, None, ContactNeed(drives="supplies"))

    assert plain.possible
    assert any("may join 1 and 3" in text for text in plain.warnings)
    assert not rails.possible
    assert "may join 1 and 3" in rails.because


def test_two_poles_do_not_promise_to_move_together() -> None:
    """A change-over made of two separate contacts may close both for a moment, whatever the sheet says of each pole."""
    original = made("spdt", {"a": ["1 2"], "b": ["2 3"]}, timing="non-shorting")
    donor = made("pair", {"a": ["A B"], "b": ["C D"]}, timing="non-shorting")

    plain = fit_switch(from_part(original), donor)
    rails = fit_switch(from_part(original), donor, None, ContactNeed(drives="supplies"))

    assert plain.possible
    assert any("join 1 and 3" in text for text in plain.warnings)
    assert not rails.possible


def test_shorting_donor_is_refused_for_a_non_shorting_original() -> None:
    """Two outputs would meet for a moment."""
    original, donor = library().get("OS102011MS2QN1"), library().get("OS102011MS2QS1")

    answer = fit_switch(from_part(original), donor, None, ContactNeed(drives="outputs"))

    assert not answer.possible
    assert "it joins 1 and 3" in answer.because


def test_passing_a_middle_position_lets_go_of_a_shorting_common() -> None:
    """A shorting original never lets go; a donor with an off position between does, whatever its own timing."""
    original = made("short", {"a": ["1 2"], "b": ["2 3"]}, timing="shorting")
    donor = made("centre off", {"a": ["1 2"], "off": [], "b": ["2 3"]}, timing="shorting")

    answer = fit_switch(from_part(original), donor, None, ContactNeed(drives="motor"))

    assert not answer.possible
    assert "let" in answer.because


def test_unused_position_that_joins_strange_pads_is_named_or_refused() -> None:
    """A third position that no one asked for must not join what was never joined."""
    original = made("two", {"a": ["1 2"], "b": ["2 3"]})
    donor = made("three", {"x": ["1 2"], "y": ["2 3"], "z": ["1 3"]})

    plain = fit_switch(from_part(original), donor)
    motor = fit_switch(from_part(original), donor, None, ContactNeed(drives="motor"))

    assert any("its position z is not used and joins 1 and 3" in text for text in plain.warnings)
    assert not motor.possible


def test_rest_position_stays_the_rest_position() -> None:
    """A normally open micro cannot replace a normally closed one, and a change-over keeps NC at rest."""
    closed = library().get("D3M-01")
    opened = made("no", {"free": [], "operated": ["COM NO"]}, returns_to="free", action="snap-action")
    change = library().get("SS-01")

    refused = fit_switch(from_part(closed), opened, None, ANY)
    kept = fit_switch(from_part(closed), change, None, ANY)

    assert not refused.possible
    assert "springs back" in refused.because
    assert {wire.lead for wire in kept.connections} == {"COM", "NC"}


def test_wires_and_crossings_are_the_fewest_of_all_poles_and_turns() -> None:
    """A change-over on three pads of 4.7 mm by a DPDT with the same pitch: one of its rows drops in, no wire."""
    original = made("spdt", {"a": ["1 2"], "b": ["2 3"]}, row("1 2 3", 4.7), timing="non-shorting")
    places = {**row("1 2 3", 4.7, 0.4), **row("4 5 6", 4.7, -3.6)}
    donor = made("dpdt", {"a": ["1 2", "4 5"], "b": ["2 3", "5 6"]}, places, timing="non-shorting")

    from xref.adapt.fit import FitOptions

    near = fit_switch(from_part(original), donor, FitOptions(tolerance_mm=3.0))

    assert near.wire_count == 0
    assert len(near.open_leads) == 3


def test_tact_with_joined_pairs_by_a_two_lead_one_gets_links() -> None:
    """The joined pairs of a four-lead tact serve as bridges (Alps SKHH says so): their pads are linked by wire."""
    tact = made("tact", {"free": ["1 2", "3 4"], "operated": ["1 2 3 4"]}, returns_to="free", action="tactile")
    push = made("push", {"free": [], "operated": ["A B"]}, returns_to="free", action="push")

    answer = fit_switch(from_part(tact), push, None, ANY)

    assert answer.possible
    assert [added.between for added in answer.added] == [("pad 1", "pad 2"), ("pad 3", "pad 4")]
    assert same_joins(tact, push, answer)


def test_series_contacts_get_a_bridge() -> None:
    """Three throws out of an on-on-on double pole: leads 3 and 5 are tied (NKK toggle guide), and nothing else is."""
    original = made("sp3t", {"1": ["2 1"], "2": ["2 3"], "3": ["2 4"]})
    donor = made("on-on-on", {"1": ["2 3", "5 6"], "2": ["2 3", "5 4"], "3": ["2 1", "5 4"]}, action="toggle")

    answer = fit_switch(from_part(original), donor, None, ANY)

    assert answer.possible
    assert [set(added.between) for added in answer.added] == [{"lead 3", "lead 5"}]
    assert same_joins(original, donor, answer)


def test_last_resort_is_computed() -> None:
    """A DPDT by a SPDT: two of them, or a relay with two change-over contacts; each with its leads."""
    answer = fit_switch(from_part(library().get("OS202011MS2QN1")), library().get("OS102011MS2QN1"))

    assert not answer.possible
    assert answer.because == "OS102011MS2QN1: it closes 1 contact at a time, 2 are needed"
    assert "two OS102011MS2QN1 (a and b) worked by one actuator: a.1 to pad 1" in answer.nearest
    assert "a relay with 2 change-over contacts" in answer.nearest


def test_two_contacts_in_parallel_for_a_weak_one() -> None:
    """Doubled: a second pole carries every join; a part with one pole has none to spare."""
    original = library().get("OS102011MS2QN1")

    both = fit_switch(from_part(original), library().get("OS202011MS2QN1"), None, ContactNeed(doubled=True))
    one = fit_switch(from_part(original), library().get("OS102011MA1QN1"), None, ContactNeed(doubled=True))

    assert len(both.connections) == 6
    assert same_joins(original, library().get("OS202011MS2QN1"), both)
    assert not one.possible


def test_pads_on_one_net_are_one() -> None:
    """Where the board already joins two throws, a single contact in every position is too much; the table is met."""
    original = from_part(made("spdt", {"a": ["1 2"], "b": ["2 3"], "off": []}))
    pads = tuple(replace(pad, net="X") if pad.label in "13" else pad for pad in original.pads)
    donor = made("spst3", {"one": ["A B"], "two": ["A B"], "none": []})

    answer = fit_switch(replace(original, pads=pads), donor, None, ANY)

    assert answer.possible
    assert len(answer.connections) == 2


def test_mains_only_like_for_like() -> None:
    """Mains is known from the load: equal rating and approval, or refused for safety."""
    plate = (Rating(v=250, a=6, ac_dc="AC", standard="EN 61058"),)
    original = made("old", {"a": [], "b": ["1 2"]}, ratings=plate)
    weaker = made("weak", {"a": [], "b": ["1 2"]}, ratings=(Rating(v=250, a=3, ac_dc="AC", standard="EN 61058"),))
    other = made("other", {"a": [], "b": ["1 2"]}, ratings=(Rating(v=250, a=10, ac_dc="AC"),))
    good = made("good", {"a": [], "b": ["1 2"]}, ratings=(Rating(v=250, a=10, ac_dc="AC", standard="EN 61058"),))
    need = ContactNeed(load=Load(volts=230, current=2, ac_dc="AC"))

    with pytest.raises(SafetyRefusal, match="it has no rating of 250 V AC 6 A or more"):
        fit_switch(from_part(original), weaker, None, need)
    with pytest.raises(SafetyRefusal, match="its approval to EN 61058 is not known"):
        fit_switch(from_part(original), other, None, need)
    answer = fit_switch(from_part(original), good, None, need)

    assert answer.possible
    assert any("licensed electrician" in text for text in answer.warnings)


def test_interlock_only_the_same_number() -> None:
    """An interlock is a safety function: another number is refused, the same one goes in."""
    part = library().get("SS-01")

    with pytest.raises(SafetyRefusal, match="interlock"):
        fit_switch(from_part(part), library().get("SS-01-F"), None, ContactNeed(drives="interlock"))

    assert fit_switch(from_part(part), part, None, ContactNeed(drives="interlock")).possible


def test_general_fit_reaches_the_same_answer() -> None:
    """``fit`` of any two parts hands switches over."""
    original, donor = library().get("OS102011MS2QN1"), library().get("OS202011MS2QN1")

    assert fit_any(from_part(original), donor) == fit_switch(from_part(original), donor)


def test_suppressor_stays_and_ladder_decides() -> None:
    """The coil's diode stays; a ladder that stands 0.03 ohm refuses a contact of 20 mohm new (double at the end)."""
    part = library().get("OS102011MS2QN1")
    load = Load(volts=12, current=0.04, ac_dc="DC")

    coil = fit_switch(from_part(part), library().get("OS102011MA1QN1"), None, ContactNeed(load=load, drives="coil"))
    ladder = fit_switch(
        from_part(part), library().get("OS102011MA1QN1"), None, ContactNeed(ohm_max=0.03, drives="ladder")
    )

    assert "the diode or damper across the coil stays" in coil.warnings
    assert not ladder.possible
    assert ladder.because == "40 mohm at the end of its life, the circuit stands 30 mohm"
