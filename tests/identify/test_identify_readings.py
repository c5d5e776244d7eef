"""The grammar of readings: every form of the guide, and one clear line for every wrong one."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from xref.bench.readings import Reading, check_supply, parse_reading, show_reading
from xref.errors import UsageError

FORMS = [
    ("1:2=1.08V", "diode", 1.08, "", ""),
    ("1:2=1.08", "diode", 1.08, "", ""),
    ("1:2=1080mV", "diode", 1.08, "", ""),
    ("3:4=OL V", "diode", None, "", ""),
    ("3:4=OL ohm", "ohms", None, "", ""),
    ("2:1=OL", "unsaid", None, "", ""),
    ("3:4@lit=6.8k", "ohms", 6800.0, "lit", ""),
    ("3:4@lit=6k8", "ohms", 6800.0, "lit", ""),
    ("3:4@dark=OL", "unsaid", None, "dark", ""),
    ("5:6=0", "ohms", 0.0, "", ""),
    ("1:2@5V/10k=3.9V", "supply", 3.9, "", ""),
    ("3:4@lit,5V/10k=0.3V", "supply", 0.3, "lit", ""),
    ("1:2@left=0", "ohms", 0.0, "", "left"),
    ("1:2@2=OL", "unsaid", None, "", "2"),
    ("COM:NO@pressed=0.2R", "ohms", 0.2, "", "pressed"),
]


@pytest.mark.parametrize(("text", "mode", "value", "light", "position"), FORMS)
def test_forms_of_the_guide(text: str, mode: str, value: float | None, light: str, position: str) -> None:
    """Each form that the guide page 'readings' lists is read as it says."""
    reading = parse_reading(text)

    assert (reading.mode, reading.light, reading.position) == (mode, light, position)
    assert reading.value == (None if value is None else pytest.approx(value))


@pytest.mark.parametrize(("text", "message"), [
    ("1:2", '"1:2" is not a reading: expected RED:BLACK=VALUE like 1:2=1.08V'),
    ("12=1V", '"12=1V" names no two leads: expected RED:BLACK=VALUE like 1:2=1.08V'),
    ("1:5=1V", '"1:5=1V": there is no lead 5; the leads are 1 to 4'),
    ("2:2=OL", '"2:2=OL" has both probes on lead 2: expected two leads like 1:2=1.08V'),
    ("1:2=1,08V", '1:2: "1,08V" has a comma: write a dot: "1.08V"; or OL for overload'),
    ("1:2=nan", '1:2: "nan" is not a number: expected a resistance like 2k2 or 470R; or OL for overload'),
    ("1:2=40V", '1:2: "40V" is more than this reading can be (10 V): expected like 1.08V; or OL for overload'),
    ("1:2@lit,dark=1V", '"1:2@lit,dark=1V" names the light twice: expected lit or dark'),
    ("1:2@left,right=0", '"1:2@left,right=0" names two positions: left and right'),
    ("1:2@5V/10k=OL", '"1:2@5V/10k=OL": with an own supply write the volts'),
    ("1:2@5V/10k=9V", '1:2@5V/10k: "9V" is more than this reading can be (5.25 V): expected like 1.08V; '
                      'or OL for overload'),
    ("1:2@5V/10k=-3V", '1:2@5V/10k: "-3V" is negative: exchange the probes, red on the side of the plus; '
                       'or OL for overload'),
    ("1:2=200G", '1:2: "200G" is more than a multimeter shows: expected like 6.8k; or OL for overload'),
    ("1:2@0V/10k=1V", '"1:2@0V/10k=1V": supply and resistor must be above 0, like 5V/10k'),
    ("1:2@*=1V", '"1:2@*=1V": expected @lit, @dark, @5V/10k or a switch position after the @'),
])  # fmt: skip
def test_wrong_readings_are_told_in_one_line(text: str, message: str) -> None:
    """A wrong reading names what is wrong and the right form; it ends with exit code 2."""
    with pytest.raises(UsageError) as caught:
        parse_reading(text, ("1", "2", "3", "4"))

    assert str(caught.value) == message
    assert caught.value.exit_code == 2


LABELS = st.sampled_from(["1", "2", "3", "red", "COM", "A+C"])


@given(red=LABELS, black=LABELS, light=st.sampled_from(["", "lit", "dark"]), position=st.sampled_from(["", "left"]),
       volts=st.integers(0, 9999), mode=st.sampled_from(["diode", "ohms", "supply"]), over=st.booleans())  # fmt: skip
def test_what_is_shown_is_read_again(
    red: str, black: str, light: str, position: str, volts: int, mode: str, over: bool
) -> None:
    """A reading as shown means the same reading when it is typed again."""
    if red == black:
        return
    value = volts / 2000 if mode != "ohms" else float(volts)
    supply = {"supply": 5.0, "series": 1e4} if mode == "supply" else {}
    reading = Reading(red=red, black=black, mode=mode, light=light, position=position,
                      value=None if over and mode != "supply" else value, **supply)  # fmt: skip

    again = parse_reading(show_reading(reading))

    assert (again.red, again.black, again.mode, again.light, again.position) == (red, black, mode, light, position)
    assert again.value == (None if reading.value is None else pytest.approx(value, rel=1e-3, abs=1e-9))
    assert (again.supply, again.series) == (reading.supply, reading.series)


@given(st.text(max_size=40))
def test_any_text_is_a_reading_or_a_usage_error(text: str) -> None:
    """Nothing that is typed ends in another error than a usage error."""
    with contextlib.suppress(UsageError):
        parse_reading(text, ("1", "2"))


@pytest.mark.parametrize(("state", "known", "least"), [
    ("5V/1k", False, "1:2@5V/1k: 1k is too small before the emitter is known; use at least 4k7"),
    ("5V/100R", True, "1:2@5V/100R: 100R is too small even for a known emitter; use at least 180R"),
    ("12V/10k", False, "1:2@12V/10k: 12 V is too much for an unknown part (emitters stand 5 V the wrong way); "
                       "use 5V/10k"),
])  # fmt: skip
def test_a_supply_that_harms_the_part_is_refused(state: str, known: bool, least: str) -> None:
    """Below a safe series resistor, or above what emitters stand the wrong way, a supply reading is refused."""
    with pytest.raises(UsageError) as caught:
        check_supply(parse_reading(f"1:2@{state}=1V"), emitter_known=known)

    assert str(caught.value) == least


@pytest.mark.parametrize(("state", "known"), [("5V/4k7", False), ("5V/10k", False), ("5V/220R", True)])
def test_a_safe_supply_passes(state: str, known: bool) -> None:
    """Through 4.7 kohm any part is safe, through 180 ohm and more a known emitter."""
    check_supply(parse_reading(f"1:2@{state}=1V"), emitter_known=known)
