"""xref switch at the shell: answers, exit codes, one line for every mistake."""

from __future__ import annotations

import json
import re
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from xref.cli.main import main
from xref.guide import page


def run(capsys: pytest.CaptureFixture[str], *args: str) -> tuple[int, str, str]:
    """Exit code, stdout, stderr of one command line."""
    code = main(["switch", *args])
    out = capsys.readouterr()
    return code, out.out, out.err


@pytest.mark.parametrize(
    ("args", "code", "line"),
    [
        (["identify", "--leads", "1", "1:2=0"], 2, "xref: --leads: 1 leads: expected 2 to 16"),
        (["identify", "--leads", "a;b", "1:2=0"], 2,
         'xref: --leads: "a;b" is no number and no list of leads: expected 6 or C,1,2'),
        (["identify", "--leads", "C,C", "1:2=0"], 2, 'xref: --leads: "C,C" names a lead twice'),
        (["identify", "--leads", "3", "1-2=0"], 2,
         'xref: "1-2=0" names no two leads: expected RED:BLACK=VALUE like 1:2=1.08V'),
        (["identify", "--leads", "3", "1:2@a=0", "1:2@a=OL"], 3,
         "xref: 1:2@a=OL contradicts earlier readings, by which they are joined; read it again"),
        (["identify", "--leads", "3", "1:2@a=0", "--returns-to", "b"], 2,
         "xref: --returns-to: there is no position b; the positions are a"),
        (["identify"], 2,
         "xref: switch identify: no leads and no readings: give --leads 6, or readings like 1:2@left=0"),
        (["identify", "--job", "nowhere.yaml"], 3, None),
        (["find"], 2,
         "xref: switch find: nothing to search by: give --joins, --load, --action, --leads, --pitch or --body"),
        (["find", "--joins", "left"], 2,
         'xref: --joins: "left" is not POSITION=LEADS: expected like left=1:2,4:5 or mid=none'),
        (["find", "--joins", "left=1"], 2,
         'xref: --joins: "left=1": "1" joins no two leads, expected like 1:2'),
        (["find", "--joins", "left=1:1"], 2, 'xref: --joins: "left=1:1": a lead is joined to itself'),
        (["find", "--joins", "left=1:2", "--joins", "left=2:3"], 2, "xref: --joins: position left is given twice"),
        (["find", "--joins", "left=none"], 2,
         "xref: --joins: no position joins anything: expected like left=1:2"),
        (["find", "--joins", "l=1:2", "--between", "maybe"], 2,
         'xref: --between: "maybe" is not one of open, joined, any'),
        (["find", "--joins", "l=1:2", "--load", "5V"], 2,
         'xref: --load: "5V" is no load: expected voltage/current like 5V/0.5mA or 230VAC/2A'),
        (["find", "--joins", "l=1:2", "--load", "0V/1mA"], 2,
         'xref: --load: "0V/1mA": voltage and current must be above 0'),
        (["find", "--joins", "l=1:2", "--load", "5V/1,5mA"], 2, None),
        (["find", "--joins", "l=1:2", "--action", "lever"], 2,
         'xref: --action: "lever" is not one of slide, snap-action, leaf, tactile, push, reed, rotary, detector, '
         "toggle, dip"),
        (["find", "--joins", "l=1:2", "--rest", "x"], 2, "xref: --rest: there is no position x in --joins"),
        (["find", "--joins", "l=1:2", "--from", "moon"], 2,
         "xref: --from moon: expected one of published, stock, all"),
        (["find", "--joins", "l=1:2", "--pitch", "-2mm"], 2, 'xref: --pitch: "-2mm" is not above 0'),
        (["find", "--joins", "l=1:2", "--drives", "interlock"], 4,
         "xref: switch of an interlock: a switch chosen by behaviour is refused; only the same number or its named "
         "successor, by a licensed technician"),
        (["find", "--joins", "l=1:2", "--drives", "mains"], 2,
         "xref: --load: mains: a switch is chosen by its AC rating, so give the circuit like 230VAC/2A"),
        (["find", "--joins", "l=1:2", "--drives", "mains", "--load", "5V/1mA"], 2,
         "xref: --load: mains: 5 V is not volts AC above 50 V: give 230VAC/2A, or leave out --drives mains"),
        (["fit", "DC1C-A1AA", "DC2C-A1AA", "--drives", "mains", "--load", "230VDC/2A"], 2,
         "xref: --load: mains: 230 V DC is not volts AC above 50 V: give 230VAC/2A, or leave out --drives mains"),
        (["spare", "OS202011MS2QN1", "--used", "1,2,3", "--drives", "interlock"], 4,
         "xref: switch of an interlock: moving its wires is refused; only the same number or its named successor, by "
         "a licensed technician"),
        (["spare", "OS202011MS2QN1", "--used", "1,2,3", "--drives", "mains"], 4,
         "xref: mains: moving its wires is refused; only a whole switch of equal rating and approval, by a licensed "
         "electrician"),
        (["fit", "blank", "5MD1"], 2,
         "xref: switch fit: ORIGINAL is blank: say what joins with --joins left=1:2,4:5 --joins right=2:3,5:6, or "
         "give a job file"),
        (["fit", "NOPE", "5MD1"], 1, None),
        (["fit", "TCRT5000", "5MD1"], 2, "xref: ORIGINAL: TCRT5000 is no switch; for sensors: xref fit"),
        (["fit", "OS102011MS2QN1", "5MS1", "--donor-map", "1 2 4", "--donor-grid", "4x4mm"], 2,
         'xref: --donor-map: "1 2 4" names 4, which is no lead of 5MS1; its leads are 1 2 3'),
        (["fit", "OS102011MS2QN1", "5MS1", "--donor-map", "1 2 3"], 2,
         "xref: switch fit: --donor-map needs --donor-grid ACROSSxDOWN, such as 2.5x2.5mm"),
        (["fit", "OS102011MS2QN1", "5MS1", "--grid", "4x4mm"], 2,
         'xref: switch fit: --grid needs --map with the leads as they stand: "1 2 3 / 4 5 6"'),
        (["fit", "OS102011MS2QN1", "5MS1", "--lever", "up"], 2, 'xref: --lever: "up" is not one of same, reversed'),
        (["spare", "OS102011MS2QN1", "--used", "1,9"], 2,
         "xref: --used: OS102011MS2QN1 has no lead 9; its leads are 1 2 3"),
    ],
)  # fmt: skip
def test_one_line_for_every_mistake(
    capsys: pytest.CaptureFixture[str], args: list[str], code: int, line: str | None
) -> None:
    """Where, what, what instead, in one line on stderr, with the right exit code; nothing on stdout."""
    got, out, err = run(capsys, *args)

    assert got == code
    assert out == ""
    assert err.count("\n") == 1
    assert "Traceback" not in err
    if line is not None:
        assert err == line + "\n"


