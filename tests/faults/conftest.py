"""A home with a compiled index, and what a search answers when all is well."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.faults.process import FIND, environment, xref


@pytest.fixture(scope="module")
def warm(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home with a compiled index, to be copied or shared by tests that only read it."""
    home = tmp_path_factory.mktemp("warm")
    assert xref(*FIND, env=environment(home), cwd=home).returncode == 0
    return home


@pytest.fixture(scope="module")
def expected(warm: Path) -> str:
    """What the search answers when all is well."""
    return xref(*FIND, env=environment(warm), cwd=warm).stdout
