"""What a multimeter does on its diode test and ohms range: the user's own figures, printed examples, or assumptions."""

from __future__ import annotations

from dataclasses import dataclass

from xref.errors import UsageError
from xref.model.job import Meter


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedMeter:
    """Diode-test figures as a maker prints them; None where the manual does not."""

    name: str
    source: str
    current: float
    open_volts: float | None = None
    overload: tuple[float, ...] = ()
    note: str = ""


PRINTED = (
    PrintedMeter(
        name="Agilent U3402A", source="User's and Service Guide p. 25", current=0.5e-3, open_volts=9.0,
        overload=(1.2, 2.5, 4.0), note="overload by rate: slow, medium, fast",
    ),
    PrintedMeter(name="Fluke 45", source="Dual display multimeter 45, diode test", current=0.7e-3, open_volts=3.2,
                 overload=(2.5,)),
    PrintedMeter(name="Facom 712", source="multimeter 712, diode tester", current=0.5e-3, overload=(3.999,)),
    PrintedMeter(name="IDEAL", source="manual ND-3511-1, p. 13", current=1.5e-3, open_volts=3.0,
                 note="current is the largest"),
    PrintedMeter(name="PeakTech 1080", source="manual p. 31", current=1.0e-3),
    PrintedMeter(name="PeakTech 1075", source="manual p. 34", current=1.0e-3),
    PrintedMeter(name="Steren MUL-010", source="manual p. 18", current=1.0e-3),
)  # fmt: skip
"""Printed figures of seven meters (checks M1 to M7 in tests/reference/checks.yaml)."""

CURRENT_RANGE = (0.4e-3, 1.6e-3)
OPEN_RANGE = (2.6, 3.4)
OVERLOAD_RANGE = (1.5, 2.6)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterModel:
    """A meter as far as its readings depend on it; a range where the figure is not known.

    ``current``, ``open_volts``, ``overload``: (low, high) in A and V. ``ohms_red``: plus, minus or unknown.
    """

    current: tuple[float, float]
    open_volts: tuple[float, float]
    overload: tuple[float, float]
    ohms_red: str = "unknown"
    assumed: tuple[str, ...] = ()


def meter_model(meter: Meter) -> MeterModel:
    """The model of a user's meter; what is missing is assumed and said.

    Raises:
        UsageError: a figure that no multimeter has
    """
    check_meter(meter)
    assumed = []
    current, volts, overload = CURRENT_RANGE, OPEN_RANGE, OVERLOAD_RANGE
    if meter.diode is not None:
        current = (meter.diode * 0.97, meter.diode * 1.03)
    else:
        assumed.append("meter current 0.4 to 1.6 mA")
    if meter.open is not None:
        volts = (meter.open * 0.98, meter.open * 1.02)
    elif meter.overload is not None:
        volts = (max(2.6, meter.overload), max(3.4, meter.overload * 1.2))
    if meter.open is None:
        assumed.append(f"open-circuit volts {volts[0]:.2g} to {volts[1]:.2g} V")
    if meter.overload is not None:
        overload = (meter.overload, meter.overload)
    else:
        assumed.append(f"overload above {overload[0]:g} to {overload[1]:g} V")
    if meter.ohms_red == "unknown":
        assumed.append("plus on either lead in the ohms range")
    return MeterModel(current=current, open_volts=volts, overload=overload, ohms_red=meter.ohms_red,
                      assumed=tuple(assumed))  # fmt: skip


def check_meter(meter: Meter) -> None:
    """Refuse figures that no multimeter has: they would spoil every identification.

    Raises:
        UsageError: outside 0.05 to 20 mA, 1 to 15 V, or an overload below 0.7 V or above the open-circuit volts
    """
    if meter.diode is not None and not 0.05e-3 <= meter.diode <= 20e-3:
        raise UsageError(f"{meter.diode * 1e3:g} mA is no diode-test current: expected 0.05 to 20 mA, like 1mA")
    if meter.open is not None and not 1.0 <= meter.open <= 15.0:
        raise UsageError(f"{meter.open:g} V is no open-circuit voltage of a diode test: expected 1 to 15 V, like 3V")
    if meter.overload is not None and not 0.7 <= meter.overload <= 15.0:
        raise UsageError(f"{meter.overload:g} V is no overload limit: expected 0.7 to 15 V, like 2V")
    if meter.open is not None and meter.overload is not None and meter.overload > meter.open + 1e-9:
        raise UsageError(f"overload {meter.overload:g} V is above the open-circuit {meter.open:g} V: exchange them?")
