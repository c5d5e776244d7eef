"""A number that does not travel alone: min, typ, max, the conditions, how it became known, and where it stands."""

from __future__ import annotations

from dataclasses import dataclass, field

from xref.model.base import STRICT, Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """One quantity in the unit that its key names (``vf_v`` holds volt, ``if_ma`` milliampere).

    ``at`` holds the conditions with the unit in each key (``{"if_ma": 20, "vce_v": 5}``). ``source`` is a key of the
    file's sources; empty means the first one.
    """

    __pydantic_config__ = STRICT

    min: float | None = None
    typ: float | None = None
    max: float | None = None
    at: dict[str, float] = field(default_factory=dict)
    target: str = ""
    basis: Basis = "printed"
    source: str = ""
    note: str = ""

    @property
    def best(self) -> float | None:
        """The typical value; else the middle of min and max; else the one that is known; else None."""
        if self.typ is not None:
            return self.typ
        if self.min is not None and self.max is not None:
            return (self.min + self.max) / 2
        return self.min if self.min is not None else self.max


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A document. ``not printed``: the document does not print it. ``not read``: nobody has looked."""

    __pydantic_config__ = STRICT

    title: str
    document: str = "not read"
    revision: str = "not read"
    date: str = "not read"

    @property
    def complete(self) -> bool:
        """True when all four are known or known to be absent from the document."""
        return "not read" not in (self.document, self.revision, self.date)
