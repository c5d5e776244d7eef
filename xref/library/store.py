"""The library: shipped parts with the user's own above them, by name and as rows for the search.

Opening it reads no YAML and checks nothing: both happen when the index is built (``xref.library.compile``).
"""

from __future__ import annotations

import gc
from collections.abc import Collection, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from xref.errors import NotFound
from xref.library import index
from xref.library.names import canonical, without_maker
from xref.model.row import Row, unpack

if TYPE_CHECKING:
    from xref.library.problem import Problem
    from xref.model.part import Part
    from xref.model.value import Source

remarks: list[str] = []
"""Warnings of the libraries opened by this process, each once; the command line shows them at its end."""

KINDS = ("reflective", "slotted", "pair", "emitter", "detector", "switch")


class SourceUse(NamedTuple):
    """A document and the parts whose data stand in it."""

    source: Source
    parts: tuple[str, ...]


class Named(NamedTuple):
    """What a list shows of a part."""

    name: str
    maker: str
    kind: str
    aliases: tuple[str, ...]
    origin: str


class Library:
    """Parts by name and as rows. ``layers``: the user's before the shipped; the first that knows a name has it.

    ``warning`` is one line for the user, or empty: the index could not be kept, or own files hold mistakes.
    """

    def __init__(self, layers: list[tuple[str, index.Layer]], kinds: Collection[str] | None, warning: str) -> None:
        self._layers = layers
        self._kinds = [kind for kind in KINDS if kinds is None or kind in kinds]
        self._keys: list[dict[str, str]] | None = None
        self.warning = warning

    def get(self, name: str) -> Part:
        """The part of that name or alias; capitals, spaces and dashes do not matter, a maker in front may stand.

        Raises:
            NotFound: no such part; the message names the nearest
        """
        hit = self._look_up(name)
        if hit is None:
            near = self.nearest(name)
            tail = f"; nearest: {', '.join(near)}" if near else ""
            raise NotFound(f'no part "{name[:60]}"{tail}')
        from dataclasses import replace

        from xref.model.decode import decode
        from xref.model.part import Part

        layer, found = hit
        origin: Any = self._layers[layer][0]
        part = decode(Part, self._layers[layer][1].read(f"part:{found}"))
        return part if origin == part.origin else replace(part, origin=origin)

    def overrides(self, name: str) -> bool:
        """True when an own part stands in front of a shipped one of the same name."""
        key = canonical(name)
        return sum(key in keys for keys in self._tables()) > 1

    def rows(self, kind: str | None = None) -> list[Row]:
        """Every part as the search sees it, the user's first; an own part hides the shipped one of its name."""
        # nothing here becomes garbage; looking for it would take three quarters of the time at a hundred thousand rows
        collecting = gc.isenabled()
        gc.disable()
        try:
            return self._rows(kind)
        finally:
            if collecting:
                gc.enable()

    def _rows(self, kind: str | None) -> list[Row]:
        hidden: set[str] = set()
        rows: list[Row] = []
        for position, (_, layer) in enumerate(self._layers):
            for each in self._kinds if kind is None else [kind]:
                found = [unpack(packed) for packed in layer.read(f"rows:{each}") or ()]
                rows += [row for row in found if canonical(row.name) not in hidden] if hidden else found
            if position + 1 < len(self._layers):
                hidden |= {canonical(entry[0]) for entry in layer.read("names")}
        return rows

    def parts(self, kind: str | None = None) -> Iterator[Part]:
        """Every part in full."""
        for entry in self.listed(kind):
            yield self.get(entry.name)

    def listed(self, kind: str | None = None) -> list[Named]:
        """Name, maker, kind, aliases and origin of every part."""
        kinds = set(self._kinds if kind is None else [kind])
        hidden: set[str] = set()
        found = []
        for origin, layer in self._layers:
            entries = layer.read("names")
            found += [
                Named(name=name, maker=maker, kind=of, aliases=tuple(aliases), origin=origin)
                for name, maker, of, aliases in entries
                if of in kinds and canonical(name) not in hidden
            ]
            hidden |= {canonical(entry[0]) for entry in entries}
        return found

    def names(self) -> list[str]:
        """The name of every part, without aliases."""
        return [entry.name for entry in self.listed()]

    def nearest(self, text: str, n: int = 5) -> list[str]:
        """The names (an alias leads to its part) that a worn marking most likely was."""
        from xref.library.marking import nearest

        entries = self.listed()
        bare = without_maker(text, {entry.maker for entry in entries})
        return nearest(bare, [(name, entry.name) for entry in entries for name in (entry.name, *entry.aliases)], n)

    def sources(self) -> list[SourceUse]:
        """Every document with the parts that rest on it, by title."""
        uses: dict[Source, list[str]] = {}
        for part in self.parts():
            for source in part.sources.values():
                names = uses.setdefault(source, [])
                if part.name not in names:
                    names.append(part.name)
        ordered = sorted(uses.items(), key=lambda use: (use[0].title.lower(), use[0].document))
        return [SourceUse(source=source, parts=tuple(names)) for source, names in ordered]

    def problems(self) -> list[Problem]:
        """What is wrong in the files; parts it touches were left out."""
        from xref.library.problem import Problem

        return [
            Problem(file=file, line=line, key=key, what=what, expected=expected)
            for _, layer in self._layers
            for file, line, key, what, expected in layer.read("problems")
        ]

    def _tables(self) -> list[dict[str, str]]:
        if self._keys is None:
            self._keys = [layer.read("keys") for _, layer in self._layers]
        return self._keys

    def _look_up(self, name: str) -> tuple[int, str] | None:
        for key in (canonical(name), None):
            if key is None:
                makers = {entry.maker for entry in self.listed()}
                key = canonical(without_maker(name, makers))
            for position, keys in enumerate(self._tables()):
                if key in keys:
                    return position, keys[key]
        return None


def _there(folder: Path) -> bool:
    """True for a folder that can be looked into; one behind a closed door is as good as none."""
    try:
        return folder.is_dir()
    except OSError:
        return False


def open_library(user_dir: Path | None = None, *, kinds: Collection[str] | None = None) -> Library:
    """Open the shipped parts and the user's own.

    Args:
        user_dir: the user's part files; by default the folder of ``xref.places``
        kinds: only parts of these kinds
    """
    from xref.library.paths import shipped_root
    from xref.places import cache_dir, parts_dir

    own = user_dir or parts_dir()
    cache = cache_dir()
    layers: list[tuple[str, index.Layer]] = []
    warning = ""
    if _there(own):
        layer, warning = index.open_layer(own, "user", cache)
        layers.append(("user", layer))
        wrong = layer.read("problems")
        if wrong:
            file, line = wrong[0][:2]
            warning = f"{len(wrong)} problem(s) in your part files, first in {file}:{line}; see: xref part check"
    layer, unkept = index.open_layer(shipped_root(), "shipped", cache)
    layers.append(("shipped", layer))
    warning = warning or unkept
    if warning and warning not in remarks:
        remarks.append(warning)
    return Library(layers, kinds, warning)
