"""What a search takes from the original, the board and the saved meter, and what its JSON holds."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from xref.cli.main import main
from xref.errors import NotFound, SafetyRefusal
from xref.examples import FOLDER
from xref.job.file import load_job
from xref.library.store import open_library
from xref.model.answers.find import Check, FindAnswer
from xref.model.site import Pads, Site, SiteEmitter, SiteOutput
from xref.model.want import Want
from xref.tasks.find import find


def checks(answer: FindAnswer, quantity: str) -> dict[str, Check]:
    """That check of every candidate that has it."""
    return {found.part: check for found in answer.candidates for check in found.checks if check.quantity == quantity}


def document(args: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    """The JSON document of a command."""
    main([*args, "--json"])
    found = json.loads(capsys.readouterr().out)
    assert isinstance(found, dict)
    return found


def test_the_original_gives_the_need() -> None:
    """--for: kind, output, body and the original's own least current are the need (TCRT5000, Vishay 83760: IC min
    0.5 mA at IF 10 mA); the part itself is first, because it meets all of them."""
    answer = find(Want(), original="TCRT5000", origin="published")
    need = checks(answer, "current transfer")

    assert answer.candidates[0].part == "TCRT5000"
    assert {check.wanted for check in need.values()} == {0.5}
    assert not any("electrical need unknown" in note for note in answer.notes)


def test_with_a_site_the_input_decides() -> None:
    """The old part's own current is no need of the board: 74HC14 on 4.7 kohm asks for it (Ohm's law: 1 mA)."""
    site = Site(
        kind="slotted", emitter=SiteEmitter(supply=5.0, resistor=180.0), safety="none",
        output=SiteOutput(supply=5.0, load=4700.0, load_side="C", input="74HC14", lit="low"),
    )  # fmt: skip
    answer = find(Want(), original="H21A1", site=site, origin="published", limit=3, pool=6)

    assert checks(answer, "current transfer") == {}
    assert not any("needed 0.15 mA" in item.why for item in answer.refused)


def test_an_original_that_prints_no_current_is_named() -> None:
    """Where --for says nothing of the current, the note names the part instead of asking for --for again."""
    silent = next(part for part in open_library().parts("reflective") if not part.coupling.ic_ma)

    answer = find(Want(), original=silent.name, origin="published", limit=1)

    assert f"{silent.name} prints no least collector current: give --site or --ic" in answer.notes


def test_a_job_may_name_a_number_that_nobody_knows() -> None:
    """The equipment maker's own number on the part is no error: the board says what is needed, and a note says so."""
    site = load_job(FOLDER / "arm-park.yaml").site

    answer = find(Want(), site=site, named="LAB-4711", origin="published", limit=1, pool=4)

    assert "LAB-4711 is not in the library, so it says nothing about the need" in answer.notes
    with pytest.raises(NotFound):
        find(Want(), site=site, original="LAB-4711")


@pytest.mark.parametrize(
    ("pads", "grid"),
    [
        (Pads(map="A C / K E", grid=(5.5, 2.54)), "5.5x2.54"),
        (Pads(map="A . C / K . E", grid=(2.75, 2.54)), "5.5x2.54"),
        (Pads(at={"A": (-2.75, 1.27), "K": (-2.75, -1.27), "C": (2.75, 1.27), "E": (2.75, -1.27)}), "5.5x2.54"),
    ],
)
def test_the_pads_give_the_lead_grid(pads: Pads, grid: str) -> None:
    """The lead grid is the distance of the pads, however they were written: in two columns, in three, or as places."""
    answer = find(Want(), site=Site(kind="reflective", safety="none", pads=pads), origin="published", limit=1, pool=1)

    assert {check.wanted for check in checks(answer, "lead grid").values()} == {grid}


def test_emitter_current_with_the_old_resistor() -> None:
    """VF shows as a current: (5 V - VF) / 100 ohm by Kirchhoff; VF of TCRT5000 is 1.1 to 1.3 V at 40 mA (83760 Fig. 4);
    other emitters of the kind reach 1.6 V."""
    emitter = SiteEmitter(supply=5.0, resistor=100.0, in_series=1, driver_drop=0.0)
    site = Site(kind="reflective", safety="none", pads=Pads(map="A C / K E", grid=(10.2, 2.54)), emitter=emitter)

    answer = find(Want(), site=site, original="TCRT5000", origin="published", limit=3, pool=6)
    shown = checks(answer, "emitter current")

    assert shown
    for check in shown.values():
        assert isinstance(check.offered, float)
        assert 34 <= check.offered <= 42
        assert check.unit == "mA"
        assert check.share == 0.0
    total = {found.part: sum(check.share for check in found.checks) for found in answer.candidates}
    assert all(abs(total[found.part] - found.score) < 2e-3 for found in answer.candidates)


def test_a_typed_vf_is_not_passed_over_in_silence() -> None:
    """VF decides no stand-in (the resistor sets the current), and the answer says so."""
    answer = find(Want(kind="reflective", vf=1.1), origin="published", limit=1)

    assert any("forward voltage does not decide" in note for note in answer.notes)


def test_supply_is_compared(capsys: pytest.CaptureFixture[str]) -> None:
    """A detector whose VCEO is below the supply is refused (TCRT5000: VCEO 70 V, Vishay 83760; RPR-220: 30 V), an
    unknown limit is said to be unknown."""
    answer = find(Want(kind="reflective", supply=48.0), origin="published", limit=0)
    found = {item.part for item in answer.candidates}
    refused = {item.part: item.why for item in answer.refused}

    assert "TCRT5000" in found
    assert refused["RPR-220"] == "VCEO 30 V for a supply of 48 V"
    assert any(check.verdict == "unknown" for check in checks(answer, "supply").values())