def test_identify_at_the_shell(capsys: pytest.CaptureFixture[str]) -> None:
    """The full text of an unfinished session."""
    code, out, _ = run(capsys, "identify", "--leads", "3", "--positions", "left,right", "1:2@left=0", "1:3@left=OL")

    assert code == 0
    assert out == (
        "Not yet proved after 2 readings.\n"
        "\n"
        "position  joined          not yet known\n"
        + "-" * 80 + "\n"
        "left      1-2             -\n"
        "right     nothing so far  1:2 1:3 2:3\n"
        "\n"
        "next: read 2 to 3 in position right, then add 2:3@right=0 or =OL   (3 pairs not\n"
        "      yet proved in right)\n"
    )  # fmt: skip


def test_find_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    """The question of the guide: gold slides are left for 20 mV, 0.1 mA; units stand in every check."""
    code, out, err = run(
        capsys, "find", "--joins", "left=1:2,4:5", "--joins", "right=2:3,5:6", "--between", "open", "--load",
        "20mV/0.1mA", "--limit", "0", "--json",
    )  # fmt: skip

    answer = json.loads(out)
    assert (code, err) == (0, "")
    assert answer["searched"] > 190
    assert any(found["part"] == "AS22AP" for found in answer["candidates"])
    refused = {item["part"]: item["why"] for item in answer["refused"]}
    assert refused["OS202011MS2QS1"].startswith("between left and right it joins")


