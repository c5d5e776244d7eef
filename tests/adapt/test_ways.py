"""What a bench meets beside the plain case: halves, wires for pins, taps, room, channels, the solder side, refusals."""

from __future__ import annotations

import itertools
import random
import time
from dataclasses import replace

import pytest

from xref.adapt.assemble import BARE_MM, HEIGHT_MM, cut_length
from xref.adapt.fit import FitOptions, fit, reach
from xref.adapt.original import Original, Tap, from_part, from_site, from_typed
from xref.adapt.verify import verify
from xref.errors import UsageError
from xref.library.store import open_library
from xref.model.lead import Lead
from xref.model.part import Detector, Emitter, Geometry, Hole, Part, Slot
from xref.model.site import Pads, Room, Site, SiteEmitter, SiteOutput

GRID = (5.5, 2.54)


def part(words: str, grid: tuple[float, float] = GRID, kind: str = "reflective", **geometry: object) -> Part:
    """A donor typed like a map; ``geometry`` adds fields."""
    original = from_typed(words, grid)
    leads = tuple(
        Lead(label=p.label, function="+".join(p.functions) or "NC", at_mm=p.at_mm) for p in original.pads if p.at_mm
    )
    return Part(name="donor", kind=kind, geometry=Geometry(leads=leads, **geometry))  # type: ignore[arg-type]


def pads(answer) -> dict[str, str]:
    return {c.lead: c.pad for c in answer.connections}


BOARD = from_typed("A C / K E", GRID)


def test_half_turn_is_found() -> None:
    """A donor with the same leads turned by 180 degrees drops in after half a turn."""
    answer = fit(BOARD, part("E K / C A"))

    assert answer.pose is not None
    assert answer.pose.turn_deg == 180
    assert [c.by for c in answer.connections] == ["direct"] * 4


def test_mirrored_leads_need_wires_or_the_other_side() -> None:
    """A mirror image cannot be turned in; from the solder side, when asked for, it drops in and the price is said."""
    donor = part("C A / E K")

    above, below = fit(BOARD, donor), fit(BOARD, donor, FitOptions(solder_side=True))

    assert above.wire_count > 0
    assert below.wire_count == 0
    assert below.pose is not None
    assert below.pose.side == "solder"
    assert below.verified
    assert below.warnings[0] == "the donor sits on the solder side and looks the other way"


def test_slot_turns_only_about_its_flag_path() -> None:
    """A slotted part is turned by 0 or 180 degrees, never across the flag, whatever wires a quarter turn would save."""
    board = from_typed("A C / K E", (7.6, 2.54), kind="slotted")
    answer = fit(board, part("A C / K E", (7.6, 2.54), kind="slotted"))

    assert {a.pose.turn_deg for a in (answer, *answer.alternatives)} == {0, 180}
    beam = from_typed("A K / C E", (2.54, 7.6), kind="slotted")
    crossed = fit(beam, part("A C / K E", (7.6, 2.54), kind="slotted"))
    assert {a.pose.turn_deg for a in (crossed, *crossed.alternatives)} == {90, 270}


@pytest.mark.parametrize(
    ("length", "expected"), [(2.0, 0.0), (4.1, 0.0), (5.0, 0.9), (6.0, 1.9), (12.0, 2.0)], ids=lambda v: f"{v:g}mm"
)
def test_reach_follows_the_free_lead(length: float, expected: float) -> None:
    """Board 1.6, solder end 0.5, straight piece 2 mm are lost before a lead can go aside; at most 2 mm are asked."""
    assert reach(length) == pytest.approx(expected)


def test_unknown_lead_length_is_assumed_and_said() -> None:
    """No free length in the data: 5 mm is taken, and the answer asks for one measurement."""
    known, unknown = fit(BOARD, part("A C / K E", lead_length_mm=8.0)), fit(BOARD, part("A C / K E"))

    text = "free lead length of donor: 5 mm (not known; measure one lead)"
    assert text in unknown.assumed
    assert text not in known.assumed


