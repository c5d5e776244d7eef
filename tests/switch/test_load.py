"""Load class: makers' smallest loads and ratings decide; figures from their sheets stand beside each case."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from xref.adapt.contacts_load import INRUSH, aged_ohm, is_mains, least_load, suits
from xref.bench.switch_words import parse_ladder
from xref.errors import QuantityError
from xref.library.store import open_library
from xref.model.contact_need import ContactNeed, Load
from xref.model.contacts import Contacts, Rating
from xref.model.value import Value

CHECKS = Path(__file__).parent.parent / "reference" / "checks.yaml"


def checks() -> dict[str, dict]:
    """Rows of the reference file by their id."""
    loaded = yaml.safe_load(CHECKS.read_text())
    rows = loaded["checks"] if isinstance(loaded, dict) else loaded
    return {row["id"]: row for row in rows}


def contacts(**more: object) -> Contacts:
    """A slide with what the case names."""
    return Contacts(action="slide", **more)  # type: ignore[arg-type]


def found(donor: Contacts, need: ContactNeed, original: Contacts | None = None) -> dict[str, str]:
    """Quantity to level."""
    return {finding.quantity: finding.level for finding in suits(donor, need, original)}


def test_microload_limit_of_the_makers_page() -> None:
    """B1: a 0.1 A 30 V DC type is good from 1 mA at 5 V on (Omron, Microloads), not below."""
    expected = checks()["B1"]["expected"]
    micro = contacts(low_v=expected["min_v"], low_ma=expected["min_ma"], ratings=(Rating(v=30, a=0.1, ac_dc="DC"),))

    at = found(micro, ContactNeed(load=Load(volts=5, current=0.001)))
    under = found(micro, ContactNeed(load=Load(volts=5, current=0.0009)))
    low = found(micro, ContactNeed(load=Load(volts=4.9, current=0.01)))

    assert at["smallest load"] == "ok"
    assert under["smallest load"] == "refuse"
    assert low["smallest load"] == "refuse"


def test_printed_limits_of_shipped_parts() -> None:
    """B1, B3: the shipped 0.1 A gold micros carry the maker's 5 V, 1 mA; their rating is B3's 0.1 A."""
    part = open_library().get("SS-01")
    assert part.contacts is not None

    assert least_load(part.contacts) == (checks()["B1"]["expected"]["min_v"], 0.001, "printed")
    assert max(rating.a or 0 for rating in part.contacts.ratings) == checks()["B3"]["expected"]["rated_a"]


@pytest.mark.parametrize(("name", "current", "level"), [("V-15-1A5", 0.15, "refuse"), ("V-15-1A5", 0.16, "ok")])
def test_silver_rivet_wants_160_ma(name: str, current: float, level: str) -> None:
    """15 A silver rivet: 160 mA at 5 V DC (V-15 sheet, Omron)."""
    part = open_library().get(name)
    assert part.contacts is not None

    assert found(part.contacts, ContactNeed(load=Load(volts=5, current=current)))["smallest load"] == level


def test_no_worse_than_the_original_is_a_warning() -> None:
    """A circuit under the limit of both: the donor is named, not refused."""
    both = contacts(low_v=5, low_ma=1)

    assert found(both, ContactNeed(load=Load(volts=5, current=0.0005)), both)["smallest load"] == "warn"


def test_gold_stays_out_of_power_and_silver_out_of_logic() -> None:
    """Same body in both, SS-5 5 A and SS-01 0.1 A, DB1 6 A and DB3 0.1 A (makers' sheets): never one for the other."""
    library = open_library()
    for gold, silver in (("SS-01", "SS-5"), ("DB3C-B1AA", "DB1C-B1AA")):
        small, large = library.get(gold).contacts, library.get(silver).contacts
        assert small is not None
        assert large is not None

        assert found(large, ContactNeed(), small)["contact class"] in ("refuse", "unknown")
        assert found(small, ContactNeed(), large)["contact class"] == "refuse"
    assert (
        found(library.get("SS-5").contacts, ContactNeed(), library.get("SS-01").contacts)["contact class"] == "refuse"
    )  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("load", "drives", "level"),
    [
        (Load(volts=12, current=0.10), "", "ok"),
        (Load(volts=12, current=0.11), "", "refuse"),
        (Load(volts=13, current=0.01), "", "refuse"),
        (Load(volts=12, current=0.010), "lamp", "ok"),
        (Load(volts=12, current=0.011), "lamp", "refuse"),
        (Load(volts=12, current=0.0166), "motor", "ok"),
        (Load(volts=12, current=0.0168), "motor", "refuse"),
    ],
)
def test_rating_with_inrush(load: Load, drives: str, level: str) -> None:
    """12 V DC 0.1 A (C&K OS): lamps a tenth of it, motors a sixth (inrush 10 and 6 times: Tend; Omron load types)."""
    slide = contacts(ratings=(Rating(v=12, a=0.1, ac_dc="DC"),))

    assert found(slide, ContactNeed(load=load, drives=drives))["rating"] == level
    assert INRUSH["lamp"] == 10
    assert INRUSH["motor"] == 6


