"""The plots of a sheet against the laws behind them, and the record against the ranges that the sheet printed."""

from __future__ import annotations

import itertools
import json
from pathlib import Path

import pytest

from xref.cli.main import main
from xref.draw.plot_figure import figure_plot
from xref.draw.plot_text import text_plot
from xref.draw.shapes import Label
from xref.examples import FOLDER
from xref.library.store import open_library
from xref.model.answers.sheet import Sheet
from xref.model.plot import Curve, Plot
from xref.tasks.sheet import sheet

EXAMPLE = (FOLDER / "arm-park.yaml").read_text("utf-8")
NAMED = EXAMPLE.replace("original: blank", "original: TCRT5000")


def job(tmp_path: Path, text: str) -> str:
    """A job file."""
    path = tmp_path / "job.yaml"
    path.write_text(text, "utf-8")
    return str(path)


def plot(made: Sheet, word: str) -> Plot:
    """The plot whose title begins so."""
    return next(item for item in made.plots if item.title.startswith(word))


def at(curve: Curve, x: float) -> float:
    """The nearest drawn point."""
    return min(curve.points, key=lambda point: abs(point[0] - x))[1]


def test_three_plots_with_their_units(tmp_path: Path) -> None:
    """Level against light, current against distance, pulse against time; donor and original beside each other."""
    made = sheet(job(tmp_path, NAMED), donor="RPR-220")

    assert [(item.x.unit, item.y.unit) for item in made.plots] == [("", "V"), ("mm", "mA"), ("ms", "V")]
    assert [curve.name for curve in plot(made, "Collector current").curves] == ["RPR-220", "TCRT5000 as it was"]
    # the sheet of TCRT5000 prints no times, that of QRD1114 does
    assert [curve.name for curve in plot(made, "Output at 40 Hz").curves] == ["RPR-220"]
    other = sheet(job(tmp_path, NAMED.replace("TCRT5000", "QRD1114")), donor="RPR-220")
    assert [curve.name for curve in plot(other, "Output at 40 Hz").curves] == ["RPR-220", "QRD1114 as it was"]
    assert all("25 C" in item.note for item in made.plots)


def test_current_against_distance_has_its_peak_where_the_sheet_says(tmp_path: Path) -> None:
    """The peak of each curve lies at the part's printed best distance (RPR-220 Rev.B: 6 mm; TCRT5000, 83760: 2.5 mm),
    within a step of the drawing and what the printed curve leaves open."""
    curves = plot(sheet(job(tmp_path, NAMED), donor="RPR-220"), "Collector current").curves

    for curve, name in zip(curves, ("RPR-220", "TCRT5000"), strict=True):
        best = open_library().get(name).coupling.peak_distance_mm
        assert best is not None
        peak = max(curve.points, key=lambda point: point[1])[0]
        assert peak == pytest.approx(best, abs=1.0), name


def test_the_level_falls_with_light(tmp_path: Path) -> None:
    """Load in the collector: more light, lower level; the weak end of the type lies above the strong end."""
    made = plot(sheet(job(tmp_path, NAMED), donor="RPR-220"), "Output level")
    typical = [volts for _, volts in made.curves[0].points]

    assert typical == sorted(typical, reverse=True)
    for (_, weak), (_, strong) in zip(made.bands[0].low, made.bands[0].high, strict=True):
        assert weak >= strong - 1e-9


def test_a_pulse_is_first_order(tmp_path: Path) -> None:
    """From the switching on, 10 to 90 % of the swing takes ln 9 time constants (exponential law), and both halves of
    the period end at their level when the edges are short against it."""
    slow = plot(sheet(job(tmp_path, NAMED), donor="RPR-220"), "Output at 40 Hz").curves[0].points
    half = 12.5  # ms, of 40 Hz
    lit, dark = at(Curve(name="", points=slow), half - 0.5), at(Curve(name="", points=slow), 2 * half - 0.5)

    assert lit < 1.0 < 3.5 < dark
    assert max(time for time, _ in slow) == pytest.approx(4 * half)
    # equal steps in time bring an exponential nearer by equal ratios
    rising = [volts for time, volts in slow if half < time < half + 4]
    ratios = [(dark - b) / (dark - a) for a, b in itertools.pairwise(rising) if dark - a > 0.2]
    assert max(ratios) - min(ratios) < 0.1


def crossing(points: list[tuple[float, float]], level: float) -> float:
    """Time at which a rising line crosses a level, straight between the points."""
    (t0, v0), (t1, v1) = next(pair for pair in itertools.pairwise(points) if pair[0][1] <= level <= pair[1][1])
    return t0 + (t1 - t0) * (level - v0) / (v1 - v0)


def test_the_drawn_edge_is_the_printed_one(tmp_path: Path) -> None:
    """At the load of the sheet the drawn edge takes the printed time from 10 to 90 % (RPR-220 Rev.B: tf 10 us at
    RL 100 ohm), so the output is back up after the light went in that time."""
    text = EXAMPLE.replace("load: 10k", "load: 100R").replace("rate: 40Hz", "rate: 20kHz")
    text = text.replace("change: [emitter resistor, load]", "change: [nothing]")
    points = plot(sheet(job(tmp_path, text), donor="RPR-220"), "Output at 20000 Hz").curves[0].points
    rising = [(time, volts) for time, volts in points if 0.025 <= time <= 0.050]
    low, high = rising[0][1], rising[-1][1]

    edge = crossing(rising, low + 0.9 * (high - low)) - crossing(rising, low + 0.1 * (high - low))

    assert edge * 1e3 == pytest.approx(10.0, rel=0.1)


