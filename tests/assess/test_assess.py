"""The culprit is found by the readings and tests that the tool asks for; a good sensor is not condemned for a joint."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from machine import CULPRITS, Machine

from xref.bench.assess import LIKE, VOLT_WORDS, assess
from xref.bench.causes import CAUSES, TESTS
from xref.errors import UsageError
from xref.model.answers.assess import AssessAnswer
from xref.model.site import Sees, Site, SiteEmitter, SiteOutput
from xref.tasks.assess import assess as judged
from xref.tasks.assess import circuit_of, expect, read, typed_site

SITE = Site(
    kind="slotted",
    emitter=SiteEmitter(supply=5.0, resistor=220.0, resistor_side="A", in_series=1, driver_drop=0.0),
    output=SiteOutput(supply=5.0, load=10e3, load_side="C", input="74HC14", lit="low"),
    sees=Sees(gap=3.0),
    safety="none",
)
KEY_OF = {cause.text: cause.key for cause in CAUSES}
READING_OF = {words[0]: name for name, words in VOLT_WORDS.items()}
REPLACE = {
    "emitter aged",
    "emitter open",
    "emitter shorted",
    "detector aged",
    "detector leaky",
    "detector open",
    "wrong part",
}


def group(key: str) -> str:
    """Causes that share a mending count as one."""
    return LIKE.get(key, key)


def session(
    machine: Machine, start: tuple[str, ...] = ("lit", "dark"), first_tests: tuple[str, ...] = ()
) -> AssessAnswer:
    """Answer what is asked until it is settled, at most 14 times."""
    circuit, _ = circuit_of(SITE, "", None)
    volts = {name: machine.volts(name) for name in start}
    tests = {key: machine.test(key) for key in first_tests}
    for _ in range(14):
        answer = assess(circuit, volts, tests)
        if answer.settled or answer.next_test is None:
            return answer
        asked = answer.next_test.what
        if asked in READING_OF:
            volts[READING_OF[asked]] = machine.volts(READING_OF[asked])
        else:
            tests[asked] = machine.test(asked)
    return answer


CASES = [(culprit, seed) for seed in range(3) for culprit in CULPRITS][:40]


def test_the_culprit_comes_first() -> None:
    """40 machines with a known fault, solved by an independent network: first in at least 90 %."""
    wrong = []
    for culprit, seed in CASES:
        answer = session(Machine(culprit, seed))
        if group(KEY_OF[answer.verdicts[0].cause]) != group(culprit):
            wrong.append((culprit, seed, answer.verdicts[0].cause))

    assert len(wrong) <= 4, wrong


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("culprit", ["cracked joint", "connector"])
def test_a_joint_never_condemns_a_good_sensor(culprit: str, seed: int) -> None:
    """With the tap and wiggle tests given, no sensor is to be replaced for a joint."""
    answer = session(Machine(culprit, 100 + seed), first_tests=("tap", "wiggle"))

    assert KEY_OF[answer.verdicts[0].cause] not in REPLACE


def test_the_emitter_reading_of_an_open_emitter() -> None:
    """Full supply across the emitter means an open emitter (user accounts; Kirchhoff's voltage law)."""
    circuit, _ = circuit_of(SITE, "", None)

    answer = assess(
        circuit, {"supply": 5.0, "emitter": 4.95, "lit": 4.95, "dark": 4.95}, {"tap": False, "wiggle": False}
    )

    assert KEY_OF[answer.verdicts[0].cause] == "emitter open"
    assert answer.emitter_ma == 0.0


def test_emitter_current_from_its_resistor() -> None:
    """Ohm's law: 3.74 V across 220 ohm is 17.0 mA."""
    circuit, _ = circuit_of(SITE, "", None)

    assert assess(circuit, {"emitter_resistor": 3.74}, {}).emitter_ma == pytest.approx(17.0, abs=0.01)


def test_contradictions_are_named() -> None:
    """Emitter and resistor that do not add up to the supply are said, not averaged away."""
    circuit, _ = circuit_of(SITE, "", None)

    answer = assess(circuit, {"supply": 5.0, "emitter": 1.1, "emitter_resistor": 1.0}, {})

    assert "do not add up" in answer.contradictions[0]


def test_every_verdict_says_why() -> None:
    """Shares are probabilities, and the first verdict names a reading that speaks for it."""
    answer = session(Machine("dirty window", 7))

    assert sum(verdict.probability for verdict in answer.verdicts) <= 1.001
    assert answer.verdicts[0].because


def test_expect_brackets_the_independent_machine() -> None:
    """The good ranges of the table hold the readings of healthy machines solved by the independent network."""
    rows = {(row.point, row.state.split()[0]): row for row in expect(SITE).rows}

    def inside(text: str, value: float) -> bool:
        ends = [float(word) for word in text.split(";")[0].replace("V", "").split(" to ")]
        return ends[0] - 0.1 <= value <= ends[-1] + 0.1

    hits = total = 0
    for seed in range(10):
        healthy = Machine("input dead", seed)
        for point, state, name in (
            ("supply at the sensor", "any", "supply"), ("across the emitter", "any", "emitter"),
            ("across the emitter resistor", "any", "emitter_resistor"), ("output", "bright", "lit"),
            ("output", "dark", "dark"),
        ):  # fmt: skip
            total += 1
            hits += inside(rows[point, state].good, healthy.volts(name))

    assert hits >= 0.9 * total


@pytest.mark.parametrize(
    ("running", "message"),
    [
        ({"torch": "maybe"}, "torch: 'maybe' is not one of reacts, yes, no reaction, no"),
        ({"lit": "2.3A"}, '"2.3A" is a current: expected a voltage like 1.18V'),
    ],
)
def test_bad_readings_get_one_line(running: dict[str, str], message: str) -> None:
    """A wrong outcome or unit is said in full."""
    with pytest.raises(UsageError) as caught:
        read(running)

    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("running", "message"),
    [
        ({"lit": "500V"}, "lit: 500 V is more than the highest supply, 5 V, can give"),
        ({"dark": "-3V"}, "dark: -3 V is negative: exchange the probes"),
        ({"emitter": "50V"}, "emitter: 50 V is more than the highest supply"),
        ({"supply": "5000V"}, "supply: 5000 V is no supply of a sensor"),
    ],
)
def test_volts_that_cannot_be_there_are_questioned(running: dict[str, str], message: str) -> None:
    """No node of a resistive circuit lies above its highest source (Kirchhoff), so such a reading is a slip."""
    with pytest.raises(UsageError) as caught:
        judged(SITE, running)

    assert str(caught.value).startswith(message)


