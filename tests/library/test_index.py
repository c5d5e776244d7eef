"""The compiled index: fresh after every change, safe with two builders, not needed where it cannot be kept."""

from __future__ import annotations

import multiprocessing
import os
import shutil
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.library.samples import GOOD
from xref.errors import NotFound
from xref.library import index
from xref.library.store import Library, open_library
from xref.places import cache_dir, parts_dir

OWN = GOOD.replace("pinout: four-test\n      labels: [1, 2, 3, 4]", "lead_count: 4")


def own_part(text: str = OWN, name: str = "own.yaml") -> Path:
    """Put a file into the user's parts folder."""
    parts_dir().mkdir(parents=True, exist_ok=True)
    path = parts_dir() / name
    path.write_text(text)
    return path


def user_index() -> Path:
    """The compiled file of the user's parts."""
    return next(cache_dir().glob("user-*.sqlite"))


def fresh() -> Library:
    """Open the library as a new process would: nothing remembered of the user's parts."""
    index._compiled.pop(f"user {parts_dir()}", None)
    return open_library()


def test_own_parts_stand_in_front_visibly() -> None:
    """A user's part hides the shipped one of its name, in look-up, rows and lists, and says so."""
    shipped = open_library()
    name = shipped.names()[0]
    own_part(OWN.replace("RS100\n", f"{name}\n"))

    library = fresh()

    assert library.get(name).origin == "user"
    assert library.get(name).maker == "Invented Works"
    assert library.overrides(name)
    assert [row.origin for row in library.rows() if row.name == name] == ["user"]
    assert len(library.rows()) == len(shipped.rows())
    assert library.names().count(name) == 1


def test_names_are_found_by_any_spelling_but_never_guessed() -> None:
    """Capitals, spaces, dashes, an alias and the maker in front lead to the part; a look-alike only to a suggestion."""
    own_part()
    library = fresh()

    for spelling in ("RS100", "rs-100", "R S 100", "RS100L", "Invented RS100"):
        assert library.get(spelling).name == "RS100"
    with pytest.raises(NotFound, match='no part "R5100"; nearest: RS100'):
        library.get("R5100")


@pytest.mark.parametrize("change", ["edited", "same size", "added", "removed"])
def test_a_changed_file_is_seen(change: str) -> None:
    """After an edit, an edit of equal length, a new or a removed file the next start knows it."""
    path = own_part()
    assert fresh().get("RS100").emitter.if_max_ma == 50.0

    if change == "edited":
        path.write_text(OWN.replace("if_max_ma: 50", "if_max_ma: 40.5"))
        assert fresh().get("RS100").emitter.if_max_ma == 40.5
    elif change == "same size":
        os.utime(path, ns=(1, 1))
        path.write_text(OWN.replace("if_max_ma: 50", "if_max_ma: 60"))
        assert fresh().get("RS100").emitter.if_max_ma == 60.0
    elif change == "added":
        own_part(OWN.replace("RS100", "RS200"), "more.yaml")
        assert fresh().get("RS200").name == "RS200"
    else:
        path.unlink()
        with pytest.raises(NotFound):
            fresh().get("RS100")


def test_an_unchanged_file_is_not_read_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """The second start compiles nothing."""
    own_part()
    fresh()
    monkeypatch.setattr("xref.library.compile.compile_parts", lambda *_: pytest.fail("compiled again"))

    library = fresh()

    assert library.get("RS100").name == "RS100"
    assert library.warning == ""


