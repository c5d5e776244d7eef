"""Rules of part files: each broken once, named with its line; the shipped data keeps them all."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.library.samples import GOOD, PINOUTS, SWITCH
from xref.library.check import check, check_text, report
from xref.library.compile import read_folder
from xref.library.partfile import load_pinouts, read_parts
from xref.library.paths import shipped_root
from xref.library.rules import pinout_problems
from xref.library.writer import file_form, file_text
from xref.model.decode import encode
from xref.model.pinout import Pinout, PinoutLead

LEADS = """\
      leads:
        - {label: 1, function: A, at_mm: [-2.75, -1.27]}
        - {label: 2, function: K, at_mm: [-2.75, 1.27]}
        - {label: 3, function: C, at_mm: [2.75, -1.27]}
        - {label: 4, function: E, at_mm: [2.75, 1.27]}
"""
WRITTEN_OUT = GOOD.replace("      pinout: four-test\n      labels: [1, 2, 3, 4]\n", LEADS)


def lines_of(text: str) -> list[str]:
    """The problems of a text, as shown."""
    return [str(problem) for problem in check_text(text, "x.yaml", PINOUTS)[1]]


def test_good_files_are_good() -> None:
    """The samples that the others break."""
    assert lines_of(GOOD) == []
    assert lines_of(WRITTEN_OUT) == []
    assert lines_of(SWITCH) == []


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("typ: 1.2", "typ: 1.6", "parts[0].emitter.vf_v[0]: typ 1.6 is above max 1.5: expected min <= typ <= max"),
        ("min: 1.0", "min: 1.3", "parts[0].emitter.vf_v[0]: min 1.3 is above typ 1.2: expected min <= typ <= max"),
        (
            "if_max_ma: 50", "if_max_ma: 60000",
            "parts[0].emitter.if_max_ma: 60000 is not plausible: expected 1 to 1000 for if_max_ma: look at the unit",
        ),
        (
            "[10.2, 5.8, 7]", "[10.2, 5.8, 0.2]",
            "parts[0].geometry.size_mm[2]: 0.2 is not plausible: expected 0.4 to 300 for size_mm: look at the unit",
        ),
        (
            "if_ma: 20}", "if_ma: 20000}",
            "parts[0].emitter.vf_v[0].if_ma: 20000 is not plausible: expected 0 to 2000 for if_ma: look at the unit",
        ),
        (
            "[2, 1.0]", "[1, 1.0]",
            "parts[0].coupling.distance_curve[1]: distance 1 after 1: expected distances that rise",
        ),
        (
            "[4, 0.6]", "[4, 60]",
            "parts[0].coupling.distance_curve[2]: [4, 60]: expected distance from 0 mm, relative current 0 to 1",
        ),
        (
            "source: drawing", "source: drawin",
            'parts[0].detector.iceo_na.source: no source "drawin": expected one of main, drawing',
        ),
        (
            "{geometry.leads: derived}", "{geometry.lead: derived}",
            'parts[0].provenance.geometry.lead: no such key path: expected one like "geometry.leads"',
        ),
        (
            "{geometry.leads: derived}", "{geometry.leads: derived}\n    stated_in: {geometry: sketch}",
            'parts[0].stated_in.geometry: no source "sketch": expected one of main, drawing',
        ),
        ("[-20, 70]", "[70, -20]", "parts[0].temp_c: 70 is above -20: expected the lower end first"),
        ("[RS100L]", "[RS100]", 'parts[0].aliases[0]: "RS100" stands twice: expected each name once'),
        (
            "output: phototransistor\n", "output: phototransistor\n  logic: high-when-lit\n",
            "common.logic: logic on a phototransistor: expected a logic output, or no logic",
        ),
        (
            "kind: reflective", "kind: emitter",
            "common.output: an output on a emitter: expected no output",
        ),
    ],
)  # fmt: skip
def test_a_broken_rule(old: str, new: str, message: str) -> None:
    """One problem, at the line that was changed."""
    text = GOOD.replace(old, new, 1)
    line = next(i for i, (a, b) in enumerate(zip(GOOD.split("\n"), text.split("\n"), strict=False), 1) if a != b)
    if "vf_v[0]:" in message or "emitter: expected no" in message:
        line = text[: text.index("- {" if "vf_v" in message else "output:")].count("\n") + 1
    if "distance_curve[1]" in message or "logic on" in message:
        line = text[: text.index("distance_curve" if "curve" in message else "logic:")].count("\n") + 1

    assert lines_of(text) == [f"x.yaml:{line}: {message}"]


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("label: 2", "label: 1", 'parts[0].geometry.leads[1].label: label "1" stands twice: expected each label once'),
        (
            "at_mm: [2.75, -1.27]", "at_mm: [-2.75, -1.2]",
            "parts[0].geometry.leads[2].at_mm: lead 3 stands where lead 1 stands: expected a place of its own",
        ),
        ("function: K", "function: KATHODE", 'parts[0].geometry.leads[1].function: unknown function "KATHODE": '),
        (
            "      size_mm", "      lead_count: 5\n      size_mm",
            "parts[0].geometry.lead_count: 5 with 4 leads written out: expected 4",
        ),
        (
            "      size_mm", "      optical_axis_mm: [9, 0]\n      size_mm",
            "parts[0].geometry.optical_axis_mm: 9, 0 is outside the body: expected a place in the body",
        ),
        (
            "      size_mm", "      wire_colours: {9: red}\n      size_mm",
            'parts[0].geometry.wire_colours.9: no lead "9": expected a label of leads',
        ),
    ],
)  # fmt: skip
def test_a_wrong_lead(old: str, new: str, message: str) -> None:
    """Leads are distinct in label and place, their functions are known."""
    found = lines_of(WRITTEN_OUT.replace(old, new, 1))

    assert len(found) == 1
    assert message in found[0]


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("[4, 5]]", "[4, 6]]", 'parts[0].contacts.table.NO: no lead "6": expected a label of leads'),
        ("[4, 5]]", "[2, 5]]", 'parts[0].contacts.table.NO: lead "2" stands twice in one position: '),
        ("[[2, 3]]", "[[2]]", "parts[0].contacts.table.off: a group of 1: expected two or more leads that join"),
        ("positions: 2", "positions: 3", "parts[0].contacts.positions: 3 with 2 in the table: expected the same"),
        (
            "positions: 2", "positions: 2\n      returns_to: on",
            'parts[0].contacts.returns_to: no position "on": expected a position of the table',
        ),
        ("kind: switch", "kind: reflective", "parts[0].contacts: contacts on a reflective: expected kind: switch"),
    ],
)  # fmt: skip
def test_a_wrong_contact_table(old: str, new: str, message: str) -> None:
    """A contact table names leads that are there, each once a position."""
    found = lines_of(SWITCH.replace(old, new, 1))

    assert any(message in line for line in found), found


def test_whole_library(tmp_path: Path) -> None:
    """Across files: a name or alias twice, an unused pinout, two pinouts alike, a file in the wrong folder."""
    (tmp_path / "pinouts").mkdir()
    (tmp_path / "parts_db" / "slotted").mkdir(parents=True)
    pinout = (
        "format: 1\npinout: {}\nleads:\n  - {{function: A, at_mm: [0, 0]}}\n  - {{function: K, at_mm: [2.54, 0]}}\n"
    )
    for name in ("two-a", "two-b"):
        (tmp_path / "pinouts" / f"{name}.yaml").write_text(pinout.format(name))
    text = GOOD.replace("pinout: four-test\n      labels: [1, 2, 3, 4]", "pinout: two-a\n      labels: [1, 2]")
    (tmp_path / "parts_db" / "slotted" / "a.yaml").write_text(text)
    (tmp_path / "parts_db" / "slotted" / "b.yaml").write_text(
        text.replace("RS100\n", "rs 100-L\n").replace("[RS100L]", "[]")
    )

    found = "\n".join(str(problem) for problem in check([tmp_path]))

    assert '"rs 100-L" stands already at' in found
    assert "two-b.yaml: pinout: no part uses it" in found
    assert "two-b.yaml: leads: the same as two-a" in found
    assert '"reflective" in the folder slotted/: expected parts_db/reflective/' in found
    assert len(found.split("\n")) == 5


def test_pinouts_with_leads_in_one_place() -> None:
    """A pinout keeps the rules of leads."""
    lead = PinoutLead(function="A", at_mm=(0.0, 0.0))

    found = [str(p) for p in pinout_problems({"p": Pinout(format=1, pinout="p", leads=(lead, lead))}, "pinouts")]

    assert found == ["pinouts/p.yaml: leads[1].at_mm: lead 1 stands where lead 0 stands: expected a place of its own"]


def test_the_shipped_data_is_good() -> None:
    """No problem in any shipped file."""
    result = report([shipped_root()])

    assert [str(problem) for problem in result.problems] == []
    assert result.parts > 500


def test_what_part_add_writes_is_what_was_read() -> None:
    """Every shipped part written as a file and read again is the same part."""
    pinouts, _ = load_pinouts(shipped_root() / "pinouts")
    for part in read_folder(shipped_root(), "shipped")[0]:
        text = file_text([file_form(part)], {key: encode(source) for key, source in part.sources.items()})

        entries, found = read_parts(text, "again.yaml", pinouts)

        assert not found, text
        again = entries[0].part
        assert again is not None
        assert replace(again, path="") == replace(part, path="")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "format: 1\npinout: p\nleads:\n  - {function: A}\n",
            'p.yaml:4: leads[0]: "at_mm" is missing: expected it',
        ),
        (
            "format: 1\npinout: p\nleads:\n  - {function: A, at_mm: [nan, 0]}\n",
            'p.yaml:4: leads[0].at_mm[0]: "nan" is not a number: expected a number like 1.25',
        ),
        ("format: 1\npinout: q\nleads: []\n", 'p.yaml: pinout: "q": expected "p"'),
    ],
)
def test_a_pinout_that_cannot_be_used(text: str, message: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A pinout without positions, with a place that is no number, or under another name: one line."""
    monkeypatch.chdir(tmp_path)
    Path("p.yaml").write_text(text)

    assert [str(problem) for problem in load_pinouts(tmp_path)[1]] == [message]
