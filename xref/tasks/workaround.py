"""The one call behind ``xref workaround``: read, plan (or judge the user's plan), rewire for the drawing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from xref.adapt.workaround import check_plan, plan
from xref.adapt.workaround_wiring import rewired
from xref.errors import DataError, UsageError
from xref.job.network_file import load_network
from xref.model.answers.workaround import WorkaroundAnswer
from xref.model.network import Network
from xref.physics.logic_input import family_thresholds

MOST = 4
"""More changes than this are a new circuit, not a workaround."""


def with_levels(network: Network, where: str) -> tuple[Network, tuple[str, ...]]:
    """Fill in the levels of inputs whose chip or family is named; levels that the file states stay.

    Returns:
        the network, and one line for each input with the levels taken and their source

    Raises:
        DataError: a family that nobody knows
    """
    inputs, lines = dict(network.inputs), []
    supplies = sorted(network.supplies.values(), reverse=True)
    for name, entry in network.inputs.items():
        if not entry.input or (entry.low_below is not None and entry.high_above is not None):
            continue
        try:
            tried = [family_thresholds(entry.input, supply) for supply in supplies if supply > 0]
        except DataError as error:
            raise DataError(f"inputs.{name}.input: {error.message}", where) from None
        limits = next((each for each in tried if each.valid), None)
        if limits is None:
            raise DataError(f"inputs.{name}.input: {entry.input} does not work from any supply of the file", where)
        low = limits.vil if entry.low_below is None else entry.low_below
        high = limits.vih if entry.high_above is None else entry.high_above
        inputs[name] = replace(entry, low_below=low, high_above=high)
        lines.append(
            f"input {name} ({entry.input} at {limits.supply:g} V): low up to {low:g} V, high from {high:g} V, "
            f"its own current not counted; {limits.source}"
        )
    return replace(network, inputs=inputs), tuple(lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class Workaround:
    """The answer, the network as it is, and as it would be after each option (for drawings)."""

    answer: WorkaroundAnswer
    before: Network
    after: tuple[Network, ...]


def workaround(path: str | Path, *, max_actions: int = 3, tried: tuple[str, ...] = (), show: int = 5) -> Workaround:
    """Plan a workaround for the network of a file.

    Args:
        path: network file
        max_actions: largest number of changes in one plan, 1 to 4
        tried: the user's own plan; when given, only it is judged
        show: how many plans at most

    Raises:
        DataError: the file is wrong, or the machine in it does not run even with every sensor alive
        SafetyRefusal: a safety element would be touched
        NoSolution: proved, there is none
        UsageError: max_actions out of range, or a change of ``tried`` that this network does not have
    """
    if not 1 <= max_actions <= MOST:
        raise UsageError(f"{max_actions} changes: expected 1 to {MOST}", "--max-actions")
    network, levels = with_levels(load_network(path), str(path))
    answer = check_plan(network, tried) if tried else plan(network, max_actions, show=show)
    answer = replace(answer, assumed=(*levels, *answer.assumed))
    after = tuple(rewired(network, option.actions) for option in answer.options)
    return Workaround(answer=answer, before=network, after=after)
