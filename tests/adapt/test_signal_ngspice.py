"""Stated levels against ngspice at the worst corner: netlists are written here from the inputs of each case.

The emitter is ngspice's diode, its gap chosen so that VF falls by 1.65 mV/K (middle of -1.3 to -2.0); the detector a
bipolar transistor whose base is fed with the photocurrent, a darlington two of them; the default transfer and
temperature laws are written out as formulas of the rows X10, T5 and T6 of tests/reference/checks.yaml.
"""

from __future__ import annotations

import math
import re
import subprocess
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from adapt.signal_cases import BOARD, Case, solved, triples, wired
from xref.adapt.fit import FitOptions, fit
from xref.adapt.halves_detector import detector_chain
from xref.adapt.halves_two_state import two_state_signal
from xref.adapt.original import from_site
from xref.library.store import open_library
from xref.model.answers.fit import Fit
from xref.model.site import Pads, Site, TwoState
from xref.physics.spread import end_corners
from xref.tasks.signal import with_signal

pytestmark = pytest.mark.ngspice

K0, KELVIN = 298.15, 273.15
VT = 8.617333e-5 * K0
NORMAL, NIGHTLY = 12, 50


def emitter_model(case: Case, ohms: float) -> str:
    """Diode model through the part's own law, with the temperature slope of a real junction."""
    diode = case.link.data.diode
    current = case.link.forward_current(ohms)
    vf = diode.slope * math.log(current / diode.saturation_current)
    gap = vf + 1.65e-3 * K0 - 3 * VT
    return f"D(IS={diode.saturation_current:.9g} N={diode.slope / VT:.9g} RS={diode.ohmic:.9g} EG={gap:.6g} XTI=3)"


def copy(case: Case, number: int, corner: Any, *, lit: bool, light: float, emitter: float, load: float) -> list[str]:
    """One corner in one light state as an island of the netlist; its output is node out<number>."""
    link, n = case.link, number
    detector, board = link.data.detector, link.board
    assert detector is not None
    assert link.transfer is not None
    kelvin = corner.temp_c + KELVIN
    d = corner.temp_c - 25.0
    # row T5: phototransistor +0.97 %/K and +1.5e-5/K2; row T6: emitter -0.9 %/K
    warm = (1 + 0.0097 * d + 1.5e-5 * d * d) * math.exp(-0.009 * d)
    ref = link.transfer.if_ref
    # row X10: transfer ratio in proportion to 1/(1 + (1.17 mA / IF)^0.72)
    scale = light * warm * corner.age / (ref / (1 + (1.17e-3 / ref) ** 0.72))
    supply = board.supply * corner.supply
    leak = 0.0 if lit else detector.dark_25c * 2.7 ** (d / 10)
    collector = board.side == "collector"
    low = lit == collector
    into = link.thresholds.current_low if low else -link.thresholds.current_high
    top, bottom = (f"out{n}", "0") if collector else (f"vcc{n}", f"out{n}")
    lines = [
        f"VE{n} ve{n} 0 {board.emitter_supply * corner.emitter_supply - board.driver_drop - corner.vf_shift}",
        f"RE{n} ve{n} a{n} {(emitter + link.data.built_in_ohm) * corner.emitter_resistor}",
        f"D{n} a{n} s{n} EM temp={corner.temp_c}",
        f"VS{n} s{n} 0 0",
        f"BL{n} 0 lit{n} I = {scale:.9g} * i(VS{n}) / (1 + (1.17e-3 / max(i(VS{n}), 1e-9))^0.72)",
        f"RL{n} lit{n} 0 1k",
        f"VCC{n} vcc{n} 0 {supply}",
        f"RLOAD{n} {f'vcc{n} out{n}' if collector else f'out{n} 0'} {load * corner.load}",
        f"IIN{n} 0 out{n} {into}",
        f"ILEAK{n} {top} {bottom} {leak}",
    ]
    reverse = detector.reverse_gain
    gain = detector.gain_ratio * reverse * (kelvin / K0) ** 1.5
    if detector.kind == "phototransistor":
        lines += [
            f"BB{n} 0 b{n} I = v(lit{n})/1k/{gain:.9g}",
            f"Q{n} {top} b{n} {bottom} PT{n} temp={corner.temp_c}",
            f".model PT{n} NPN(IS={1e-14 / max(gain / 300, 1):.3g} BF={gain:.9g} BR={reverse} EG=1.11 XTI=3)",
        ]
    else:
        second = 100.0
        lines += [
            f"BB{n} 0 b{n} I = v(lit{n})/1k/({second}*({gain:.9g}+1)+{gain:.9g})",
            f"Q{n} {top} b{n} e{n} PT{n} temp={corner.temp_c}",
            f"QQ{n} {top} e{n} {bottom} OT temp={corner.temp_c}",
            f".model PT{n} NPN(IS={1e-16 / max(gain / 300, 1):.3g} BF={gain:.9g} BR={reverse} EG=1.11 XTI=3)",
        ]
    return lines


