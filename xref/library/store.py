"""The library: shipped parts with the user's own above them."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from pathlib import Path

from xref.errors import NotFound
from xref.library.names import canonical
from xref.library.problem import Problem
from xref.model.part import Part
from xref.model.row import Row, row_of


class Library:
    """Parts by name and as rows for the search."""

    def __init__(self, parts: list[Part], problems: list[Problem]) -> None:
        self._parts = {part.name: part for part in parts}
        self._by_name: dict[str, str] = {}
        for part in parts:
            for name in (part.name, *part.aliases):
                self._by_name.setdefault(canonical(name), part.name)
        self._problems = problems
        self.warning = ""

    def get(self, name: str) -> Part:
        """The part of that name or alias.

        Raises:
            NotFound: no such part; the message names the nearest
        """
        key = self._by_name.get(canonical(name))
        if key is None:
            raise NotFound(f'no part "{name}"; nearest: {", ".join(self.nearest(name))}')
        return self._parts[key]

    def rows(self, kind: str | None = None) -> list[Row]:
        """Every part as the search sees it."""
        return [row_of(part) for part in self.parts(kind)]

    def parts(self, kind: str | None = None) -> Iterator[Part]:
        """Every part, in full."""
        return (part for part in self._parts.values() if kind is None or part.kind == kind)

    def names(self) -> list[str]:
        """Names of the parts."""
        return list(self._parts)

    def nearest(self, text: str, n: int = 5) -> list[str]:
        """The names most like the text."""
        import difflib

        return difflib.get_close_matches(text.upper(), list(self._parts), n=n, cutoff=0.3)

    def problems(self) -> list[Problem]:
        """What was left out, and why."""
        return self._problems


def open_library(user_dir: Path | None = None, *, kinds: Collection[str] | None = None) -> Library:
    """Open the shipped parts and the user's own."""
    from xref.library.partfile import load_parts, load_pinouts
    from xref.library.paths import part_files, shipped_root
    from xref.places import parts_dir

    pinouts, problems = load_pinouts(shipped_root() / "pinouts")
    parts: list[Part] = []
    for origin, folder in (("shipped", shipped_root() / "parts_db"), ("user", user_dir or parts_dir())):
        for path in part_files(folder):
            found, wrong = load_parts(path, pinouts, origin)
            parts += [part for part in found if kinds is None or part.kind in kinds]
            problems += wrong
    return Library(parts, problems)
