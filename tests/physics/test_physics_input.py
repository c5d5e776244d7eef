"""Logic inputs: what users type, and the worst-case limits of the sheets."""

from __future__ import annotations

import pytest
from physics_reference import cite, expected

from xref.errors import DataError
from xref.physics.logic_families import FAMILIES, SOURCES
from xref.physics.logic_input import (
    comparator_thresholds,
    divided_thresholds,
    family_key,
    family_thresholds,
    own_thresholds,
)

# (typed, supply, VIL, VIH): chip and sheet named beside
SHEETS = [
    ("TTL", 5.0, 0.8, 2.0),  # L1; DM7404, Fairchild DS006494, 2000-02
    ("7404", 5.0, 0.8, 2.0),  # DM7404, Fairchild DS006494, 2000-02
    ("7414", 5.0, 0.6, 2.0),  # DM7414, Fairchild DS006503, 2000-02: VT- min, VT+ max
    ("74LS04", 5.0, 0.8, 2.0),  # IN74LS04, Integral technical data
    ("74LS14", 5.0, 0.5, 1.9),  # DM74LS14, Fairchild: VT- min 0.5, VT+ max 1.9
    ("74F14", 5.0, 0.7, 2.0),  # 74F14, Philips, 1990-11-26, page 4
    ("74ALS04", 5.0, 0.8, 2.0),  # 74ALS04B, Philips, 1991-02-08
    ("74HCT14", 4.5, 0.5, 1.9),  # CD74HCT14, Texas Instruments, page 4: VT- min, VT+ max
    ("74HCT14", 5.5, 0.6, 2.1),  # the same
    ("74AC14", 3.0, 0.5, 2.2),  # 74AC14, Fairchild, Rev. 1.7.2, 2011-02, page 4: VT- min, VT+ max
    ("74AC14", 5.5, 1.1, 3.9),  # the same
    ("74LVC04", 3.3, 0.8, 2.0),  # HD74LVC04, Hitachi, page 3: 2.7 to 3.6 V
    ("74LVC04", 5.0, 1.5, 3.5),  # the same: 0.3 and 0.7 of the supply from 4.5 to 5.5 V
    ("4049", 5.0, 1.0, 4.0),  # CD4049UBC, Fairchild DS005971, 1999-01
    ("4049UB", 10.0, 2.0, 8.0),  # CD4069UBC, National TL/F/5975, 1988-02 (same limits)
    ("CD4050BE", 15.0, 4.0, 11.0),  # CD4050BC, Fairchild DS005971, 1999-01 and datasheet of National, same limits
    ("40106", 5.0, 0.7, 4.3),  # CD40106BM, National TL/F/5985, 1988-02: VT- min, VT+ max
    ("CD40106", 10.0, 1.4, 8.6),  # the same
    ("74C14", 15.0, 2.1, 12.9),  # the same sheet calls MM74C14 equivalent
]


@pytest.mark.parametrize(("typed", "supply", "vil", "vih"), SHEETS)
def test_limits_of_sheets(typed: str, supply: float, vil: float, vih: float) -> None:
    """What a user types gives the printed worst-case limits at a printed supply."""
    result = family_thresholds(typed, supply)

    assert result.valid
    assert (result.vil, result.vih) == (pytest.approx(vil), pytest.approx(vih))
    assert "memory" not in result.source


def test_ttl_row() -> None:
    """TTL levels of the published table (L1)."""
    row = expected("L1")

    assert family_thresholds("TTL").vih == row["vih_v"], cite("L1")
    assert family_thresholds("TTL").vil == row["vil_v"]


def test_cmos_fractions() -> None:
    """CMOS in general: 0.3 and 0.7 of any supply (L2)."""
    row = expected("L2")

    for supply in (3.0, 5.0, 12.0):
        result = family_thresholds("CMOS", supply)
        assert result.vil == pytest.approx(row["vil_frac"] * supply), cite("L2")
        assert result.vih == pytest.approx(row["vih_frac"] * supply)


@pytest.mark.parametrize(("name", "family"), [("L3", "74HC"), ("L5", "74AHC")])
def test_rows_by_supply(name: str, family: str) -> None:
    """Each printed supply gives its printed limits (L3, L5)."""
    for row in expected(name)["rows"]:
        result = family_thresholds(family, row["vcc_v"])
        assert result.vil == pytest.approx(row["vil_max"]), cite(name)
        assert result.vih == pytest.approx(row["vih_min"])
        assert result.basis == "printed"


@pytest.mark.parametrize(("name", "family"), [("L4", "74HCT"), ("L6", "74AHCT")])
@pytest.mark.parametrize("supply", [4.5, 5.0, 5.5])
def test_ttl_compatible_rows(name: str, family: str, supply: float) -> None:
    """TTL-compatible CMOS keeps its limits from 4.5 to 5.5 V (L4, L6)."""
    result = family_thresholds(family, supply)

    assert (result.vil, result.vih) == (expected(name)["vil_max"], expected(name)["vih_min"]), cite(name)
    assert not family_thresholds(family, 3.3).valid