def test_wider_donor_is_bent_in() -> None:
    """Rows 1.2 mm wider: 0.6 mm a side, more than 0.3, within reach of a 6 mm lead: four bent leads, no wire."""
    answer = fit(BOARD, part("A C / K E", (6.7, 2.54), lead_length_mm=6.0))

    assert [c.by for c in answer.connections] == ["formed"] * 4
    assert all(c.length_mm == pytest.approx(0.6) for c in answer.connections)
    assert any(text.startswith("sleeve bent leads") for text in answer.warnings)


def test_tolerance_of_the_axis_is_kept_and_reported() -> None:
    """No answer moves the axis further than asked; at 0 it stays on the original's."""
    donor = open_library().get("CNY70")
    original = from_part(open_library().get("TCRT5000"))
    for tolerance in (0.0, 0.5, 2.0):
        answer = fit(original, donor, FitOptions(tolerance_mm=tolerance))
        for each in (answer, *answer.alternatives):
            assert each.optical_offset_mm is not None
            assert each.optical_offset_mm <= tolerance + 1e-9


@pytest.mark.parametrize(
    ("kind", "axis", "text"),
    [
        ("reflective", (0.4, 0.3), "the beam sits 0.5 mm from the old place: nothing changes on a surface larger"),
        ("slotted", (0.0, 0.5), "the beam sits 0.5 mm along the flag path from the old place: a flag edge is seen"),
        ("slotted", (0.5, 0.0), "the slot sits 0.5 mm aside: check that the flag still runs free on both sides"),
    ],
)
def test_moved_beam_says_what_it_does(kind: str, axis: tuple[float, float], text: str) -> None:
    """A donor whose axis is not in the middle of its leads: leads in their holes, the beam aside, and the effect."""
    board = replace(from_typed("A C / K E", GRID, kind=kind), optical_axis_mm=(0.0, 0.0))
    donor = part("A C / K E", kind=kind, optical_axis_mm=axis, lead_length_mm=4.0)

    answer = fit(board, donor, FitOptions(turns=(0,)))

    assert answer.wire_count == 0
    assert [said for said in answer.warnings if said.startswith(text)]


def test_wires_follow_the_published_rules() -> None:
    """Bare only up to 12.7 mm and 3.2 mm high at most (jumper rules J2 and J1 of the reference checks, from two makers'
    repair pages); the length to cut is longer than the route.
    """
    assert (BARE_MM, HEIGHT_MM) == (12.7, 3.2)
    answer = fit(BOARD, part("A E / K C"), FitOptions(turns=(0,)))
    wires = [c for c in answer.connections if c.by == "wire"]
    assert wires
    for c in wires:
        route = sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in zip(c.route_mm, c.route_mm[1:], strict=False))
        assert c.length_mm == cut_length(route) > route
        assert c.insulated or (route <= 12.7 and len(c.route_mm) == 2)
    assert [c.wire_number for c in wires] == list(range(1, len(wires) + 1))


def test_wire_goes_round_a_neighbour() -> None:
    """A component between lead and pad is not crossed."""
    site = Site(
        kind="reflective",
        pads=Pads(at={"A": (-9.0, 1.27), "K": (-9.0, -1.27), "C": (2.75, 1.27), "E": (2.75, -1.27)}),
        room=Room(bodies={"R3": (-5.5, 0.0, 2.0, 6.0)}),
    )
    board = replace(from_site(site), optical_axis_mm=(0.0, 0.0))

    answer = fit(board, part("A C / K E"))

    left, bottom, right, top = board.bodies[0][1]
    for c in answer.connections:
        for a, b in zip(c.route_mm, c.route_mm[1:], strict=False):
            inside_x = max(a[0], b[0]) > left and min(a[0], b[0]) < right
            inside_y = max(a[1], b[1]) > bottom and min(a[1], b[1]) < top
            assert not (inside_x and inside_y)
    assert answer.wire_count == 2


