"""The one call behind ``xref workaround``: read, plan (or judge the user's plan), rewire for the drawing."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from xref.adapt.workaround import check_plan, plan
from xref.adapt.workaround_wiring import rewired
from xref.errors import UsageError
from xref.job.network_file import load_network
from xref.model.answers.workaround import WorkaroundAnswer
from xref.model.network import Network

MOST = 4
"""More changes than this are a new circuit, not a workaround."""


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
    network = load_network(path)
    answer = check_plan(network, tried) if tried else plan(network, max_actions, show=show)
    after = tuple(rewired(network, option.actions) for option in answer.options)
    return Workaround(answer=answer, before=network, after=after)
