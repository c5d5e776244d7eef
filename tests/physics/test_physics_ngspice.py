"""The whole chain against ngspice: netlists are written here from the inputs, with the simulator's own device laws.

The emitter is ngspice's diode with the gap of GaAs, the phototransistor a bipolar transistor whose base is fed with the
photocurrent, the darlington two of them, the photodiode a junction beside a current source.
"""

from __future__ import annotations

import math
import re
import subprocess
from dataclasses import dataclass
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from physics_reference import expected, xy

from xref.physics.curves import curve
from xref.physics.detector import Detector
from xref.physics.emitter import diode_from_parameters
from xref.physics.logic_input import own_thresholds
from xref.physics.operating import Corner, EmitterCircuit, Receiver, Setup, Transfer, operating_point

pytestmark = pytest.mark.ngspice

VT = 8.617333e-5 * 298.15
EMITTER = (2.0e-17, 1.30, 1.6)  # IS, N, RS of a 950 nm emitter: 1.12 V at 10 mA, 1.03 V at 1 mA
# dVF/dT = (VF - gap - 3 kT/q)/T of a junction at 10 mA, gap of GaAs 1.42 eV (Shockley's law, differentiated)
GAAS_SLOPE = (EMITTER[1] * VT * math.log(0.01 / EMITTER[0]) - 1.42 - 3 * VT) / 298.15
CTR = [(i / 1e3, v / 100) for i, v in xy(expected("X10")["points_ma_pct"])]  # TCRT5000, Vishay 83760 rev. 1.7, Fig. 8
TEMPERATURES = (-20.0, 25.0, 50.0, 70.0)
FORWARD_GAIN, REVERSE_GAIN = 300.0, 2.0


@dataclass(frozen=True)
class Circuit:
    """One board: what the netlist and the library are both told."""

    kind: str
    side: str
    temp_c: float
    load: float
    bright: float
    dark: float = 0.01
    supply: float = 5.0
    emitter_supply: float = 5.0
    resistor: float = 270.0
    count: int = 1
    pull: tuple[float, float] | None = None
    current_low: float = 0.0
    current_high: float = 0.0
    leak: float = 50e-9

    @property
    def name(self) -> str:
        return f"{self.kind}-{self.side}-{self.temp_c:g}C-{self.load:g}ohm-x{self.bright:g}-{self.count}in-series"


def circuits() -> list[Circuit]:
    """48 boards over kinds, sides, temperatures and linear or saturated light, and 8 with extra loads."""
    linear = {"phototransistor": 0.25, "photodarlington": 3.0, "photodiode": 0.02}
    result = []
    for n, (kind, side, temp, saturated) in enumerate(
        product(linear, ("collector", "emitter"), TEMPERATURES, (False, True))
    ):
        count = 1 + n % 3
        load = (
            (4700.0 if kind != "photodiode" else 47e3) if not saturated else (33e3 if kind != "photodiode" else 470e3)
        )
        result.append(
            Circuit(
                kind=kind,
                side=side,
                temp_c=temp,
                load=load,
                bright=linear[kind],
                count=count,
                resistor=(220.0, 150.0, 68.0)[count - 1],
                supply=(5.0, 3.3, 12.0)[n % 3],
            )
        )
    for kind, side in product(("phototransistor", "photodarlington"), ("collector", "emitter")):
        weak = linear[kind] / 3
        result.append(Circuit(kind=kind, side=side, temp_c=25.0, load=2200.0, bright=weak, pull=(3.3, 10e3)))
        result.append(
            Circuit(
                kind=kind, side=side, temp_c=50.0, load=1000.0, bright=weak * 4, current_low=0.4e-3, current_high=20e-6
            )
        )
    return result


@cache
def fine_transfer() -> list[tuple[float, float]]:
    """The printed transfer curve refined to straight pieces by scipy: (log current, log ratio)."""
    numpy = pytest.importorskip("numpy")
    interpolate = pytest.importorskip("scipy.interpolate")
    x, y = numpy.log([i for i, _ in CTR]), numpy.log([r for _, r in CTR])
    at = numpy.linspace(x[0], x[-1], 60)
    return list(zip(at.tolist(), interpolate.PchipInterpolator(x, y)(at).tolist(), strict=True))


