"""Our YAML dialect: a small strict subset, every scalar kept as text, every node knowing its line and key path.

Refused, each with its place: more than one document, anchors and aliases, tags, merge keys, a repeated key, keys that
are not plain text, control characters, nesting deeper than 20, files above 1 MB or 50,000 values, one text above
100 kB, text that is not UTF-8. The text is read as events, so nothing is built from what is refused.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from xref.errors import DataError
from xref.examples import shipped
from xref.library.paths import shown
from xref.library.problem import Problem, clip

MAX_BYTES = 1_000_000
MAX_SCALAR = 100_000
MAX_DEPTH = 20
MAX_NODES = 50_000
"""Values in one file; a part has about fifty."""

LOOK = (
    ("mapping values are not allowed", "look for a second colon in the line (put the text in quotes) or a line that "
     "stands further in than the one above"),
    ("expected ',' or '}'", "look for a comma or a closing } that is missing"),
    ("expected ',' or ']'", "look for a comma or a closing ] that is missing"),
    ("expected key", "look for a line that stands further out than its neighbours"),
    ("expected <block end>", "look for a line that stands further in or out than its neighbours"),
    ("could not find expected ':'", "look for a key without a colon and a space behind it"),
    ("cannot start any token", "look for a tab (write spaces), or a text that wants quotes"),
    ("unexpected end of stream", "look for a quote that is not closed"),
)  # fmt: skip
"""What the YAML library says, and what to look at in the line."""


@dataclass(slots=True)
class Node:
    """A scalar, list or mapping with its place. ``plain``: a scalar without quotes (so ``null`` may mean nothing)."""

    line: int
    path: str
    text: str | None = None
    plain: bool = True
    items: list[Node] | None = None
    entries: dict[str, Node] | None = None
    key_lines: dict[str, int] = field(default_factory=dict)

    @property
    def kind(self) -> str:
        """What it is, in words for a message."""
        if self.text is not None:
            return f'"{clip(self.text)}"' if self.text else "nothing"
        return "a list" if self.items is not None else "a mapping"

    @property
    def empty(self) -> bool:
        """True for a value left out: nothing, ``~`` or ``null`` without quotes."""
        return self.plain and self.text in ("", "~", "null")


def read_text(path: Path) -> str:
    """The text of a file, size and encoding checked before anything else.

    Raises:
        DataError: absent, unreadable, above 1 MB, or not UTF-8
    """
    name = shown(path)
    try:
        with open(path, "rb") as file:
            raw = file.read(MAX_BYTES + 1)
    except FileNotFoundError:
        example = shipped(path.name)
        raise DataError("no such file" + (f"; the shipped example is {example}" if example else ""), name) from None
    except OSError as error:
        raise DataError(f"cannot be read: {error.strerror or error}", name) from None
    if len(raw) > MAX_BYTES:
        raise DataError("is larger than 1 MB: split it", name)
    try:
        return raw.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise DataError(
            f"byte 0x{raw[error.start]:02x} is not UTF-8: save the file as UTF-8", f"{name}:{line}"
        ) from None


def tree(text: str, name: str) -> Node:
    """The document as nodes.

    Args:
        text: the document
        name: how messages call the file

    Raises:
        DataError: not YAML, or outside the dialect; the first problem found
    """
    import yaml

    loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    _check_characters(text, name)
    build = _Builder(name)
    try:
        for event in yaml.parse(text, Loader=loader):
            build.take(event)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        said = str(error.problem or error.context)
        look = next((f"; {hint}" for words, hint in LOOK if words in said), "")
        raise _fail(name, 0 if mark is None else mark.line + 1, f"not YAML: {said}{look}") from None
    except (yaml.YAMLError, RecursionError) as error:
        raise _fail(name, 0, f"not YAML: {clip(str(error).splitlines()[0], 80)}") from None
    if build.root is None:
        raise _fail(name, 0, "is empty: expected keys and values")
    return build.root


def _fail(name: str, line: int, what: str, path: str = "") -> DataError:
    return Problem(file=name, line=line, key=path, what=what).error()


def _check_characters(text: str, name: str) -> None:
    """A fast pass; only a text with something odd in it is walked for the line."""
    if len(text) > MAX_BYTES:
        raise _fail(name, 0, "is larger than 1 MB: split it")
    if text.replace("\n", "").replace("\r", "").replace("\t", "").isprintable():
        return
    for number, line in enumerate(text.split("\n"), 1):
        for character in line:
            if not (character.isprintable() or character in "\t\r"):
                raise _fail(name, number, f"control character U+{ord(character):04X}: write plain text")


@dataclass(slots=True)
class _Open:
    """A list or mapping that is being filled."""

    node: Node
    key: str | None = None
    key_line: int = 0


class _Builder:
    """Takes YAML events one by one and refuses at the first that the dialect does not have."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.root: Node | None = None
        self.stack: list[_Open] = []
        self.documents = 0
        self.nodes = 0

    def take(self, event: Any) -> None:
        """Add one event."""
        kind = type(event).__name__
        line = event.start_mark.line + 1
        if kind == "DocumentStartEvent":
            self.documents += 1
            if self.documents > 1:
                raise _fail(self.name, line, 'a second document ("---"): one document a file')
            if event.tags or event.version:
                raise _fail(self.name, line, 'a "%" directive: leave it out')
        elif kind == "AliasEvent":
            raise _fail(self.name, line, f"alias *{clip(event.anchor)}: write the value out", self._path())
        elif kind in ("ScalarEvent", "SequenceStartEvent", "MappingStartEvent"):
            self._check_node(event, line)
            self._open(event, kind, line)
        elif kind in ("SequenceEndEvent", "MappingEndEvent"):
            self.stack.pop()

    def _check_node(self, event: Any, line: int) -> None:
        self.nodes += 1
        if self.nodes > MAX_NODES:
            raise _fail(self.name, line, f"more than {MAX_NODES} values: split the file")
        if event.anchor is not None:
            raise _fail(self.name, line, f"anchor &{clip(event.anchor)}: leave it out", self._path())
        if event.tag is not None:
            raise _fail(self.name, line, f"tag {clip(event.tag)}: leave it out", self._path())
        if len(self.stack) >= MAX_DEPTH:
            raise _fail(self.name, line, f"nested deeper than {MAX_DEPTH} levels", "")

    def _open(self, event: Any, kind: str, line: int) -> None:
        top = self.stack[-1] if self.stack else None
        if top is not None and top.node.entries is not None and top.key is None:
            self._take_key(top, event, kind, line)
            return
        node = Node(line, self._path())
        if kind == "ScalarEvent":
            self._check_scalar(event.value, line, node.path)
            node.text, node.plain = event.value, event.style is None or event.style == ""
        elif kind == "SequenceStartEvent":
            node.items = []
        else:
            node.entries = {}
        if top is None:
            self.root = node
        elif top.node.items is not None:
            top.node.items.append(node)
        elif top.node.entries is not None and top.key is not None:
            top.node.entries[top.key] = node
            top.node.key_lines[top.key] = top.key_line
            top.key = None
        if kind != "ScalarEvent":
            self.stack.append(_Open(node))

    def _take_key(self, top: _Open, event: Any, kind: str, line: int) -> None:
        if kind != "ScalarEvent":
            raise _fail(self.name, line, "a list or mapping as a key: expected a word", self._path())
        key = event.value
        self._check_scalar(key, line, self._path())
        entries = top.node.entries or {}
        if key == "<<":
            raise _fail(self.name, line, 'merge key "<<": write the values out', self._path())
        if not key or len(key) > 80:
            raise _fail(self.name, line, f'"{clip(key)}" as a key: expected a word', self._path())
        if key in entries:
            first = top.node.key_lines[key]
            raise _fail(self.name, line, f'key "{clip(key)}" stands twice: first in line {first}', top.node.path)
        top.key, top.key_line = key, line

    def _check_scalar(self, value: str, line: int, path: str) -> None:
        if len(value) > MAX_SCALAR:
            raise _fail(self.name, line, f"a text of {len(value)} characters: expected at most {MAX_SCALAR}", path)
        if not value.isprintable():
            odd = next((c for c in value if not (c.isprintable() or c in "\n\t")), None)
            if odd is not None:
                raise _fail(self.name, line, f"control character U+{ord(odd):04X}: write plain text", path)

    def _path(self) -> str:
        """Key path of the node that comes next."""
        if not self.stack:
            return ""
        top = self.stack[-1]
        if top.node.items is not None:
            return f"{top.node.path}[{len(top.node.items)}]"
        if top.key is None:
            return top.node.path
        return f"{top.node.path}.{top.key}" if top.node.path else top.key
