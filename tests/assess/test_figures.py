"""Currents, ratios and levels from readings; words of the tests, cautions of each step, the fixed JSON keys."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from xref.bench.causes import TESTS
from xref.cli.main import main
from xref.errors import NotFound, UsageError
from xref.examples import FOLDER
from xref.model.site import Sees, Site, SiteEmitter, SiteOutput
from xref.tasks.assess import ANSWERS, assess, expect, read, typed_site

EXAMPLE = str(FOLDER / "arm-park.yaml")
TWO_RAILS = Site(
    kind="slotted",
    emitter=SiteEmitter(supply=12.0, resistor=470.0, in_series=1, driver_drop=0.0),
    output=SiteOutput(supply=5.0, load=10e3, load_side="C", input="74HC14", lit="low"),
    sees=Sees(gap=3.0),
    safety="none",
)


def test_two_supplies_are_kept_apart() -> None:
    """Kirchhoff: (12 V - 1.2 V) / 470 ohm is 22.98 mA, although the 5 V of the detector were read as the supply."""
    answer = assess(TWO_RAILS, {"supply": "5.02V", "emitter": "1.2V", "lit": "0.2V", "dark": "4.9V"})

    assert answer.emitter_ma == pytest.approx(22.98, abs=0.01)
    assert not answer.contradictions


def test_the_expected_ratio_is_that_of_the_current_that_flows() -> None:
    """A transfer ratio falls with the current (TCRT5000, Vishay 83760 Rev. 1.7, Fig. 8: lower at 1 mA than at 10 mA),
    so at a tenth of the current less than the ratio of the printed row is expected."""
    many = {"emitter_resistor": "3.7V", "lit": "2.5V"}
    few = {"emitter_resistor": "0.37V", "lit": "2.5V"}
    site = typed_site(kind="reflective", supply="5V", emitter_resistor="220R", load="10k")[0]

    at_17_ma = assess(site, many, original="TCRT5000").transfer
    at_2_ma = assess(site, few, original="TCRT5000").transfer

    assert at_17_ma.expected_min_per_1 is not None
    assert at_2_ma.expected_min_per_1 is not None
    assert at_2_ma.expected_min_per_1 < 0.8 * at_17_ma.expected_min_per_1


def test_a_saturated_detector_gives_only_a_lower_bound(capsys: pytest.CaptureFixture[str]) -> None:
    """At 0.15 V the whole supply stands over the load: more light would not show, so the ratio is 'at least'."""
    options = ["--kind", "slotted", "--supply", "5V", "--emitter-resistor", "220R", "--load", "10k"]
    seen = ["--emitter", "1.2V", "--dark", "4.9V"]

    assert main(["assess", *options, *seen, "--lit", "0.15V"]) == 0
    saturated = capsys.readouterr().out
    assert main(["assess", *options, *seen, "--lit", "2.5V"]) == 0
    between = capsys.readouterr().out

    assert "collector current is at least 2.8 % of it" in saturated
    assert "collector current is 1.4 % of it" in between


@pytest.mark.parametrize(
    ("reading", "nominal"),
    [("5.02V", 5.0), ("4.1V", 5.0), ("0.2V", 5.0), ("3.31V", 3.3), ("11.8V", 12.0), ("10V", 12.0), ("26V", 26.0)],
)
def test_the_nominal_supply_is_said(reading: str, nominal: float) -> None:
    """A rail that reads low is the finding, not the nominal value; what was taken for it is said."""
    site, assumed = typed_site(supply=reading, kind="slotted")

    assert site.emitter.supply == site.output.supply == nominal
    assert assumed == (
        f"nominal supply: {nominal:g} V, from the {reading} that was read; a site file says it for sure",
    )


def test_an_unsaid_kind_is_said() -> None:
    """Nothing is guessed in silence."""
    assert typed_site()[1] == ("a reflective sensor, as no kind was said; for a slot: --kind slotted",)


def test_every_outcome_can_be_typed_as_it_is_shown() -> None:
    """What the next test prints as its outcomes is accepted, so are yes and no."""
    for test in TESTS:
        for text, outcome in ((test.yes, True), (test.no, False), ("yes", True), ("no", False)):
            assert read({test.key: text.upper()})[1] == {test.key: outcome}, (test.key, text)
    assert ANSWERS["exchange"]["follows"] is True


@pytest.mark.parametrize(
    ("option", "name", "outcome"), [("--slow", "slow", "works"), ("--exchange", "exchange", "follows")]
)
def test_speed_and_exchange_are_options(
    option: str, name: str, outcome: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The options say the same as --test, and the reading is named among what speaks for a cause."""
    # where the levels are good only speed or what lies behind can be to blame
    good = ["--lit", "0.2V", "--dark", "4.9V", "--torch", "reacts"] if name == "slow" else []
    assert main(["assess", EXAMPLE, *good, option, outcome, "--json"]) == 0
    by_option = json.loads(capsys.readouterr().out)
    assert main(["assess", EXAMPLE, *good, "--test", f"{name}={outcome}", "--json"]) == 0
    by_test = json.loads(capsys.readouterr().out)

    assert by_option == by_test
    assert any(text.startswith(f"{name}: ") for item in by_option["verdicts"] for text in item["because"])


