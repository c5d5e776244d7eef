"""What fit and physics say of candidates when the board side is known: over the cores, with progress, remembered.

An opinion depends on the donor, the site and the program alone, so it is kept under a hash of their contents.
"""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from xref._version import __version__
from xref.errors import XrefError
from xref.model.answers.find import Check, Refused
from xref.model.decode import decode, encode
from xref.quantity import show

if TYPE_CHECKING:
    from xref.adapt.original import Original
    from xref.library.store import Library
    from xref.model.answers.fit import Fit
    from xref.model.part import Part
    from xref.model.site import Site

WIRE_COST, CUT_COST, VALUE_COST, OPEN_COST = 0.05, 0.1, 0.03, 0.15
"""Cost of one wire, one board change, one changed resistor, and of a signal that could not be decided."""

RESERVE_COST, LEAST_RESERVE = 0.1, 0.5
"""Cost of a light reserve of 1; it falls as the reserve grows, and is held below LEAST_RESERVE."""

UNKNOWN_COST = 0.5
"""Cost of a donor that cannot even be tried: more than any that was, so that unknown never beats known."""

CANNOT_SAY = Check(
    quantity="fit and signal", wanted=1.0, offered=None, unit="1", verdict="unknown", share=UNKNOWN_COST,
    why="not enough is known of its leads to fit it: xref identify, then a part file",
)  # fmt: skip

Opinion = tuple[float, Check] | Refused | None
Progress = Callable[[int, int], None]

IN_ONE_PROCESS = 6
"""Fewer candidates are quicker here than a second process is started."""


def opinions(
    references: Sequence[str],
    site: Site,
    part: Part | None,
    library: Library,
    progress: Progress | None = None,
    change: tuple[str, ...] | None = None,
) -> dict[str, Opinion]:
    """What to think of each donor in this site: an extra cost with its check, a refusal, or nothing to add.

    Args:
        references: names, ``stock:17`` or part files
        site: the board side
        part: the original where it is known; it gives the pads that the site does not
        library: where the names are looked up
        progress: called with (done, all) of those that are not remembered
        change: what may be altered on the board; None: what ``fit`` alters unasked

    Raises:
        NotFound: a reference names nothing
    """
    from xref.tasks.references import resolve

    donors = {reference: resolve(reference, library) for reference in references}
    program = _program()
    keys = {reference: _key(donor, site, part, change, program) for reference, donor in donors.items()}
    kept = _Kept()
    found: dict[str, Opinion] = {}
    missing = []
    for reference in references:
        packed = kept.get(keys[reference])
        if packed is None or not _sound(packed):
            missing.append(reference)
        else:
            found[reference] = _unpacked(packed, reference)
    work = [(donors[reference], site, part, change) for reference in missing]
    for done, (reference, packed) in enumerate(zip(missing, _over_cores(work), strict=True), 1):
        found[reference] = _unpacked(packed, reference)
        kept.put(keys[reference], packed)
        if progress is not None:
            progress(done, len(missing))
    kept.close()
    return found


def opinion(donor: Part, site: Site, part: Part | None, change: tuple[str, ...] | None = None) -> dict[str, Any]:
    """One opinion as plain data, so that it travels between processes and into the cache.

    Returns:
        ``{"nothing": True}``, ``{"refused": reason}`` or ``{"cost": share of the score, "check": a Check as data}``
    """
    from xref.adapt.fit import FitOptions
    from xref.adapt.fit import fit as solve
    from xref.tasks.signal import with_signal

    original = _original(site, part)
    if original is None:
        return {"nothing": True}
    if donor.kind != "switch" and not any(lead.function for lead in donor.geometry.leads):
        return {"cost": UNKNOWN_COST, "check": encode(CANNOT_SAY)}
    if donor.kind == "switch" and (original.contacts is None or donor.contacts is None or not donor.contacts.table):
        # what joins when is not known of one of the two: no opinion is better than a refusal
        return {"nothing": True}
    try:
        answer = solve(original, donor, FitOptions(alternatives=0, time_cap_s=0.1))
        if answer.possible and donor.kind != "switch":
            answer = with_signal(answer, original, donor, site, change=change, series="E24", part=part)
    except XrefError as error:
        return {"refused": str(error)}
    if not answer.possible:
        return {"refused": answer.because}
    if answer.signal is not None and answer.signal.clean is False:
        return {"refused": f"no clean signal: {_reserve_words(answer)}{answer.signal.limited_by}"}
    return {"cost": _cost(answer), "check": encode(_check(answer))}


def _reserve_words(answer: Fit) -> str:
    """The smaller reserve of the weakest piece, where there is one."""
    signal = answer.signal
    if signal is None or signal.light_reserve is None:
        return ""
    least = min(signal.light_reserve, signal.dark_reserve if signal.dark_reserve is not None else signal.light_reserve)
    return f"reserve {least:.2g}, 1 is needed; "


def _original(site: Site, part: Part | None) -> Original | None:
    from xref.adapt.original import from_part, from_site

    if site.pads.map or site.pads.at:
        return from_site(site)
    return from_part(part, site) if part is not None else None