def test_base_lead_stays_open_and_is_said() -> None:
    """A donor lead that the board does not ask for is left open, named, and to be cut short or sleeved."""
    answer = fit(BOARD, part("A C / . B / K E", (5.5, 1.27)))

    assert answer.open_leads == ("B",)
    assert any(text.startswith("open leads B: connected to nothing") for text in answer.warnings)


def test_second_lead_of_a_function_drops_in_too() -> None:
    """Two ground leads over two ground pads: one carries the function, the other is soldered for hold, no wire."""
    board = from_typed("A OUT / K VCC / GND GND", GRID, kind="slotted")
    answer = fit(board, part("A OUT / K VCC / GND GND", kind="slotted"))

    assert sorted(pads(answer).values()) == ["A", "GND", "GND-2", "K", "OUT", "VCC"]
    assert answer.wire_count == 0


def test_original_that_joined_two_nets_gets_a_link() -> None:
    """The old part joined two ground nets inside itself: the new one, with one ground lead, needs a link."""
    site = Site(
        kind="slotted",
        pads=Pads(map="A OUT / K VCC / GND GND", grid=GRID, nets={"GND": "0V", "GND-2": "SHIELD"}),
    )
    board = from_site(site)

    answer = fit(board, part("A OUT / K VCC / GND .", kind="slotted"))

    assert [sorted(link.between) for link in answer.links] == [["GND", "GND-2"]]
    assert answer.wire_count == 1
    assert answer.verified
    assert verify(board, part("A OUT / K VCC / GND .", kind="slotted"), replace(answer, links=(), wire_count=0))


LOGIC = "A VCC / . OUT / K GND"


def test_logic_for_transistor_takes_its_supply_from_a_tap() -> None:
    """OUT goes where the collector was, GND where the emitter was, VCC on a wire to the one supply point."""
    site = Site(
        kind="slotted",
        pads=Pads(map="A C / K E", grid=GRID),
        output=SiteOutput(load_side="C"),
        taps={"5V": (9.0, 3.0)},
    )
    board, donor = from_site(site), part(LOGIC, (5.5, 1.27), kind="slotted")

    answer = fit(board, donor)

    assert answer.possible
    assert pads(answer) == {"A": "A", "K": "K", "OUT": "C", "GND": "E", "VCC": "tap 5V"}
    assert next(c for c in answer.connections if c.lead == "VCC").by == "wire"
    assert "a logic output replaces a transistor: sense and levels need a check" in answer.warnings


def test_logic_without_a_supply_point_is_refused() -> None:
    """No tap, no guess: the answer says what is missing."""
    answer = fit(from_typed("A C / K E", GRID, kind="slotted"), part(LOGIC, (5.5, 1.27), kind="slotted"))

    assert not answer.possible
    assert answer.because == "donor needs a supply of its own and no single point for it is known"
    assert answer.nearest == "name the points: taps: {5V: [x, y], 0V: [x, y]} in the site file"


def test_transistor_for_logic_leaves_the_supply_pad_empty() -> None:
    """C goes to the output pad, E to ground; the supply pad stays empty and is named."""
    answer = fit(from_typed("A VCC / . OUT / K GND", (5.5, 1.27), kind="slotted"), part("A C / K E", kind="slotted"))

    assert pads(answer) == {"A": "A", "K": "K", "C": "OUT", "E": "GND"}
    assert "pad of VCC stays empty" in answer.warnings
    assert answer.verified


def test_photodiode_for_transistor() -> None:
    """Cathode of the photodiode where the collector was, anode where the emitter was."""
    donor = replace(part("A K2 / K A2"), output="photodiode")

    answer = fit(BOARD, donor)

    assert pads(answer) == {"A": "A", "K": "K", "K2": "C", "A2": "E"}
    assert answer.verified


def test_one_channel_cannot_replace_two() -> None:
    """What the board asks for and the donor has not is named."""
    answer = fit(from_typed("A C C2 / K E E2", (2.54, 5.0)), part("A C / K E"))

    assert answer.because == "the board needs C2 and E2 and donor has no such lead"


