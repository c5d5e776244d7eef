"""The ranking keeps the promises of the design: two questions, hard limits first, unknown costs."""

from __future__ import annotations

from dataclasses import replace

import pytest

from xref.model.part import Coupling, Detector, Emitter, Geometry, Hole, Part, Slot
from xref.model.row import Row, pack, row_of, unpack
from xref.model.value import Value
from xref.model.want import Want
from xref.search.rank import rank


def reflective(name: str, **changes: object) -> Row:
    """A complete made-up reflective part, so that one field at a time can be changed."""
    part = Part(
        name=name,
        kind="reflective",
        maker="M",
        output="phototransistor",
        emitter=Emitter(wavelength_nm=940, if_max_ma=50, vf_v=(Value(typ=1.2, max=1.5, at={"if_ma": 20}),)),
        detector=Detector(vceo_max_v=30),
        coupling=Coupling(
            ic_ma=(Value(min=0.3, at={"if_ma": 10, "vce_v": 5, "distance_mm": 3}, target="90 % white card"),),
            peak_distance_mm=3,
        ),
        slot=Slot(),
        geometry=Geometry(
            lead_count=4,
            pitch_mm=2.54,
            row_mm=5.5,
            size_mm=(10.2, 5.8, 7.0),
            senses="up",
            holes=(Hole(kind="screw", at_mm=(0, 0), diameter_mm=3.2),),
        ),
    )
    return replace(row_of(part), wired=True, **changes)


WANT = Want(
    kind="reflective", output="phototransistor", leads=4, body_mm=(10.2, 5.8, 7.0), grid_mm=(5.5, 2.54),
    distance_mm=3.0, faces="up", ic=0.2e-3, ic_if=10e-3, ic_distance_mm=3.0, ic_target="90 % white card",
)  # fmt: skip


def scores(rows: list[Row], want: Want) -> dict[str, float]:
    """Score by name."""
    return {found.part: found.score for found in rank(rows, want, limit=0).candidates}


def test_a_known_equal_beats_a_sparse_one() -> None:
    """Unknown is not good: each missing field makes a part rank lower, never higher."""
    full = reflective("full")
    for field, empty in (
        ("size_mm", ()),
        ("peak_distance_mm", None),
        ("ic_points", ()),
        ("senses", ""),
        ("row_mm", None),
    ):
        result = scores([full, replace(full, name="sparse", reference="sparse", **{field: empty})], WANT)
        assert result["full"] < result["sparse"], field


def test_more_transfer_is_welcome_less_is_refused() -> None:
    """What can stand in: ten times the current is no fault; a tenth cannot be made up within IF max."""
    strong = reflective("strong", ic_points=((3e-3, None, None, 10e-3, 5.0, 3.0, "90 % white card"),))
    weak = reflective("weak", ic_points=((0.01e-3, None, None, 10e-3, 5.0, 3.0, "90 % white card"),))

    answer = rank([strong, weak], WANT, limit=0)

    assert [found.part for found in answer.candidates] == ["strong"]
    assert [item.part for item in answer.refused] == ["weak"]
    assert "within IF max" in answer.refused[0].why


def test_a_printed_row_is_in_reach() -> None:
    """LTH-301-19 prints at least 0.5 mA at 20 mA and no IF max (Lite-On selection guide): 0.15 mA is in its reach."""
    want = Want(kind="slotted", ic=0.15e-3, ic_if=5e-3)
    row = ((0.5e-3, None, None, 20e-3, 5.0, None, ""),)
    made = reflective("x", kind="slotted", if_max=None, ic_points=row)

    answer = rank([made], want, limit=0)
    too_much = rank([made], replace(want, ic=0.8e-3), limit=0)

    assert [found.part for found in answer.candidates] == ["x"]
    why = next(check.why for check in answer.candidates[0].checks if check.quantity == "current transfer")
    assert "smaller emitter resistor" in why
    assert "0.5 mA at IF 20 mA" in too_much.refused[0].why
    assert "within IF max" not in too_much.refused[0].why


def test_same_compares_transfer_both_ways() -> None:
    """Which part is this: ten times the current is another part."""
    strong = reflective("strong", ic_points=((3e-3, None, None, 10e-3, 5.0, 3.0, "90 % white card"),))

    answer = rank([strong, reflective("right")], replace(WANT, same=True), limit=0)

    assert answer.candidates[0].part == "right"
    assert "strong" in [item.part for item in answer.refused]


@pytest.mark.parametrize(
    ("size", "accepted"), [((9.0, 5.0, 6.0), True), ((10.6, 6.0, 7.2), True), ((14, 5.8, 7), False)]
)
def test_a_body_may_be_smaller_not_larger(size: tuple[float, ...], accepted: bool) -> None:
    """The room that is there is a hard limit from above only."""
    answer = rank([reflective("x", size_mm=size)], WANT, limit=0)

    assert bool(answer.candidates) is accepted


def test_forward_voltage_does_not_count_in_a_stand_in() -> None:
    """The resistor sets the current, so VF decides only which part it is."""
    other = reflective("other", vf_points=((20e-3, None, 1.6, None),))
    want = replace(WANT, vf=1.05)

    stand_in = scores([other], want)
    same = rank([other], replace(want, same=True), limit=0)

    assert stand_in["other"] == 0.0
    assert [item.part for item in same.refused] == ["other"]


def test_currents_of_other_targets_are_not_compared() -> None:
    """A mirror at 12 mm is not paper at 3 mm: the verdict is unknown, with the reason."""
    mirror = reflective("mirror", ic_points=((1e-3, None, None, 10e-3, 5.0, 12.0, "flat mirror"),))

    found = rank([mirror], WANT, limit=0).candidates[0]
    check = next(check for check in found.checks if check.quantity == "current transfer")

    assert check.verdict == "unknown"
    assert "not comparable" in check.why


def test_shares_add_up_to_the_score() -> None:
    """The explained distance is the score: nothing hidden counts."""
    rows = [reflective("a"), reflective("b", size_mm=()), reflective("c", row_mm=7.5, peak_distance_mm=6.0)]

    for found in rank(rows, WANT, limit=0).candidates:
        assert sum(check.share for check in found.checks) == pytest.approx(found.score, abs=2e-3)


def test_a_judge_can_refuse() -> None:
    """What fit and physics say of a candidate is heard."""
    from xref.model.answers.find import Refused

    answer = rank([reflective("x")], WANT, judge=lambda row: Refused(part=row.reference, why="no wiring"), limit=0)

    assert not answer.candidates
    assert answer.refused[-1].why == "no wiring"


def test_rows_survive_the_index() -> None:
    """A row packed as JSON and read back ranks alike."""
    import json

    row = reflective("x")

    back = unpack(json.loads(json.dumps(pack(row))))

    assert scores([back], WANT) == scores([row], WANT)
    assert back.name == row.name
