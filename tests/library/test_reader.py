"""Our YAML dialect: text stays text, everything else is refused at its line; quantities mean what they say."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.library.samples import GOOD, PINOUTS, SWITCH
from xref.errors import DataError
from xref.library.partfile import load_part_file, read_parts
from xref.library.reader import load, load_text, problems
from xref.library.tree import tree
from xref.model.job import Job
from xref.model.part import Part

JOB = """\
format: 1
job: arm park, fraction collector 2
date: 2026-11-25
original: blank
site:
  kind: reflective
  pads:
    map: A C / K E
    grid: 5.5x2.54mm
    seen_from: solder
    nets: {A: LED, K: 0V, C: OUT, E: 0V}
  emitter: {supply: 5V, resistor: 220R, resistor_side: A, in_series: 1, driver_drop: 0V, current_watched: false}
  output: {supply: 5V, load: 33k, load_side: C, input: 7414, lit: low, must_change: yes, read_by: [step counter]}
  sees: {distance: 3mm, bright: white card, dark: black, rate: 40Hz}
  room: {body: 11x7x8mm, holes: [0.125in], keep: []}
  taps: {5V: [12, 3], 0V: [9, -4]}
  temperature: 10..45C
  safety: none
meter: {diode: 1mA, open: 3V, overload: 2V, ohms_red: plus}
readings:
  loose: ["1:2=1.08V", "2:1=OL"]
  running: {supply: 5.02V, glow: yes}
change: [emitter resistor, load]
donor: stock:17
"""


def part_of(text: str) -> Part:
    """The one good part of a file's text."""
    entries, found = read_parts(text, "parts.yaml", PINOUTS)
    assert not found
    part = entries[0].part
    assert part is not None
    return part


