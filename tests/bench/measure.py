"""Medians and tables for the measurements: every figure beside a reference measured in the same run."""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import time
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple


class Spent(NamedTuple):
    """Medians of one thing measured: by the wall, and by the processor, which a busy machine disturbs less."""

    wall: float
    cpu: float


def processes(
    commands: Mapping[str, Sequence[str]], env: Mapping[str, str], *, repeats: int = 15, cwd: str | None = None
) -> dict[str, Spent]:
    """Run the commands in turn, so that a busy moment hits all alike; medians in seconds. The first turn warms up."""
    clean = {key: text for key, text in env.items() if key != "PYTHONDONTWRITEBYTECODE"}
    found: dict[str, list[Spent]] = {name: [] for name in commands}
    for turn in range(repeats + 1):
        for name, command in commands.items():
            spent = _one(command, clean, cwd)
            if turn:
                found[name].append(spent)
    return {
        name: Spent(*(statistics.median(values) for values in zip(*all_, strict=True))) for name, all_ in found.items()
    }


def _one(command: Sequence[str], env: Mapping[str, str], cwd: str | None) -> Spent:
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run(command, env=env, cwd=cwd, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, check=False)
    wall, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    assert done.returncode == 0, (command, done.stderr[-500:])
    return Spent(wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)


def timed(work: Callable[[], object], repeats: int = 5) -> float:
    """Median processor time of one call [s]; the first call warms up."""
    work()
    times = []
    for _ in range(repeats):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return statistics.median(times)


def show(title: str, head: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
    """Print a table."""
    texts = [[str(cell) for cell in row] for row in (head, *rows)]
    sizes = [max(len(row[i]) for row in texts) for i in range(len(head))]
    print(f"\n{title} ({os.cpu_count()} cores, load {os.getloadavg()[0]:.1f})")
    for row in texts:
        print(
            "  "
            + "  ".join(
                cell.rjust(size) if i else cell.ljust(size)
                for i, (cell, size) in enumerate(zip(row, sizes, strict=True))
            )
        )