def levels(case: Case, folder: Path, program: str) -> tuple[float, float]:
    """(highest low level, least high level) over every corner that can be worst, by ngspice."""
    emitter, load = case.ohms("emitter resistor"), case.ohms("load")
    link = case.link
    assert link.transfer is not None
    setup, t = link.setup(emitter, load), link.transfer
    corners = end_corners(setup, link.ranges)
    lines = ["* every corner of one board", ".options tnom=25 gmin=1e-19 abstol=1e-16 reltol=1e-5"]
    number = 0
    for corner in corners:
        value = t.low if corner.part == "low" else t.high
        for lit in (True, False):
            light = value * (t.bright * corner.target if lit else t.dark * corner.stray)
            lines += copy(case, number, corner, lit=lit, light=light, emitter=emitter, load=load)
            number += 1
    lines += [
        f".model EM {emitter_model(case, emitter)}",
        f".model OT NPN(IS={1e-3 * math.exp(-0.65 / VT)} BF=100 BR=1 EG=1.11 XTI=3)",
        ".control", "op", *(f"print v(out{n})" for n in range(number)), ".endc", ".end", "",
    ]  # fmt: skip
    path = folder / "board.cir"
    path.write_text("\n".join(lines))
    done = subprocess.run([program, "-b", str(path)], capture_output=True, text=True, timeout=60, check=False)
    found = dict(re.findall(r"^v\(out(\d+)\) = (\S+)$", done.stdout, re.MULTILINE))
    assert len(found) == number, done.stdout[-600:] + done.stderr[-600:]
    lit = [float(found[str(n)]) for n in range(0, number, 2)]
    dark = [float(found[str(n)]) for n in range(1, number, 2)]
    return (max(lit), min(dark)) if link.board.side == "collector" else (max(dark), min(lit))


def agrees(stated: float, simulated: float) -> bool:
    """Within 3 % or 30 mV, whichever is more."""
    return abs(stated - simulated) <= max(0.03, 0.03 * abs(simulated))


def check(case: Case, folder: Path, program: str) -> None:
    """Both stated levels of one case."""
    signal = case.answer.signal
    assert signal is not None
    assert signal.low_max_v is not None
    assert signal.high_min_v is not None
    low, high = levels(case, folder, program)
    assert agrees(signal.low_max_v, low), (case.name, signal.low_max_v, low)
    assert agrees(signal.high_min_v, high), (case.name, signal.high_min_v, high)


@pytest.mark.parametrize("number", range(NORMAL))
def test_stated_levels(number: int, tmp_path: Path, need_tool: Any) -> None:
    """Worst low and worst high of a shipped triple agree with ngspice within 3 % or 30 mV."""
    check(triples(NORMAL)[number], tmp_path, need_tool("ngspice"))