def test_an_unknown_number_in_the_file_is_no_error() -> None:
    """The equipment maker's own number: the usual part is taken, and said; a typed unknown number is an error."""
    answer = assess(TWO_RAILS, {"lit": "0.2V"}, named="LAB-4711")

    assert "LAB-4711 is not in the library" in answer.assumed
    assert answer.basis == "assumed"
    with pytest.raises(NotFound):
        assess(TWO_RAILS, {"lit": "0.2V"}, original="LAB-4711")


def test_a_logic_output_is_said() -> None:
    """Levels of a logic output say nothing of weak light, and the answer says what is taken in its place."""
    from xref.library.store import open_library

    part = next(part for part in open_library().parts("slotted") if (part.output or "").startswith("logic"))

    assert any(
        "logic output shows no levels in between" in text for text in expect(TWO_RAILS, original=part.name).assumed
    )


def test_a_site_without_halves_is_refused() -> None:
    """A switch or two-state resistor has no emitter and detector to part."""
    with pytest.raises(UsageError, match="readings of a switch need no verdict of halves"):
        assess(Site(kind="switch"), {"lit": "1V"})


def test_cautions_stand_where_their_step_is() -> None:
    """The laser belongs to the lamp, the camera to the emitter; mains and moving parts to every running machine."""
    answer = expect(TWO_RAILS)
    of = {row.point: row.caution for row in answer.rows}

    assert "no laser" in of["detector, loose part"]
    assert "camera" in of["across the emitter"]
    assert of["supply at the sensor"] == of["output"] == ""
    assert not any("laser" in text or "emitter" in text for text in answer.cautions)
    assert any("mains" in text for text in answer.cautions)
    for test in TESTS:
        assert ("laser" in test.caution) == (test.key == "torch"), test.key
        assert ("solvents" in test.caution) == (test.key == "clean"), test.key


def test_the_fixed_keys_of_assess(capsys: pytest.CaptureFixture[str]) -> None:
    """The keys that other programs rely on; a ratio ends in _per_1."""
    assert main(["assess", EXAMPLE, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)

    assert {"verdicts", "next_test", "emitter_ma", "transfer", "levels", "light_reserve"} <= set(answer)
    assert {"cause", "probability", "because"} <= set(answer["verdicts"][0])
    assert answer["next_test"] is None or {"what", "how", "expect"} <= set(answer["next_test"])
    assert {"measured_per_1", "expected_min_per_1", "expected_max_per_1"} <= set(answer["transfer"])
    assert {"bright_v", "dark_v", "vil_v", "vih_v"} == set(answer["levels"])
    assert answer["levels"]["bright_v"] == 2.3
    assert 0 < sum(item["probability"] for item in answer["verdicts"]) <= 1.001


def test_the_fixed_keys_of_expect(capsys: pytest.CaptureFixture[str]) -> None:
    """A row says point, state, probes, range, and what a good, weak and dead part shows."""
    assert main(["expect", EXAMPLE, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)

    assert {"rows", "cautions", "assumed", "basis"} <= set(answer)
    for row in answer["rows"]:
        assert {"point", "state", "red_probe", "black_probe", "good", "weak", "dead", "meter"} <= set(row)


def test_a_file_without_site_still_answers(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Readings alone are enough for a verdict; that a reflective sensor was taken is said."""
    path = tmp_path / "job.yaml"
    path.write_text("format: 1\nreadings: {running: {lit: 4.9V, dark: 4.9V, torch: no reaction}}\n")

    assert main(["assess", str(path)]) == 0
    assert "a reflective sensor, as no kind was said" in " ".join(capsys.readouterr().out.split())


def test_the_guide_names_every_reading() -> None:
    """xref help readings lists every reading and test with the outcomes that can be typed."""
    from xref.bench.assess import VOLTS
    from xref.guide import page

    text = page("readings")
    words = {line.split()[0]: line for line in text.splitlines() if line.startswith("  ") and line.split()}

    assert all(name in text for name in VOLTS)
    for test in TESTS:
        assert f"{test.yes}, {test.no} " in words[test.key], test.key
