"""Spoiled surroundings: no home, no rights, a full disk, a clock set back, a damaged index, Ctrl-C at any moment."""

from __future__ import annotations

import json
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.faults import inputs
from tests.faults.process import FIND, as_nobody, copy_of_program, environment, foreign, open_to_all, xref


def one_line(text: str) -> bool:
    """True for exactly one line that begins like our errors."""
    return text.startswith("xref: ") and text.count("\n") == 1


def test_home_that_cannot_be_written(tmp_path: Path, expected: str) -> None:
    """Search works and says what is slower; saving says what to do; nothing is half written."""
    home = tmp_path / "home"
    home.mkdir()
    open_to_all(home)
    home.chmod(0o555)

    done = as_nobody(*FIND, env=foreign(home), cwd=tmp_path)
    saved = as_nobody("meter", "--diode", "1mA", env=foreign(home), cwd=tmp_path)

    assert done.returncode == 0
    assert done.stdout == expected
    assert "cannot be kept" in done.stderr
    assert saved.returncode == 3
    assert one_line(saved.stderr)
    assert list(home.iterdir()) == []


def test_home_that_cannot_be_read(tmp_path: Path, expected: str) -> None:
    """A home without any right at all: published parts are searched; where own things are asked for, one line."""
    home = tmp_path / "home"
    home.mkdir()
    open_to_all(home)
    home.chmod(0o000)

    done = as_nobody(*FIND, "--from", "published", env=foreign(home), cwd=tmp_path)

    assert done.returncode == 0, done.stderr
    assert done.stdout == expected
    for args in (FIND, ("log", "list"), ("meter",), ("identify", "--resume"), ("stock", "list"), ("part", "list")):
        kept = as_nobody(*args, env=foreign(home), cwd=tmp_path)
        assert kept.returncode in (0, 1, 3)
        assert "Traceback" not in kept.stderr


def test_no_home_at_all(tmp_path: Path, expected: str) -> None:
    """A user without HOME and without an entry in the list of users (a container's)."""
    open_to_all(tmp_path)
    env = foreign(None, HOME=None)

    done = as_nobody(*FIND, env=env, cwd=tmp_path, user=54321)
    saved = as_nobody("meter", "--diode", "1mA", env=env, cwd=tmp_path, user=54321)

    assert done.returncode == 0, done.stderr
    assert done.stdout == expected
    assert saved.returncode == 3
    assert one_line(saved.stderr)


def test_folder_of_another(tmp_path: Path, warm: Path) -> None:
    """A drawing cannot go where the user may not write: one line, exit 3, no file."""
    open_to_all(tmp_path)
    home = tmp_path / "home"
    shutil.copytree(warm, home)
    os.chmod(home, 0o777)
    work = tmp_path / "work"
    work.mkdir(mode=0o755)

    done = as_nobody("fit", "TCRT5000", "CNY70", "--svg", "a.svg", env=foreign(home), cwd=work)

    assert done.returncode == 3, done.stderr
    assert done.stderr.startswith("xref: a.svg: cannot write: ")
    assert list(work.iterdir()) == []


SAVING = (
    ("fit", "TCRT5000", "CNY70", "--svg", "a.svg"),
    ("part", "add", "--from", "part.yaml", "--yes"),
    ("part", "add", "--from", "table.csv", "--yes"),
)


@pytest.mark.parametrize("args", SAVING, ids=lambda args: " ".join(args[:2]))
@pytest.mark.parametrize("most", [0, 100])
def test_no_room_for_a_file(args: tuple[str, ...], most: int, warm: Path, tmp_path: Path) -> None:
    """When the disk takes no more bytes: exit 3, one line, and no half file."""
    home, work = tmp_path / "home", tmp_path / "work"
    shutil.copytree(warm, home)
    work.mkdir()
    (work / "part.yaml").write_text(inputs.part_files()[0])
    (work / "table.csv").write_text(inputs.TABLE)
    before = sorted(path for path in tmp_path.rglob("*") if path.is_file())

    done = xref(
        *args, env=environment(home), cwd=work, before=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
    )

    assert done.returncode == 3, done.stderr + done.stdout
    assert "Traceback" not in done.stderr
    assert sorted(path for path in tmp_path.rglob("*") if path.is_file()) == before


def test_no_room_for_the_index(tmp_path: Path, expected: str) -> None:
    """Without room for the index the search still answers, and leaves no half index."""
    done = xref(
        *FIND,
        env=environment(tmp_path),
        cwd=tmp_path,
        before=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (9000, 9000)),
    )

    assert done.returncode == 0, done.stderr
    assert done.stdout == expected
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


