"""Killed at any moment, several at once, a full disk, a folder that cannot be written."""

from __future__ import annotations

import json
import os
import random
import resource
import signal
import sqlite3
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from pieces import now, piece

from xref.errors import StorageError
from xref.stock import query
from xref.stock.local import LocalEngine
from xref.stock.place import engine
from xref.stock.restore import from_automatic
from xref.stock.store import Stock

HERE = Path(__file__).parent


def _worker(seed: int, operations: int, items: int, **more: Any) -> subprocess.Popen[bytes]:
    environment = {**os.environ, "PYTHONPATH": str(HERE)}
    words = [sys.executable, str(HERE / "worker.py"), str(seed), str(operations), str(items)]
    return subprocess.Popen(words, env=environment, stdout=subprocess.PIPE, **more)


def _said(output: bytes) -> list[dict[str, Any]]:
    """The whole lines that a worker wrote."""
    return [json.loads(line) for line in output.splitlines(keepends=True) if line.endswith(b"\n")]


def _confirmed(lines: list[dict[str, Any]]) -> Counter[str]:
    """Operations that a worker was told are kept, by their key, with the number of history lines of each."""
    found: Counter[str] = Counter()
    for line in lines:
        if "done" in line:
            found[line["key"]] = 3 if line["done"] == "import" else 1
    return found


def _kept(home: Path) -> tuple[Counter[str], dict[int, int], dict[int, int]]:
    """What the file holds, read without any code of the project: lines by key, sums of the history, counts."""
    with sqlite3.connect(home / "stock.sqlite") as base:
        assert base.execute("pragma integrity_check").fetchone()[0] == "ok"
        assert base.execute("pragma foreign_key_check").fetchall() == []
        keys: Counter[str] = Counter()
        for action, note, place in base.execute(
            "select h.action, h.note, i.place from stock_history h join stock_item i on i.id = h.item_id"
        ):
            keys[place if action == "add" else note] += 1
        sums = dict(base.execute("select item_id, sum(change) from stock_history where item_id > 0 group by 1"))
        counts = dict(base.execute("select id, quantity from stock_item"))
    base.close()
    return keys, sums, counts


def _killed_runs(home: Path, runs: int, seed: int) -> None:
    """Kill a worker again and again; after each death the file holds what was confirmed, and at most the operation
    that was being tried, whole."""
    stock = Stock(engine())
    stock.add([], [piece(1000, place="start") for _ in range(5)])
    stock.engine.close()
    confirmed: Counter[str] = Counter({"start": 5})
    chance = random.Random(seed)
    middle = 0
    for run in range(runs):
        process = _worker(seed * 1000 + run, 10_000, 5)
        assert process.stdout is not None
        first = process.stdout.readline()
        time.sleep(chance.uniform(0.0, 0.08))
        os.kill(process.pid, signal.SIGKILL)
        rest = process.stdout.read()
        process.wait()
        process.stdout.close()
        lines = _said(first + rest)
        confirmed += _confirmed(lines)
        keys, sums, counts = _kept(home)

        extra = keys - confirmed
        assert confirmed - keys == Counter(), "a confirmed change is missing"
        tried = next((line for line in reversed(lines) if "try_" in line), None)
        if extra:
            assert tried is not None
            assert extra == Counter({tried["key"]: 3 if tried["try_"] == "import" else 1}), "half an operation"
            middle += 1
        assert sums == counts, "counts and history disagree"
        confirmed = keys
    # the last kill may have left a line in the journal that was never kept; the next change settles it
    stock.take(1, 1, "last")
    stock.engine.close()
    local = LocalEngine(home / "stock.sqlite")
    assert from_automatic(local) == query.dump(local), "the journal gives another stock than the file"
    local.close()
    print(f"{runs} kills, {sum(confirmed.values())} changes, {middle} killed between keeping and telling")


def test_kill_at_any_moment(home: Path) -> None:
    """20 kills in the middle of writing: every confirmed change is there, whole, and the file is sound."""
    _killed_runs(home, 20, 1)


@pytest.mark.nightly
def test_kill_at_any_moment_long(home: Path) -> None:
    """The same 200 times."""
    _killed_runs(home, 200, 2)


