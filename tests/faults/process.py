"""xref as a real process, with the surroundings spoiled."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
NOBODY = 65534
FIND = ("find", "--kind", "reflective", "--body", "10.2x5.8x7", "--limit", "3")
"""A search that every spoiled surrounding is tried with."""


def environment(home: Path | None, **changes: str | None) -> dict[str, str]:
    """The surroundings of a process; None takes a variable away."""
    found = {key: text for key, text in os.environ.items() if not key.startswith(("XREF_", "XDG_", "LC_"))}
    found |= {"NO_COLOR": "1", "COLUMNS": "80"}
    if home is not None:
        found["XREF_HOME"] = str(home)
    for key, text in changes.items():
        if text is None:
            found.pop(key, None)
        else:
            found[key] = text
    return found


def xref(
    *args: str,
    env: dict[str, str],
    cwd: Path,
    stdin: str | None = None,
    before: Callable[[], object] | None = None,
    python: Sequence[str] = (sys.executable,),
    timeout: float = 60,
) -> subprocess.CompletedProcess[str]:
    """Run ``xref`` and wait; a process that hangs fails the test."""
    return subprocess.run(
        [*python, "-m", "xref", *args],
        env=env,
        cwd=cwd,
        input=stdin,
        stdin=subprocess.DEVNULL if stdin is None else None,
        capture_output=True,
        text=True,
        errors="surrogateescape",
        preexec_fn=before,
        timeout=timeout,
        check=False,
    )


@cache
def other_python() -> str:
    """An interpreter that another user may start, with the packages of this one; empty when there is none."""
    version = f"{sys.version_info.major}.{sys.version_info.minor}"
    for path in (sys.executable, f"/usr/bin/python{version}", f"/usr/local/bin/python{version}"):
        if not Path(path).exists() or not _free(path):
            continue
        test = subprocess.run(
            [path, "-c", "import typer, pydantic, yaml, xref"],
            env=foreign(None), user=NOBODY, group=NOBODY, extra_groups=[], cwd="/", capture_output=True, check=False,
        )  # fmt: skip
        if test.returncode == 0:
            return path
    return ""


def _free(path: str) -> bool:
    """True when every folder above the program may be entered by all."""
    real = Path(os.path.realpath(path))
    return all(folder.stat().st_mode & 0o001 for folder in real.parents)


def foreign(home: Path | None, **changes: str | None) -> dict[str, str]:
    """The environment of another user: where our packages are, and no bytecode written beside them."""
    places = [str(ROOT), *(path for path in sys.path if path.endswith("site-packages"))]
    return environment(home, PYTHONPATH=os.pathsep.join(places), PYTHONDONTWRITEBYTECODE="1", **changes)


def as_nobody(*args: str, env: dict[str, str], cwd: Path, user: int = NOBODY) -> subprocess.CompletedProcess[str]:
    """Run ``xref`` as a user without rights; skipped where the tests themselves have none to give up."""
    if os.geteuid() != 0:
        pytest.skip("only root can become another user")
    if not other_python():
        pytest.skip("no interpreter that another user may start")
    return subprocess.run(
        [other_python(), "-m", "xref", *args], env=env, cwd=cwd, user=user, group=user, extra_groups=[],
        stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip


def open_to_all(path: Path) -> None:
    """Let every user reach a folder below the tests' own temporary one."""
    for folder in (path, *path.parents):
        if folder.owner() == "root" and folder.stat().st_uid == os.geteuid() and folder != Path("/"):
            folder.chmod(folder.stat().st_mode | 0o055)


def copy_of_program(target: Path, version: str) -> Path:
    """A second working copy with another version number; the folder to put on PYTHONPATH."""
    shutil.copytree(ROOT / "xref", target / "xref", ignore=shutil.ignore_patterns("__pycache__"))
    for folder in ("parts_db", "pinouts"):
        shutil.copytree(ROOT / folder, target / folder)
    (target / "xref" / "_version.py").write_text(f'"""The version."""\n\n__version__ = "{version}"\n')
    return target