@pytest.mark.parametrize(
    ("supply", "vtm", "vtp", "hysteresis"),
    [(2.0, 0.3, 1.5, 0.2), (4.5, 0.9, 3.15, 0.4), (6.0, 1.2, 4.2, 0.6)],  # L8 and its note
)
@pytest.mark.parametrize("typed", ["74HC14", "74HC1G14", "MC74HC14A"])
def test_schmitt_rows(typed: str, supply: float, vtm: float, vtp: float, hysteresis: float) -> None:
    """A Schmitt input is certain only below the least VT- and above the largest VT+ (L8, L9)."""
    result = family_thresholds(typed, supply)

    assert result.schmitt
    assert (result.vil, result.vih, result.hysteresis_min) == pytest.approx((vtm, vtp, hysteresis)), cite("L8")
    if supply == 4.5:
        assert (vtm, vtp, hysteresis) == (expected("L8")["vtm"][0], expected("L8")["vtp"][2], expected("L8")["vh"][0])
        assert (vtm, vtp) == (expected("L9")["vtm_min"], expected("L9")["vtp_max"]), cite("L9")


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("SN74LS14N", "ls-schmitt"),
        ("74 ls 00", "ls"),
        ("ls14", "ls-schmitt"),
        ("HC14", "hc-schmitt"),
        ("74hc", "hc"),
        ("hct", "hct"),
        ("74HCT132", "hct-schmitt"),
        ("MC14584BCP", "4000-schmitt"),
        ("CD4093BE", "4000-schmitt"),
        ("HEF4049BP", "4000-unbuffered"),
        ("4011", "4000"),
        ("DM7400", "ttl"),
        ("74LVC1G17", "lvc"),
        ("lvttl", "lvcmos"),
        ("5404", "ttl"),
        ("7414PC", "ttl-schmitt"),  # case letters as makers print them behind the number
        ("SN74LS14NSR", "ls-schmitt"),
        ("MC74HC14ADR2G", "hc-schmitt"),
        ("74VHC14MTCX", "ahc-schmitt"),
        ("HCF4093BEY", "4000-schmitt"),
        ("74HC", "hc"),
    ],
)
def test_names_users_type(typed: str, key: str) -> None:
    """Chip numbers with and without maker's letters, and bare families, are understood (numbering of the trade)."""
    assert family_key(typed) == key


@pytest.mark.parametrize("typed", ["banana", "74XYZ04", "", "2N3904", "555", "7414X", "74HC14FOO"])
def test_unknown_names_are_refused(typed: str) -> None:
    """What is no logic chip is not guessed; the message shows how families are typed, and the other way."""
    with pytest.raises(DataError) as error:
        family_key(typed)

    assert str(error.value) == (
        f'no logic family behind "{typed}": write one like TTL, 7414, 74LS14, 74HC14, 74HCT04, 4093, 40106 or CMOS; or '
        "write low_below and high_above, the volts at which it switches"
    )


@pytest.mark.parametrize("typed", ["LM339", "LM393N", "lm311p", "LM2903", "uA710"])
def test_a_comparator_needs_its_levels(typed: str) -> None:
    """The levels of a comparator lie in the resistors around it, so no family is guessed."""
    with pytest.raises(DataError) as error:
        family_key(typed)

    assert str(error.value) == (
        f'"{typed}" is a comparator, not a logic family: write low_below and high_above, the volts at which it switches'
    )


def test_bipolar_inputs_give_current() -> None:
    """A TTL input must be pulled down: 1.6 mA and 0.4 mA (DM7404; IN74LS04)."""
    assert family_thresholds("7404").current_low == pytest.approx(1.6e-3)
    assert family_thresholds("74LS04").current_low == pytest.approx(0.4e-3)
    assert family_thresholds("74LS04").current_high == pytest.approx(20e-6)
    assert family_thresholds("74ALS04").current_low == pytest.approx(0.1e-3)  # 74ALS04B, Philips, 1991-02-08


def test_wrong_supply_is_said() -> None:
    """A family outside its supply range is marked with both numbers."""
    result = family_thresholds("74LS00", 12.0)

    assert not result.valid
    assert result.why == "ls works from 4.75 to 5.25 V, not at 12 V"


def test_memory_rows_are_marked() -> None:
    """A family whose limits nobody read carries the basis "memory", and every family names its source."""
    for key, family in FAMILIES.items():
        assert (family.basis == "memory") == (family.source == "memory"), key
        assert SOURCES[family.source]


def test_comparator_and_own_levels() -> None:
    """Offset and half the hysteresis widen a comparator's level; a series resistor moves own levels by its drop."""
    comparator = comparator_thresholds(2.5, offset=0.005, hysteresis=0.1)
    own = divided_thresholds(own_thresholds(0.8, 2.0, current_low=0.4e-3, current_high=20e-6), series_ohm=1e3)

    assert (comparator.vil, comparator.vih) == pytest.approx((2.445, 2.555))
    assert (own.vil, own.vih) == pytest.approx((0.4, 2.02))


def test_own_levels_out_of_order() -> None:
    """A low limit above the high limit is refused."""
    with pytest.raises(DataError) as error:
        own_thresholds(2.0, 0.8)

    assert str(error.value) == "low_below 2 V must not be above high_above 0.8 V, nor below 0"
