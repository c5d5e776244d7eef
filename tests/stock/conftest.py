"""A stock of each make: the own file, and a real PostgreSQL server that the tests start themselves."""

from __future__ import annotations

import contextlib
import glob
import os
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest


class Server:
    """A PostgreSQL server of our own, in a temporary folder, reached through a socket there."""

    def __init__(self, programs: Path) -> None:
        self._programs = programs
        self._folder = Path(tempfile.mkdtemp(prefix="xrefpg", dir="/tmp"))
        # PostgreSQL refuses to run as root
        self._as: dict[str, object] = {}
        if os.getuid() == 0:
            self._as = {"user": "nobody", "group": "nogroup", "extra_groups": []}
            shutil.chown(self._folder, "nobody", "nogroup")
        self._process: subprocess.Popen[bytes] | None = None
        self._count = 0

    def start(self) -> None:
        """Make the files and wait until it answers."""
        data = self._folder / "data"
        self._run("initdb", "-D", str(data), "-A", "trust", "-U", "xref", "--no-sync", "-E", "UTF8", "--locale=C")
        settings = ["-c", "listen_addresses=", "-c", "fsync=off", "-c", "max_connections=60"]
        self._process = subprocess.Popen(
            [str(self._programs / "postgres"), "-D", str(data), "-k", str(self._folder), *settings],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=self._folder, **self._as,  # type: ignore[call-overload]
        )  # fmt: skip
        for _ in range(300):
            ready = subprocess.run(
                [str(self._programs / "pg_isready"), "-h", str(self._folder), "-U", "xref"],
                capture_output=True, check=False,
            )  # fmt: skip
            if ready.returncode == 0:
                return
            time.sleep(0.1)
        raise RuntimeError("PostgreSQL does not answer")

    def database(self) -> str:
        """The address of a new, empty database."""
        self._count += 1
        name = f"shelf{self._count}"
        self._run("createdb", "-h", str(self._folder), "-U", "xref", name)
        return f"postgresql://xref@/{name}?host={self._folder}"

    def stop(self) -> None:
        """End the server that we started, and its files."""
        if self._process is not None:
            self._process.terminate()
            with contextlib.suppress(subprocess.TimeoutExpired):
                self._process.wait(20)
            if self._process.poll() is None:
                self._process.kill()
                self._process.wait()
        shutil.rmtree(self._folder, ignore_errors=True)

    def _run(self, program: str, *words: str) -> None:
        subprocess.run(
            [str(self._programs / program), *words], check=True, capture_output=True, cwd=self._folder, **self._as,  # type: ignore[call-overload]
        )  # fmt: skip


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """PostgreSQL, started once; skipped by name where it is not installed."""
    found = sorted(glob.glob("/usr/lib/postgresql/*/bin/initdb"))
    programs = Path(found[-1]).parent if found else None
    if programs is None and shutil.which("initdb"):
        programs = Path(shutil.which("initdb") or "").parent
    if programs is None:
        if os.environ.get("XREF_REQUIRE_TOOLS"):
            pytest.fail("postgresql is not installed, and CI needs it")
        pytest.skip("postgresql is not installed")
    running = Server(programs)
    try:
        running.start()
        yield running
    finally:
        running.stop()


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def shelf(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """The environment of an empty stock, once as the own file and once on a server; its name."""
    if request.param == "postgres":
        monkeypatch.setenv("XREF_STOCK_URL", request.getfixturevalue("server").database())
    else:
        monkeypatch.delenv("XREF_STOCK_URL", raising=False)
    return str(request.param)


@pytest.fixture
def home(_own_home: Path) -> Path:
    """The folder that holds everything of this test."""
    return _own_home


@pytest.fixture(autouse=True)
def _own_file(monkeypatch: pytest.MonkeyPatch) -> None:
    """No stock of the person who runs the tests is ever touched."""
    if not os.environ.get("XREF_STOCK_URL", "").startswith("postgresql://xref@/shelf"):
        monkeypatch.delenv("XREF_STOCK_URL", raising=False)