def test_a_typed_input_that_is_no_logic_names_its_option() -> None:
    """--input LM339: the option, and what to write instead."""
    with pytest.raises(UsageError, match=r"^--input: \"LM339\" is a comparator, .* \(in a site file\)$"):
        typed_site(kind="slotted", input_family="LM339")


def test_a_supply_that_reads_high_is_a_finding() -> None:
    """9 V on a 5 V rail is taken as it was read, and so is an output that follows it."""
    assert judged(SITE, {"supply": "9V", "dark": "8.9V"}).verdicts


def test_test_names_and_words_agree() -> None:
    """Every test that may be proposed can be answered."""
    from xref.tasks.assess import ANSWERS

    for test in TESTS:
        assert ANSWERS[test.key][test.yes.split(" the ")[0] if test.key != "exchange" else "follows"] is True


def test_a_good_emitter_may_lie_near_its_printed_maximum() -> None:
    """H21A1 prints 1.7 V at most at 60 mA (Fairchild DS300290); at 17 mA that is 1.5 V by the diode law with 3 ohm."""
    site = Site(kind="slotted", emitter=SiteEmitter(supply=5.0, resistor=220.0), output=SiteOutput(load=10e3))
    row = next(row for row in expect(site, original="H21A1").rows if row.point == "across the emitter")

    assert float(row.good.split(" to ")[1].split()[0]) == pytest.approx(1.5, abs=0.06)
    assert "VF max 1.7 V at 60 mA, printed" in row.good
