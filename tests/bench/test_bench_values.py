"""How long levels and values of one pair take, and the full E24 x E24 table for the same question."""

from __future__ import annotations

import random
import statistics
import time
from itertools import product

import pytest
from adapt.signal_cases import BOARD, board

from xref.adapt.electrical import electrics
from xref.adapt.fit import FitOptions, fit
from xref.adapt.original import from_part
from xref.adapt.signal import chain
from xref.adapt.values import LOADS
from xref.library.store import open_library
from xref.physics.corners import worst_reserves
from xref.physics.standard_values import values_between
from xref.tasks.signal import with_signal

PAIRS = 100
TARGET_S = 0.050


@pytest.mark.bench
def test_a_pair_with_values_is_fast() -> None:
    """Median of a pair below 50 ms of processor time: lead map, values, levels, stages and both checks.

    Beside it, measured in the same run: one E24 x E24 table of reserves without any short cut, on one of the pairs.
    """
    parts = [p for p in open_library().parts() if p.geometry.wired and p.kind in ("reflective", "slotted")]
    rng = random.Random(3)
    maps, values, whole = [], [], []
    while len(whole) < PAIRS:
        donor = rng.choice(parts)
        original = rng.choice([p for p in parts if p.kind == donor.kind])
        site = board(donor.kind, rng, "C")
        there = from_part(original, site)
        start = time.process_time()
        plain = fit(there, donor, FitOptions())
        middle = time.process_time()
        if not plain.possible:
            continue
        with_signal(plain, there, donor, site, change=None, series="E24", part=original)
        end = time.process_time()
        maps.append(middle - start)
        values.append(end - middle)
        whole.append(end - start)
    link = chain(electrics(open_library().get("H21A1")), BOARD)
    start = time.process_time()
    for emitter, load in product(values_between(120.0, 3900.0), values_between(*LOADS)):
        worst_reserves(link.setup(emitter, load), link.ranges)
    table = time.process_time() - start
    mine = statistics.median(whole)
    print(f"\nfit with values: median {mine * 1e3:.1f} ms, worst {max(whole) * 1e3:.0f} ms over {len(whole)} pairs")
    print(f"of it: lead map {statistics.median(maps) * 1e3:.1f} ms, values {statistics.median(values) * 1e3:.1f} ms")
    print(f"full E24 x E24 table: {table * 1e3:.0f} ms, {table / statistics.median(values):.0f} times the values")
    assert mine < TARGET_S