@pytest.mark.parametrize("damage", ["empty", "text", "cut", "garbage in the middle", "one digit", "other table"])
def test_a_damaged_index_is_built_anew(damage: str) -> None:
    """Whatever happened to the file, the answers are the right ones and the next start finds a good file."""
    own_part()
    fresh().get("RS100")
    path = user_index()
    whole = path.read_bytes()
    if damage == "empty":
        path.write_bytes(b"")
    elif damage == "text":
        path.write_text("not a database at all " * 100)
    elif damage == "cut":
        path.write_bytes(whole[: len(whole) // 2])
    elif damage == "garbage in the middle":
        middle = len(whole) // 2
        path.write_bytes(whole[:middle] + os.urandom(2000) + whole[middle + 2000 :])
    elif damage == "one digit":
        assert whole.count(b'"if_max_ma":50.0') == 1
        path.write_bytes(whole.replace(b'"if_max_ma":50.0', b'"if_max_ma":90.0'))
    else:
        path.unlink()
        connection = sqlite3.connect(path)
        connection.execute("create table other (x)")
        connection.close()

    library = fresh()

    assert library.get("RS100").emitter.if_max_ma == 50.0
    assert [row.name for row in library.rows() if row.origin == "user"] == ["RS100"]
    assert fresh().get("RS100").emitter.if_max_ma == 50.0


@pytest.mark.parametrize("reason", ["a file in the way", "no space", "no right"])
def test_it_works_where_no_index_can_be_kept(reason: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Everything answers; one line of warning says why starting is slower."""
    own_part()
    if reason == "a file in the way":
        cache_dir().write_text("")
    else:
        number = 28 if reason == "no space" else 13

        def refuse(*_: object, **__: object) -> None:
            raise OSError(number, os.strerror(number))

        monkeypatch.setattr("tempfile.mkstemp", refuse)

    library = fresh()

    assert library.get("RS100").name == "RS100"
    assert len(library.rows()) > 1
    assert library.warning.startswith("the index cannot be kept in ")
    assert library.warning.endswith("every start is slower")
    assert "\n" not in library.warning


def test_a_full_disk_leaves_the_old_file_and_no_rubbish(monkeypatch: pytest.MonkeyPatch) -> None:
    """When the rename fails the temporary file is gone and the old index is as it was."""
    own_part()
    fresh()
    before = user_index().read_bytes()
    own_part(OWN.replace("if_max_ma: 50", "if_max_ma: 45"))

    def refuse(*_: object) -> None:
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr("os.replace", refuse)
    library = fresh()

    assert library.get("RS100").emitter.if_max_ma == 45.0
    assert user_index().read_bytes() == before
    assert not list(cache_dir().glob("*.tmp"))


def _build(barrier_time: float) -> int:
    while time.time() < barrier_time:
        pass
    return len(open_library().rows())


def test_two_processes_may_build_at_once() -> None:
    """Four builders start together on an empty cache; all answer, one good file remains."""
    own_part()
    context = multiprocessing.get_context("spawn")
    with context.Pool(4) as pool:
        counts = pool.map(_build, [time.time() + 1.0] * 4)

    assert len(set(counts)) == 1
    assert not list(cache_dir().glob("*.tmp"))
    index._compiled.clear()
    assert open_library().get("RS100").name == "RS100"


def test_a_bad_own_file_costs_only_its_own_parts() -> None:
    """A mistake in one part leaves the others; the warning names the first place."""
    own_part()
    own_part(OWN.replace("RS100", "RS300").replace("typ: 1.2", "typ: x"), "bad.yaml")

    library = fresh()

    assert library.get("RS100").name == "RS100"
    with pytest.raises(NotFound):
        library.get("RS300")
    assert library.warning.startswith("1 problem(s) in your part files, first in ")
    assert library.warning.endswith("bad.yaml:15; see: xref part check")


def test_records_come_back_as_they_were_checked() -> None:
    """Building a part from its record gives what pydantic gave, for every shipped part."""
    from xref.library.compile import read_folder
    from xref.library.paths import shipped_root

    parts, problems = read_folder(shipped_root(), "shipped")
    library = fresh()

    assert not problems
    assert [library.get(part.name) for part in parts] == parts


def test_reading_the_index_is_quick_and_light() -> None:
    """Rows of all shipped parts within 25 ms, no pydantic, YAML, numpy or rich: a loose bound for a busy machine.

    The figure itself stands in the benchmark notes; here a mistake that builds or decodes everything must fail.
    """
    open_library().rows()
    code = (
        "import sys, time\n"
        "from xref.library.store import open_library\n"
        "best = 9.0\n"
        "for _ in range(5):\n"
        "    start = time.perf_counter(); open_library().rows(); best = min(best, time.perf_counter() - start)\n"
        "heavy = [n for n in ('pydantic', 'yaml', 'numpy', 'rich', 'rapidfuzz') if n in sys.modules]\n"
        "print(best, heavy)\n"
    )

    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    seconds, heavy = done.stdout.split(" ", 1)

    assert heavy.strip() == "[]"
    assert float(seconds) < 0.025


def test_the_linux_folders_are_those_that_platformdirs_names(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Worked out by hand for speed, the same as the package says."""
    import platformdirs

    from xref import places

    monkeypatch.delenv("XREF_HOME")
    for variable in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME"):
        for value in ("", str(tmp_path / variable)):
            monkeypatch.setenv(variable, value)
            assert places.data_dir() == platformdirs.user_data_path("xref", appauthor=False)
            assert places.config_dir() == platformdirs.user_config_path("xref", appauthor=False)
            assert places.cache_dir() == platformdirs.user_cache_path("xref", appauthor=False)


def test_the_index_can_be_deleted_at_any_time() -> None:
    """It is a cache: removing the folder changes no answer."""
    own_part()
    fresh()
    shutil.rmtree(cache_dir())

    assert fresh().get("RS100").name == "RS100"