def test_fit_at_the_shell_and_through_fit(capsys: pytest.CaptureFixture[str]) -> None:
    """``switch fit`` and ``fit`` give the same document."""
    code, out, _ = run(capsys, "fit", "OS102011MS2QN1", "OS202011MS2QN1", "--json")
    again = main(["fit", "OS102011MS2QN1", "OS202011MS2QN1", "--json"])
    other = json.loads(capsys.readouterr().out)
    one = json.loads(out)

    assert (code, again) == (0, 0)
    for key in ("positions", "connections", "open_leads", "verified", "possible", "kind"):
        assert one[key] == other[key]
    assert one["kind"] == "switch"
    assert one["positions"] == [
        {"original": "POS.1", "donor": "POS.1"},
        {"original": "POS.2", "donor": "POS.2"},
    ]


def test_refused_fit_says_why(capsys: pytest.CaptureFixture[str]) -> None:
    """Exit 1, the reason and what comes next."""
    code, out, _ = run(capsys, "fit", "SS-01", "SS-5", "--load", "5V/0.5mA", "--drives", "logic")

    assert code == 1
    assert out == (
        "SS-5 does not go in for SS-01.\n"
        "why: 5 V, 500 uA is under its smallest load 5 V, 100 mA (assumed: silver contact\n"
        "     of 5 A): the film on the contact may not break\n"
        "nearest: a gold, crossbar or wiping contact for small currents: xref switch find\n"
        "         with --load\n"
    )


def test_mains_is_refused_with_exit_4(capsys: pytest.CaptureFixture[str]) -> None:
    """No equal approval known: refused for safety, whom to ask is named."""
    code, _, err = run(capsys, "fit", "V-15-1A5", "SS-5", "--load", "230VAC/2A")

    assert code == 4
    assert "licensed electrician" in err


def test_mains_find_names_like_for_like(capsys: pytest.CaptureFixture[str]) -> None:
    """The next step says who does it and that rating and approval are compared; no part is simply to be fitted."""
    contact = ("find", "--joins", "off=none", "--joins", "on=1:2", "--drives", "mains", "--load")
    code, out, _ = run(capsys, *contact, "230VAC/2A")
    none, empty, _ = run(capsys, *contact, "600VAC/20A")

    assert (code, none) == (0, 1)
    for text in (out, empty):
        assert "next: like for like only, by a licensed electrician" in text
        assert "equal rating and approval" in text
        assert "ask less exactly" not in text
        assert max(map(len, text.splitlines())) <= 80