def test_either_channel_of_two_serves_one() -> None:
    """A double part with its second channel over the pads: that one is used, and it is said."""
    board = from_typed("A . C / K . E", (2.54, 2.54))
    donor = part("A . C2 C / K . E2 E", (2.54, 2.54), optical_axis_mm=(-1.27, 0.0))

    answer = fit(board, donor)

    assert pads(answer) == {"A": "A", "K": "K", "C2": "C", "E2": "E"}
    assert answer.wire_count == 0
    assert answer.open_leads == ("C", "E")
    assert any(text.startswith("channel 2 of donor is used") for text in answer.assumed)


def test_common_collector_of_two_channels() -> None:
    """One collector lead for both channels (C+C2): it serves the one asked for; the second emitter stays open."""
    donor = part("A C+C2 / K E / . E2", GRID)

    answer = fit(BOARD, donor)

    assert {"A", "K", "C+C2"} < set(pads(answer))
    assert len(answer.open_leads) == 1
    assert answer.verified


@pytest.mark.parametrize(("keep", "used"), [("emitter", {"C", "E"}), ("detector", {"A", "K"})])
def test_only_one_half_is_used(keep: str, used: set[str]) -> None:
    """The original's other half stays in service: the donor's leads for it are left open."""
    answer = fit(BOARD, part("C A / E K"), FitOptions(keep=(keep,)))

    assert set(pads(answer)) == used
    assert set(answer.open_leads) == {"A", "K", "C", "E"} - used
    assert answer.verified
    assert any("old housing stays" in text for text in answer.warnings)


def test_half_of_another_kind_is_allowed_with_keep() -> None:
    """A detector out of a slotted part may go into a reflective housing; the whole part may not."""
    donor = part("A C / K E", kind="slotted")

    assert fit(BOARD, donor, FitOptions(keep=("emitter",))).possible
    whole = fit(BOARD, donor)
    assert whole.because == "donor is a slotted part, the original is a reflective part: they do not see the same"


def test_part_on_wires_is_a_lead_list() -> None:
    """A donor with wires instead of pins: every lead a wire to its pad, no pose, and that is said."""
    donor = part("A C / K E", mount="panel/wired")

    answer = fit(BOARD, donor)

    assert answer.pose is None
    assert pads(answer) == {f: f for f in "AKCE"}
    assert answer.wire_count == 4
    assert answer.verified
    assert any("the part hangs on its own wires" in text for text in answer.assumed)


def test_places_not_known_is_a_lead_list() -> None:
    """Functions known, places not: still an answer, without a drawing."""
    donor = Part(
        name="donor", kind="reflective", geometry=Geometry(leads=tuple(Lead(label=f, function=f) for f in "AKCE"))
    )

    answer = fit(BOARD, donor)

    assert answer.verified
    assert any("where the leads of donor stand is not known" in text for text in answer.assumed)


def test_functions_not_known_is_refused() -> None:
    """A blank donor cannot be wired; the way out is named."""
    donor = Part(name="blank", kind="reflective", geometry=Geometry(leads=(Lead(label="1", function=""),)))

    answer = fit(BOARD, donor)

    assert (answer.because, answer.nearest) == (
        "which lead of blank is what is not known",
        "identify its leads first, then give a part file",
    )


def test_room_is_a_limit() -> None:
    """A body larger than the stated room in one turn is turned; in every turn, refused with the numbers."""
    board = replace(BOARD, room_mm=(6.0, 11.0))
    donor = part("A C / K E", body_mm=(10.0, 5.0))

    turned = fit(board, donor)
    refused = fit(replace(BOARD, room_mm=(9.0, 9.0)), donor)

    assert turned.pose is not None
    assert turned.pose.turn_deg in (90, 270)
    assert refused.because == "in no turn does the body of donor stay within the room of 9 x 9 mm"


