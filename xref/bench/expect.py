"""What to read at each point of this board before anything is measured: good, weak and dead."""

from __future__ import annotations

import random

from xref.bench.causes import Fault
from xref.bench.circuit import Circuit, Seen, draw
from xref.model.answers.assess import ExpectAnswer, ExpectRow

DRAWS = 200

CAUTIONS = (
    "covers and moving parts: keep clear, one hand, clip the leads on with the power off",
    "mains and charged capacitors inside: leave those areas to a licensed person",
    "solvents and vapour at a wet-lab machine: no sparks, ventilate",
)
"""Of every reading in the running machine; what one step alone needs stands at its row."""


def expect(circuit: Circuit, *, assumed: tuple[str, ...] = (), basis: str = "derived", seed: int = 1) -> ExpectAnswer:
    """The table of readings for a board.

    Args:
        circuit: nominal values of board and part
        assumed: what was assumed, in words
        basis: weakest basis of the values
        seed: of the drawn machines

    Returns:
        one row a point and state of the target, with ranges for a good, weak and dead part
    """
    rng = random.Random(seed)
    good = [draw(circuit, Fault(), rng, levels_fine=True) for _ in range(DRAWS)]
    weak = [draw(circuit, Fault(light=(0.05, 0.4)), rng) for _ in range(DRAWS)]
    no_light = [draw(circuit, Fault(emitter="open"), rng) for _ in range(DRAWS)]
    no_detector = [draw(circuit, Fault(detector="open"), rng) for _ in range(DRAWS)]
    shorted = [draw(circuit, Fault(emitter="short"), rng) for _ in range(DRAWS)]
    out = ("output pin", "0V")
    rows = (
        ExpectRow(
            point="supply at the sensor", state="any", red_probe="supply pin", black_probe="0V",
            good=_range(good, "supply"), weak="-", dead=f"under {0.8 * circuit.supply:.1f} V: the fault lies before",
            meter="V dc",
        ),
        ExpectRow(
            point="across the emitter", state="any", red_probe="anode", black_probe="cathode",
            good="; ".join(filter(None, (_range(good, "emitter"), circuit.vf_basis))),
            weak="the same: volts do not show a weak emitter",
            dead=f"open: {_range(no_light, 'emitter')}; shorted: {_range(shorted, 'emitter')}", meter="V dc",
            caution="to see whether it glows use a phone camera; never look into an emitter from near",
        ),
        ExpectRow(
            point="across the emitter resistor", state="any", red_probe="supply end", black_probe="other end",
            good=_range(good, "emitter_resistor"), weak="the same",
            dead=f"emitter open: {_range(no_light, 'emitter_resistor')}", meter="V dc",
        ),
        ExpectRow(
            point="output", state="bright target or open slot", red_probe=out[0], black_probe=out[1],
            good=_range(good, "lit"), weak=_range(weak, "lit"),
            dead=_range([*no_light, *no_detector], "lit"), meter="V dc",
        ),
        ExpectRow(
            point="output", state="dark target or flag in", red_probe=out[0], black_probe=out[1],
            good=_range(good, "dark"), weak=_range(weak, "dark"), dead=_range([*no_light, *no_detector], "dark"),
            meter="V dc",
        ),
        ExpectRow(
            point="detector, loose part", state="lit with a lamp", red_probe="collector", black_probe="emitter lead",
            good="falls when lit (often some kohm and less)", weak="falls little", dead="no change",
            meter="ohms; plus lead on the collector", caution="an incandescent lamp or the sun, no laser as a torch",
        ),
    )  # fmt: skip
    return ExpectAnswer(rows=rows, cautions=CAUTIONS, assumed=assumed, basis=basis)


def _range(machines: list[Seen], name: str) -> str:
    """The span that nine of ten drawn machines show."""
    values = sorted(getattr(machine, name) for machine in machines)
    low, high = values[len(values) // 20], values[-1 - len(values) // 20]
    return f"{low:.2f} V" if high - low < 0.005 else f"{low:.2f} to {high:.2f} V"
