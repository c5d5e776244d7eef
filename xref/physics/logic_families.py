"""Worst-case input limits of logic families: (supply, VIL max, VIH min, least hysteresis) as printed."""

from __future__ import annotations

from dataclasses import dataclass

SOURCES = {
    "hc00": "74HC00; 74HCT00 quad 2-input NAND gate, Philips, product specification, 2003-06-30",
    "hc1g14": "74HC1G14; 74HCT1G14 inverting Schmitt trigger, Table 7, NXP, revision not printed, date not read",
    "ahc04": "74AHC04; 74AHCT04 hex inverter, Table 6, NXP, Rev. 6, 2011-11-07",
    "ahct": "SN74AHCT1G04-Q1, Texas Instruments, SCLS510D, rev. D, 2024-10",
    "teldev": "FAQ 4902 TTL and CMOS levels (SN74ALS1004 sheet, 1995-01; JEITA ED-5007, 2010-04)",
    "f14": "74F14 hex inverter Schmitt trigger, Philips, 1990-11-26 (limits from memory)",
    "memory": "from memory, no sheet read",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """Input limits of one family; voltages in V, currents in A."""

    rows: tuple[tuple[float, float, float, float], ...]
    supply_range: tuple[float, float]
    follows_supply: bool
    current_low: float
    current_high: float
    source: str
    basis: str
    voltage_max: float | None = None


FAMILIES: dict[str, Family] = {
    "ttl": Family(
        rows=((5.0, 0.8, 2.0, 0.0),),
        supply_range=(4.5, 5.5),
        follows_supply=False,
        current_low=1.6e-3,
        current_high=40e-6,
        source="teldev",
        basis="printed",
        voltage_max=5.5,
    ),
    "ttl-schmitt": Family(
        rows=((5.0, 0.6, 2.0, 0.4),),
        supply_range=(4.5, 5.5),
        follows_supply=False,
        current_low=1.2e-3,
        current_high=40e-6,
        source="memory",
        basis="memory",
        voltage_max=5.5,
    ),
    "ls": Family(
        rows=((5.0, 0.8, 2.0, 0.0),),
        supply_range=(4.5, 5.5),
        follows_supply=False,
        current_low=0.4e-3,
        current_high=20e-6,
        source="teldev",
        basis="printed",
        voltage_max=7.0,
    ),
    "ls-schmitt": Family(
        rows=((5.0, 0.5, 1.9, 0.4),),
        supply_range=(4.5, 5.5),
        follows_supply=False,
        current_low=0.4e-3,
        current_high=20e-6,
        source="memory",
        basis="memory",
        voltage_max=7.0,
    ),
    "als": Family(
        rows=((5.0, 0.8, 2.0, 0.0),),
        supply_range=(4.5, 5.5),
        follows_supply=False,
        current_low=0.1e-3,
        current_high=20e-6,
        source="teldev",
        basis="printed",
        voltage_max=7.0,
    ),
    "s": Family(
        rows=((5.0, 0.8, 2.0, 0.0),),
        supply_range=(4.5, 5.5),
        follows_supply=False,
        current_low=2e-3,
        current_high=50e-6,
        source="teldev",
        basis="printed",
        voltage_max=5.5,
    ),
    "f": Family(
        rows=((5.0, 0.8, 2.0, 0.0),),
        supply_range=(4.5, 5.5),
        follows_supply=False,
        current_low=0.6e-3,
        current_high=20e-6,
        source="teldev",
        basis="printed",
        voltage_max=7.0,
    ),
    "f-schmitt": Family(
        rows=((5.0, 0.5, 2.0, 0.4),),
        supply_range=(4.5, 5.5),
        follows_supply=False,
        current_low=0.6e-3,
        current_high=20e-6,
        source="f14",
        basis="memory",
        voltage_max=7.0,
    ),
    "hc": Family(
        rows=((2.0, 0.5, 1.5, 0.0), (4.5, 1.35, 3.15, 0.0), (6.0, 1.8, 4.2, 0.0)),
        supply_range=(2.0, 6.0),
        follows_supply=True,
        current_low=1e-6,
        current_high=1e-6,
        source="hc00",
        basis="printed",
    ),
    "hc-schmitt": Family(
        rows=((2.0, 0.3, 1.5, 0.2), (4.5, 0.9, 3.15, 0.4), (6.0, 1.2, 4.2, 0.6)),
        supply_range=(2.0, 6.0),
        follows_supply=True,
        current_low=1e-6,
        current_high=1e-6,
        source="hc1g14",
        basis="printed",
    ),
    "hct": Family(
        rows=((5.0, 0.8, 2.0, 0.0),),
        supply_range=(4.5, 5.5),
        follows_supply=False,
        current_low=1e-6,
        current_high=1e-6,
        source="hc00",
        basis="printed",
    ),
    "ac": Family(
        rows=((5.0, 1.5, 3.5, 0.0),),
        supply_range=(2.0, 6.0),
        follows_supply=True,
        current_low=1e-6,
        current_high=1e-6,
        source="teldev",
        basis="derived",
    ),
    "act": Family(
        rows=((5.0, 0.8, 2.0, 0.0),),
        supply_range=(4.5, 5.5),
        follows_supply=False,
        current_low=1e-6,
        current_high=1e-6,
        source="teldev",
        basis="derived",
    ),
    "ahc": Family(
        rows=((2.0, 0.5, 1.5, 0.0), (3.0, 0.9, 2.1, 0.0), (5.5, 1.65, 3.85, 0.0)),
        supply_range=(2.0, 5.5),
        follows_supply=True,
        current_low=1e-6,
        current_high=1e-6,
        source="ahc04",
        basis="printed",
        voltage_max=5.5,
    ),
    "ahct": Family(
        rows=((5.0, 0.8, 2.0, 0.0),),
        supply_range=(4.5, 5.5),
        follows_supply=False,
        current_low=1e-6,
        current_high=1e-6,
        source="ahct",
        basis="printed",
        voltage_max=5.5,
    ),
    "lvcmos": Family(
        rows=((1.8, 0.63, 1.17, 0.0), (2.5, 0.7, 1.7, 0.0), (3.3, 0.8, 2.0, 0.0)),
        supply_range=(1.65, 3.6),
        follows_supply=True,
        current_low=5e-6,
        current_high=5e-6,
        source="memory",
        basis="memory",
    ),
    "cmos": Family(
        rows=((5.0, 1.5, 3.5, 0.0),),
        supply_range=(1.5, 18.0),
        follows_supply=True,
        current_low=1e-6,
        current_high=1e-6,
        source="teldev",
        basis="printed",
    ),
    "4000": Family(
        rows=((5.0, 1.5, 3.5, 0.0),),
        supply_range=(3.0, 18.0),
        follows_supply=True,
        current_low=1e-6,
        current_high=1e-6,
        source="teldev",
        basis="derived",
    ),
    "4000-schmitt": Family(
        rows=((5.0, 0.9, 3.6, 0.3),),
        supply_range=(3.0, 18.0),
        follows_supply=True,
        current_low=1e-6,
        current_high=1e-6,
        source="memory",
        basis="memory",
    ),
}