@pytest.mark.nightly
@pytest.mark.parametrize("number", range(NIGHTLY))
def test_stated_levels_of_fifty(number: int, tmp_path: Path, need_tool: Any) -> None:
    """The same for fifty triples."""
    check(triples(NIGHTLY)[number], tmp_path, need_tool("ngspice"))


def test_the_set_is_wide_enough() -> None:
    """Both load sides, single and darlington, reflective and slotted, and no donor alone makes up the set."""
    cases = triples(NORMAL)

    assert {case.site.output.load_side for case in cases} == {"C", "E"}
    assert {case.donor.output for case in cases} == {"phototransistor", "photodarlington"}
    assert {case.donor.kind for case in cases} == {"reflective", "slotted"}
    assert len({case.donor.name for case in cases}) >= 6


def staged(case: Case, folder: Path, program: str) -> tuple[float, float]:
    """(low, high) at the board's input behind a logic output with one added transistor, by ngspice.

    The output is its printed VOL behind 1 ohm when low, and only its leak when high; the transistor is an ordinary one
    at the least gain that the answer asks for.
    """
    logic, limits = case.link.data.logic, case.link.thresholds
    assert logic is not None
    base = next(item for item in case.answer.added if item.what == "resistor")
    pull = next((item.value_ohm for item in case.answer.added if item.what == "pull-up resistor"), logic.pull_up)
    lines, number = ["* inverter behind a logic output", ".options tnom=25"], 0
    for rail in (4.75, 5.25):
        for low in (True, False):
            n = number
            number += 1
            into = -limits.current_high if low else limits.current_low
            lines += [f"VCC{n} vcc{n} 0 {rail}", f"RB{n} o{n} b{n} {base.value_ohm}", f"Q{n} out{n} b{n} 0 NPN",
                      f"RLOAD{n} vcc{n} out{n} {(case.site.output.load or 0.0) * (0.95 if not low else 1.05)}",
                      f"IIN{n} 0 out{n} {into}"]  # fmt: skip
            if logic.kind == "totem-pole":
                lines += [f"VO{n} o{n} 0 {logic.vol_max if low else logic.voh_min}"]
                continue
            lines += [f"RP{n} vcc{n} o{n} {pull}", f"IL{n} o{n} 0 {0.0 if low else logic.leak_max}"]
            if low:
                lines += [f"VO{n} v{n} 0 {logic.vol_max}", f"RO{n} o{n} v{n} 1"]
    lines += [".model NPN NPN(IS=1e-14 BF=100 BR=1)", ".control", "op",
              *(f"print v(out{n})" for n in range(number)), ".endc", ".end", ""]  # fmt: skip
    path = folder / "stage.cir"
    path.write_text("\n".join(lines))
    done = subprocess.run([program, "-b", str(path)], capture_output=True, text=True, timeout=30, check=False)
    found = [float(v) for v in re.findall(r"^v\(out\d+\) = (\S+)$", done.stdout, re.MULTILINE)]
    assert len(found) == 4, done.stdout[-600:]
    return max(found[1], found[3]), min(found[0], found[2])


LOADS = [("74HC14", 2200.0), ("74HC14", 10e3), ("TTL", 10e3)]


@pytest.mark.parametrize(("family", "load"), LOADS)
@pytest.mark.parametrize("output", ["logic-open-collector", "logic-totem-pole", "logic-pull-up"])
def test_added_inverter(output: str, family: str, load: float, tmp_path: Path, need_tool: Any) -> None:
    """A logic donor of the wrong sense with its transistor: the stated low is never passed, the high within 3 %."""
    program = need_tool("ngspice")
    site = replace(BOARD, output=replace(BOARD.output, input=family, load=load))
    donor = next(p for p in wired("slotted", output) if p.logic == "high-when-lit" and p.detector.ift_ma is not None)
    case = solved(open_library().get("H21A1"), donor, site)
    assert case is not None
    signal = case.answer.signal
    assert signal is not None
    assert case.answer.added
    assert signal.low_max_v is not None
    assert signal.high_min_v is not None

    # OPB930L prints only VF max 1.7 V: with such a piece the threshold of 15 mA is not sure, so that is not decided
    assert signal.clean is (None if output == "logic-totem-pole" else True)
    low, high = staged(case, tmp_path, program)

    assert low <= signal.low_max_v + 0.03, (case.answer.added, low)
    assert agrees(signal.high_min_v, high), (signal, high)