def test_a_higher_rate_loses_the_swing(tmp_path: Path) -> None:
    """At a rate far above what the edges allow, the drawn output no longer reaches its levels."""
    fast = sheet(job(tmp_path, NAMED.replace("rate: 40Hz", "rate: 40kHz")), donor="RPR-220")
    curve = plot(fast, "Output at 40000 Hz").curves[0]
    volts = [value for _, value in curve.points]

    assert max(volts) - min(volts) < 2.0


@pytest.mark.parametrize(
    ("before", "after"), [("distance: 3mm, ", ""), ("rate: 40Hz", ""), ("kind: reflective", "kind: slotted")]
)
def test_what_is_not_known_is_not_drawn(before: str, after: str, tmp_path: Path) -> None:
    """Without distance, rate or a reflecting part there is one plot less, never a made-up one."""
    text = NAMED.replace(before, after).replace(", }", "}")
    text = text.replace("original: TCRT5000", "original: blank")
    donor = "H21A1" if "slotted" in after else "RPR-220"

    made = sheet(job(tmp_path, text.replace("room: {body: 11x7x8mm}", "room: {}")), donor=donor)

    assert len(made.plots) == 2


def test_notes_stay_inside_their_plot(tmp_path: Path) -> None:
    """Three plots in a row: the words under one do not run into the next, and the terminal form keeps to 80 columns."""
    from xref.draw.shapes import text_width

    for item in sheet(job(tmp_path, NAMED), donor="RPR-220").plots:
        figure = figure_plot(item, width=58.0, height=46.0)
        for shape in figure.shapes:
            if isinstance(shape, Label):
                assert shape.at[0] + text_width(shape.text, shape.size, shape.bold) <= 58.0 + 1.0, shape.text
        assert max(len(line) for line in text_plot(item, ascii=True).splitlines()) <= 80


def readings(made: Sheet) -> dict[tuple[str, str], str]:
    """What the sheet prints."""
    return {(item.point, item.when): item.expect for item in made.readings}


def test_the_record_compares_with_what_the_sheet_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Every range of the sheet is the range of the record, in the same words."""
    path = job(tmp_path, EXAMPLE)
    printed = readings(sheet(path, donor="RPR-220"))
    typed = ["--lit", "0.2V", "--dark", "4.8V", "--emitter", "1.2V", "--supply", "5.0V"]

    assert main(["log", path, "--donor", "RPR-220", *typed, "--json"]) == 0
    record = json.loads(capsys.readouterr().out)

    assert record["verdict"] == "as expected"
    assert record["expected"] == {
        "lit": printed["output", "bright target or open slot"],
        "dark": printed["output", "dark target or flag in"],
        "emitter": printed["across the emitter", "power on"],
        "supply": printed["supply at the sensor", "power on"],
    }


@pytest.mark.parametrize(
    ("typed", "name"),
    [(["--emitter", "4.9V"], "emitter"), (["--supply", "4.1V"], "supply"), (["--dark", "1V"], "dark")],
)
def test_each_reading_is_judged(
    typed: list[str], name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The whole supply across the emitter, a low rail, a dark level that never rises: each is said."""
    path = job(tmp_path, EXAMPLE)

    assert main(["log", path, "--donor", "RPR-220", *typed, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["verdict"].startswith(f"{name} {typed[1]} is outside (")


def test_a_good_low_may_read_a_little_below_zero(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """-0.03 V is a meter's zero, -2 V is not."""
    path = job(tmp_path, EXAMPLE)

    assert main(["log", path, "--donor", "RPR-220", "--lit", "-0.03V", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["verdict"] == "as expected"
    assert main(["log", path, "--donor", "RPR-220", "--lit", "-2V", "--json"]) == 0
    assert "is outside" in json.loads(capsys.readouterr().out)["verdict"]


def test_the_date_of_a_record(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As typed, else the file's, else today."""
    path = job(tmp_path, EXAMPLE)
    command = ["log", path, "--donor", "RPR-220", "--lit", "0.2V", "--json"]

    assert main([*command, "--date", "2026-12-01"]) == 0
    assert json.loads(capsys.readouterr().out)["date"] == "2026-12-01"
    assert main(command) == 0
    assert json.loads(capsys.readouterr().out)["date"] == "2026-11-25"


def test_the_results_are_yaml(tmp_path: Path) -> None:
    """What a record writes below the marker can be read back by any YAML reader."""
    import yaml

    path = job(tmp_path, EXAMPLE)
    assert main(["log", path, "--donor", "RPR-220", "--lit", "0.2V", "--dark", "9V", "--write"]) == 0

    results = yaml.safe_load(Path(path).read_text("utf-8").partition("# --- written by xref ---\n")[2])["results"]
    assert results["after"] == {"lit": "0.2V", "dark": "9V"}
    assert results["verdict"].startswith("dark 9V is outside (")
