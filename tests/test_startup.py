"""A command starts fast because it imports little."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

DEAR = {
    "find": ("xref.model.part", "xref.model.site", "xref.model.job", "xref.model.stock", "xref.physics"),
    "part": ("xref.model.site", "xref.model.job"),
}
"""Modules of ours that a plain run does without: their classes cost more than the answer."""
HEAVY = ("pydantic", "numpy", "yaml", "rich", "sqlalchemy", "reportlab", "scipy")
COMMANDS = (
    ["find", "--kind", "reflective", "--body", "10.2x5.8x7"],
    ["fit", "TCRT5000", "CNY70"],
    ["part", "TCRT5000"],
)


@pytest.mark.parametrize("args", COMMANDS, ids=lambda args: args[0])
def test_no_heavy_import_in_a_pipe(args: list[str]) -> None:
    """find, fit and part import neither pydantic, numpy, yaml nor rich once the index is built."""
    code = (
        "import sys\n"
        "from xref.cli.main import main\n"
        f"code = main({args!r})\n"
        f"heavy = [name for name in {HEAVY + DEAR.get(args[0], ())!r} if name in sys.modules]\n"
        "sys.stderr.write('HEAVY ' + ','.join(heavy) + '\\n')\n"
        "sys.exit(code)\n"
    )
    environment = dict(os.environ)
    subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True, check=False)  # builds the index

    second = subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True, text=True, check=False)

    assert "HEAVY \n" in second.stderr, second.stderr
    assert second.returncode == 0, second.stderr