@pytest.mark.parametrize(
    ("size", "because"),
    [
        ((10.0, 5.0, 8.0), "donor is 8 mm high, the room is 7 mm"),
        ((14.0, 5.0, 6.0), "the body of donor is 14 mm wide, the room is 11 mm"),
    ],
)
def test_size_without_direction_is_compared_at_its_best(size: tuple[float, ...], because: str) -> None:
    """Height, and a body whose direction is not known laid the way that suits it best."""
    answer = fit(replace(BOARD, room_mm=(11.0, 8.0, 7.0)), part("A C / K E", size_mm=size))

    assert answer.because == because


def test_neighbour_forbids_the_body() -> None:
    """A component close by keeps the donor's body off it in every pose."""
    board = replace(BOARD, bodies=(("C4", (4.0, -3.0, 9.0, 3.0)),))

    answer = fit(board, part("A C / K E", body_mm=(10.0, 5.0)))

    assert answer.possible
    assert answer.pose is not None
    assert answer.pose.turn_deg in (90, 270)


SLOT = {"gap_mm": 5.0, "floor_mm": 3.0}


def slotted(**changes: float | None) -> Part:
    keys = {"beam": 7.5, **SLOT, **changes}
    made = part("A C / K E", (7.6, 2.54), kind="slotted", beam_height_mm=keys["beam"], body_mm=(14.0, 6.0))
    return replace(made, slot=Slot(gap_mm=keys["gap_mm"], floor_mm=keys["floor_mm"]))


@pytest.mark.parametrize(
    ("donor", "text"),
    [
        (slotted(beam=10.0), "beam 10 mm above the board, the original 7.5 mm: the flag must cover it, or shim"),
        (slotted(beam=None), "beam height of donor not known: measure from the board to the middle of the aperture"),
        (slotted(gap_mm=None), "gap of donor not known: measure its slot"),
        (slotted(floor_mm=5.0), "slot floor 5 mm above the board, the original 3 mm: the flag may hit it"),
        (
            slotted(floor_mm=None),
            "slot floor of donor not known: measure how low the flag comes, and the floor of the slot",
        ),
    ],
)
def test_flag_is_checked_or_named(donor: Part, text: str) -> None:
    """Beam height, gap and slot floor: compared where known, else named with the one measurement."""
    answer = fit(from_part(slotted()), donor)

    assert text in answer.warnings


def test_equal_slot_has_no_remark() -> None:
    """The same part in its own place: nothing to say about the flag."""
    answer = fit(from_part(slotted()), slotted())

    assert not [text for text in answer.warnings if "beam" in text or "flag" in text or "gap" in text]


def test_screw_hole_is_compared() -> None:
    """A screw hole that the donor has elsewhere is named with the distance; one in place is not."""
    hole = Hole(kind="screw", at_mm=(9.5, 0.0), diameter_mm=3.2)
    other = Hole(kind="screw", at_mm=(8.0, 0.0), diameter_mm=3.2)
    board = from_part(part("A C / K E", holes=(hole,)))

    same, away = fit(board, part("A C / K E", holes=(hole,))), fit(board, part("A C / K E", holes=(other,)))

    assert not [text for text in same.warnings if "screw" in text]
    assert "screw hole at (9.5, 0) mm: the donor's is 1.5 mm away" in away.warnings


def test_built_in_resistor_is_told_both_ways() -> None:
    """A resistor inside the donor, or inside the original only, changes the emitter line and is said."""
    plain = part("A C / K E")
    inside = replace(plain, emitter=Emitter(resistor_ohm=330.0))

    assert any("330 ohm for its emitter built in" in text for text in fit(BOARD, inside).warnings)
    assert any("needs a resistor" in text for text in fit(from_part(inside), plain).warnings)


def test_sideways_part_is_not_turned() -> None:
    """A part that looks along the board keeps its direction; one that looks up cannot replace it."""
    side, up = part("A C / K E", senses="side"), part("A C / K E", senses="up")

    answer = fit(from_part(side), part("E K / C A", senses="side"))

    assert answer.pose is not None
    assert answer.pose.turn_deg == 0
    assert fit(from_part(side), up).because == "donor looks away from the board, the original along the board"