def test_full_disk(tmp_path: Path, warm: Path) -> None:
    """A real file system of 40 kB that is full: search answers, saving says so, nothing is lost."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=40k", "tmpfs", str(disk)], capture_output=True, check=False
    )
    if mounted.returncode:
        pytest.skip("may not mount a file system")
    try:
        home = disk / "home"
        assert xref("meter", "--diode", "1mA", env=environment(home), cwd=tmp_path).returncode == 0
        kept = (home / "meter.json").read_text()
        _fill(disk / "filler")

        found = xref(*FIND, env=environment(home), cwd=tmp_path)
        saved = xref("meter", "--diode", "0.5mA", env=environment(home), cwd=tmp_path)

        assert found.returncode == 0, found.stderr
        assert saved.returncode == 3
        assert one_line(saved.stderr)
        assert (home / "meter.json").read_text() == kept
        assert not [path for path in home.rglob("*") if path.name.endswith(".tmp") or path.name.startswith(".")]
    finally:
        subprocess.run(["umount", str(disk)], check=False)


def _fill(path: Path) -> None:
    """Write until nothing more fits."""
    with open(path, "wb", buffering=0) as file:
        try:
            while file.write(b"x" * 512):
                pass
        except OSError:
            return


def test_clock_set_back(tmp_path: Path) -> None:
    """A part file changed while the clock stood in the past is noticed all the same."""
    parts = tmp_path / "parts"
    parts.mkdir()
    text = inputs.TABLE.splitlines()[0]
    own = parts / "own.yaml"
    form = 'format: 1\nsources:\n  main: {{title: "T"}}\nparts:\n  - {{part: RS9, kind: reflective, notes: "{}"}}\n'
    own.write_text(form.format("now"))
    env = environment(tmp_path)
    assert "now" in xref("part", "RS9", env=env, cwd=tmp_path).stdout, text

    own.write_text(form.format("old"))
    os.utime(own, (86400 * 365, 86400 * 365))
    done = xref("part", "RS9", env=env, cwd=tmp_path)

    assert done.returncode == 0
    assert "old" in done.stdout


DAMAGE = {
    "empty": b"",
    "text": b"not a database",
    "zeros": bytes(50_000),
    "a folder": None,
    "half": 0.5,
    "one page wrong": 1,
}


@pytest.mark.parametrize("how", DAMAGE)
def test_damaged_index(how: str, warm: Path, tmp_path: Path, expected: str) -> None:
    """Whatever became of the index, the answer is the same."""
    home = tmp_path / "home"
    shutil.copytree(warm, home)
    (index,) = (home / "cache").iterdir()
    new = DAMAGE[how]
    raw = bytearray(index.read_bytes())
    index.unlink()
    if new is None:
        index.mkdir()
    elif isinstance(new, bytes):
        index.write_bytes(new)
    elif isinstance(new, float):
        index.write_bytes(raw[: len(raw) // 2])
    else:
        rng = random.Random(4)
        for _ in range(3000):
            raw[rng.randrange(100, len(raw))] = rng.randrange(256)
        index.write_bytes(raw)

    done = xref(*FIND, env=environment(home), cwd=tmp_path)

    assert done.returncode == 0, done.stderr
    assert done.stdout == expected


def test_two_versions_share_a_home(tmp_path: Path, expected: str) -> None:
    """Two versions used in turn with one home: each answers from its own data every time."""
    home = tmp_path / "home"
    other = copy_of_program(tmp_path / "other", "9.9.9")
    second = environment(home, PYTHONPATH=str(other))

    for _ in range(2):
        assert xref(*FIND, env=environment(home), cwd=tmp_path).stdout == expected
        assert xref("--version", env=second, cwd=tmp_path).stdout == "xref 9.9.9\n"
        assert xref(*FIND, env=second, cwd=tmp_path).stdout == expected


def test_several_at_once_without_an_index(tmp_path: Path, expected: str) -> None:
    """Four commands that all find no index answer alike and leave one whole index."""
    running = [
        subprocess.Popen(
            [sys.executable, "-m", "xref", *FIND], env=environment(tmp_path), stdout=subprocess.PIPE, text=True
        )
        for _ in range(4)
    ]

    assert [process.communicate(timeout=120)[0] for process in running] == [expected] * 4
    assert [path.suffix for path in (tmp_path / "cache").iterdir()] == [".sqlite"]


@pytest.mark.parametrize("seed", range(3))
def test_interrupted_at_any_moment(seed: int, tmp_path: Path, warm: Path, expected: str) -> None:
    """Ctrl-C at random moments: one line or none, no half files, and the next run is as ever."""
    rng = random.Random(seed)
    shutil.copy(inputs.EXAMPLES / "arm-park.yaml", tmp_path)
    home = tmp_path / "home"
    if seed:
        shutil.copytree(warm, home)
    lines = (
        FIND,
        ("part", "sources"),
        ("fit", "TCRT5000", "CNY70", "--svg", f"{seed}.svg", "--force"),
        ("assess", "arm-park.yaml"),
        ("identify", "--leads", "4", "1:2=1.08V"),
    )
    for _ in range(5):
        args = rng.choice(lines)
        process = subprocess.Popen(
            [sys.executable, "-m", "xref", *args],
            env=environment(home),
            cwd=tmp_path,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
        )
        time.sleep(rng.uniform(0.02, 0.6))
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=60)
        # before main has begun Python itself answers, with its own lines and its own code
        assert "in main" not in err, err
        assert process.returncode in (0, 130, 1, -signal.SIGINT), err

    assert not [path for path in tmp_path.rglob("*") if path.suffix == ".tmp" or path.name.startswith(".")]
    assert xref(*FIND, env=environment(home), cwd=tmp_path).stdout == expected


def test_a_question_broken_off_goes_on(tmp_path: Path, warm: Path) -> None:
    """At a real terminal: a reading, Ctrl-C, exit 130, and --resume knows the reading."""
    pexpect = pytest.importorskip("pexpect")
    home = tmp_path / "home"
    shutil.copytree(warm, home)
    child = pexpect.spawn(
        sys.executable,
        ["-m", "xref", "identify", "--leads", "4", "--ask"],
        env=environment(home, TERM="dumb"),
        timeout=60,
        encoding="utf-8",
        dimensions=(24, 20),
    )
    child.expect(r"1\..*shows: ")
    child.sendline("OL")
    child.expect(r"2\..*shows: ")
    child.sendintr()
    child.expect(pexpect.EOF)
    child.close()

    assert child.exitstatus == 130
    done = xref("identify", "--resume", "--json", env=environment(home), cwd=tmp_path, stdin="stop\n")
    session = json.loads((home / "sessions" / "identify.json").read_text())
    assert done.returncode in (0, 1)
    assert len(session["readings"]) == 1