@pytest.mark.parametrize("what", ["lid", "laser", "gas", "guard", "heat"])
def test_no_wire_is_moved_in_a_safety_function(what: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The site says what the switch protects: its spare contacts are not offered, in one short line."""
    path = tmp_path / "site.yaml"
    path.write_text(f"format: 1\nsite:\n  kind: switch\n  safety: {what}\n  pads: {{map: 1 2 3, grid: 2x2mm}}\n")
    code, out, err = run(capsys, "spare", "OS202011MS2QN1", "--used", "1,2,3", "--site", str(path))

    assert (code, out) == (4, "")
    assert "moving its wires is refused" in err
    assert "licensed technician" in err
    assert err.count("\n") == 1
    assert len(err) <= 161


def test_ring_selector_by_hand(capsys: pytest.CaptureFixture[str]) -> None:
    """The ring selector of the fraction collector, blank: pads typed from the solder side, donor laid by its grid."""
    code, out, _ = run(
        capsys, "fit", "blank", "5MD1", "--joins", "inner=1:2,4:5", "--joins", "outer=2:3,5:6", "--map",
        "3 2 1 / 6 5 4", "--grid", "4.7x5mm", "--seen-from", "solder", "--donor-map", "1 2 3 / 4 5 6",
        "--donor-grid", "4.7x5mm",
        "--load", "5V/0.5mA", "--json",
    )  # fmt: skip

    answer = json.loads(out)
    assert code == 0
    assert answer["wire_count"] == 0
    assert answer["verified"]
    assert answer["pose"]["shift_mm"] == [0, 0]


def test_blank_switch_from_the_readings_of_a_job(capsys: pytest.CaptureFixture[str], tmp_path: object) -> None:
    """A job file with pads and continuity readings is an original; what the readings do not prove is asked for."""
    path = f"{tmp_path}/selector.yaml"
    head = (
        "format: 1\noriginal: blank\nsite:\n  kind: switch\n  safety: none\n  pads: {map: 1 2 3, grid: 4.7x4.7mm}\n"
        "readings:\n  loose: ["
    )
    with open(path, "w") as out:
        out.write(head + '"1:2@inner=0", "1:3@inner=OL", "2:3@outer=0", "1:2@outer=OL"]\n')
    code, out_text, _ = run(capsys, "fit", path, "5MS1", "--load", "12V/20mA", "--json")
    assert code == 0
    assert json.loads(out_text)["positions"] == [
        {"original": "inner", "donor": "1"},
        {"original": "outer", "donor": "3"},
    ]

    assert main(["fit", path, "5MS1", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["positions"] == json.loads(out_text)["positions"]

    with open(path, "w") as out:
        out.write(head + '"1:2@inner=0", "1:3@inner=OL", "2:3@outer=0"]\n')
    code, _, err = run(capsys, "fit", path, "5MS1")
    assert code == 2
    assert err == "xref: readings: the readings do not prove the contact table yet; next read 1:2@outer\n"


def guide_lines() -> list[tuple[list[str], bool]]:
    """Every complete ``xref switch`` line of the guide as arguments, and whether the guide calls it refused."""
    found: list[str] = []
    for line in page("switches").splitlines():
        if line.startswith("  xref switch"):
            found.append(line.strip())
        elif line.startswith("    --"):
            found[-1] += " " + line.strip()
    texts = [line for line in found if "ORIGINAL" not in line]
    return [(shlex.split(re.split(r"\s{3,}", line)[0])[2:], "refused" in line) for line in texts]


@pytest.mark.parametrize(
    ("args", "refused"), guide_lines(), ids=lambda item: " ".join(item) if isinstance(item, list) else ""
)
def test_commands_of_the_guide(capsys: pytest.CaptureFixture[str], args: list[str], refused: bool) -> None:
    """Each command of the guide runs, and those called refused are."""
    code, out, err = run(capsys, *args)

    assert code == (1 if refused else 0)
    assert err == ""
    assert max(len(line) for line in out.splitlines()) <= 80
    assert ("does not go in" in out) == refused


def test_number_of_guide_commands() -> None:
    """The guide shows identify, find, fit (three worked examples) and spare."""
    assert [args[0] for args, _ in guide_lines()] == ["identify", "find", "spare", "fit", "fit", "fit"]


@pytest.mark.parametrize("args", [["find", "--joins", "a=1:2", "--load", "5V/1mA"], ["fit", "SS-01", "SS-5"]])
def test_no_heavy_import(args: list[str]) -> None:
    """find and fit import neither pydantic, numpy, yaml nor rich once the index is built."""
    code = (
        "import sys\nfrom xref.cli.main import main\n"
        f"main(['switch', *{args!r}])\n"
        "print('HEAVY', sorted({'pydantic', 'numpy', 'yaml', 'rich'} & set(sys.modules)), file=sys.stderr)\n"
    )
    for _ in range(2):
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)

    assert done.stderr == "HEAVY []\n"


def test_the_site_tells_the_load(capsys: pytest.CaptureFixture[str], tmp_path: object) -> None:
    """5 V over a 10 kohm pull-up is 0.5 mA (Ohm): a 5 A micro is refused without any option."""
    path = f"{tmp_path}/input.yaml"
    with open(path, "w") as out:
        out.write(
            "format: 1\nsite:\n  kind: switch\n  safety: none\n  output: {supply: 5V, load: 10k, input: 74HC14}\n"
        )

    code = main(["fit", "V-15-1A5", "SS-5", "--site", path])
    out_text = capsys.readouterr().out

    # V-15 asks for 160 mA itself, so the donor is no worse and only named
    assert code == 0
    assert "5 V, 500 uA is under its smallest load 5 V, 100 mA" in " ".join(out_text.split())
    assert main(["fit", "SS-01", "SS-5", "--site", path]) == 1


def test_lid_switch_is_refused(capsys: pytest.CaptureFixture[str], tmp_path: object) -> None:
    """A switch that watches a lid: another number is refused for safety."""
    path = f"{tmp_path}/lid.yaml"
    with open(path, "w") as out:
        out.write("format: 1\nsite:\n  kind: switch\n  safety: lid\n")

    code, _, err = run(capsys, "fit", "SS-01", "SS-01-F", "--site", path)

    assert code == 4
    assert err.startswith("xref: switch of a lid or cover interlock: fitting SS-01-F is refused")


@pytest.mark.parametrize(
    "args",
    [
        ["find", "--joins", "a=1:2,3:4,5:6,7:8,9:10,11:12,13:14", "--joins", "b=none", "--joins", "c=1:3"],
        ["find", "--action", "slide", "--pitch", "4.7mm", "--refused", "--limit", "3"],
        ["spare", "OS102011MS2QN1", "--used", "1,2,3"],
        ["identify", "1:2@a=12R", "1:3@a=OL", "2:3@b=0", "1:2@b=OL", "--returns-to", "a", "--bounce", "5ms"],
    ],
)
def test_text_fits_80_columns(capsys: pytest.CaptureFixture[str], args: list[str]) -> None:
    """No line of an answer is wider than the bench terminal."""
    _, out, err = run(capsys, *args)

    assert err == ""
    assert max(len(line) for line in out.splitlines()) <= 80


def test_resistance_and_bounce_are_kept(capsys: pytest.CaptureFixture[str]) -> None:
    """Contact resistance and bounce may be entered; a worn contact is named."""
    code, out, _ = run(capsys, "identify", "1:2@a=12R", "1:3@a=OL", "2:3@b=0", "1:2@b=OL", "--bounce", "5ms", "--json")

    answer = json.loads(out)
    assert code == 0
    assert answer["resistance_mohm"] == 12000
    assert answer["bounce_ms"] == 5
    assert answer["notes"][0].startswith("a closed contact reads 12 ohm: worn or dirty")


def test_a_push_that_locks_is_said_in_place_of_a_slide(capsys: pytest.CaptureFixture[str]) -> None:
    """The sheet of ESB30 calls the push self-lock: what moved a slide must now push and let go."""
    answer = fit_json(capsys, "OS202011MS2QN1", "ESB30B132")

    assert any("one push switches over, the next push lets go" in text for text in answer["warnings"])


def test_a_slide_for_a_slide_has_nothing_to_lock(capsys: pytest.CaptureFixture[str]) -> None:
    """No such warning where the handle works as before."""
    assert not any("lets go;" in text for text in fit_json(capsys, "OS202011MS2QN1", "5MD1")["warnings"])


def fit_json(capsys: pytest.CaptureFixture[str], original: str, donor: str) -> Any:
    """The answer of switch fit as data."""
    code, out, _ = run(capsys, "fit", original, donor, "--load", "12V/50mA", "--json")
    assert code == 0
    return json.loads(out)
