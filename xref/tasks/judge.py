"""What fit and physics say of candidates when the board side is known: over the cores, with progress, remembered.

An opinion depends on the donor, the site and the program alone, so it is kept under a hash of their contents.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from xref._version import __version__
from xref.errors import XrefError
from xref.model.answers.find import Check, Refused
from xref.model.decode import decode, encode

if TYPE_CHECKING:
    from xref.adapt.original import Original
    from xref.library.store import Library
    from xref.model.answers.fit import Fit
    from xref.model.part import Part
    from xref.model.site import Site

WIRE_COST, CUT_COST, VALUE_COST, OPEN_COST = 0.05, 0.1, 0.03, 0.15
"""Cost of one wire, one board change, one changed resistor, and of a signal that could not be decided."""

Opinion = tuple[float, Check] | Refused | None
Progress = Callable[[int, int], None]

IN_ONE_PROCESS = 6
"""Fewer candidates are quicker here than a second process is started."""


def opinions(
    references: Sequence[str], site: Site, part: Part | None, library: Library, progress: Progress | None = None
) -> dict[str, Opinion]:
    """What to think of each donor in this site: an extra cost with its check, a refusal, or nothing to add."""
    from xref.tasks.references import resolve

    donors = {reference: resolve(reference, library) for reference in references}
    keys = {reference: _key(donor, site, part) for reference, donor in donors.items()}
    kept = _Kept()
    found = {reference: kept.get(keys[reference]) for reference in references}
    missing = [reference for reference in references if found[reference] is None]
    work = [(donors[reference], site, part) for reference in missing]
    for done, (reference, packed) in enumerate(zip(missing, _over_cores(work), strict=True), 1):
        found[reference] = packed
        kept.put(keys[reference], packed)
        if progress is not None:
            progress(done, len(missing))
    kept.close()
    return {reference: _unpacked(packed, reference) for reference, packed in found.items()}


def opinion(donor: Part, site: Site, part: Part | None) -> dict[str, Any]:
    """One opinion as plain data, so that it travels between processes and into the cache."""
    from xref.adapt.fit import FitOptions
    from xref.adapt.fit import fit as solve
    from xref.tasks.signal import with_signal

    original = _original(site, part)
    if original is None or not any(lead.function for lead in donor.geometry.leads):
        return {"nothing": True}
    if donor.kind == "switch" and (original.contacts is None or donor.contacts is None or not donor.contacts.table):
        # what joins when is not known of one of the two: no opinion is better than a refusal
        return {"nothing": True}
    try:
        answer = solve(original, donor, FitOptions(alternatives=0, time_cap_s=0.1))
        if answer.possible and donor.kind != "switch":
            answer = with_signal(answer, original, donor, site, change=None, series="E24")
    except XrefError as error:
        return {"refused": str(error)}
    if not answer.possible:
        return {"refused": answer.because}
    if answer.signal is not None and answer.signal.clean is False:
        return {"refused": f"no clean signal: {answer.signal.limited_by}"}
    return {"cost": _cost(answer), "check": encode(_check(answer))}


def _original(site: Site, part: Part | None) -> Original | None:
    from xref.adapt.original import from_part, from_site

    if site.pads.map or site.pads.at:
        return from_site(site)
    return from_part(part, site) if part is not None else None


def _over_cores(work: list[tuple[Part, Site, Part | None]]) -> Any:
    cores = min(os.cpu_count() or 1, 8)
    if len(work) < IN_ONE_PROCESS or cores == 1:
        return map(_one, work)
    from concurrent.futures import ProcessPoolExecutor

    return _pooled(ProcessPoolExecutor(cores), work)


def _pooled(pool: Any, work: list[tuple[Part, Site, Part | None]]) -> Any:
    with pool:
        yield from pool.map(_one, work, chunksize=2)


def _one(item: tuple[Part, Site, Part | None]) -> dict[str, Any]:
    return opinion(*item)


def _unpacked(packed: dict[str, Any] | None, reference: str) -> Opinion:
    if packed is None or "nothing" in packed:
        return None
    if "refused" in packed:
        return Refused(part=reference, why=str(packed["refused"]))
    return float(packed["cost"]), decode(Check, packed["check"])


def _cost(answer: Fit) -> float:
    cost = WIRE_COST * answer.wire_count + CUT_COST * len(answer.cuts) + VALUE_COST * len(answer.values)
    if answer.signal is None or answer.signal.clean is None:
        cost += OPEN_COST
    elif answer.signal.light_reserve is not None and answer.signal.light_reserve > 0:
        cost += 0.1 / max(answer.signal.light_reserve, 0.5)
    return cost


def _check(answer: Fit) -> Check:
    words = [f"{answer.wire_count} wire{'s' if answer.wire_count != 1 else ''}"]
    if answer.cuts:
        words.append(f"{len(answer.cuts)} board change{'s' if len(answer.cuts) > 1 else ''}")
    words += [f"{change.where} {change.now_ohm:g} ohm" for change in answer.values]
    signal = answer.signal
    reserve = None if signal is None else signal.light_reserve
    if reserve is not None:
        words.append(f"light reserve {reserve:.2g}")
    if signal is not None and signal.clean is None:
        words.append(f"open: {signal.limited_by}")
    known = signal is not None and signal.clean is not None
    return Check(
        quantity="fit and signal",
        wanted=1.0,
        offered=None if reserve is None else round(reserve, 3),
        unit="1",
        verdict="meets" if known and answer.wire_count == 0 and not answer.cuts else "near" if known else "unknown",
        share=round(_cost(answer), 4),
        why=", ".join(words),
    )


def _key(donor: Part, site: Site, part: Part | None) -> str:
    plain = [
        __version__,
        _program(),
        encode(replace(donor, path="")),
        encode(site),
        None if part is None else encode(part),
    ]
    return hashlib.sha256(json.dumps(plain, sort_keys=True).encode()).hexdigest()


def _program() -> str:
    """Changes whenever a solver or a law is edited, so that a contributor never sees a stale opinion."""
    import xref

    root = Path(xref.__file__).parent
    newest = 0.0
    for room in ("adapt", "physics", "tasks", "model"):
        newest = max(newest, *(entry.stat().st_mtime for entry in os.scandir(root / room) if entry.is_file()))
    return f"{newest:.0f}"


class _Kept:
    """Opinions on disk; a folder that cannot be written, or a damaged file, only costs time."""

    MOST = 20_000

    def __init__(self) -> None:
        self._base: Any = None
        try:
            import sqlite3

            from xref.places import cache_dir

            folder = cache_dir()
            folder.mkdir(parents=True, exist_ok=True)
            self._base = sqlite3.connect(folder / "opinions.sqlite", timeout=2)
            self._base.execute("create table if not exists opinion (key text primary key, value text)")
        except (OSError, ValueError, sqlite3.Error):
            self._base = None

    def get(self, key: str) -> dict[str, Any] | None:
        row = self._ask("select value from opinion where key = ?", (key,))
        try:
            value = json.loads(row[0]) if row else None
        except (ValueError, TypeError):
            return None
        return value if isinstance(value, dict) else None

    def put(self, key: str, value: dict[str, Any]) -> None:
        self._ask("insert or replace into opinion values (?, ?)", (key, json.dumps(value)))

    def close(self) -> None:
        if self._base is None:
            return
        row = self._ask("select count(*) from opinion", ())
        if row and row[0] > self.MOST:
            self._ask("delete from opinion", ())
        try:
            self._base.commit()
            self._base.close()
        except Exception:
            # the cache is a comfort: whatever breaks it must not break the answer
            self._base = None

    def _ask(self, command: str, values: tuple[Any, ...]) -> Any:
        if self._base is None:
            return None
        try:
            return self._base.execute(command, values).fetchone()
        except Exception:
            self._base = None
            return None