def test_a_job_document_loads_with_its_units() -> None:
    """Typed text becomes SI, length stays mm, a number where a name belongs stays text."""
    job = load_text(JOB, Job)

    assert job.site is not None
    assert job.site.emitter.resistor == 220.0
    assert job.site.output.load == 33000.0
    assert job.site.output.input == "7414"
    assert job.site.output.must_change is True
    assert job.site.pads.grid == (5.5, 2.54)
    assert job.site.room.body == (11.0, 7.0, 8.0)
    assert job.site.room.holes == (3.175,)  # 0.125 in at 25.4 mm, by definition
    assert job.site.taps == {"5V": (12.0, 3.0), "0V": (9.0, -4.0)}
    assert job.site.temperature == (10.0, 45.0)
    assert job.meter.diode == 0.001
    assert job.date == "2026-11-25"
    assert job.readings.running["glow"] == "yes"


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            "220R",
            "220V",
            'job.yaml:12: site.emitter.resistor: "220V" is a voltage: expected a resistance like 2k2 or 470R',
        ),
        ("kind: reflective", "kind: reflectiv", 'job.yaml:6: site.kind: is "reflectiv": expected "reflective"'),
        ("safety: none", "safty: none", 'job.yaml:18: site.safty: unknown key: expected "safety"'),
        ("format: 1", "format: one", 'job.yaml:1: format: "one" is not a whole number: expected one like 2'),
        (
            "10..45C",
            "45..10C",
            'job.yaml:17: site.temperature: "45..10C": expected the lower end stands first, like 10..45C',
        ),
        ("  kind: reflective\n", "", 'job.yaml:6: site: "kind" is missing: expected it'),
        ("lit: low", "lit: hi", 'job.yaml:13: site.output.lit: is "hi": expected low or high'),
        (
            "load: 33k",
            "load: 4,7k",
            "job.yaml:13: site.output.7k: unknown key: a comma ends a value here: "
            "expected 4k7 or 4.7k, never a comma; two numbers stand in brackets, [4, 7k]",
        ),
        ("5V: [12, 3]", "5V: 12mm", 'job.yaml:16: site.taps.5V: is "12mm": expected a list of 2, like [12mm, 3mm]'),
        ("[12, 3]", "[12]", "job.yaml:16: site.taps.5V: has 1 entry: expected 2"),
        ("3mm", "-3 V", 'job.yaml:14: site.sees.distance: "-3 V" is a voltage: expected a length like 2.54mm or 0.1in'),
    ],
)
def test_a_wrong_word_in_a_job(
    old: str, new: str, message: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One line: file, line, key path, what, expected."""
    monkeypatch.chdir(tmp_path)
    Path("job.yaml").write_text(JOB.replace(old, new, 1))

    assert [str(problem) for problem in problems("job.yaml", Job)] == [message]
    with pytest.raises(DataError) as caught:
        load("job.yaml", Job)
    assert str(caught.value) == message


def test_a_comma_in_a_place() -> None:
    """{5V: 14,3} reads as a tap 5V at 14 and a tap named 3: the first line says what to write."""
    with pytest.raises(DataError) as caught:
        load_text(JOB.replace("5V: [12, 3]", "5V: 14,3"), Job)

    assert "a comma ends a value here: expected 14.3, never a comma" in str(caught.value)
    assert "two numbers stand in brackets, [14, 3]" in str(caught.value)


def test_a_bare_number_has_the_unit_of_its_key() -> None:
    """A key has one unit, so 5 is 5 V and 220 is 220 ohm, as at the options of the same name."""
    job = load_text(JOB.replace("{supply: 5V, resistor: 220R", "{supply: 5, resistor: 220"), Job)

    assert job.site is not None
    assert (job.site.emitter.supply, job.site.emitter.resistor) == (5.0, 220.0)


def test_all_problems_in_one_run() -> None:
    """Three mistakes, three problems; the error names the first and counts the rest."""
    text = JOB.replace("220R", "220V").replace("33k", "33x").replace("40Hz", "fast")

    with pytest.raises(DataError, match=r"and 2 more problems"):
        load_text(text, Job)


def test_words_that_yaml_would_turn_into_something_else() -> None:
    """NO, off, 007, a date, 12:30 and 1e3 stay the text that was written."""
    part = part_of(SWITCH.replace("SEL2", "007").replace("Ring selector sheet", "12:30").replace("off:", "1e3:"))

    assert part.name == "007"
    assert part.sources["main"].title == "12:30"
    assert part.contacts is not None
    assert list(part.contacts.table) == ["NO", "1e3"]
    assert part.contacts.table["NO"] == (("1", "2"), ("4", "5"))


def test_common_keys_lie_under_each_part() -> None:
    """Mappings merge, lists and values replace, conditions go to ``at``, labels and pinout become leads."""
    text = GOOD.replace("common:\n", "common:\n  detector: {veco_max_v: 5, vceo_max_v: 10}\n")

    part = part_of(text)

    assert part.maker == "Invented Works"
    assert (part.detector.vceo_max_v, part.detector.veco_max_v) == (30.0, 5.0)
    assert part.emitter.vf_v[0].at == {"if_ma": 20.0}
    assert [(lead.label, lead.function, lead.at_mm) for lead in part.geometry.leads][2] == ("3", "C", (2.75, -1.27))
    assert part.basis_of("geometry.leads") == "derived"
    assert part.detector.iceo_na is not None
    assert part.detector.iceo_na.source == "drawing"


def test_a_part_may_choose_its_sources() -> None:
    """The first of ``sources`` is the one that its values mean."""
    part = part_of(GOOD.replace("    aliases: [RS100L]\n", "    sources: [drawing]\n").replace(", source: drawing", ""))

    assert list(part.sources) == ["drawing"]


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("if_max_ma: 50", "if_max_ma: 50,5", 'parts[0].emitter.if_max_ma: "50,5" is not a number: expected 50.5'),
        ("max: 1.5", "max: nan", 'parts[0].emitter.vf_v[0].max: "nan" is not a number: expected a number like 1.25'),
        ("if_ma: 20", "ifma: 20", 'parts[0].emitter.vf_v[0].ifma: unknown key: expected "if_ma"'),
        (
            "if_max_ma: 50", "if_max_ma: 50mA",
            'parts[0].emitter.if_max_ma: "50mA" is not a number: expected a number like 1.25',
        ),
        ("if_max_ma: 50", "if_max_ma: [50]", "parts[0].emitter.if_max_ma: is a list: expected a number"),
        ("maker: Inv", "makr: Inv", 'common.makr: unknown key: expected "maker"'),
        (
            "pinout: four-test", "pinout: four-tst",
            'parts[0].geometry.pinout: no pinout "four-tst": expected "four-test"',
        ),
        (
            "labels: [1, 2, 3, 4]", "labels: [1, 2, 3]",
            "parts[0].geometry.labels: 3 labels: expected 4, in the order of pinouts/four-test.yaml",
        ),
        ("format: 1", "format: 2", 'format: is "2": expected 1'),
        ("parts:\n", "part:\n", 'part: unknown key: expected "parts"'),
        ("  - part: RS100\n", "  - name: RS100\n", 'parts[0]: "part" is missing: expected part: NAME'),
        ("temp_c: [-20, 70]", "temp_c: [-20]", "parts[0].temp_c: has 1 entry: expected 2"),
        ("output: photot", "output: fotot", 'common.output: is "fototransistor": expected "phototransistor"'),
    ],
)  # fmt: skip
def test_a_wrong_word_in_a_part_file(old: str, new: str, message: str) -> None:
    """The key path says where, also under ``common``; the nearest right word is named."""
    text = GOOD.replace(old, new, 1)
    line = next(i for i, (a, b) in enumerate(zip(GOOD.split("\n"), text.split("\n"), strict=False), 1) if a != b)

    _, found = read_parts(text, "x.yaml", PINOUTS)

    assert f"x.yaml:{line}: {message}" in [str(problem) for problem in found]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("a: 1\na: 2\n", 'x:2: key "a" stands twice: first in line 1'),
        ("a: &b 1\n", "x:1: a: anchor &b: leave it out"),
        ("a: 1\nb: *a\n", "x:2: b: alias *a: write the value out"),
        ("a: !!int 1\n", "x:1: a: tag tag:yaml.org,2002:int: leave it out"),
        ("<<: {a: 1}\n", 'x:1: merge key "<<": write the values out'),
        ("a: 1\n---\nb: 1\n", 'x:2: a second document ("---"): one document a file'),
        ("%YAML 1.1\n---\na: 1\n", 'x:1: a "%" directive: leave it out'),
        ("a: \x1b[31m\n", "x:1: control character U+001B: write plain text"),
        ('a: "\\e[31m"\n', "x:1: a: control character U+001B: write plain text"),
        ("a: " + "[" * 30 + "]" * 30, "x:1: nested deeper than 20 levels"),
        ("? [a]\n: b\n", "x:1: a list or mapping as a key: expected a word"),
        (
            "a: [1, 2\n",
            "x:2: not YAML: did not find expected ',' or ']'; look for a comma or a closing ] that is missing",
        ),
        (
            "a:\n\t- b\n",
            "x:2: not YAML: found character that cannot start any token; "
            "look for a tab (write spaces), or a text that wants quotes",
        ),
        (
            "a: b: c\n",
            "x:1: not YAML: mapping values are not allowed in this context; look for a second colon in the "
            "line (put the text in quotes) or a line that stands further in than the one above",
        ),
        ("", "x: is empty: expected keys and values"),
        ("a: " + "b" * 100_001, "x:1: a: a text of 100001 characters: expected at most 100000"),
    ],
)
def test_outside_the_dialect(text: str, message: str) -> None:
    """Each is refused in one line with its place."""
    with pytest.raises(DataError) as caught:
        tree(text, "x")

    assert str(caught.value) == message


def test_an_alias_bomb_builds_nothing() -> None:
    """Nine levels of nine aliases are refused at the first anchor."""
    levels = "\n".join(f"l{i}: &l{i} [" + ", ".join([f"*l{i - 1}"] * 9 if i else ["x"] * 9) + "]" for i in range(9))

    with pytest.raises(DataError, match="anchor &l0"):
        tree(levels, "x")


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        ("format: 1\nmaker: Zeiß\n".encode("latin-1"), "bad.yaml:2: byte 0xdf is not UTF-8: save the file as UTF-8"),
        ("format: 1\n".encode("utf-16"), "bad.yaml:1: byte 0xff is not UTF-8: save the file as UTF-8"),
        (b"a" * 1_000_001, "bad.yaml: is larger than 1 MB: split it"),
    ],
    ids=["latin-1", "utf-16", "large"],
)
def test_files_that_are_not_text(raw: bytes, message: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Size and encoding are looked at before anything is parsed."""
    monkeypatch.chdir(tmp_path)
    Path("bad.yaml").write_bytes(raw)

    with pytest.raises(DataError) as caught:
        load_part_file("bad.yaml", PINOUTS)

    assert str(caught.value) == message
