"""Thousands of broken command lines, files and answers: one honest line and a documented exit code, whatever comes.

5,000 inputs in the normal run, 200,000 with ``-m nightly``. A failure names its kind and number: ``one(kind, number)``
makes the same input again.
"""

from __future__ import annotations

import random
import resource
import shutil
from pathlib import Path

import pytest

from tests.faults import inputs
from tests.faults.harness import Outcome, Typed, faults, run

KINDS = {"lines": 2400, "files": 1900, "prompts": 700}
"""Inputs of each kind in the normal run: 5,000."""
BLOCKS = 5
NIGHTLY = 40
"""The nightly run has this many times as many."""
MEMORY_MB = 500


class Place:
    """A home and a working folder several levels deep, made fresh now and then."""

    def __init__(self, root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.root, self.home, self.work = root, root / "home", root / "a" / "b" / "work"
        monkeypatch.setenv("XREF_HOME", str(self.home))
        monkeypatch.setenv("HOME", str(root / "nobody"))
        self.fresh()
        monkeypatch.chdir(self.work)

    def fresh(self) -> None:
        """Forget what earlier inputs left, but for the compiled index."""
        for folder in ("parts", "sessions", "records"):
            shutil.rmtree(self.home / folder, ignore_errors=True)
        for path in self.home.glob("*.*"):
            path.unlink()
        self.work.mkdir(parents=True, exist_ok=True)
        for path in self.work.iterdir():
            shutil.rmtree(path) if path.is_dir() else path.unlink()
        for path in inputs.EXAMPLES.glob("*.yaml"):
            shutil.copy(path, self.work)
        (self.work / "part.yaml").write_text(inputs.part_files()[0])
        (self.work / "table.csv").write_text(inputs.TABLE)


def one(kind: str, number: int, work: Path) -> Outcome:
    """Run input ``number`` of a kind."""
    rng = random.Random(f"{kind} {number}")
    if kind == "lines":
        return run(inputs.command_line(rng), Typed("", tty=rng.random() < 0.1))
    if kind == "files":
        name, text, args = rng.choice(inputs.file_cases())
        (work / name).write_bytes(inputs.damaged_file(text, rng))
        return run([*args, *(["--json"] if rng.random() < 0.2 and "--json" not in args else [])])
    args, typed, stop = inputs.dialogue(rng)
    return run(args, Typed(typed, tty=rng.random() < 0.5, stop_at=stop))


def attack(kind: str, numbers: range, place: Place) -> list[str]:
    """Run inputs and list what went wrong."""
    wrong = []
    for count, number in enumerate(numbers):
        if count % 50 == 0:
            place.fresh()
        done = one(kind, number, place.work)
        bad = faults(done, home=place.home, work=place.root)
        if bad:
            wrong.append(f"{kind} {number}: {done.args!r:.300}: {'; '.join(bad)}")
    return wrong


def peak_mb() -> float:
    """Most memory that this process ever had."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


@pytest.mark.parametrize("block", range(BLOCKS))
@pytest.mark.parametrize("kind", KINDS)
def test_broken_input(kind: str, block: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No traceback, no hang, a documented code, harmless output, nothing written that was not asked for."""
    size = KINDS[kind] // BLOCKS
    before = peak_mb()

    wrong = attack(kind, range(block * size, (block + 1) * size), Place(tmp_path, monkeypatch))

    assert not wrong, "\n".join(wrong[:40])
    assert peak_mb() < max(before, MEMORY_MB)


@pytest.mark.nightly
@pytest.mark.parametrize("block", range(NIGHTLY))
@pytest.mark.parametrize("kind", KINDS)
def test_broken_input_all_night(kind: str, block: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same with 200,000 inputs."""
    size = KINDS[kind]
    before = peak_mb()

    wrong = attack(kind, range(block * size, (block + 1) * size), Place(tmp_path, monkeypatch))

    assert not wrong, "\n".join(wrong[:40])
    assert peak_mb() < max(before, MEMORY_MB)