def test_time_cap_gives_an_answer_marked_unproven() -> None:
    """With no time at all there is still a verified answer, and it does not claim to be the best."""
    old, new = open_library().get("TCRT5000"), open_library().get("CNY70")

    hurried = fit(from_part(old), new, FitOptions(time_cap_s=0.0))

    assert hurried.possible
    assert hurried.verified
    assert not hurried.proven_best
    assert fit(from_part(old), new).proven_best


def test_large_board_stays_within_the_time_cap() -> None:
    """Forty pads on two nets and a donor with eight leads: an answer in time, confirmed, whether proved or not."""
    rng = random.Random(3)
    cells = rng.sample([(2.54 * x, 2.54 * y) for x in range(12) for y in range(8)], 40)
    words = [("A", "K", "C", "E")[k % 4] for k in range(40)]
    site = Site(
        kind="reflective",
        pads=Pads(
            at={f"p{k}": at for k, at in enumerate(cells)},
            functions={f"p{k}": word for k, word in enumerate(words)},
            nets={f"p{k}": "5V" if word in "AC" else "0V" for k, word in enumerate(words)},
        ),
    )
    donor = part("A C / K E / B NC / NC NC", (30.5, 3.0))
    start = time.process_time()

    answer = fit(from_site(site), donor, FitOptions(time_cap_s=0.2))

    assert answer.possible
    assert answer.verified
    assert time.process_time() - start < 5


@pytest.mark.parametrize("seed", range(40))
def test_any_text_as_a_map_gives_pads_or_one_line(seed: int) -> None:
    """Whatever is typed: pads, or a usage error in one line."""
    rng = random.Random(seed)
    for _ in range(25):
        words = ["A", "K", "C", "E"] if rng.random() < 0.5 else ["A", "NC", ".", "/", "//", "K+E", "+", "1", "\x1b[0m"]
        text, step = " ".join(rng.choices(words, k=6)), rng.choice([2.54, 2.54, 0.0, -1.0])
        said, found = "", 0
        try:
            found = len(from_typed(text, (step, 2.54), seen_from=rng.choice(["solder", "component", "top"])).pads)
        except UsageError as error:
            said = str(error)
        assert (len(said.splitlines()) == 1) == (found == 0)
        assert found == 0 or step > 0


def test_detector_for_a_two_state_resistor() -> None:
    """A cell in a resistor ladder replaced by a phototransistor: only the two pads with their polarity are needed."""
    board = from_typed("C E", (5.08, 2.54), kind="two-state resistor")
    donor = replace(part("C E", (2.54, 2.54), kind="detector"), detector=Detector(vceo_max_v=30.0))

    assert pads(fit(board, donor)) == {"C": "C", "E": "E"}


def test_one_pad_for_two_leads() -> None:
    """The original joined K and E in one lead: the donor's two share the pad, one by a wire."""
    board = from_typed("A C / K+E .", GRID)

    answer = fit(board, part("A C / K E"))

    assert pads(answer) == {"A": "A", "C": "C", "K": "K+E", "E": "K+E"}
    assert sorted(c.by for c in answer.connections) == ["direct", "direct", "direct", "wire"]
    assert answer.verified


def test_lone_emitter() -> None:
    """A lamp of two leads: only its polarity counts; reversed pads turn it by half."""
    answer = fit(from_typed("K A", (2.54, 2.54), kind="emitter"), part("A K", (2.54, 2.54), kind="emitter"))

    assert answer.pose is not None
    assert answer.pose.turn_deg == 180
    assert answer.wire_count == 0


BOARDS = ("A C / K E", "A VCC / . OUT / K GND", "A K2 / K A2", "A C C2 / K E E2")
DONORS = (
    "A C / K E",
    "A . / K+E C",
    "A+C . / K E",
    "A VCC / . OUT / K GND",
    "A VCC / . OUT / K+GND .",
    "A+VCC . / . OUT / K GND",
    "A K2 / K A2",
    "A C C2 / K E E2",
    "A C+C2 . / K E E2",
    "A C / K E / B NC",
)


