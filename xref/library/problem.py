"""One thing wrong in a file, in one line: where, what, what instead."""

from __future__ import annotations

from dataclasses import dataclass

from xref.errors import DataError
from xref.library.clean import visible


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Problem:
    """``file:line: key path: what: expected``. ``line`` 0: the file as a whole."""

    file: str
    line: int = 0
    key: str = ""
    what: str
    expected: str = ""

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        return ": ".join(visible(piece) for piece in (place, self.key, self.what, self.expected) if piece)

    def error(self) -> DataError:
        """The same as an error to raise."""
        place = f"{self.file}:{self.line}" if self.line else self.file
        text = ": ".join(visible(piece) for piece in (self.key, self.what, self.expected) if piece)
        return DataError(text, visible(place))


def clip(text: str, limit: int = 40) -> str:
    """A value for a message, cut to a length that leaves the line readable."""
    return text if len(text) <= limit else text[: limit - 3] + "..."
