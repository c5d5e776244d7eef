"""What a word on the command line names: a part, a piece of stock, a part file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from xref.errors import NotFound, UsageError

if TYPE_CHECKING:
    from xref.library.store import Library
    from xref.model.part import Part

BLANK = ("", "blank", "unknown")
"""Words for an original without a number."""

YAML = (".yaml", ".yml")
"""How a file of ours ends."""


def resolve(reference: str, library: Library | None = None) -> Part:
    """Return the part that ``reference`` names.

    ``stock:17`` is a piece on the shelf, a path that ends in .yaml a part file (its only part; ``file.yaml#NAME``
    one of several), anything else a name.

    Raises:
        NotFound: no such part or piece; the message names the nearest
        DataError: the file cannot be read
        UsageError: the file holds several parts
    """
    if reference.startswith("stock:"):
        from xref.tasks.stock import item_part

        return item_part(reference, library)
    path, inner = _file_and_name(reference)
    if path:
        from xref.library.partfile import load_part_file

        parts = load_part_file(Path(path))
        names = ", ".join(part.name for part in parts[:5]) or "none"
        if inner:
            named = [part for part in parts if part.name == inner]
            if not named:
                raise NotFound(f"no part {inner!r} in this file; it holds {names}", path)
            return named[0]
        if len(parts) != 1:
            raise UsageError(f"the file holds {len(parts)} parts ({names}); name one as {path}#NAME", path)
        return parts[0]
    if library is None:
        from xref.library.store import open_library

        library = open_library()
    return library.get(reference)


def known(name: str, library: Library | None = None) -> Part | None:
    """The part of that name; None for a blank part and for a name that is not in the library."""
    if name in BLANK:
        return None
    try:
        return resolve(name, library)
    except NotFound:
        return None


def _file_and_name(reference: str) -> tuple[str, str]:
    """Path of a part file and the part named in it, or two empty texts; the path itself may hold a '#'."""
    if reference.endswith(YAML):
        return reference, ""
    path, mark, inner = reference.rpartition("#")
    return (path, inner) if mark and path.endswith(YAML) else ("", "")