HOPELESS = {
    (1, 2),  # anode and output are never one node
    (1, 6),  # a bare photodiode has no output stage
    (2, 1),
    (2, 2),  # the rails tried never join the photodiode to the emitter
    *((2, k) for k in (3, 4, 5)),  # a logic output gives no photo current
    *((3, k) for k in (0, 1, 2, 3, 4, 5, 6, 9)),  # one channel for two
    (3, 8),  # one collector for two loads, each at its own
}
"""(board, donor) by place in the lists above that no rails, sides or taps can help."""


@pytest.mark.parametrize("words", BOARDS)
@pytest.mark.parametrize("leads", DONORS)
def test_solver_and_check_never_disagree(words: str, leads: str) -> None:
    """Every mix of board, donor, rails, sides and taps: solved and confirmed, or refused for a reason of its own."""
    solved = 0
    for resistor, load, rails, taps, drop in itertools.product(
        ("A", "K", None),
        ("C", "E", None),
        ((), (("K", "0V"), ("E", "0V"), ("GND", "0V")), (("A", "5V"), ("C", "5V"), ("VCC", "5V"))),
        ((), (("5V", (9.0, 3.0)),), (("5V", (9.0, 3.0)), ("0V", (9.0, -3.0)))),
        (None, 0.2),
    ):
        here = set(words.split())
        site = Site(
            kind="slotted",
            pads=Pads(map=words, grid=(2.54, 2.54), nets={f: net for f, net in rails if f in here}),
            emitter=SiteEmitter(resistor_side=resistor, driver_drop=drop),
            output=SiteOutput(load_side=load),
            taps=dict(taps),
        )
        donor = part(leads, (2.54, 2.54), kind="slotted")
        donor = replace(donor, output="photodiode" if "K2" in leads else "phototransistor")
        answer = fit(from_site(site), donor, FitOptions(turns=(0,), tolerance_mm=0.0))
        assert answer.possible == answer.verified, answer.because
        assert answer.possible or (answer.because and answer.nearest)
        assert "check of the wiring" not in answer.because
        assert "room of" not in answer.because
        solved += answer.possible
    assert (solved == 0) == ((BOARDS.index(words), DONORS.index(leads)) in HOPELESS)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"tolerance_mm": -1.0}, "tolerance -1 mm: expected 0 mm or more"),
        ({"tolerance_mm": float("nan")}, "tolerance nan mm: expected 0 mm or more"),
        ({"reach_mm": -0.5}, "reach -0.5 mm: expected 0 mm or more"),
        ({"turns": (45,)}, "turn 45: expected 0, 90, 180 or 270"),
    ],
)
def test_wrong_options_are_refused(options: dict[str, object], message: str) -> None:
    """An option that makes no sense is a usage error in one line."""
    with pytest.raises(UsageError) as caught:
        FitOptions(**options)  # type: ignore[arg-type]

    assert str(caught.value) == message


def test_tap_is_never_a_hole() -> None:
    """A lead that happens to stand over a tap is still a wire: nothing falls into copper."""
    board = Original(
        name="board",
        kind="slotted",
        pads=BOARD.pads,
        taps=(Tap(net="5V", at_mm=(2.75, 0.0)),),
        optical_axis_mm=(0.0, 0.0),
        load_side="C",
    )

    answer = fit(board, part("A OUT / . VCC / K GND", (5.5, 1.27), kind="slotted"))

    assert next(c for c in answer.connections if c.lead == "VCC").by == "wire"
    assert answer.verified


def test_emitter_side_of_the_resistor_travels_with_the_original() -> None:
    """The sides that the site gives arrive at the solver."""
    site = Site(kind="reflective", pads=Pads(map="A C / K E", grid=GRID), emitter=SiteEmitter(resistor_side="K"))

    assert from_site(site).resistor_side == "K"
