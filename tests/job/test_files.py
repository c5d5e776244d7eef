"""Files are written whole or not at all, and what the user wrote stays byte for byte."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from xref.cli.files import write_new
from xref.errors import StorageError, UsageError
from xref.job.file import MARKER, load_job, new_file, users_part, whole_file, write_results

TEXT = b"# mine, with an umlaut: \xc3\xa4\r\nformat: 1\r\njob: arm park   # and a comment\r\n\r\n"


def leftovers(folder: Path) -> list[str]:
    """Temporary files that were forgotten."""
    return [path.name for path in folder.iterdir() if path.name.startswith(".")]


@pytest.mark.parametrize("text", [TEXT, TEXT.replace(b"\r\n", b"\n"), TEXT + b"notes: end without line end"])
def test_results_leave_the_users_bytes(text: bytes, tmp_path: Path) -> None:
    """Line ends, comments and order above the marker stay byte for byte; the block is replaced, not heaped up."""
    path = tmp_path / "job.yaml"
    path.write_bytes(text)

    write_results(path, "results: {verdict: first}")
    write_results(path, "results: {verdict: second}")
    after = path.read_bytes()

    assert after.startswith(text)
    assert after.count(MARKER.encode()) == 1
    assert b"first" not in after
    assert load_job(path).job == "arm park"
    assert not leftovers(tmp_path)


def test_only_a_whole_line_is_the_marker() -> None:
    """The marker's words inside a note do not cut the user's part."""
    text = f"format: 1\nnotes: 'see {MARKER} below'\n"

    assert users_part(text) == text
    assert users_part(text + MARKER + "\nresults: x\n") == text


def test_an_existing_file_is_kept_and_the_option_named(tmp_path: Path) -> None:
    """The message names the option that the user typed; the file is as it was."""
    path = tmp_path / "sheet.pdf"
    path.write_bytes(b"mine")

    with pytest.raises(UsageError) as caught:
        write_new(str(path), b"new", force=False, option="--out")

    assert str(caught.value) == f"--out: {path} exists and is kept; choose another name or add --force"
    assert path.read_bytes() == b"mine"
    assert not leftovers(tmp_path)
    write_new(str(path), "näw", force=True)
    assert path.read_text("utf-8") == "näw"


def test_a_missing_folder_is_one_line(tmp_path: Path) -> None:
    """Where nothing can be written the error says so and names the path."""
    path = tmp_path / "no" / "x.svg"

    for force in (False, True):
        with pytest.raises(StorageError) as caught:
            write_new(str(path), "x", force=force)
        assert str(caught.value) == f"{path}: cannot write: No such file or directory"


def test_a_crash_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk while writing: the old content stays and no half file is left beside it."""
    path = tmp_path / "job.yaml"
    path.write_text("old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)

    for write in (whole_file, new_file):
        with pytest.raises(OSError, match="No space left"):
            write(path, "new")
    assert path.read_text() == "old"
    assert not leftovers(tmp_path)


def test_links_and_permissions_stay(tmp_path: Path) -> None:
    """A job file that is a link stays one, and a private file stays private."""
    real, link = tmp_path / "real.yaml", tmp_path / "link.yaml"
    real.write_text("old")
    real.chmod(0o600)
    link.symlink_to(real)

    whole_file(link, "new")

    assert link.is_symlink()
    assert real.read_text() == "new"
    assert stat.S_IMODE(real.stat().st_mode) == 0o600


def test_a_file_system_without_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a memory stick (FAT has no links) a new file is still never written over another."""

    def refuse(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)

    new_file(tmp_path / "a", "one")
    with pytest.raises(FileExistsError):
        new_file(tmp_path / "a", "two")
    assert (tmp_path / "a").read_text() == "one"
    assert not leftovers(tmp_path)
