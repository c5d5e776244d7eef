"""What the shell may put in place of a word that was begun: part names, and files that could be meant.

Runs at every press of the key, so it reads names from the index and nothing else; whatever fails, it offers nothing.
"""

from __future__ import annotations

import inspect
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import typer

MOST = 200
"""Names offered at once; more are no help."""


def part_names(incomplete: str) -> list[str]:
    """Names of parts that begin so."""
    from xref.errors import XrefError
    from xref.library.store import open_library

    try:
        names = sorted(open_library().names())
    except (XrefError, OSError):
        return []
    return [name for name in names if name.startswith(incomplete)][:MOST]


def job_files(incomplete: str) -> list[str]:
    """YAML files and folders whose path begins so."""
    import os

    folder, begun = os.path.split(incomplete)
    try:
        with os.scandir(folder or ".") as found:
            entries = [(entry.name, entry.is_dir()) for entry in found if entry.name.startswith(begun)]
    except OSError:
        return []
    files = [name for name, is_dir in entries if not is_dir and name.endswith((".yaml", ".yml"))]
    folders = [f"{name}/" for name, is_dir in entries if is_dir and not name.startswith(".")]
    return [os.path.join(folder, name) for name in sorted(files) + sorted(folders)][:MOST]


def parts_and_files(incomplete: str) -> list[str]:
    """Files first, because few begin so, then part names."""
    return job_files(incomplete) + (part_names(incomplete) if "/" not in incomplete else [])


WHAT = {
    "original": parts_and_files, "donor": parts_and_files, "name": parts_and_files, "what": job_files,
    "site": job_files, "job": job_files, "file": job_files,
}  # fmt: skip
"""Parameter name to what may stand there, in every command alike."""


def attach(app: typer.Typer) -> None:
    """Tell the parser what to offer; only a completion run needs it."""
    for command in app.registered_commands:
        for name, item in inspect.signature(command.callback).parameters.items() if command.callback else ():
            if name in WHAT and hasattr(item.default, "autocompletion"):
                item.default.autocompletion = WHAT[name]
    for group in app.registered_groups:
        if group.typer_instance is not None:
            attach(group.typer_instance)