def test_kill_while_it_begins(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Killed while the very first piece is entered, the stock is whole or not there, and can be begun again."""
    chance = random.Random(3)
    for run in range(8):
        home = tmp_path / str(run)
        monkeypatch.setenv("XREF_HOME", str(home))
        process = _worker(run, 3, 1)
        assert process.stdout is not None
        first = process.stdout.readline()
        time.sleep(chance.uniform(0.0, 0.03))
        process.kill()
        lines = _said(first + process.stdout.read())
        process.wait()
        process.stdout.close()

        stock = Stock(engine())
        stock.add([], [piece(1, place="after")])
        stock.engine.close()

        keys, sums, counts = _kept(home)
        assert _confirmed(lines) - keys == Counter()
        assert keys["after"] == 1
        assert sums == counts


def test_several_begin_the_same_stock(shelf: str) -> None:
    """Five processes that find no stock begin one together, and none of them fails."""
    workers = [_worker(seed, 6, 3) for seed in range(11, 16)]
    lines: list[dict[str, Any]] = []
    for worker in workers:
        said = _said(worker.communicate(timeout=120)[0])
        assert said[-1] == {"end": True}
        lines += said

    added = sum(3 if line["done"] == "import" else 1 for line in lines if line.get("done") in ("add", "import"))
    assert added > 0
    assert len(now().items) == added


def _many_at_once(shelf: str, processes: int, operations: int) -> None:
    """Sums of the database agree with what the processes were told."""
    stock = Stock(engine())
    stock.add([], [piece(4 * operations, place="start") for _ in range(6)])
    workers = [_worker(seed, operations, 6) for seed in range(1, processes + 1)]
    lines: list[dict[str, Any]] = []
    for worker in workers:
        output, _ = worker.communicate(timeout=600)
        said = _said(output)
        assert said[-1] == {"end": True}
        lines += said
    expected = Counter(dict.fromkeys(range(1, 7), 4 * operations))
    for line in lines:
        if "done" in line:
            if line["done"] == "import":
                expected.update(dict(zip(line["items"], (1, 2, 3), strict=True)))
            else:
                expected[line["item"]] += line["change"]

    dump = query.dump(stock.engine)
    stock.engine.close()

    assert {item.id: item.count for item in dump.items} == dict(expected)
    assert min(expected.values()) >= 0
    told = sum(3 if line["done"] == "import" else 1 for line in lines if "done" in line)
    assert len(dump.events) == told + 6
    assert len({item.id for item in dump.items}) == len(dump.items)
    done = Counter(line["done"] for line in lines if "done" in line)
    refused = sum("refused" in line for line in lines)
    print(f"{shelf}: {processes} processes, kept {dict(done)}, refused {refused}")


def test_several_processes(shelf: str) -> None:
    """Four processes with 60 mixed operations each: sums agree with the log of confirmed operations."""
    _many_at_once(shelf, 4, 60)


@pytest.mark.nightly
def test_eight_processes(shelf: str) -> None:
    """Eight processes with 500 mixed operations each."""
    _many_at_once(shelf, 8, 500)


def test_full_disk(home: Path) -> None:
    """When no byte more can be written the command says so, nothing half is kept, and later it goes on."""
    stock = Stock(engine())
    stock.add([], [piece(1000, place="start") for _ in range(5)])
    stock.engine.close()
    room = max(path.stat().st_size for path in home.iterdir() if path.is_file())
    seen = set()
    for more in (0, 600, 5_000, 30_000):
        limit = room + more

        def capped(limit: int = limit) -> None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))

        process = _worker(more + 1, 400, 5, preexec_fn=capped, stderr=subprocess.PIPE)
        output, trouble = process.communicate(timeout=60)
        lines = _said(output)
        keys, sums, counts = _kept(home)

        told = _confirmed(lines)
        assert told - keys == Counter(), "a confirmed change is missing"
        assert sums == counts
        assert process.returncode != 0, "the limit was never reached"
        last = trouble.decode().strip().splitlines()[-1]
        assert "nothing was changed" in last
        seen.add(last.split(": ", 2)[-1].split(";")[0])
        tried = next(line for line in reversed(lines) if "try_" in line)
        assert tried["key"] not in keys, "an operation that failed was kept"
    assert seen & {"the disk is full", "the disk refused to read or write (full, taken out, or failing)"}
    stock = Stock(engine())
    assert stock.take(1).count == query.item(stock.engine, 1).count
    stock.engine.close()
    assert from_automatic(LocalEngine(home / "stock.sqlite")) == now()


def test_small_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a file system that is really full the message names the disk; with room again nothing was lost."""
    disk = tmp_path / "disk"
    disk.mkdir()
    made = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=400k", "tmpfs", str(disk)], capture_output=True)
    if made.returncode != 0:
        pytest.skip("a small file system cannot be mounted here")
    try:
        monkeypatch.setenv("XREF_HOME", str(disk))
        stock = Stock(engine())
        stock.add([], [piece(9)])
        kept = 1
        with pytest.raises(StorageError, match="the disk is full; nothing was changed"):  # noqa: PT012
            for _ in range(2000):
                stock.add([], [piece(1, place="x" * 3000)])
                kept += 1
        stock.engine.close()
        assert len(now().items) == kept
        subprocess.run(["mount", "-o", "remount,size=4m", str(disk)], check=True)
        stock.take(1, 9)
        stock.engine.close()
        assert from_automatic(LocalEngine(disk / "stock.sqlite")) == now()
    finally:
        subprocess.run(["umount", "-l", str(disk)], check=True)


def _bound_by_rights(*words: str, home: Path) -> subprocess.CompletedProcess[str]:
    """The program as a user whom file rights bind; root does without its power over them."""
    command = [sys.executable, "-m", "xref", "stock", *words]
    if os.getuid() == 0:
        command = ["setpriv", "--bounding-set=-dac_override,-dac_read_search", *command]
    environment = {**os.environ, "XREF_HOME": str(home)}
    return subprocess.run(command, env=environment, capture_output=True, text=True, check=False, cwd="/tmp")


def test_folder_that_cannot_be_written(monkeypatch: pytest.MonkeyPatch) -> None:
    """Reading works from a folder of somebody else; writing is refused with what to do, and changes no byte."""
    import shutil
    import tempfile

    home = Path(tempfile.mkdtemp(prefix="xrefro", dir="/tmp"))
    try:
        monkeypatch.setenv("XREF_HOME", str(home))
        stock = Stock(engine())
        stock.add([], [piece(3, place="drawer 3")])
        stock.engine.close()
        if os.getuid() == 0 and not shutil.which("setpriv"):
            pytest.skip("setpriv is not installed")
        os.chmod(home, 0o555)
        before = (home / "stock.sqlite").read_bytes()

        listed = _bound_by_rights("list", home=home)
        taken = _bound_by_rights("take", "1", home=home)

        assert listed.returncode == 0, listed.stderr
        assert "drawer 3" in listed.stdout
        assert taken.returncode == 3
        assert f"make {home} writable for you, or set XREF_HOME" in taken.stderr
        assert len(taken.stderr.splitlines()) == 1
        assert (home / "stock.sqlite").read_bytes() == before
    finally:
        os.chmod(home, 0o755)
        shutil.rmtree(home)
