"""Published junction readings, printed meters and the trade's rules, as readings."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from xref.bench.meters import PRINTED
from xref.model.job import Meter
from xref.tasks.identify import Ask, identify, meter_for

CHECKS = Path(__file__).parent.parent / "reference" / "checks.yaml"
PLAIN = Meter(diode=1e-3, open=3.0, overload=2.0, ohms_red="plus")
DATA_SHEETS = {"TCRT5000": 1.06, "QRD1114": 1.16, "PC817": 1.06, "PS2653": 0.99, "RPR-220": 1.05, "XZTHI56W-1": 1.16}
"""Ends of 0.99 V to 1.16 V at 1 mA, the curves named in xref help measuring; used only as a spread."""


@cache
def checks() -> dict[str, Any]:
    """The published figures by id."""
    found = yaml.safe_load(CHECKS.read_text())["checks"]
    return {item["id"]: item for item in found}


def ask(leads: int, meter: Meter = PLAIN) -> Ask:
    """A part with numbered leads."""
    return Ask(labels=tuple(str(number + 1) for number in range(leads)), meter=meter)


@pytest.mark.parametrize("end", ["min_v", "max_v"])
def test_a_silicon_junction_is_no_emitter(end: str) -> None:
    """The limits of a silicon junction at 5 mA (V14, 1N4448, NXP) are not taken for an infrared emitter."""
    volts = checks()["V14"]["expected"][end]
    meter = Meter(diode=checks()["V14"]["inputs"]["if_ma"] * 1e-3, open=3.0, overload=2.0)

    answer = identify([f"1:2@dark={volts}V", "2:1@dark=OL V"], ask(2, meter))

    assert answer.device == "photodiode"
    assert answer.leads == {"1": "A", "2": "K"}


def test_the_base_of_a_three_lead_phototransistor() -> None:
    """Red on the base reads 0.618 V to the collector, 0.648 V to the emitter, overload the other way (V15)."""
    published = checks()["V15"]["expected"]
    readings = [
        f"3:1@dark={published['base_collector_v']}V",
        f"3:2@dark={published['base_emitter_v']}V",
        "1:3@dark=OL V",
        "2:3@dark=OL V",
        "1:2@dark=OL V",
        "2:1@dark=OL V",
    ]

    answer = identify(readings, ask(3))

    assert answer.device == "phototransistor with base"
    assert answer.leads["3"] == "B"
    assert not answer.unexplained


def test_light_tells_collector_from_emitter() -> None:
    """The half that changes when lit is the detector, plus on the collector (common practice, no source)."""
    published = checks()["V15"]["expected"]
    readings = [
        f"3:1@dark={published['base_collector_v']}V",
        f"3:2@dark={published['base_emitter_v']}V",
        "1:2@dark=OL V",
        "1:2@lit=0.15V",
        "2:1@lit=OL V",
    ]

    answer = identify(readings, ask(3))

    assert answer.settled
    assert answer.leads == {"1": "C", "2": "E", "3": "B"}


@pytest.mark.parametrize("name", [f"M{number}" for number in range(1, 8)])
def test_printed_meters_are_those_of_the_manuals(name: str) -> None:
    """The examples that xref meter shows are the figures of the manuals (M1 to M7)."""
    expected = checks()[name]["expected"]
    shown = PRINTED[int(name[1:]) - 1]
    over = expected.get("ol_above_v")
    wanted = (
        tuple(over.values())
        if over
        else tuple(expected[key] for key in ("max_reading_v", "range_v") if key in expected)
    )

    assert shown.current * 1e3 == pytest.approx(expected.get("test_current_ma", expected.get("test_current_max_ma")))
    assert shown.open_volts == expected.get("open_circuit_max_v")
    assert shown.overload == wanted


@pytest.mark.parametrize("name", [f"M{number}" for number in range(1, 8)])
@pytest.mark.parametrize("vf", [0.99, 1.08, 1.16])
def test_an_emitter_reads_a_bit_over_a_volt_one_way(name: str, vf: float) -> None:
    """A bit over a volt one way, overload the other: an emitter, by every printed meter (common practice, no source).

    0.99 to 1.16 V at 1 mA is the span of the data-sheet curves of six types.
    """
    printed = PRINTED[int(name[1:]) - 1]
    meter = meter_for(Meter(diode=printed.current, open=printed.open_volts,
                            overload=printed.overload[0] if printed.overload else None))  # fmt: skip

    answer = identify([f"1:2@dark={vf}V", "2:1@dark=OL V"], ask(2, meter))

    assert answer.device == "emitter"
    assert answer.leads == {"1": "A", "2": "K"}


def test_overload_both_ways_is_no_dead_emitter_on_a_low_meter() -> None:
    """Overload above 1.2 V (M1, slow) may show a good emitter as open: not settled, an own supply is asked for."""
    meter = Meter(diode=0.5e-3, open=9.0, overload=checks()["M1"]["expected"]["ol_above_v"]["slow"], ohms_red="plus")
    both_ways = [f"{pair}@{light}=OL V" for pair in ("1:2", "2:1") for light in ("dark", "lit")]

    answer = identify([*both_ways, "1:2@lit=OL ohm", "2:1@lit=OL ohm"], ask(2, meter))

    assert not answer.settled
    assert answer.next_reading is not None
    assert answer.next_reading.mode == "supply"


def test_a_detector_shows_nothing_in_the_dark_and_changes_when_lit() -> None:
    """Nothing on the diode test in the dark, something when lit (common practice, no source)."""
    readings = ["1:2@dark=OL V", "2:1@dark=OL V", "1:2@lit=0.12V", "2:1@lit=OL V", "1:2@lit=450", "1:2@dark=OL ohm"]

    answer = identify([text.replace("450", "450R") for text in readings], ask(2))

    assert answer.settled
    assert answer.device == "phototransistor"
    assert answer.leads == {"1": "C", "2": "E"}


def test_a_contradiction_is_named() -> None:
    """Of readings that cannot all be right, the one that does not suit is named, not averaged away."""
    readings = ["1:2@dark=1.08V", "2:1@dark=OL V", "1:2@lit=1.08V", "1:2@5V/10k=1.04V", "1:2@dark=OL V"]

    answer = identify(readings, ask(2))

    assert answer.device == "emitter"
    assert len(answer.unexplained) == 1
    assert answer.unexplained[0].startswith("1:2@dark=OL V: emitter would show about 1.")


def test_what_is_like_nothing_known_is_said() -> None:
    """Readings that no known type gives end in 'none of the known types', not in the least bad of them."""
    readings = ["1:2@dark=1.5V", "2:1@dark=0.35V", "2:1@lit=1.85V", "1:2@lit=0.9V", "1:2@dark=44k", "2:1@dark=12R"]

    answer = identify(readings, ask(2))

    assert answer.device == "none of the known types"
    assert set(answer.leads.values()) == {"unknown"}