def test_supply_of_a_logic_output() -> None:
    """Logic outputs are compared by their supply range: a 5 V only part is refused at 24 V, with both figures."""
    answer = find(Want(kind="slotted", output="logic", supply=24.0), origin="published", limit=0)
    narrow = [item for item in answer.refused if item.why.startswith("logic for")]

    assert narrow
    assert all("supply 24 V" in item.why for item in narrow)
    for check in checks(answer, "supply").values():
        assert check.verdict == "unknown" or float(str(check.offered).split(" to ")[1]) >= 24


def test_the_saved_meter_is_used(capsys: pytest.CaptureFixture[str]) -> None:
    """A VF typed without its current was read at the current of the user's own meter, once that is saved."""
    command = ["find", "--same", "--kind", "reflective", "--vf", "1.08V", "--from", "published", "--limit", "1"]
    before = document(command, capsys)
    assert main(["meter", "--diode", "0.7mA"]) == 0
    capsys.readouterr()

    after = document(command, capsys)

    assert "0.5 to 1.5 mA assumed" in str(before["assumed"])
    assert after["assumed"] == ["meter current: 0.7 mA, as you saved it (xref meter)"]


def test_the_fixed_keys_of_find(capsys: pytest.CaptureFixture[str]) -> None:
    """The keys that other programs rely on: candidates, checks with wanted, offered and unit, refused."""
    answer = document(["find", "--for", "TCRT5000", "--limit", "2", "--from", "published"], capsys)
    candidates = answer["candidates"]
    assert isinstance(candidates, list)

    assert {"candidates", "refused"} <= set(answer)
    assert {"part", "maker", "origin", "where", "score", "verdict", "checks", "basis"} <= set(candidates[0])
    assert candidates[0]["origin"] == "published"
    for check in candidates[0]["checks"]:
        assert set(check) == {"quantity", "wanted", "offered", "unit", "verdict", "share", "why"}
        assert check["verdict"] in ("meets", "near", "fails", "unknown")
    assert all(set(item) == {"part", "why"} for item in answer["refused"])  # type: ignore[attr-defined]


def test_a_file_without_a_board_side(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--site with a file that has no site: block is one line, not a search without it."""
    path = tmp_path / "job.yaml"
    path.write_text("format: 1\njob: arm park\n")

    assert main(["find", "--kind", "reflective", "--site", str(path)]) == 2
    assert capsys.readouterr().err == f"xref: {path}: the file has no site: block; see xref help files\n"


def test_a_safety_part_is_not_named_by_its_readings() -> None:
    """--same in a safety function goes by behaviour too: refused, unless the number is known."""
    site = Site(kind="slotted", safety="lid")

    with pytest.raises(SafetyRefusal, match="a part chosen by its readings is refused"):
        find(Want(same=True, kind="slotted", vf=1.1), site=site)
    answer = find(Want(same=True), site=site, original="H21A1", origin="published")
    assert [found.part for found in answer.candidates] == ["H21A1"]


def test_only_what_may_be_changed_is_changed() -> None:
    """change: nothing on the job leaves every resistor as it is, also where a search judges candidates."""
    site = load_job(FOLDER / "arm-park.yaml").site

    kept = find(Want(), site=site, change=(), origin="published", limit=5)
    free = find(Want(), site=site, origin="published", limit=5)

    assert not any("ohm" in check.why for check in checks(kept, "fit and signal").values())
    assert any("ohm" in check.why for check in checks(free, "fit and signal").values())


def test_the_named_successor_may_go_in(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In a safety function the maker's own successor counts as the same number (Osram names SFH 9206 for SFH 9202,
    SFH 9202 sheet Rev. 1.0); any other part is refused, however alike."""
    site = Site(kind="reflective", safety="guard")

    answer = find(Want(), site=site, original="SFH 9202", origin="published")
    shown = {found.part for found in answer.candidates} | {item.part for item in answer.refused}

    assert shown == {"SFH9202", "SFH9206"}
    assert open_library().get("SFH9202").successor == "SFH9206"


def test_every_wish_is_used() -> None:
    """No field of a request is filled and then read by nothing."""
    import ast
    from dataclasses import fields

    import xref.search

    folder = Path(next(iter(xref.search.__path__)))
    read = {
        node.attr
        for path in (*folder.glob("*.py"), folder.parent / "tasks" / "find.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "want"
    }

    assert {field.name for field in fields(Want)} - read == set()


def test_the_room_is_not_the_body() -> None:
    """--same with a board side: the room that is there and the distance of the target say nothing of which part it
    was; the lead grid of the pads does."""
    site = load_job(FOLDER / "arm-park.yaml").site

    answer = find(Want(same=True, vf=1.1), site=site, origin="published", limit=3)

    assert not checks(answer, "body")
    assert not checks(answer, "distance")
    assert checks(answer, "lead grid")


@pytest.mark.parametrize("kind", ["emitter", "switch"])
def test_an_option_without_effect_is_said(kind: str) -> None:
    """A supply cannot be compared with a lone emitter or a switch; the answer says that it was not used."""
    answer = find(Want(kind=kind, supply=5.0), origin="published", limit=1)

    assert f"--supply cannot be compared for kind {kind}: it was not used" in answer.notes