@pytest.mark.parametrize(
    ("load", "level"),
    [
        (Load(volts=24, current=1, ac_dc="DC"), "ok"),
        (Load(volts=125, current=0.4, ac_dc="DC"), "refuse"),
        (Load(volts=48, current=0.4), "refuse"),
        (Load(volts=230, current=3, ac_dc="AC"), "ok"),
        (Load(volts=230, current=16, ac_dc="AC"), "refuse"),
    ],
)
def test_ac_rating_says_nothing_of_dc_above_30_v(load: Load, level: str) -> None:
    """Omron cautions 28: DC capacity is far lower than AC (V-15: 15 A 250 V AC, 0.6 A at 125 V DC)."""
    micro = contacts(ratings=(Rating(v=250, a=15, ac_dc="AC"),))

    assert found(micro, ContactNeed(load=load))["rating"] == level


def test_printed_dc_line_counts() -> None:
    """V-15: 0.6 A at 125 V DC is a rating of its own."""
    micro = contacts(ratings=(Rating(v=250, a=15, ac_dc="AC"), Rating(v=125, a=0.6, ac_dc="DC")))

    assert found(micro, ContactNeed(load=Load(volts=110, current=0.6, ac_dc="DC")))["rating"] == "ok"
    assert found(micro, ContactNeed(load=Load(volts=110, current=0.7, ac_dc="DC")))["rating"] == "refuse"


def test_power_of_a_reed() -> None:
    """A line in VA limits volt times ampere."""
    reed = contacts(ratings=(Rating(v=100, a=0.5, va=10, ac_dc="DC"),))

    assert found(reed, ContactNeed(load=Load(volts=24, current=0.4, ac_dc="DC")))["rating"] == "ok"
    assert found(reed, ContactNeed(load=Load(volts=24, current=0.45, ac_dc="DC")))["rating"] == "refuse"


def test_contact_resistance_over_the_life() -> None:
    """Alps: about double at the end (SSAA 25 to 65 mohm); a printed end-of-life figure goes first."""
    fresh = contacts(resistance_mohm=Value(max=100))
    printed = contacts(resistance_mohm=Value(max=25), resistance_after_life_mohm=65)

    assert aged_ohm(fresh) == pytest.approx(0.2)
    assert aged_ohm(printed) == pytest.approx(0.065)
    assert aged_ohm(contacts()) is None


def test_detector_of_ohms_is_for_logic_only() -> None:
    """A 2 to 5 ohm detector is good for logic, never for motor or lamp current (Alps SPVM: 2000 to 5000 mohm)."""
    detector = contacts(resistance_mohm=Value(max=2000), resistance_after_life_mohm=5000)

    assert found(detector, ContactNeed(drives="motor"))["contact resistance"] == "refuse"
    assert "contact resistance" not in found(detector, ContactNeed(drives="logic"))


def test_ladder_gives_the_resistance_that_a_contact_may_have() -> None:
    """5 V, 10k pull-up, chain 0 and 1k, by hand: the first key decides.

    Nodes 0 V and 0.4545 V, split at 0.2273 V = 10k x 0.2273/4.7727 = 476 ohm; key 2 against the open input: split at
    2.727 V = 12k, less 1k = 11k.
    """
    assert parse_ladder("5V/10k:0,1k") == pytest.approx(476.2, abs=0.1)


@pytest.mark.parametrize("text", ["5V", "5V/10k", "5V/10k:0,0", "x/10k:1k", "5V/10k:"])
def test_bad_ladder(text: str) -> None:
    """A ladder that cannot be read is refused with the form."""
    with pytest.raises(QuantityError):
        parse_ladder(text)


@pytest.mark.parametrize(
    ("need", "mains"),
    [
        (ContactNeed(load=Load(volts=230, current=1)), True),
        (ContactNeed(load=Load(volts=230, current=1, ac_dc="DC")), False),
        (ContactNeed(load=Load(volts=24, current=1, ac_dc="AC")), False),
        (ContactNeed(drives="mains"), True),
        (ContactNeed(), False),
    ],
)
def test_mains_is_known_from_the_load(need: ContactNeed, mains: bool) -> None:
    """Mains follows from word or voltage."""
    assert is_mains(need) == mains
