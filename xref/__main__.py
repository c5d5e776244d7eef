"""`python -m xref` is the same as `xref`."""

from xref.cli.main import run

run()
