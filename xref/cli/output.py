"""The only place that prints: text or ``--json`` of the same answer, made harmless and fitted to the terminal."""

from __future__ import annotations

import contextlib
import json
import sys
import textwrap
from collections.abc import Callable, Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from xref.errors import UsageError

WIDTH = 80


def document(answer: Any) -> Any:
    """An answer (dataclasses, tuples, mappings) as plain JSON data with every field written out."""
    if is_dataclass(answer) and not isinstance(answer, type):
        return {item.name: document(getattr(answer, item.name)) for item in fields(answer)}
    if isinstance(answer, dict):
        return {str(key): document(value) for key, value in answer.items()}
    if isinstance(answer, list | tuple):
        return [document(value) for value in answer]
    if isinstance(answer, float):
        # 12 digits hide the last bits of binary arithmetic and lose nothing that a bench can measure
        return float(f"{answer:.12g}")
    return answer


def emit(answer: Any, text: str, *, as_json: bool) -> None:
    """Print ``answer`` as one JSON document, or ``text`` for people."""
    if as_json:
        sys.stdout.write(_harmless(json.dumps(document(answer), ensure_ascii=False, indent=1, allow_nan=False)) + "\n")
    else:
        say(text)


def _harmless(text: str) -> str:
    """JSON with everything escaped that could steer a terminal; it reads back the same."""
    if visible(text) == text:
        return text
    # JSON itself escapes only the first 32; all others can stand nowhere but inside a text
    return "".join(char if char in "\n" or visible(char) == char else json.dumps(char)[1:-1] for char in text)


def say(text: str) -> None:
    """Print text for people, without anything that could steer a terminal."""
    sys.stdout.write(visible(text) + "\n")


def note(text: str) -> None:
    """Print progress or a remark on stderr."""
    sys.stderr.write(visible(text) + "\n")


def ask_line(prompt: str, ended: str = "the input ended before the last question: nothing was written") -> str:
    """One line from the user; the prompt goes to stderr, so that ``--json`` stays one document.

    Raises:
        UsageError: there is no further line; ``ended`` says what that means
    """
    sys.stderr.write(prompt)
    sys.stderr.flush()
    line = sys.stdin.readline()
    if not line:
        raise UsageError(ended)
    return line.rstrip("\n")


def progress(what: str) -> Callable[[int, int], None] | None:
    """A one-line counter on stderr for work over a second; None where nobody watches."""
    if not sys.stderr.isatty():
        return None

    def show(done: int, total: int) -> None:
        end = "\n" if done == total else ""
        sys.stderr.write(f"\r{what}: {done} of {total}{end}")
        sys.stderr.flush()

    return show


def print_error(kind: str, message: str, where: str, *, as_json: bool) -> None:
    """One line on stderr; with ``--json`` also ``{"error": ...}`` on stdout."""
    line = f"xref: {where}: {message}" if where else f"xref: {message}"
    sys.stderr.write(visible(line) + "\n")
    if as_json:
        # stdout may be what failed
        with contextlib.suppress(OSError):
            sys.stdout.write(json.dumps({"error": {"kind": kind, "message": message, "where": where}}) + "\n")
            sys.stdout.flush()


def one_line(text: str) -> str:
    """Fold all white space, so that a message stays one line; a very long one is shortened."""
    folded = " ".join(text.split())
    return folded if len(folded) <= 400 else folded[:397] + "..."


def visible(text: str) -> str:
    """Replace control characters and direction marks by '?', keeping line breaks: data must not steer a terminal."""
    if text.isascii() and text.replace("\n", "").isprintable():
        return text
    return "".join(
        char if char in "\n" or (char.isprintable() and char not in _MARKS) else _shown(char) for char in text
    )


_MARKS = "\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"


def _shown(char: str) -> str:
    return " " if char in "\t\xa0\u2002\u2003\u2009\u202f" else "?"


def quoted(name: str) -> str:
    """A name as it has to be typed at the shell: in quotes where it holds more than letters, digits and ``-_./:#``."""
    if name and all(char.isalnum() or char in "-_./:#" for char in name):
        return name
    return "'" + name.replace("'", "'\\''") + "'"


def ascii_only(asked: bool) -> bool:
    """True when plain ASCII was asked for or the terminal cannot show more."""
    encoding = (getattr(sys.stdout, "encoding", "") or "ascii").lower().replace("-", "")
    return asked or encoding not in ("utf8", "utf16", "utf32")


def wrap(text: str, *, indent: str = "", first: str | None = None, width: int = WIDTH) -> str:
    """Fold a sentence to the width of the bench terminal."""
    return textwrap.fill(
        text, width, initial_indent=indent if first is None else first, subsequent_indent=indent, break_long_words=True
    )


LEAST_ROOM = 16
"""Cells that the last column of a table gets at least."""


def table(head: Sequence[str], rows: Sequence[Sequence[str]], *, width: int = WIDTH) -> str:
    """Rows under a heading, left-aligned, last column folded into the space that is left.

    Plain text on purpose: a table library costs more start-up time than the search itself.
    """
    sizes = [max(cells(row[i]) for row in (head, *rows)) for i in range(len(head) - 1)]
    while sizes and sum(sizes) + 2 * len(sizes) + LEAST_ROOM > width:
        # the widest column gives way, so that the sum always comes down
        sizes[sizes.index(max(sizes))] -= 1
    left = sum(sizes) + 2 * len(sizes)
    sizes.append(width - left)
    lines = [*_row(head, sizes), "-" * width]
    for row in rows:
        lines += _row(row, sizes)
    return "\n".join(lines)


def _row(row: Sequence[str], sizes: Sequence[int]) -> list[str]:
    """One row as lines: every cell folded into its column."""
    folded = [_fold(cell, size) for cell, size in zip(row, sizes, strict=True)]
    height = max(len(cell) for cell in folded)
    lines = []
    for number in range(height):
        texts = [cell[number] if number < len(cell) else "" for cell in folded]
        padded = [text + " " * (size - cells(text)) for text, size in zip(texts, sizes, strict=True)]
        lines.append("  ".join(padded).rstrip())
    return lines


def cells(text: str) -> int:
    """Terminal cells that a text takes: East Asian characters take two."""
    if text.isascii():
        return len(text)
    from xref.draw.words import columns

    return columns(text)


def _fold(text: str, size: int) -> list[str]:
    if text.isascii():
        return [text] if len(text) <= size and "\n" not in text else textwrap.wrap(text, size) or [""]
    from xref.draw.words import wrap as wide

    return wide(text, size) or [""]