def printed(text: str, names: list[str], folder: Path, program: str) -> list[float]:
    """What ngspice prints for these expressions at the working point of a netlist."""
    path = folder / "half.cir"
    path.write_text("\n".join([text, ".control", "op", *(f"print {name}" for name in names), ".endc", ".end", ""]))
    done = subprocess.run([program, "-b", str(path)], capture_output=True, text=True, timeout=30, check=False)
    found = dict(re.findall(r"^(\S+) = (\S+)$", done.stdout, re.MULTILINE))
    assert set(names) <= set(found), done.stdout[-600:] + done.stderr[-600:]
    return [float(found[name]) for name in names]


@pytest.mark.parametrize("side", ["C", "E"])
@pytest.mark.parametrize("name", ["QSD123", "LTR-301"])
def test_lone_detector(name: str, side: str, tmp_path: Path, need_tool: Any) -> None:
    """Worst levels of a lone detector in the light of its sheet, dark with its leak at 45 C, at all ends."""
    program = need_tool("ngspice")
    output = replace(BOARD.output, load_side=side, lit="low" if side == "C" else "high")  # type: ignore[arg-type]
    pads = Pads(
        map="C E", grid=(2.54, 2.54), nets={"C": "OUT" if side == "C" else "5V", "E": "0V" if side == "C" else "OUT"}
    )
    site = Site(kind="detector", pads=pads, output=output, temperature=(10.0, 45.0), safety="none")
    donor = open_library().get(name)
    original = from_site(site)
    answer = with_signal(fit(original, donor, FitOptions()), original, donor, site, change=None, series="E24")
    load = next((value.now_ohm for value in answer.values), 10e3)
    value = donor.detector.light_current_ma
    detector = detector_chain(donor, site).data.detector
    assert value is not None
    assert value.min is not None
    assert detector is not None
    lines, number = ["* lone detector", ".options tnom=25 gmin=1e-15"], 0
    for lit in (True, False):
        for rail in (0.95, 1.05):
            for size in (0.95, 1.05):
                for temp in (10.0, 45.0):
                    n = number
                    number += 1
                    top, bottom = (f"out{n}", "0") if side == "C" else (f"vcc{n}", f"out{n}")
                    gain = detector.gain_ratio * ((temp + KELVIN) / K0) ** 1.5
                    low = lit == (side == "C")
                    leak = 0.0 if lit else detector.dark_25c * 2.7 ** ((temp - 25) / 10)
                    lines += [
                        f"VCC{n} vcc{n} 0 {5 * rail}",
                        f"RL{n} {f'vcc{n} out{n}' if side == 'C' else f'out{n} 0'} {load * size}",
                        f"IIN{n} 0 out{n} {1e-6 if low else -1e-6}",
                        f"ILEAK{n} {top} {bottom} {leak}",
                        f"IB{n} 0 b{n} {0.7 * value.min * 1e-3 / gain if lit else 0.0}",
                        f"Q{n} {top} b{n} {bottom} PT{n} temp={temp}",
                        f".model PT{n} NPN(IS=1e-14 BF={gain} BR={detector.reverse_gain} EG=1.11 XTI=3)",
                    ]
    found = printed("\n".join(lines), [f"v(out{n})" for n in range(number)], tmp_path, program)
    lit_v, dark_v = found[: number // 2], found[number // 2 :]
    low, high = (max(lit_v), min(dark_v)) if side == "C" else (max(dark_v), min(lit_v))

    assert answer.signal is not None
    assert answer.signal.low_max_v is not None
    assert answer.signal.high_min_v is not None
    assert agrees(answer.signal.low_max_v, low), (answer.signal, low)
    assert agrees(answer.signal.high_min_v, high), (answer.signal, high)


@pytest.mark.parametrize("name", ["IR333-A", "TSAL6200", "QED123"])
def test_lone_emitter(name: str, tmp_path: Path, need_tool: Any) -> None:
    """Least and largest emitter current against ngspice's diode at the ends of supply, resistor, VF, temperature.

    The highest VF is the maximum of each sheet, here its distance from the typical one of the same row.
    """
    program = need_tool("ngspice")
    pads = Pads(map="A K", grid=(2.54, 2.54))
    site = Site(kind="emitter", pads=pads, emitter=BOARD.emitter, temperature=(10.0, 45.0), safety="none")
    donor = open_library().get(name)
    original = from_site(site)
    answer = with_signal(fit(original, donor, FitOptions()), original, donor, site, change=(), series="E24")
    case = Case(0, original, donor, site, answer)
    row = next(v for v in donor.emitter.vf_v if v.max and v.at["if_ma"] <= 100)
    usual = row.typ if row.typ is not None else case.link.data.diode.vf(row.at["if_ma"] * 1e-3)
    up = (row.max or 0.0) - usual
    lines = ["* lone emitter", ".options tnom=25"]
    for n, (sign, temp) in enumerate(((-1, 10.0), (1, 45.0))):
        lines += [f"VE{n} ve{n} 0 {5 * (1 + 0.05 * sign) + (0.05 if sign > 0 else -up)}",
                  f"RE{n} ve{n} a{n} {220 * (1 - 0.05 * sign)}",
                  f"D{n} a{n} s{n} EM temp={temp}", f"VS{n} s{n} 0 0"]  # fmt: skip
    lines.append(f".model EM {emitter_model(case, 220.0)}")
    low, high = printed("\n".join(lines), ["i(vs0)", "i(vs1)"], tmp_path, program)

    assert answer.signal is not None
    assert answer.signal.emitter_ma is not None
    assert answer.signal.emitter_ma[0] == pytest.approx(low * 1e3, rel=0.03)
    assert answer.signal.emitter_ma[1] == pytest.approx(high * 1e3, rel=0.03)


@pytest.mark.parametrize("side", ["C", "E"])
def test_two_state_resistor(side: str, tmp_path: Path, need_tool: Any) -> None:
    """Levels of a light-dependent cell on its divider with the input's current, at all ends."""
    program = need_tool("ngspice")
    output = replace(BOARD.output, load=22e3, load_side=side, lit="low" if side == "C" else "high", input="74LS14")  # type: ignore[arg-type]
    site = Site(kind="two-state resistor", output=output, two_state=TwoState(lit=1e3, dark=2e5), safety="none")
    plain = Fit(original="o", donor="d", kind=site.kind, possible=True)
    signal = two_state_signal(plain, site, change=(), series="E24").signal
    lines, number = ["* divider"], 0
    for ohms in (1e3, 2e5):
        for rail in (0.95, 1.05):
            for size in (0.95, 1.05):
                n = number
                number += 1
                low = (ohms == 1e3) == (side == "C")
                up, down = (22e3 * size, ohms) if side == "C" else (ohms, 22e3 * size)
                lines += [f"VCC{n} vcc{n} 0 {5 * rail}", f"RU{n} vcc{n} out{n} {up}", f"RD{n} out{n} 0 {down}",
                          f"IIN{n} 0 out{n} {0.4e-3 if low else -20e-6}"]  # fmt: skip
    found = printed("\n".join(lines), [f"v(out{n})" for n in range(number)], tmp_path, program)
    lows, highs = (found[:4], found[4:]) if side == "C" else (found[4:], found[:4])

    assert signal is not None
    assert signal.low_max_v == pytest.approx(max(lows), abs=0.03)
    assert signal.high_min_v == pytest.approx(min(highs), abs=0.03)