_Work = tuple["Part", "Site", "Part | None", "tuple[str, ...] | None"]


def _over_cores(work: list[_Work]) -> Iterator[dict[str, Any]]:
    """The opinions in the order of ``work``, made by as many processes as there are cores (8 at most)."""
    cores = min(os.cpu_count() or 1, 8)
    if len(work) < IN_ONE_PROCESS or cores == 1:
        yield from map(_one, work)
        return
    from concurrent.futures import ProcessPoolExecutor

    with ProcessPoolExecutor(cores) as pool:
        yield from pool.map(_one, work, chunksize=2)


def _one(item: _Work) -> dict[str, Any]:
    return opinion(*item)


def _sound(packed: dict[str, Any]) -> bool:
    """Whether a remembered opinion can be read; a damaged one is made again."""
    try:
        _unpacked(packed, "")
    except (KeyError, TypeError, ValueError, AttributeError):
        return False
    return True


def _unpacked(packed: dict[str, Any], reference: str) -> Opinion:
    if "nothing" in packed:
        return None
    if "refused" in packed:
        return Refused(part=reference, why=str(packed["refused"]))
    return float(packed["cost"]), decode(Check, packed["check"])


def _cost(answer: Fit) -> float:
    cost = WIRE_COST * answer.wire_count + CUT_COST * len(answer.cuts) + VALUE_COST * len(answer.values)
    if answer.signal is None or answer.signal.clean is None:
        cost += OPEN_COST
    elif answer.signal.light_reserve is not None and answer.signal.light_reserve > 0:
        cost += RESERVE_COST / max(answer.signal.light_reserve, LEAST_RESERVE)
    return cost


def _check(answer: Fit) -> Check:
    words = [f"{answer.wire_count} wire{'s' if answer.wire_count != 1 else ''}"]
    if answer.cuts:
        words.append(f"{len(answer.cuts)} board change{'s' if len(answer.cuts) > 1 else ''}")
    words += [f"{change.where} {show(change.now_ohm, 'ohm')}" for change in answer.values]
    signal = answer.signal
    reserve = None if signal is None else signal.light_reserve
    if reserve is not None:
        words.append(f"light reserve {reserve:.2g}")
    if signal is not None and signal.clean is None:
        words.append(f"not decided: {signal.limited_by}")
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


def _key(donor: Part, site: Site, part: Part | None, change: tuple[str, ...] | None, program: str) -> str:
    plain = [
        __version__,
        program,
        change,
        encode(replace(donor, path="")),
        encode(site),
        None if part is None else encode(part),
    ]
    return hashlib.sha256(json.dumps(plain, sort_keys=True).encode()).hexdigest()


def _program() -> str:
    """Changes whenever a solver, a law or a class is edited, so that a contributor never sees a stale opinion."""
    import xref

    root = Path(xref.__file__).parent
    seen = []
    for room in ("adapt", "physics", "tasks", "model", "model/answers"):
        for entry in os.scandir(root / room):
            if entry.name.endswith(".py"):
                state = entry.stat()
                seen.append((room, entry.name, state.st_mtime_ns, state.st_size))
    return hashlib.sha256(repr(sorted(seen)).encode()).hexdigest()


class _Kept:
    """Opinions on disk; a folder that cannot be written only costs time, and a damaged file is begun anew."""

    MOST = 20_000
    """Opinions that are kept; at more, all are dropped: some 10 MB."""

    def __init__(self) -> None:
        from xref.places import cache_dir

        path = cache_dir() / "opinions.sqlite"
        self._base: sqlite3.Connection | None = None
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            try:
                self._base = _opened(path)
            except sqlite3.OperationalError:
                # locked by another process, or a folder that cannot be written: the file itself is sound
                return
            except sqlite3.DatabaseError:
                path.unlink()
                self._base = _opened(path)
        except (OSError, sqlite3.Error):
            return

    def get(self, key: str) -> dict[str, Any] | None:
        """The opinion under that key; None: not remembered, or not readable."""
        row = self._ask("select value from opinion where key = ?", (key,))
        try:
            value = json.loads(row[0]) if row else None
        except (ValueError, TypeError):
            return None
        return value if isinstance(value, dict) else None

    def put(self, key: str, value: dict[str, Any]) -> None:
        """Remember an opinion."""
        self._ask("insert or replace into opinion values (?, ?)", (key, json.dumps(value)))

    def close(self) -> None:
        """Write what was put."""
        row = self._ask("select count(*) from opinion", ())
        if row and row[0] > self.MOST:
            self._ask("delete from opinion", ())
        if self._base is None:
            return
        try:
            self._base.commit()
            self._base.close()
        except sqlite3.Error:
            # the cache is a comfort: whatever breaks it must not break the answer
            self._base = None

    def _ask(self, command: str, values: tuple[Any, ...]) -> Any:
        if self._base is None:
            return None
        try:
            return self._base.execute(command, values).fetchone()
        except sqlite3.Error:
            self._base = None
            return None


def _opened(path: Path) -> sqlite3.Connection:
    base = sqlite3.connect(path, timeout=2)
    base.execute("create table if not exists opinion (key text primary key, value text)")
    return base
