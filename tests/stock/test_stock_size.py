"""A hundred thousand pieces: bringing in a thousand, and searching, stay quick."""

from __future__ import annotations

import csv
import json
import os
import random
import sqlite3
import statistics
import subprocess
import sys
import time
from pathlib import Path

import pytest
from pieces import piece

from xref.library.store import open_library
from xref.stock.forms import digest, profile_values
from xref.stock.groups import groups
from xref.stock.place import engine
from xref.stock.query import listed
from xref.stock.store import Stock
from xref.tasks import stock_files
from xref.tasks.stock_entry import profile_from

PIECES = 100_000


def _fill(home: Path, pieces: int, *, measured_share: float) -> None:
    """Write a large stock straight into the tables, quicker than by adding: equal types and single measured pieces."""
    stock = Stock(engine())
    stock.add([], [piece(1)])
    stock.engine.close()
    chance = random.Random(8)
    parts = list(open_library().parts())
    plain = {part.name: profile_from(part, {}, part=part.name) for part in parts}
    profiles, items = [], []
    ids: dict[str, int] = {}
    for number in range(2, pieces + 2):
        part = parts[chance.randrange(len(parts))]
        profile = plain[part.name]
        key = part.name
        if chance.random() < measured_share and part.emitter.vf_v:
            volts = 1.0 + number * 1e-6
            value = {"min": volts, "typ": volts, "max": volts, "at": {"if_ma": 10.0}, "basis": "measured"}
            current = {**value, "min": 0.1 + number * 1e-6, "typ": 0.1 + number * 1e-6, "max": 0.1 + number * 1e-6}
            own = {"emitter": {"vf_v": [value]}, "coupling": {"ic_ma": [current]}}
            profile = (
                profile_from(part, own, part=part.name) if number % 97 == 0 else _like(plain[part.name], own, volts)
            )
            key = f"{part.name} {number}"
        if key not in ids:
            ids[key] = len(ids) + 2
            profiles.append(profile_values(ids[key], profile, digest(profile)))
        items.append((number, None, ids[key], 1 + number % 5, f"drawer {number % 300}", "used", number % 2, "", "2026"))
    with sqlite3.connect(home / "stock.sqlite") as base:
        names = ", ".join(f":{name}" for name in profiles[0])
        base.executemany(f"insert into stock_profile ({', '.join(profiles[0])}) values ({names})", profiles)
        base.executemany("insert into stock_item values (?, ?, ?, ?, ?, ?, ?, ?, ?)", items)
    base.close()


def _like(plain: object, own: dict[str, object], volts: float) -> object:
    from dataclasses import replace

    current = 0.1 + (volts - 1.0)
    overlay = {"vf_points": [[0.01, volts, volts, volts]], "basis": "measured",
               "ic_points": [[current * 1e-3, current * 1e-3, current * 1e-3, 0.01, None, None, ""]]}  # fmt: skip
    return replace(plain, measured=own, overlay=overlay)  # type: ignore[type-var]


def _cold(*words: str) -> tuple[float, str]:
    """Median time of three whole commands after a first one, each a new process, start-up included."""
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    times = []
    for _ in range(4):
        start = time.perf_counter()
        done = subprocess.run([sys.executable, "-m", "xref", *words], capture_output=True, text=True, env=environment)
        times.append(time.perf_counter() - start)
        assert done.returncode == 0, done.stderr
    return statistics.median(times[1:]), done.stdout


def _table(path: Path, lines: int) -> None:
    names = open_library().names()
    with path.open("w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out)
        writer.writerow(("part", "count", "source", "place", "vf"))
        for number in range(lines):
            name = names[number % len(names)]
            writer.writerow((name, number % 4 + 1, f"board {number % 50}", f"drawer {number % 30}", ""))


@pytest.mark.parametrize(("share", "search_s"), [(0.05, 0.5), pytest.param(1.0, 1.0, marks=pytest.mark.nightly)])
def test_hundred_thousand_pieces(home: Path, share: float, search_s: float, tmp_path: Path) -> None:
    """An import of 1,000 lines in under 2 s, a cold search in under 0.5 s (asserted three times as generous here,
    because the machine may be busy; the figures are printed). With every piece measured: reported, under 1 s."""
    _fill(home, PIECES, measured_share=share)
    _table(tmp_path / "more.csv", 1000)
    # the first write of a stock without a journal makes a copy of it once
    stock = Stock(engine())
    stock.take(2)
    stock.engine.close()

    start = time.perf_counter()
    answer = stock_files.import_file(tmp_path / "more.csv")
    taken = time.perf_counter() - start
    assert answer.entries == 1000
    figures = {"import of 1000": taken}
    for words in (
        ("--kind", "slotted", "--gap", "3.1mm", "--body", "12x6x10mm"), ("--kind", "reflective"),
        ("--kind", "slotted", "--gap", "3.1mm", "--ic", "0.2mA@10mA"),
        ("--same", "--kind", "slotted", "--vf", "1.2V@10mA", "--leads", "4"),
    ):  # fmt: skip
        figures[" ".join(words)], shown = _cold("find", "--from", "stock", *words)
        assert "stock:" in shown
    figures["find, published only"], _ = _cold("find", "--from", "published", "--kind", "slotted", "--gap", "3.1mm")
    figures["list"], _ = _cold("stock", "list", "--kind", "slotted", "--limit", "5")
    figures["take"], _ = _cold("stock", "take", str(next(n for n in range(2, 50) if n % 5 == 4)), "--json")

    print(json.dumps({words: round(seconds, 3) for words, seconds in figures.items()}, indent=1))
    assert taken < 2.0 * 3
    assert max(seconds for words, seconds in figures.items() if words.startswith("--")) < search_s * 3


def test_search_reads_groups_not_pieces(home: Path) -> None:
    """Equal pieces come out of the database as one line, however many there are."""
    stock = Stock(engine())
    stock.add([], [piece(1, place=f"bag {number}") for number in range(5000)])

    (group,) = groups(stock.engine, "slotted")

    assert (group.left, group.elsewhere) == (1, 4999)
    assert len(listed(stock.engine, limit=7)[0]) == 7
    stock.engine.close()
