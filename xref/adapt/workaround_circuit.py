"""A small circuit of resistors, switched outputs and emitters: node voltages, with nothing but plain arithmetic.

Contacts and jumpers join nodes without resistance; an emitter is its forward voltage plus a small resistance.
"""

from __future__ import annotations

from itertools import product

EMITTER_OHM = 5.0
"""Slope resistance of a forward emitter, assumed; with a series resistor it hardly matters."""

LEAK_S = 1e-12
"""A conductance to 0 V at each node so that a floating node has a number; floating itself is found by search."""

Branch = tuple[int, int, float]
"""node, node, conductance [S]; a negative node is a fixed potential: -1 - index into the list of potentials."""

Diode = tuple[int, int, float]
"""anode node, cathode node, forward voltage [V]."""


def node_voltages(
    count: int, branches: list[Branch], diodes: list[Diode], fixed: list[float]
) -> tuple[list[float], list[float]]:
    """Return (voltage of each node [V], current of each diode [A]).

    Args:
        count: number of free nodes
        branches: resistors, open ones left out [S]
        diodes: emitters, forward voltage [V]
        fixed: the fixed potentials [V]

    Valid: any network of these elements; it has exactly one solution because every element's current only rises.
    Source: node analysis (Kirchhoff's current law at each node).
    """
    guesses = [tuple(True for _ in diodes), tuple(False for _ in diodes)]
    for states in [*guesses, *product((True, False), repeat=len(diodes))]:
        volts = _solve(count, branches, [d for d, on in zip(diodes, states, strict=True) if on], fixed)

        def at(node: int, volts: list[float] = volts) -> float:
            return volts[node] if node >= 0 else fixed[-1 - node]

        over = [at(anode) - at(cathode) - vf for anode, cathode, vf in diodes]
        if all((excess >= -1e-9) if on else (excess <= 1e-9) for excess, on in zip(over, states, strict=True)):
            return volts, [excess / EMITTER_OHM if on else 0.0 for excess, on in zip(over, states, strict=True)]
    raise AssertionError("a network of rising elements always has one solution")


def _solve(count: int, branches: list[Branch], forward: list[Diode], fixed: list[float]) -> list[float]:
    rows = [[0.0] * (count + 1) for _ in range(count)]
    for node in range(count):
        rows[node][node] = LEAK_S
    loads = [(a, b, g, 0.0) for a, b, g in branches] + [(a, c, 1 / EMITTER_OHM, vf) for a, c, vf in forward]
    for a, b, g, drop in loads:
        for here, there, sign in ((a, b, 1.0), (b, a, -1.0)):
            if here < 0:
                continue
            rows[here][here] += g
            rows[here][count] += g * drop * sign
            if there >= 0:
                rows[here][there] -= g
            else:
                rows[here][count] += g * fixed[-1 - there]
    return _eliminated(rows, count)


def _eliminated(rows: list[list[float]], count: int) -> list[float]:
    if count == 1:
        return [rows[0][1] / rows[0][0]]
    for pivot in range(count):
        best = max(range(pivot, count), key=lambda row: abs(rows[row][pivot]))
        rows[pivot], rows[best] = rows[best], rows[pivot]
        for row in range(pivot + 1, count):
            factor = rows[row][pivot] / rows[pivot][pivot]
            if factor:
                for column in range(pivot, count + 1):
                    rows[row][column] -= factor * rows[pivot][column]
    result = [0.0] * count
    for row in range(count - 1, -1, -1):
        rest = sum(rows[row][column] * result[column] for column in range(row + 1, count))
        result[row] = (rows[row][count] - rest) / rows[row][row]
    return result
