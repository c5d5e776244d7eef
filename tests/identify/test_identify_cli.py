"""identify and meter at the shell: answers as data, saved parts, job files, exit codes and the full text of errors."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path
from typing import Any

import pytest

from xref.cli.main import main
from xref.examples import FOLDER
from xref.model.answers.identify import IdentifyAnswer, OtherDevice

PAIR = ["1:2@dark=1.08V", "2:1=OL", "3:4@lit=0.12V", "4:3@lit=OL", "1:2@5V/10k=1.04V", "1:2@5V/4k7=1.07V"]
METER = ["--meter-current", "1mA", "--open", "3V", "--overload", "2V", "--ohms-red", "plus"]


def told(capsys: pytest.CaptureFixture[str], *args: str) -> Any:
    """The JSON document of a command that answers."""
    assert main([*args, "--json"]) == 0
    out = capsys.readouterr()
    assert not out.err
    return json.loads(out.out)


def test_the_answer_as_data(capsys: pytest.CaptureFixture[str]) -> None:
    """The fields that design.md fixes, with a function for every lead."""
    answer = told(capsys, "identify", "--leads", "4", *PAIR, *METER)

    assert answer["device"] == "emitter + phototransistor"
    assert answer["leads"] == {"1": "A", "2": "K", "3": "C", "4": "E"}
    assert answer["settled"] is True
    assert 0.99 <= answer["probability"] <= 1.0
    assert answer["next_reading"] is None
    assert answer["unexplained"] == []
    assert all({"device", "leads", "probability"} <= set(other) for other in answer["alternatives"])
    assert answer["next_command"] == "xref find --same --vf 1.08V@1mA --output transistor --leads 4"


def test_the_next_reading_as_data(capsys: pytest.CaptureFixture[str]) -> None:
    """Before it is settled the next reading says both leads and the light; the functions not known are unknown."""
    answer = told(capsys, "identify", "--leads", "4", "1:2@dark=1.08V")

    assert answer["settled"] is False
    assert {"red", "black", "light"} <= set(answer["next_reading"])
    assert answer["next_reading"]["light"] in ("dark", "lit")
    assert (answer["leads"]["1"], answer["leads"]["2"]) == ("A", "K")
    assert answer["vf_v"] is None


def test_the_text_warns_where_it_belongs(capsys: pytest.CaptureFixture[str]) -> None:
    """Power before the emitter is known, infrared in the torch, no laser, polarity on ohms, static."""
    assert main(["identify", "--leads", "4", "1:2=1.08V", "3:4@lit=6.8k"]) == 0
    text = " ".join(capsys.readouterr().out.split())

    for words in (
        "Never power the part before its emitter is known",
        "many white LEDs have none",
        "Never use a laser",
        "the red lead is plus on some meters and minus on others",
        "Hold the part only at an earthed place",
    ):
        assert words in text


@pytest.mark.parametrize(("args", "line"), [
    (["1:2=1V"], "xref: say how many leads the part has: --leads 4"),
    (["--leads", "9", "1:2=1V"], "xref: --leads: '9' is not a whole number from 2 to 8"),
    (["--leads", "4", "1:7=1V"], 'xref: "1:7=1V": there is no lead 7; the leads are 1 to 4'),
    (["--leads", "7", "1:2=1V"], "xref: 7 leads have too many arrangements: name the pairs that belong together, "
                                 "--together 1:2,3:4"),
    (["--leads", "4", "--together", "1:9", "1:2=OL"], "xref: --together: '1:9' is not a pair of leads: expected like "
                                                      "1:2,3:4"),
    (["--leads", "4", "--settle", "2", "1:2=OL"], "xref: --settle: 2 is not a probability from 0.5 to 0.9999"),
    (["--leads", "4", "--ohms-red", "left", "1:2=OL"], "xref: --ohms-red: 'left' is neither plus nor minus"),
    (["--leads", "4", "--open", "1V", "--overload", "2V", "1:2=OL"],
     "xref: overload 2 V is above the open-circuit 1 V: exchange them?"),
    (["--leads", "2", "1:2@5V/470R=1V"],
     "xref: 1:2@5V/470R: 470R is too small before the emitter is known; use at least 4k7"),
    (["--leads", "3", "--labels", "red,black", "red:black=OL"], "xref: --labels: 2 labels for 3 leads"),
    (["--leads", "4", "--ask", "--save", "PARK", "--map", "1 2 / 3 4"],
     "xref: --map: --map and --grid go together: --map '1 2 / 3 4' --grid 5.5x2.54mm"),
    (["--leads", "4", "--ask", "--save", "PARK", "--map", "1 2 / 3", "--grid", "5.5x2.54mm"],
     "xref: the rows of the map differ in length: write . for a free place"),
])  # fmt: skip
def test_wrong_command_lines(capsys: pytest.CaptureFixture[str], args: list[str], line: str) -> None:
    """One clear line on stderr, exit code 2."""
    assert main(["identify", *args]) == 2

    out = capsys.readouterr()
    assert out.err == line + "\n"
    assert out.out == ""


def test_a_small_resistor_is_accepted_once_the_emitter_is_known(capsys: pytest.CaptureFixture[str]) -> None:
    """5 V through 220 ohm is for a known emitter only; the other readings may say it in any order."""
    answer = told(capsys, "identify", "--leads", "4", "1:2@5V/220R=1.19V", *PAIR, *METER)

    assert answer["settled"] is True
    assert answer["unexplained"] == []


def test_save_writes_a_part(capsys: pytest.CaptureFixture[str]) -> None:
    """The part file holds labels, functions and the forward voltage; the library finds it; nothing is overwritten."""
    answer = told(capsys, "identify", "--leads", "4", *PAIR, *METER, "--save", "PARK 2")

    assert Path(answer["saved"]) == Path(os.environ["XREF_HOME"]) / "parts" / "park-2.yaml"
    part = told(capsys, "part", "show", "PARK 2")["part"]
    assert [(lead["label"], lead["function"]) for lead in part["geometry"]["leads"]] == [
        ("1", "A"), ("2", "K"), ("3", "C"), ("4", "E"),
    ]  # fmt: skip
    assert [value["typ"] for value in part["emitter"]["vf_v"]] == [1.04, 1.07, 1.08]
    assert part["output"] == "phototransistor"
    assert main(["identify", "--leads", "4", *PAIR, *METER, "--save", "PARK 2"]) == 3


def test_save_with_a_map_gives_places(capsys: pytest.CaptureFixture[str]) -> None:
    """A map seen from the solder side is mirrored once; the next command is a fit."""
    answer = told(capsys, "identify", "--leads", "4", *PAIR, *METER, "--save", "PARK3", "--map", "1 3 / 2 4", "--grid",
                  "5.5x2.54mm", "--seen-from", "solder", "--kind", "reflective")  # fmt: skip

    leads = told(capsys, "part", "show", "PARK3")["part"]["geometry"]["leads"]
    places = {lead["label"]: tuple(lead["at_mm"]) for lead in leads}
    assert places == {"1": (2.75, 1.27), "3": (-2.75, 1.27), "2": (2.75, -1.27), "4": (-2.75, -1.27)}
    assert answer["next_command"] == "xref fit PARK3 DONOR"


def test_a_job_file_gives_meter_and_readings(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """The loose readings and the meter of a job file are taken; labels come from the map of its pads."""
    job = tmp_path / "arm-park.yaml"
    job.write_text(
        "format: 1\nsite: {kind: reflective, pads: {map: 1 3 / 2 4}}\n"
        "meter: {diode: 1mA, open: 3V, overload: 2V, ohms_red: plus}\n"
        f"readings: {{loose: {json.dumps(PAIR)}}}\n"
    )

    answer = told(capsys, "identify", "--job", str(job))

    assert answer["settled"] is True
    assert sorted(answer["leads"]) == ["1", "2", "3", "4"]
    assert answer["assumed"] == []


def test_a_switch_by_its_positions(capsys: pytest.CaptureFixture[str]) -> None:
    """A contact that is closed in one position and open in the other is a changeover switch."""
    answer = told(capsys, "identify", "--leads", "3", "1:2@left=0", "1:3@left=OL", "1:2@right=OL", "1:3@right=0")

    assert answer["device"] == "changeover switch"
    assert answer["leads"] == {"1": "COM", "2": "T1", "3": "T2"}


def test_eight_leads_with_pairs_named(capsys: pytest.CaptureFixture[str]) -> None:
    """Eight leads are searched once the user names what belongs together."""
    readings = ["1:2@dark=1.08V", "2:1=OL", "5:6=OL", "6:5@dark=1.06V", "3:4@lit=0.12V", "8:7@lit=0.15V"]
    answer = told(capsys, "identify", "--leads", "8", "--together", "1:2,3:4,5:6,7:8", *readings)

    assert answer["device"] == "two emitters + two phototransistors"
    functions = {label: function.rstrip("2") for label, function in answer["leads"].items()}
    assert functions == {"1": "A", "2": "K", "3": "C", "4": "E", "6": "A", "5": "K", "8": "C", "7": "E"}


def test_the_meter_is_saved_once(capsys: pytest.CaptureFixture[str]) -> None:
    """What was saved is shown, used by identify, changed one by one, and forgotten."""
    assert told(capsys, "meter")["diode_ma"] is None
    saved = told(capsys, "meter", "--diode", "0.5mA", "--overload", "1.2V")
    assert (saved["diode_ma"], saved["overload_v"], saved["ohms_red"]) == (0.5, 1.2, "unknown")
    assert len(saved["printed"]) == 7
    later = told(capsys, "meter", "--ohms-red", "minus", "--open", "9V")
    assert (later["diode_ma"], later["ohms_red"], later["assumed"]) == (0.5, "minus", [])

    answer = told(capsys, "identify", "--leads", "2", "1:2@dark=1.08V")
    assert answer["assumed"] == []
    assert told(capsys, "meter", "--forget")["diode_ma"] is None


@pytest.mark.parametrize(("args", "line"), [
    (["--diode", "1"], 'xref: "1" has no unit: expected a current like 20mA'),
    (["--diode", "100mA"], "xref: 100 mA is no diode-test current: expected 0.05 to 20 mA, like 1mA"),
    (["--open", "40V"], "xref: 40 V is no open-circuit voltage of a diode test: expected 1 to 15 V, like 3V"),
    (["--overload", "0.2V"], "xref: 0.2 V is no overload limit: expected 0.7 to 15 V, like 2V"),
])  # fmt: skip
def test_wrong_meters(capsys: pytest.CaptureFixture[str], args: list[str], line: str) -> None:
    """Figures that no multimeter has are refused before they spoil an identification."""
    assert main(["meter", *args]) == 2

    assert capsys.readouterr().err == line + "\n"


def test_a_damaged_meter_file_says_what_to_do(capsys: pytest.CaptureFixture[str]) -> None:
    """A file that xref did not write is named with the way out, exit code 3."""
    path = Path(os.environ["XREF_HOME"]) / "meter.json"
    path.write_text('{"format": 1, "diode": ')

    assert main(["identify", "--leads", "2", "1:2=OL"]) == 3
    assert capsys.readouterr().err == (
        f"xref: {path}: is damaged; delete it and save your meter again: xref meter --diode 1mA\n"
    )


SAVED = [
    ("emitter", ("A", "K"), "emitter"),
    ("phototransistor", ("C", "E"), "detector"),
    ("photodiode", ("K", "A"), "detector"),
    ("phototransistor with base", ("C", "E", "B"), "detector"),
    ("emitter + phototransistor, K+E", ("A", "C", "K+E"), "pair"),
    ("emitter + photodarlington, A+C", ("K", "E", "A+C"), "pair"),
    ("emitter + phototransistor", ("A", "K", "C", "E", "NC"), "pair"),
    ("emitter + two phototransistors, common collector", ("A", "K", "C", "E", "E2"), "pair"),
    ("emitter + logic-pull-up", ("A", "K", "VCC", "OUT", "GND"), "pair"),
    ("emitter + phototransistor, emitter open", ("A or K", "K or A", "C", "E"), "pair"),
]


@pytest.mark.parametrize(("device", "functions", "kind"), SAVED, ids=[row[0] for row in SAVED])
def test_every_device_is_saved_as_a_sound_part(device: str, functions: tuple[str, ...], kind: str) -> None:
    """Each device that the library holds passes its checks when saved; leads that no reading tells stay out."""
    from xref.library.store import open_library
    from xref.model.answers.identify import IdentifyAnswer
    from xref.tasks.identify import save_part

    leads = {str(number + 1): function for number, function in enumerate(functions)}
    answer = IdentifyAnswer(device=device, leads=leads, probability=0.995, settled=True, alternatives=(),
                            next_reading=None, unexplained=(), vf_v=1.08, vf_at="1mA")  # fmt: skip

    save_part(answer, "RING 7")
    part = open_library().get("RING 7")

    assert part.kind == kind
    assert part.geometry.lead_count == len(functions)
    told = tuple(lead.function for lead in part.geometry.leads)
    assert told == (() if "or" in " ".join(functions).split() else functions)


@pytest.mark.parametrize("device", ["resistor", "short", "switch", "emitter or photodiode"])
def test_what_is_no_sensor_is_not_saved(device: str) -> None:
    """A link, a resistor or an open question is refused in one line."""
    from xref.errors import UsageError
    from xref.model.answers.identify import IdentifyAnswer
    from xref.tasks.identify import save_part

    answer = IdentifyAnswer(device=device, leads={"1": "R1", "2": "R2"}, probability=0.995, settled=True,
                            alternatives=(), next_reading=None, unexplained=())  # fmt: skip

    with pytest.raises(UsageError) as caught:
        save_part(answer, "RING 8")

    assert str(caught.value) == f"--save: a part cannot be saved from '{device}': the library holds sensors"


def test_a_part_is_saved_when_only_its_leads_are_sure(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """0.97 with a resistor inside as the other chance: both give the leads the same functions, so they can be kept."""
    readings = ["1:2=1.08V", "2:1=OL", "3:4@lit=0.12V", "4:3@lit=OL"]
    answer = told(capsys, "identify", "--leads", "4", *readings, "--save", "RS9")

    assert answer["settled"] is False
    assert answer["leads"] == {"1": "A", "2": "K", "3": "C", "4": "E"}
    text = Path(answer["saved"]).read_text()
    assert "output: phototransistor" in text
    assert "resistor inside" in text
    part = told(capsys, "part", "RS9")["part"]
    assert [lead["function"] for lead in part["geometry"]["leads"]] == ["A", "K", "C", "E"]


def test_a_part_is_not_saved_while_its_leads_differ(capsys: pytest.CaptureFixture[str]) -> None:
    """A photodiode one way or a darlington the other way round: refused, and the reading to take is named."""
    readings = ["1:2=1.08V", "2:1=OL", "4:3@lit=0.6V", "3:4@lit=OL", "3:4@dark=OL"]

    assert main(["identify", "--leads", "4", *readings, "--save", "RS8"]) == 2
    assert "not settled" in (line := capsys.readouterr().err)
    assert "; next reading: " in line


def test_a_photodiode_has_no_collector(capsys: pytest.CaptureFixture[str]) -> None:
    """In words cathode and anode of the detector (a diode has these, IEC 60747-5-5 terms); the JSON keys stay."""
    readings = ["1:2=1.08V", "2:1=OL", "4:3@lit=0.6V", "3:4@lit=OL", "3:4@dark=OL"]

    assert main(["identify", "--leads", "4", *readings]) == 0
    text = " ".join(capsys.readouterr().out.split())

    assert text.startswith("emitter + photodiode ")
    assert "3 cathode of the detector (C) 4 anode of the detector (E)" in text
    assert told(capsys, "identify", "--leads", "4", *readings)["leads"]["3"] == "C"


def test_contrary_readings_stand_apart(capsys: pytest.CaptureFixture[str]) -> None:
    """A reading that the answer cannot explain is listed to read again, not among what speaks for it."""
    answer = told(capsys, "identify", "--leads", "4", *PAIR, "1:3=1.5V", *METER)

    assert any(line.startswith("1:3=1.5V") for line in answer["unexplained"])
    assert not any(line.startswith("1:3=1.5V") for line in answer["because"])


def test_the_example_job_is_identified(capsys: pytest.CaptureFixture[str]) -> None:
    """Its pads are named by function, its readings by lead number: the part has as many leads as the map has pads."""
    answer = told(capsys, "identify", "--job", str(FOLDER / "arm-park.yaml"))

    assert list(answer["leads"]) == ["1", "2", "3", "4"]
    assert answer["readings"][0] == "1:2=1.08V"


def test_a_refused_save_shows_the_answer_first(capsys: pytest.CaptureFixture[str]) -> None:
    """What the readings say comes out although nothing can be saved; the error stands alone on stderr, exit code 2."""
    assert main(["identify", "--leads", "4", "1:2=1.08V", "--save", "PARK"]) == 2

    out = capsys.readouterr()
    assert re.search(r"1\s+A\s+2\s+K", out.out)
    assert out.err == ("xref: --save: not settled: a part is saved once its leads are known; next reading: diode test, "
                       "torch on: red on 3, black on 4\n")  # fmt: skip


def one_of_two(other_leads: tuple[str, ...], **more: Any) -> IdentifyAnswer:
    """A settled answer that names two devices, the second with its own leads."""
    leads = {"1": "A", "2": "K", "3": "C", "4": "E"}
    other = OtherDevice(device="emitter + photodarlington", leads=dict(zip("1234", other_leads, strict=True)),
                        probability=0.3, same=True)  # fmt: skip
    return IdentifyAnswer(device="emitter + phototransistor or emitter + photodarlington", leads=leads,
                          probability=0.99, settled=True, alternatives=(other,), next_reading=None, unexplained=(),
                          **more)  # fmt: skip


def test_two_devices_with_the_same_leads_are_saved_without_output() -> None:
    """The leads are what was sure: they are kept, the output is not guessed, and the note says why."""
    from xref.library.store import open_library
    from xref.tasks.identify import save_part
    from xref.tasks.identify_part import without_output

    answer = one_of_two(("A", "K", "C", "E"))
    path = save_part(answer, "RING 9", grid=(5.5, 2.54), lead_map="1 2 / 3 4")

    part = open_library().get("RING 9")
    assert [lead.function for lead in part.geometry.leads] == ["A", "K", "C", "E"]
    assert "output" not in Path(path).read_text().split("notes:")[0]
    assert without_output(answer) == ("saved without output: the readings allow phototransistor or photodarlington; "
                                      "the leads are the same for each")  # fmt: skip


def test_two_devices_with_other_leads_are_not_saved() -> None:
    """Where the second device would turn collector and emitter round there is no lead map to keep."""
    from xref.errors import UsageError
    from xref.tasks.identify import save_part

    with pytest.raises(UsageError, match="they differ in what the leads are"):
        save_part(one_of_two(("A", "K", "E", "C")), "RING 10")


def test_own_supply_readings_are_saved_with_their_current(capsys: pytest.CaptureFixture[str]) -> None:
    """Meter current unknown: (5 V - 1.10 V)/4.7 kohm = 0.830 mA and (5 V - 1.06 V)/10 kohm = 0.394 mA (Ohm's law)."""
    readings = [*PAIR[:4], "1:2@5V/10k=1.06V", "1:2@5V/4k7=1.10V"]
    answer = told(capsys, "identify", "--leads", "4", *readings, "--save", "PARK 3")

    assert (answer["vf_v"], answer["vf_at"]) == (1.10, "5V/4k7")
    values = told(capsys, "part", "PARK 3")["part"]["emitter"]["vf_v"]
    assert [(item["typ"], item["at"]["if_ma"]) for item in values] == [(1.06, 0.394), (1.1, 0.83)]


@pytest.mark.parametrize("meter", [[], METER], ids=["unknown meter", "known meter"])
def test_a_quarter_of_a_volt_is_no_darlington(capsys: pytest.CaptureFixture[str], meter: list[str]) -> None:
    """A transistor in weak light, reversed overload: 0.24 V over it at 0.476 mA is under one base-emitter voltage.

    Source: a darlington's collector cannot come below the base-emitter voltage of its output transistor, which V15
    of the published checks puts at 0.648 V (circuit law; the first transistor feeds the second from the collector).
    """
    readings = ["1:2=1.08V", "3:4@lit=OL V", "4:3@lit=OL V", "3:4@lit=3.9k", "4:3@lit=OL ohm", "4:3@lit,5V/10k=5V",
                "3:4@lit,5V/10k=0.24V", "3:4@lit,5V/4k7=2.2V", "1:2@5V/4k7=1.10V", "1:2@5V/10k=1.06V"]  # fmt: skip
    answer = told(capsys, "identify", "--leads", "4", *readings, *meter)

    assert answer["device"] == "emitter + phototransistor"
    assert answer["leads"] == {"1": "A", "2": "K", "3": "C", "4": "E"}
    assert answer["settled"] is True
    assert sum(item["probability"] for item in answer["alternatives"] if "darlington" in item["device"]) < 0.01
