"""Node voltages of the small circuit against ngspice."""

from __future__ import annotations

import random
import re
import subprocess
from pathlib import Path

import pytest

from xref.adapt.verify_network import _solved
from xref.adapt.workaround_circuit import EMITTER_OHM, node_voltages

pytestmark = pytest.mark.ngspice


def random_circuit(seed: int):
    """Four nodes and two supplies: two detectors in parallel, one leaking, and one feed for two emitters."""
    rng = random.Random(seed)
    fixed = [5.0, 0.0]
    branches = []
    for node in range(3):
        branches.append((node, -1, 1 / rng.choice((1e3, 4.7e3, 1e4, 1e5))))
    for _ in range(rng.randint(1, 3)):
        one, two = rng.sample(range(4), 2)
        branches.append((one, two, 1 / rng.choice((220.0, 1e4, 1e6))))
    branches.append((1, -2, 1 / 300.0))
    branches.append((1, -2, 1 / rng.choice((3e3, 2.2e5, 2e6))))
    branches.append((3, -1, 1 / rng.choice((180.0, 330.0))))
    diodes = [(3, -2, 1.2), (3, -2, 1.2)]
    if rng.random() < 0.5:
        diodes[1] = (3, -2, 1.15)
    return fixed, branches, diodes


def in_ngspice(tool: str, folder: Path, fixed, branches, diodes) -> list[float]:
    """Volts of the four nodes; an emitter is a source and a resistor behind an ideal switch (1 uohm on, 1 Tohm off)."""

    def name(node: int) -> str:
        return f"n{node}" if node >= 0 else f"f{-1 - node}"

    lines = ["network"]
    lines += [f"V{i} f{i} 0 {volts}" for i, volts in enumerate(fixed)]
    lines += [f"R{i} {name(a)} {name(b)} {1 / g:.12g}" for i, (a, b, g) in enumerate(branches)]
    for i, (anode, cathode, vf) in enumerate(diodes):
        a, c = name(anode), name(cathode)
        lines.append(f"B{i} {a} {c} I = max(V({a}) - V({c}) - {vf}, 0) / {EMITTER_OHM}")
    lines += [".options reltol=1e-9 vntol=1e-9 abstol=1e-15 gmin=1e-15", ".control", "op"]
    lines += [f"print v(n{i})" for i in range(4)] + [".endc", ".end"]
    deck = folder / "deck.cir"
    deck.write_text("\n".join(lines) + "\n")
    out = subprocess.run([tool, "-b", str(deck)], capture_output=True, text=True, timeout=60, check=False).stdout
    found = dict(re.findall(r"v\((n\d)\) = (\S+)", out))
    return [float(found[f"n{i}"]) for i in range(4)]


@pytest.mark.parametrize("seed", range(12))
def test_levels_agree_with_ngspice(seed: int, need_tool, tmp_path: Path) -> None:
    """Two detectors in parallel, a leak, and one current for two emitters: within 1 mV of ngspice (Debian package)."""
    fixed, branches, diodes = random_circuit(seed)

    expected = in_ngspice(need_tool("ngspice"), tmp_path, fixed, branches, diodes)

    volts, amps = node_voltages(4, branches, diodes, fixed)
    assert volts == pytest.approx(expected, abs=1e-3)
    assert sum(amps) == pytest.approx((5 - expected[3]) * branches[-1][2] + _into(3, branches[:-1], expected), abs=1e-5)


def _into(node: int, branches, volts) -> float:
    """Current from the other free nodes into a node [A]."""
    return sum((volts[b if a == node else a] - volts[node]) * g for a, b, g in branches if node in (a, b))


@pytest.mark.parametrize("seed", range(12))
def test_the_verifier_has_its_own_solution_and_agrees_with_ngspice(seed: int, need_tool, tmp_path: Path) -> None:
    """The verifier's circuit is other code: it must meet ngspice by itself."""
    fixed, branches, diodes = random_circuit(seed)
    expected = in_ngspice(need_tool("ngspice"), tmp_path, fixed, branches, diodes)
    rails = {10: 5.0, 11: 0.0}

    def node(number: int) -> int:
        return number if number >= 0 else 9 - number

    ohms = [(node(a), node(b), 1 / g) for a, b, g in branches]

    volts = _solved([0, 1, 2, 3], rails, ohms, [(node(a), node(c), vf) for a, c, vf in diodes])

    assert [volts[i] for i in range(4)] == pytest.approx(expected, abs=1e-3)


def test_two_emitters_on_one_resistor_share_its_current() -> None:
    """By hand: 5 V, 190 ohm, two emitters of 1.2 V and 5 ohm: 3.8 V / (190 + 2.5) ohm, half each."""
    volts, amps = node_voltages(1, [(0, -1, 1 / 190)], [(0, -2, 1.2), (0, -2, 1.2)], [5.0, 0.0])

    assert amps == pytest.approx([3.8 / 192.5 / 2] * 2, rel=1e-6)
    assert volts[0] == pytest.approx(1.2 + 3.8 / 192.5 * 2.5, rel=1e-6)
