"""The network file: what is wrong is said with its line and the nearest right word, never as a traceback."""

from __future__ import annotations

import random

import pytest

from xref.errors import XrefError
from xref.examples import FOLDER
from xref.job.network_file import load_network, network_from_text

TEXT = (FOLDER / "ring-selector.yaml").read_text()

WRONG = [
    ("contacts:", "contact:", 'net.yaml:LINE: contact: unknown key: expected "contacts"'),
    (
        "joins: [INNER, STEP]",
        "joins: [INER, STEP]",
        'net.yaml:LINE: contacts.S1-in.joins.0: no net "INER": expected "INNER"',
    ),
    (
        "closed_in: [outer]",
        "closed_in: [outr]",
        'net.yaml:LINE: contacts.S1-out.closed_in.0: no mode "outr": expected "outer"',
    ),
    (
        "timing: break-before-make}\n  S1-out",
        "timing: shorting}\n  S1-out",
        'net.yaml:LINE: contacts.S1-in.timing: is "shorting"',
    ),
    ("state: dead", "state: ded", 'net.yaml:LINE: sensors.outer step.state: is "ded": expected live or dead'),
    (
        "low_below: 0.8V, high_above: 2V, time_out",
        "input: LM339, time_out",
        'net.yaml:LINE: inputs.step.input: "LM339" is a comparator, not a logic family: write low_below and high_above',
    ),
    (
        "time_out: 2.5s",
        "time_out: 2,5s",
        "net.yaml:LINE: inputs.step.5s: unknown key: a comma ends a value here: expected 2.5s, never a comma",
    ),
    ("leaks: 220k ", "leaks: 220kV ", "net.yaml:LINE: sensors.outer step.leaks: "),
    (
        "inner: 4Hz, outer: 1Hz",
        "inner: 4Hz, auter: 1Hz",
        'sensors.inner step.sees.inner ring.auter: no mode "auter": expected "outer"',
    ),
    ("{outer ring: {outer: 4Hz}}", "{outer ring: {inner: 4Hz}}", "outer ring does not turn in mode inner by motion"),
    ("value: 10k}\n  R2", "value: 0R}\n  R2", "resistors.R1.value: is not above zero"),
    ("between: [5V, PARK]", "between: [PARK, PARK]", "resistors.R2.between: both ends on one net"),
    ("shown_by: [cover]", "shown_by: [cove]", 'faults.cover open.shown_by.0: no sensor "cove": expected "cover"'),
    ("stops: [outer ring]}", "stops: [outer rng]}", 'no shaft under motion "outer rng": expected "outer ring"'),
    ("safety: lid", "safety: lit", 'net.yaml:LINE: sensors.cover.safety: is "lit": expected "lid"'),
    ("supplies: {5V: 5V", "supplies: {5: 5V", 'net.yaml:LINE: supplies.5: no net "5"'),
    (
        "low_below: 0.8V, high_above: 2V, time_out",
        "low_below: 3V, high_above: 2V, time_out",
        "low_below 3 V is not under high_above 2 V",
    ),
    ("format: 1", "format: 7", "net.yaml:LINE: format: format 7 is not known: format: 1"),
    ("  R3: {", "  cover: {", 'resistors.cover: "cover" is already a name under sensors'),
]


@pytest.mark.parametrize(("right", "wrong", "message"), WRONG, ids=[row[1][:30].strip() for row in WRONG])
def test_a_mistake_is_named_with_its_place_and_the_right_word(right: str, wrong: str, message: str) -> None:
    """File, line, key, what is wrong, what instead."""
    assert TEXT.count(right) >= 1

    with pytest.raises(XrefError) as caught:
        network_from_text(TEXT.replace(right, wrong, 1), "net.yaml")

    line = TEXT[: TEXT.index(right)].count("\n") + 1
    assert message.replace("LINE", str(line)) in str(caught.value)
    assert caught.value.exit_code == 3


def test_the_example_reads_as_written() -> None:
    """Units become SI, text stays text, a rate of ~ is not known."""
    network = load_network(FOLDER / "ring-selector.yaml")

    assert network.nets[0] == "5V"
    assert network.supplies == {"5V": 5.0, "0V": 0.0}
    assert network.resistors["R1"].value == 10e3
    assert network.sensors["inner step"].sees == {"inner ring": {"inner": 4.0, "outer": 1.0}}
    unknown = network_from_text(TEXT.replace("outer: 1Hz", "outer: ~"), "net.yaml")
    assert unknown.sensors["inner step"].sees["inner ring"]["outer"] is None


@pytest.mark.parametrize("seed", range(150))
def test_damaged_files_never_end_in_a_traceback(seed: int) -> None:
    """Random cuts, swaps and repeats of the example: read, or refused with a one-line message."""
    rng = random.Random(seed)
    text = TEXT
    for _ in range(rng.randint(1, 4)):
        start, size = rng.randrange(len(text)), rng.randint(1, 12)
        text = rng.choice(
            (
                text[:start] + text[start + size :],
                text[:start] + rng.choice("[]{}:,#\n -~0") + text[start:],
                text[:start] + text[start : start + size] * 2 + text[start + size :],
            )
        )
    refused = None
    try:
        network_from_text(text, "net.yaml")
    except XrefError as error:
        refused = error

    assert refused is None or ("\n" not in str(refused) and refused.exit_code == 3)
