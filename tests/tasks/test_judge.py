"""An opinion of a donor is the same whether it is fresh, remembered, or made by another process."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable
from dataclasses import replace

import pytest

from xref.examples import FOLDER
from xref.job.file import load_job
from xref.library.store import open_library
from xref.model.answers.find import Refused
from xref.model.site import Site
from xref.places import cache_dir
from xref.tasks import judge

NAMES = ("RPR-220", "TCRT5000", "CNY70", "GP2S60", "EE-SY1200", "H21A1", "ITR9904", "HOA1397-001")


@pytest.fixture(scope="module")
def site() -> Site:
    """The arm-park board of the examples."""
    found = load_job(FOLDER / "arm-park.yaml").site
    assert found is not None
    return found


def ask(site: Site, names: tuple[str, ...] = NAMES, **options: object) -> dict[str, judge.Opinion]:
    """Opinions on real parts that exist in the library."""
    library = open_library()
    known = [name for name in names if name in set(library.names())]
    return judge.opinions(known, site, None, library, **options)  # type: ignore[arg-type]


@pytest.fixture
def no_work(monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    """Afterwards any opinion that is not remembered is a failure."""

    def forbid() -> None:
        def work(*_: object) -> dict[str, object]:
            raise AssertionError("worked out again")

        monkeypatch.setattr(judge, "opinion", work)

    return forbid


def test_a_remembered_opinion_equals_a_fresh_one(site: Site, no_work: Callable[[], None]) -> None:
    """The second answer comes from the cache and is the same to the last field."""
    fresh = ask(site)
    no_work()

    assert ask(site) == fresh
    assert len(fresh) >= 5


def test_processes_and_one_process_agree(site: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    """Spread over two processes the opinions are those of one, in the same order, and progress counts to the end."""
    monkeypatch.setattr(os, "cpu_count", lambda: 1)
    alone = ask(site)
    (cache_dir() / "opinions.sqlite").unlink()
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    monkeypatch.setattr(judge, "IN_ONE_PROCESS", 2)
    seen: list[tuple[int, int]] = []

    spread = ask(site, progress=lambda done, total: seen.append((done, total)))

    assert spread == alone
    assert list(spread) == list(alone)
    assert seen == [(done, len(alone)) for done in range(1, len(alone) + 1)]


def test_a_damaged_cache_is_begun_anew(site: Site, no_work: Callable[[], None]) -> None:
    """Garbage in the file costs one run, not the answer, and the next run remembers again."""
    names = NAMES[:2]
    fresh = ask(site, names)
    (cache_dir() / "opinions.sqlite").write_bytes(b"no database at all" * 100)

    assert ask(site, names) == fresh
    no_work()
    assert ask(site, names) == fresh


@pytest.mark.parametrize(
    "value", ['{"cost": "x"}', '{"cost": 1}', "[1]", "not json", '{"cost": 0.1, "check": {"a": 1}}']
)
def test_a_damaged_entry_is_made_again(value: str, site: Site) -> None:
    """One unreadable value is not believed."""
    names = NAMES[:1]
    fresh = ask(site, names)
    with sqlite3.connect(cache_dir() / "opinions.sqlite") as base:
        base.execute("update opinion set value = ?", (value,))
    base.close()

    assert ask(site, names) == fresh


def test_a_cache_that_cannot_be_written(site: Site) -> None:
    """A file where the folder should be: the answer comes without memory."""
    fresh = ask(site, NAMES[:1])
    for path in cache_dir().iterdir():
        path.unlink()
    cache_dir().rmdir()
    cache_dir().write_text("in the way")

    library_free = judge._Kept()

    assert library_free.get("x") is None
    library_free.put("x", {"nothing": True})
    library_free.close()
    assert fresh


def test_another_board_is_another_question(site: Site) -> None:
    """A remembered opinion is not given for a board that differs in one resistor or in what may be changed."""
    ask(site, NAMES[:1])
    other = replace(site, output=replace(site.output, load=100.0))

    assert ask(other, NAMES[:1], change=()) != ask(site, NAMES[:1], change=())
    kept = ask(site, NAMES[:1], change=())[NAMES[0]]
    assert isinstance(kept, Refused) or "load" not in kept[1].why  # type: ignore[index]


def test_a_program_that_was_edited_remembers_nothing(
    site: Site, monkeypatch: pytest.MonkeyPatch, no_work: Callable[[], None]
) -> None:
    """An edited solver makes every kept opinion stale."""
    ask(site, NAMES[:1])
    monkeypatch.setattr(judge, "_program", lambda: "edited")
    no_work()

    with pytest.raises(AssertionError, match="worked out again"):
        ask(site, NAMES[:1])


def test_unknown_leads_are_no_advantage(site: Site) -> None:
    """A donor that cannot be tried costs more than one that is known to go in (unknown is not good)."""
    library = open_library()
    blank = next(part for part in library.parts("reflective") if not any(lead.function for lead in part.geometry.leads))
    found = ask(site, (blank.name, "RPR-220"))
    unknown, known = found[blank.name], found["RPR-220"]

    assert isinstance(unknown, tuple)
    assert unknown[1].verdict == "unknown"
    assert isinstance(known, Refused) or known is None or unknown[0] > known[0]
