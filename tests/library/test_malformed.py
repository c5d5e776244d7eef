"""300 malformed part files: each named in one line, quickly and in little memory."""

from __future__ import annotations

import json
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.library.malformed import COUNT, malformed
from tests.library.samples import GOOD, PINOUTS, SWITCH
from xref.library.check import check_file, check_text

SECONDS = 2.0
MEGABYTES = 200

MEASURE = """
import json, sys, time
from pathlib import Path
from tests.library.samples import PINOUTS
from xref.library.check import check_file
found = []
for name in sorted(Path(sys.argv[1]).iterdir()):
    start = time.perf_counter()
    _, problems = check_file(name, PINOUTS)
    found.append((name.name, time.perf_counter() - start, [str(problem) for problem in problems]))
# ru_maxrss would also hold what the starting process once used; this peak begins with the program itself
peak = next(line for line in open("/proc/self/status") if line.startswith("VmHWM")).split()[1]
print(json.dumps({"found": found, "mb": int(peak) / 1024}))
"""


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All malformed files in one folder."""
    folder = tmp_path_factory.mktemp("malformed")
    for name, content in malformed():
        (folder / name).write_bytes(content)
    return folder


def test_each_file_gives_a_line_with_its_place(files: Path) -> None:
    """In one process: every file is refused with its name, no traceback, within 2 s each and 200 MB in all."""
    root = Path(__file__).parents[2]
    done = subprocess.run(
        [sys.executable, "-c", MEASURE, str(files)], capture_output=True, text=True, cwd=root, check=True
    )
    result = json.loads(done.stdout)

    assert len(result["found"]) == COUNT
    assert result["mb"] < MEGABYTES
    for name, seconds, lines in result["found"]:
        assert seconds < SECONDS, name
        assert lines, name
        for line in lines:
            place, _, cause = line.partition(": ")
            assert name in place, line
            assert len(cause) > 5, line
            assert line.isprintable(), line
            assert len(line) < 400, line


def test_a_file_that_only_breaks_a_rule_has_its_line(tmp_path: Path) -> None:
    """The place is the line in the file, not only the file."""
    name, content = next((n, c) for n, c in malformed() if n.endswith("_not_finite.yaml"))
    path = tmp_path / name
    path.write_bytes(content)

    _, found = check_file(path, PINOUTS)

    assert found[0].line == next(
        i
        for i, line in enumerate(content.decode().split("\n"), 1)
        if any(w in line.lower() for w in ("nan", "inf", "e999"))
    )


@pytest.mark.parametrize("number", range(0, COUNT, 25))
def test_the_command_ends_with_the_code_for_data(number: int, files: Path) -> None:
    """As processes: exit code 3, the problem as a line, no traceback, within 2 s after start-up."""
    path = sorted(files.iterdir())[number]
    start = time.perf_counter()

    done = subprocess.run(
        [sys.executable, "-m", "xref", "part", "check", str(path)], capture_output=True, text=True, check=False
    )

    assert done.returncode == 3
    assert path.name in done.stdout.split("\n")[0]
    assert "Traceback" not in done.stdout + done.stderr
    assert time.perf_counter() - start < SECONDS + 2


TOKENS = (
    "{", "}", "[", "]", ":", ",", "- ", "\n", "  ", '"', "'", "~", "null", "nan", "1e5", "&a ", "*a", "!!x ", "|\n",
    "? ", "#", "%", "\t", "\x85", "min: ", "at: {if_ma: 3}", "NO",
)  # fmt: skip


def test_any_damage_is_told_in_lines() -> None:
    """1,000 random edits of good files: problems or none, never an exception, each one printable line."""
    rng = random.Random(7)
    for _ in range(1000):
        text = rng.choice([GOOD, SWITCH])
        for _ in range(rng.choice([1, 2, 5])):
            place = rng.randrange(len(text))
            text = text[:place] + rng.choice(TOKENS) + text[place + rng.choice([0, 0, 3]) :]

        _, found = check_text(text, "x.yaml", PINOUTS)

        assert all(str(problem).isprintable() for problem in found), text
