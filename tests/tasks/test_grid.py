"""Parts of which only the facing is printed: places from the calipers, the mirror image asked for and never guessed."""

from __future__ import annotations

import json

import pytest

from xref.cli.main import main
from xref.errors import UsageError
from xref.library.store import open_library
from xref.model.part import Part
from xref.tasks.grid import placed_by_grid

OPEN = [part for part in open_library().parts() if (part.geometry.facing or part.geometry.quadrants)
        and not part.geometry.wired]  # fmt: skip
FACING = [part for part in OPEN if not part.geometry.quadrants]
CORNERED = [part for part in OPEN if part.geometry.quadrants]
SIGNS = {"UL": (-1, 1), "LL": (-1, -1), "UR": (1, 1), "LR": (1, -1)}


def four(part: Part) -> bool:
    """Only the four leads that face each other."""
    return len(part.geometry.leads) == 4 and {"A", "K", "C", "E"} == {lead.function for lead in part.geometry.leads}


def places(part: Part) -> dict[str, tuple[float, float]]:
    """Function to place."""
    return {lead.function: lead.at_mm for lead in part.geometry.leads if lead.at_mm is not None}


def test_there_are_such_parts() -> None:
    """The library has parts of both kinds, so that the tests below say something."""
    assert len([part for part in FACING if four(part)]) >= 20
    assert len([part for part in CORNERED if four(part)]) >= 4


@pytest.mark.parametrize("upper", ["A", "K"])
@pytest.mark.parametrize("part", [part for part in FACING if four(part)], ids=lambda part: part.name)
def test_what_faces_what_stays(part: Part, upper: str) -> None:
    """Leads that face each other by the sheet stand at one height, emitter left; labels stay; basis is measured."""
    placed = placed_by_grid(part, (5.5, 2.54), upper)
    at = places(placed)

    for one, other in part.geometry.facing.items():
        assert at[one][1] == at[other][1]
        assert at[one][0] == -at[other][0]
    assert at[upper] == (-2.75, 1.27)
    assert {at["A"][0], at["K"][0]} == {-2.75}
    assert {lead.label: lead.function for lead in placed.geometry.leads} == {
        lead.label: lead.function for lead in part.geometry.leads
    }
    assert placed.geometry.wired
    assert placed.basis_of("geometry.leads") == "measured"


@pytest.mark.parametrize("part", [part for part in CORNERED if four(part)], ids=lambda part: part.name)
def test_corners_need_no_answer(part: Part) -> None:
    """Where the sheet shows the corners, the mirror image is not asked for."""
    at = places(placed_by_grid(part, (8.0, 2.0)))

    for corner, function in part.geometry.quadrants.items():
        x, y = SIGNS[corner]
        assert at[function] == (4.0 * x, 1.0 * y)


@pytest.mark.parametrize("answer", ["", "C", "a"])
def test_the_mirror_image_is_asked_for(answer: str) -> None:
    """Without an answer, or with one that is no emitter lead, the question is asked in full."""
    part = open_library().get("CNB1301")

    with pytest.raises(UsageError) as caught:
        placed_by_grid(part, (5.5, 2.54), answer)

    assert str(caught.value) == (
        "--donor-grid: the mirror image of CNB1301 is not known: look at the part from above with the emitter on the "
        "left and say which of its leads is the upper one: --donor-upper-left A or K"
    )


def test_other_leads_are_not_forgotten() -> None:
    """A part with a fifth lead is refused: its place would be guessed."""
    part = open_library().get("EE-SX305")

    with pytest.raises(UsageError, match="EE-SX305 has leads besides the four that face each other"):
        placed_by_grid(part, (10.0, 2.54), "A")


def test_known_places_are_not_overwritten() -> None:
    """A typed grid never replaces printed places silently."""
    with pytest.raises(UsageError, match="where the leads of TCRT5000 stand is known"):
        placed_by_grid(open_library().get("TCRT5000"), (5.5, 2.54))


def fit(args: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    """The JSON document of a fit."""
    assert main(["fit", *args, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert isinstance(found, dict)
    return found


def test_the_answer_about_the_mirror_decides_the_wiring(capsys: pytest.CaptureFixture[str]) -> None:
    """CNB1301 faces A to E, K to C: on such pads it falls in; its mirror image cannot be turned into them."""
    pads = ["blank", "CNB1301", "--map", "A E / K C", "--grid", "5.5x2.54mm", "--donor-grid", "5.5x2.54mm"]

    right = fit([*pads, "--donor-upper-left", "A"], capsys)
    mirrored = fit([*pads, "--donor-upper-left", "K"], capsys)

    assert right["verified"] is True
    assert right["wire_count"] == 0
    assert mirrored["verified"] is True
    assert mirrored["wire_count"] != 0


def test_an_original_is_asked_by_its_own_options(capsys: pytest.CaptureFixture[str]) -> None:
    """ORIGINAL without millimetres: --grid and --upper-left are its own, and the donor's stay the donor's."""
    assert main(["fit", "CNB1301", "RPR-220", "--grid", "5.5x2.54mm"]) == 2
    assert "--upper-left A or K" in capsys.readouterr().err

    answer = fit(["CNB1301", "RPR-220", "--grid", "5.5x2.54mm", "--upper-left", "A"], capsys)

    assert answer["verified"] is True