def netlist(c: Circuit, light: float, leak: float, into_node: float) -> str:
    """Netlist of one state; ``light`` multiplies the transfer curve, ``into_node`` is the input's current."""
    i_s, n, r_s = EMITTER
    points = ", ".join(f"{u:.9g},{v + u:.9g}" for u, v in fine_transfer())
    kelvin = c.temp_c + 273.15
    gain = FORWARD_GAIN * (kelvin / 298.15) ** 1.5
    top, bottom = ("vcc", "out") if c.side == "emitter" else ("out", "0")
    lines = [
        "* one board",
        f".options tnom=25 temp={c.temp_c}",
        f"VE ve 0 {c.emitter_supply}",
        f"RE ve n0 {c.resistor}",
        *(f"D{k} n{k} {'n' + str(k + 1)} EM" for k in range(c.count)),
        f"VS n{c.count} 0 0",
        f".model EM D(IS={i_s} N={n} RS={r_s} EG=1.42 XTI=3)",
        f"BL 0 lit I = {light} * exp(pwl(log(max(i(VS), 1e-9)), {points}))",
        "RL lit 0 1k",
        f"VCC vcc 0 {c.supply}",
        f"RLOAD {'vcc out' if c.side == 'collector' else 'out 0'} {c.load}",
        f"IIN 0 out {into_node}",
        f"ILEAK {top} {bottom} {leak}",
    ]
    if c.pull:
        lines += [f"VP vp 0 {c.pull[0]}", f"RP vp out {c.pull[1]}"]
    if c.kind == "phototransistor":
        lines += [
            f"BB 0 b I = v(lit)/1k/{gain}",
            f"Q1 {top} b {bottom} PT",
            f".model PT NPN(IS=1e-14 BF={gain} BR={REVERSE_GAIN} EG=1.11 XTI=3)",
        ]
    elif c.kind == "photodarlington":
        second = 100.0
        lines += [
            f"BB 0 b I = v(lit)/1k/({second}*({gain}+1)+{gain})",
            f"Q1 {top} b e1 PT",
            f"Q2 {top} e1 {bottom} OUTT",
            f".model PT NPN(IS=1e-16 BF={gain} BR={REVERSE_GAIN} EG=1.11 XTI=3)",
            f".model OUTT NPN(IS={1e-3 * math.exp(-0.65 / VT)} BF={second} BR=1 EG=1.11 XTI=3)",
        ]
    else:
        lines += [
            f"BP {top} {bottom} I = v(lit)/1k",
            f"DP {bottom} {top} PD",
            ".model PD D(IS=1e-12 N=1 EG=1.11 XTI=3)",
        ]
    return "\n".join([*lines, ".control", "op", "print v(n0) v(out) i(VS)", ".endc", ".end", ""])


def solve(program: str, folder: Path, text: str) -> dict[str, float]:
    """Node voltages of one netlist."""
    path = folder / "board.cir"
    path.write_text(text)
    done = subprocess.run([program, "-b", str(path)], capture_output=True, text=True, timeout=30, check=False)
    found = dict(re.findall(r"^(v\(n0\)|v\(out\)|i\(vs\)) = (\S+)$", done.stdout, re.MULTILINE))
    assert len(found) == 3, done.stdout[-800:] + done.stderr[-800:]
    return {key: float(value) for key, value in found.items()}


def library(c: Circuit) -> Setup:
    """The same board for the library."""
    i_s, n, r_s = EMITTER
    ratio = dict(CTR)[0.01]
    law = curve([(i, r) for i, r in CTR], log_x=True, log_y=True)
    flat = curve([(-60.0, 1.0), (120.0, 1.0)])
    return Setup(
        emitter=EmitterCircuit(
            diode=diode_from_parameters(i_s, n * VT, r_s, temp_coefficient=GAAS_SLOPE),
            supply=c.emitter_supply,
            resistor=c.resistor,
            count=c.count,
        ),
        transfer=Transfer(
            low=ratio * 0.01,
            typical=ratio * 0.01,
            high=ratio * 0.01,
            if_ref=0.01,
            bright=c.bright,
            dark=c.bright * c.dark,
            transfer_curve=law,
            temperature_curve=flat,
        ),
        receiver=Receiver(
            detector=Detector(
                kind=c.kind,
                gain_ratio=FORWARD_GAIN / REVERSE_GAIN,
                reverse_gain=REVERSE_GAIN,
                dark_25c=c.leak,
                junction_leak=1e-12,
                dark_per_10k=1.0,
            ),
            supply=c.supply,
            load=c.load,
            side=c.side,
            pulls=(c.pull,) if c.pull else (),
            input=own_thresholds(0.8, 2.0, current_low=c.current_low, current_high=c.current_high),
        ),
    )


def agrees(ours: float, theirs: float) -> bool:
    """Within 2 % or 20 mV."""
    return abs(ours - theirs) <= max(0.02, 0.02 * abs(theirs))


@pytest.mark.parametrize("board", circuits(), ids=lambda c: c.name)
def test_board(board: Circuit, tmp_path: Path, need_tool: Any) -> None:
    """Emitter node, bright level and dark level of one board agree with ngspice within 2 % or 20 mV."""
    program = need_tool("ngspice")
    low_in, high_in = board.current_low, -board.current_high
    lit_in, off_in = (low_in, high_in) if board.side == "collector" else (high_in, low_in)

    point = operating_point(library(board), Corner(temp_c=board.temp_c))
    bright = solve(program, tmp_path, netlist(board, board.bright, 0.0, lit_in))
    dark = solve(program, tmp_path, netlist(board, board.bright * board.dark, board.leak, off_in))

    assert point.forward_current is not None
    ours = board.emitter_supply - point.forward_current * board.resistor
    assert agrees(ours, bright["v(n0)"]), (ours, bright)
    assert agrees(point.bright_v, bright["v(out)"]), (point.bright_v, bright)
    assert agrees(point.dark_v, dark["v(out)"]), (point.dark_v, dark)


def test_the_set_is_wide_enough() -> None:
    """At least 40 boards: both sides, three kinds, four temperatures, one to three emitters in series."""
    boards = circuits()

    assert len(boards) >= 40
    assert {c.side for c in boards} == {"collector", "emitter"}
    assert len({c.kind for c in boards}) == 3
    assert len({c.temp_c for c in boards}) == 4
    assert {c.count for c in boards} == {1, 2, 3}
