"""What is known of a part; which parts and documents there are; whether part files are good; new parts."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from xref.library.interview import Interview
    from xref.library.newpart import Draft
    from xref.library.store import Library
    from xref.model.answers.part import Missing, PartAnswer
    from xref.model.answers.parts import AddAnswer, CheckAnswer, DocumentList, PartList
    from xref.model.part import Part
    from xref.model.pinout import Pinout


def show(reference: str, library: Library | None = None) -> PartAnswer:
    """Everything known of a part, a piece of stock or a part file.

    Raises:
        NotFound: no such part; the message names the nearest
    """
    from xref.model.answers.part import PartAnswer
    from xref.tasks.references import resolve

    library = library or _open()
    part = resolve(reference, library)
    return PartAnswer(
        asked=reference,
        part=part,
        wired=part.geometry.wired,
        missing=tuple(_missing(part)),
        hides_shipped=part.origin == "user" and library.overrides(part.name),
    )


def listing(
    library: Library | None = None,
    *,
    kind: str = "",
    maker: str = "",
    output: str = "",
    text: str = "",
    origin: str = "",
    wired: bool = False,
) -> PartList:
    """The parts that pass every filter given.

    Args:
        library: by default the user's and the shipped parts
        kind: exactly this kind
        maker: the maker's name holds it
        output: the output begins with it (``logic`` for all logic outputs) or ends with it
        text: the part's name holds it
        origin: "published" or "user"
        wired: only parts whose leads are all known by place
    """
    from xref.model.answers.parts import ListedPart, PartList

    rows = (library or _open()).rows()
    found = [
        ListedPart(
            part=row.name, maker=row.maker, kind=row.kind, output=row.output, lead_count=row.lead_count,
            wired=row.wired, origin=row.origin,
        )
        for row in rows
        if (not kind or row.kind == kind)
        and maker.lower() in row.maker.lower()
        and (not output or row.output.startswith(output) or row.output.endswith(output))
        and text.lower() in row.name.lower()
        and (not origin or row.origin == origin)
        and (row.wired or not wired)
    ]  # fmt: skip
    found.sort(key=lambda item: (item.kind, item.part))
    return PartList(parts=tuple(found), of=len(rows))


def documents(library: Library | None = None, *, text: str = "") -> DocumentList:
    """Every document with its parts; ``text``: part of a title, document number or part name."""
    from xref.model.answers.parts import Document, DocumentList

    wanted = text.lower()
    found = [
        Document(source=use.source, complete=use.source.complete, parts=use.parts)
        for use in (library or _open()).sources()
        if any(wanted in word.lower() for word in (use.source.title, use.source.document, *use.parts))
    ]
    return DocumentList(documents=tuple(found), not_read=sum(not item.complete for item in found))


def check(paths: Sequence[Path] | None = None) -> CheckAnswer:
    """Every problem of part files or folders; by default the shipped data and the user's own parts.

    Raises:
        DataError: a path is not there
    """
    from xref.library.check import report
    from xref.model.answers.parts import CheckAnswer, WrongLine

    result = report(paths)
    return CheckAnswer(
        files=result.files,
        parts=result.parts,
        problems=tuple(
            WrongLine(file=p.file, line=p.line, key=p.key, what=p.what, expected=p.expected) for p in result.problems
        ),
        lines=tuple(str(problem) for problem in result.problems),
    )


def from_file(path: Path, library: Library | None = None) -> Draft:
    """Make ready what a YAML or CSV file holds; all of it is good, or it is refused.

    Raises:
        DataError: a problem in the file, a name already among the user's parts, or the target exists
    """
    from xref.library.bring import draft_from_file
    from xref.places import parts_dir

    shipped, own = taken_names(library or _open())
    return draft_from_file(path, parts_dir(), pinouts(), shipped=shipped, own=own)


def interview() -> Interview:
    """Start the questions for a new part."""
    from xref.library.interview import Interview

    known = pinouts()

    def offer(answers: dict[str, Any]) -> list[str]:
        return [name for name, pinout in sorted(known.items()) if _suits(pinout, answers)]

    return Interview(offer=offer)


def from_answers(answers: dict[str, Any], library: Library | None = None) -> Draft:
    """Make ready the part that an interview described.

    Raises:
        UsageError: map and labels do not suit each other
        DataError: a problem in it, or its name is already among the user's parts
    """
    from xref.library.newpart import draft, part_from
    from xref.places import parts_dir

    known = pinouts()
    shipped, own = taken_names(library or _open())
    text = part_from(answers, known)
    return draft(text, parts_dir(), known, name="new part", stem=answers["name"], shipped=shipped, own=own)


def added(ready: Draft, *, write: bool) -> AddAnswer:
    """The answer for a draft, after writing it when told so.

    Raises:
        DataError, StorageError: it cannot be written; nothing was changed
    """
    from xref.model.answers.parts import AddAnswer

    if write:
        from xref.library.newpart import write as write_file

        write_file(ready)
    return AddAnswer(
        path=str(ready.path),
        text=ready.text,
        parts=tuple(part.name for part in ready.parts),
        hides_shipped=ready.hides,
        written=write,
    )


def pinouts() -> dict[str, Pinout]:
    """The shipped lead arrangements by name."""
    from xref.library.partfile import load_pinouts
    from xref.library.paths import shipped_root

    return load_pinouts(shipped_root() / "pinouts")[0]


def arrangement(name: str, pinout: Pinout) -> Part:
    """An arrangement as a part without a name, to be drawn."""
    from xref.model.lead import Lead
    from xref.model.part import Geometry, Part

    leads = tuple(
        Lead(label=str(number), function=lead.function, at_mm=lead.at_mm) for number, lead in enumerate(pinout.leads, 1)
    )
    return Part(name=name, kind="reflective", geometry=Geometry(leads=leads))


def _open() -> Library:
    from xref.library.store import open_library

    return open_library()


def taken_names(library: Library) -> tuple[set[str], set[str]]:
    """Canonical names of shipped and of own parts."""
    from xref.library.names import canonical

    listed = library.listed()
    own = {canonical(entry.name) for entry in listed if entry.origin == "user"}
    return {canonical(entry.name) for entry in listed if entry.origin != "user"}, own


GRID_SLACK_MM = 0.4
"""Calipers over bent leads: a grid typed may be off by this much (common practice, no source)."""


def _suits(pinout: Pinout, answers: dict[str, Any]) -> bool:
    """True when an arrangement has the number of leads, the halves and the grid that were given."""
    functions = {word for lead in pinout.leads for word in lead.function.split("+")}
    sends = bool(functions & {"A", "K", "A2", "K2"})
    receives = bool(functions & {"C", "E", "OUT", "C2", "E2", "OUT2"})
    halves = {"emitter": (True, False), "detector": (False, True), "switch": (False, False)}
    if (sends, receives) != halves.get(answers.get("kind", ""), (True, True)):
        return False
    if answers.get("lead_count") != len(pinout.leads):
        return False
    grid = answers.get("grid")
    if not grid:
        return True
    for axis, wanted in enumerate(grid):
        spots = sorted({lead.at_mm[axis] for lead in pinout.leads})
        steps = [b - a for a, b in itertools.pairwise(spots)]
        if not any(abs(step - wanted) <= GRID_SLACK_MM for step in steps):
            return False
    return True


def _missing(part: Part) -> Iterator[Missing]:
    """What a search or a wiring would want to know, with the one measurement that gives it."""
    from xref.model.answers.part import Missing

    geometry = part.geometry
    if not geometry.leads:
        yield Missing(what="which lead is which", settle="meter: xref identify")
    elif not geometry.wired:
        yield Missing(what="where the leads stand", settle="calipers: --grid ACROSSxDOWN with --map")
    if not geometry.size_mm:
        yield Missing(what="the body", settle="calipers: length x width x height")
    if part.kind in ("reflective", "slotted", "pair", "emitter"):
        if not part.emitter.vf_v:
            yield Missing(what="the forward voltage", settle="meter, diode test: --vf")
        if part.emitter.if_max_ma is None:
            yield Missing(what="the largest emitter current", settle="its data sheet; keep to 20 mA until then")
    if part.kind in ("reflective", "slotted", "pair"):
        if part.output is None:
            yield Missing(what="the output", settle="xref identify with a torch")
        elif part.output.startswith("logic"):
            if part.detector.ift_ma is None:
                yield Missing(what="the emitter current that switches it", settle="its data sheet")
        elif not part.coupling.ic_ma:
            yield Missing(what="the collector current", settle="5 V over 33k, emitter at 10 mA: --ic 0.3V/33k@10mA")
    if part.kind == "reflective" and part.coupling.peak_distance_mm is None:
        yield Missing(what="the distance of the strongest signal", settle="its data sheet, or a card and calipers")
    if part.kind == "slotted" and part.slot.gap_mm is None:
        yield Missing(what="the slot width", settle="calipers: --gap")
    if part.contacts is not None and not part.contacts.table:
        yield Missing(what="which contacts join when", settle="continuity test in each position: xref switch identify")
