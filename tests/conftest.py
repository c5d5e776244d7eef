"""Every test has its own home, so that none touches the user's stock, parts or records."""

from __future__ import annotations

import os
from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def _own_home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    home = tmp_path_factory.mktemp("xref-home")
    monkeypatch.setenv("XREF_HOME", str(home))
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("COLUMNS", "80")
    return home


@pytest.fixture
def need_tool() -> object:
    """Skip by name where a system tool is absent; in CI its absence is a failure."""
    import shutil

    def need(*names: str) -> str:
        for name in names:
            path = shutil.which(name)
            if path:
                return path
        if os.environ.get("XREF_REQUIRE_TOOLS"):
            pytest.fail(f"{names[0]} is not installed, and CI needs it")
        pytest.skip(f"{names[0]} is not installed")

    return need
