"""Worst-case input limits of logic families: (supply, VIL max, VIH min, least hysteresis) as printed.

For a Schmitt input the low limit is the least negative-going threshold and the high limit the largest positive-going
threshold: only beyond both is the level certain.
"""

from __future__ import annotations

from dataclasses import dataclass

SOURCES = {
    "hc00": "74HC00; 74HCT00 quad 2-input NAND gate, Philips, product specification, 2003-06-30",
    "hc1g14": "74HC1G14; 74HCT1G14 inverting Schmitt trigger, Table 7, NXP, page 4 of 14, revision and date not read",
    "ahc04": "74AHC04; 74AHCT04 hex inverter, Table 6, NXP, Rev. 6, 2011-11-07",
    "ahct": "SN74AHCT1G04-Q1, Texas Instruments, SCLS510D, rev. D, 2024-10",
    "teldev": "FAQ 4902 TTL and CMOS levels (cites SN74ALS1004 sheet, 1995-01; JEITA ED-5007, 2010-04)",
    "dm7404": "DM7404 Hex Inverting Gates, Fairchild, DS006494, 1986-08 revised 2000-02",
    "dm7414": "DM7414 Hex Inverter with Schmitt Trigger Input, Fairchild, DS006503, 1986-08 revised 2000-02",
    "dm74ls14": "DM74LS14 Hex Inverter with Schmitt Trigger Inputs, Fairchild, document number and revision not read",
    "in74ls04": "IN74LS04 Hex Inverters, Integral, technical data, document number and date not printed",
    "f14": "74F14 Hex inverter Schmitt trigger, Philips, product specification, 1990-11-26, page 4",
    "cd4049": "CD4049UBC, CD4050BC hex buffers, Fairchild, DS005971, 1987-10 revised 1999-01",
    "cd4069": "CD4069UBM/CD4069UBC Inverter Circuits, National Semiconductor, TL/F/5975, 1988-02",
    "cd40106": "CD40106BM/CD40106BC Hex Schmitt Trigger, National Semiconductor, TL/F/5985, 1988-02",
    "als04": "74ALS04B Hex inverter, Philips, product specification 853-0856 01670, 1991-02-08",
    "hct14": "CD54HC14, CD74HC14, CD54HCT14, CD74HCT14, Texas Instruments, page 4, document number and date not read",
    "ac14": "74AC14, 74ACT14 Hex Inverter with Schmitt Trigger Input, Fairchild, Rev. 1.7.2, 2011-02, page 4",
    "lvc04": "HD74LVC04, Hitachi, page 3, document number, revision and date not read",
    "memory": "from memory, no sheet read",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """Input limits of one family; voltages in V, currents in A."""

    rows: tuple[tuple[float, float, float, float], ...]
    supply_range: tuple[float, float]
    follows_supply: bool
    current_low: float  # out of the input at a low level
    current_high: float  # into the input at a high level
    source: str
    basis: str
    voltage_max: float | None = None


def _bipolar(
    vil: float,
    vih: float,
    low: float,
    high: float,
    source: str,
    *,
    hysteresis: float = 0.0,
    basis: str = "printed",
    voltage_max: float = 7.0,
) -> Family:
    return Family(
        rows=((5.0, vil, vih, hysteresis),),
        supply_range=(4.75, 5.25),
        follows_supply=False,
        current_low=low,
        current_high=high,
        source=source,
        basis=basis,
        voltage_max=voltage_max,
    )


def _cmos(
    rows: tuple[tuple[float, float, float, float], ...],
    supply: tuple[float, float],
    source: str,
    *,
    basis: str = "printed",
    leak: float = 1e-6,
    follows: bool = True,
    voltage_max: float | None = None,
) -> Family:
    return Family(
        rows=rows,
        supply_range=supply,
        follows_supply=follows,
        current_low=leak,
        current_high=leak,
        source=source,
        basis=basis,
        voltage_max=voltage_max,
    )


_SHIFTED = ((5.0, 0.8, 2.0, 0.0),)  # CMOS with TTL levels, 4.5 to 5.5 V
_THIRDS = ((5.0, 1.5, 3.5, 0.0),)  # 0.3 and 0.7 of the supply

FAMILIES: dict[str, Family] = {
    "ttl": _bipolar(0.8, 2.0, 1.6e-3, 40e-6, "dm7404", voltage_max=5.5),
    "ttl-schmitt": _bipolar(0.6, 2.0, 1.6e-3, 40e-6, "dm7414", hysteresis=0.4, voltage_max=5.5),
    "ls": _bipolar(0.8, 2.0, 0.4e-3, 20e-6, "in74ls04"),
    "ls-schmitt": _bipolar(0.5, 1.9, 0.4e-3, 20e-6, "dm74ls14", hysteresis=0.4),
    "als": _bipolar(0.8, 2.0, 0.1e-3, 20e-6, "als04"),
    "s": _bipolar(0.8, 2.0, 2.0e-3, 50e-6, "memory", basis="memory", voltage_max=5.5),
    "f": _bipolar(0.8, 2.0, 0.6e-3, 20e-6, "memory", basis="memory"),
    "f-schmitt": _bipolar(0.7, 2.0, 0.6e-3, 20e-6, "f14", hysteresis=0.4),
    "hc": _cmos(((2.0, 0.5, 1.5, 0.0), (4.5, 1.35, 3.15, 0.0), (6.0, 1.8, 4.2, 0.0)), (2.0, 6.0), "hc00"),
    "hc-schmitt": _cmos(((2.0, 0.3, 1.5, 0.2), (4.5, 0.9, 3.15, 0.4), (6.0, 1.2, 4.2, 0.6)), (2.0, 6.0), "hc1g14"),
    "hct": _cmos(_SHIFTED, (4.5, 5.5), "hc00", follows=False),
    "hct-schmitt": _cmos(((4.5, 0.5, 1.9, 0.4), (5.5, 0.6, 2.1, 0.4)), (4.5, 5.5), "hct14", follows=False),
    "ac": _cmos(_THIRDS, (2.0, 6.0), "teldev", basis="derived"),
    "ac-schmitt": _cmos(((3.0, 0.5, 2.2, 0.3), (4.5, 0.9, 3.2, 0.4), (5.5, 1.1, 3.9, 0.5)), (3.0, 5.5), "ac14"),
    "act": _cmos(_SHIFTED, (4.5, 5.5), "memory", basis="memory", follows=False),
    "ahc": _cmos(
        ((2.0, 0.5, 1.5, 0.0), (3.0, 0.9, 2.1, 0.0), (5.5, 1.65, 3.85, 0.0)), (2.0, 5.5), "ahc04", voltage_max=5.5
    ),
    "ahc-schmitt": _cmos(((5.0, 1.25, 3.5, 0.4),), (2.0, 5.5), "memory", basis="memory", voltage_max=5.5),
    "ahct": _cmos(_SHIFTED, (4.5, 5.5), "ahct", follows=False, voltage_max=5.5),
    "lvc": _cmos(
        ((2.7, 0.8, 2.0, 0.0), (3.6, 0.8, 2.0, 0.0), (4.5, 1.35, 3.15, 0.0), (5.5, 1.65, 3.85, 0.0)),
        (2.7, 5.5),
        "lvc04",
        leak=5e-6,
        voltage_max=5.5,
    ),
    "lvcmos": _cmos(
        ((1.8, 0.63, 1.17, 0.0), (2.5, 0.7, 1.7, 0.0), (3.3, 0.8, 2.0, 0.0)),
        (1.65, 3.6),
        "memory",
        basis="memory",
        leak=5e-6,
    ),
    "cmos": _cmos(_THIRDS, (1.5, 18.0), "teldev"),
    "4000": _cmos(((5.0, 1.5, 3.5, 0.0), (10.0, 3.0, 7.0, 0.0), (15.0, 4.0, 11.0, 0.0)), (3.0, 15.0), "cd4049"),
    "4000-unbuffered": _cmos(
        ((5.0, 1.0, 4.0, 0.0), (10.0, 2.0, 8.0, 0.0), (15.0, 3.0, 12.0, 0.0)), (3.0, 15.0), "cd4069"
    ),
    "4000-schmitt": _cmos(
        ((5.0, 0.7, 4.3, 1.0), (10.0, 1.4, 8.6, 2.0), (15.0, 2.1, 12.9, 3.0)), (3.0, 15.0), "cd40106"
    ),
}
