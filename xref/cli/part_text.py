"""A part in words: every value with its unit, its conditions, how it is known and where it stands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from typing import TYPE_CHECKING, Any

from xref.cli.output import quoted, table, wrap
from xref.cli.part_words import SECTIONS, WORDS, quantity_of, unit_of
from xref.model.value import Value

if TYPE_CHECKING:
    from xref.model.answers.part import PartAnswer
    from xref.model.answers.parts import AddAnswer, CheckAnswer, DocumentList, PartList
    from xref.model.contacts import Contacts, Rating
    from xref.model.part import Part
    from xref.model.value import Source


def part_text(answer: PartAnswer, drawing: str = "") -> str:
    """Everything known of a part at 80 columns; ``drawing``: its leads as lines of text."""
    part = answer.part
    lines = [_heading(part)]
    if part.aliases:
        lines.append(wrap("also: " + ", ".join(part.aliases), first="", indent="      "))
    if part.origin == "user":
        tail = ", instead of the shipped part of this name" if answer.hides_shipped else ""
        lines.append(wrap(f"from your own parts{tail}: {part.path}", first="", indent="  "))
    for title, attribute in SECTIONS:
        body = list(_section(part, attribute))
        if body:
            lines += ["", title, *_aligned(body)]
    if part.contacts is not None:
        lines += ["", *_contact_lines(part.contacts)]
    if drawing:
        lines += ["", drawing]
        if source := _stated_in(part, "geometry.leads"):
            lines.append(f"Leads from source [{source}].")
    elif part.geometry.leads:
        lines += ["", *_lead_lines(part)]
    if part.temp_c is not None:
        lines += ["", f"Works from {part.temp_c[0]:g} to {part.temp_c[1]:g} C"]
    if part.solder:
        lines.append(wrap(f"Soldering: {part.solder}", first="", indent="  "))
    if part.successor:
        lines.append(f"The maker names {part.successor} as successor.")
    if part.notes:
        lines += ["", wrap(f"Note: {part.notes}", first="", indent="  ")]
    if answer.missing:
        lines += ["", "Not known                                how to find out"]
        lines += [_two(item.what, item.settle) for item in answer.missing]
    lines += ["", "Sources" if part.sources else "No source."]
    lines += [wrap(f"[{key}] {source_text(source)}", first="", indent="    ") for key, source in part.sources.items()]
    if part.kind in ("reflective", "slotted", "pair"):
        # a piece or a part file is not found by its name
        name = answer.asked if part.origin in ("stock", "file") else part.name
        lines.append(f"next: xref find --for {quoted(name)}")
    return "\n".join(lines)


def source_text(source: Source) -> str:
    """A document in one sentence; what nobody read is said."""
    fields_known = (("document", source.document), ("revision", source.revision), ("date", source.date))
    pieces = [f'"{source.title}"']
    pieces += [
        item if word == "date" else f"{word} {item}"
        for word, item in fields_known
        if item not in ("not printed", "not read")
    ]
    for state, words in (("not printed", "not printed"), ("not read", "not read by us")):
        open_ones = [word for word, item in fields_known if item == state]
        if open_ones:
            pieces.append(f"{'/'.join(open_ones)} {words}")
    return ", ".join(pieces)


def list_text(answer: PartList) -> str:
    """One line a part."""
    if not answer.parts:
        return f"No part passes this filter, of {answer.of}. next: xref part list"
    rows = [
        (
            item.part,
            item.maker[:14],
            item.kind,
            str(item.lead_count or "?"),
            "yes" if item.wired else "no",
            item.output + (" (yours)" if item.origin == "user" else ""),
        )
        for item in answer.parts
    ]
    head = table(("part", "maker", "kind", "leads", "wired", "output"), rows)
    return f"{head}\n{len(rows)} of {answer.of} parts. wired: every lead known by its place. next: xref part NAME"


def documents_text(answer: DocumentList) -> str:
    """Each document with its parts."""
    if not answer.documents:
        return "No document holds that. next: xref part sources"
    lines = []
    for item in answer.documents:
        lines.append(wrap(source_text(item.source), first="", indent="  "))
        lines.append(wrap(", ".join(item.parts), first="    ", indent="    "))
    count = len(answer.documents)
    lines.append(f"{count} document{'' if count == 1 else 's'}; {answer.not_read} with something not read by us.")
    return "\n".join(lines)


def check_text(answer: CheckAnswer) -> str:
    """Each problem in one line, then the count."""
    count = len(answer.problems)
    tail = f"{answer.files} files, {answer.parts} parts: " + (f"{count} problems" if count != 1 else "1 problem")
    return "\n".join([*answer.lines, tail if count else f"{answer.files} files, {answer.parts} parts: all good"])


def add_text(answer: AddAnswer) -> str:
    """What happened to a new file."""
    lines = []
    if answer.hides_shipped:
        lines.append(wrap("stands in front of the shipped " + ", ".join(answer.hides_shipped), first="", indent="  "))
    if answer.written:
        lines.append(f"written: {answer.path}")
        lines.append(f"next: xref part {quoted(answer.parts[0])}")
    else:
        lines.append("not written")
    return "\n".join(lines)


_KIND_WORDS = {
    "reflective": "reflective sensor",
    "slotted": "slotted sensor",
    "pair": "emitter and detector",
    "emitter": "lone emitter",
    "detector": "lone detector",
    "switch": "switch",
}


def _heading(part: Part) -> str:
    words = [_KIND_WORDS[part.kind]]
    if part.output:
        words.append(part.output.replace("logic-", "logic output, "))
    if part.logic:
        words.append(part.logic.replace("-", " "))
    if part.channels != 1:
        words.append(f"{part.channels} detectors")
    return wrap(f"{part.name}   {part.maker or 'maker unknown'}   {', '.join(words)}", first="", indent="  ")


def _aligned(body: list[tuple[str, str]]) -> Iterator[str]:
    """Names in one column, the rest folded beside them."""
    width = max(len(name) for name, _ in body) + 2
    for name, text in body:
        yield wrap(text, first=name.ljust(width), indent=" " * width)


def _section(part: Part, attribute: str) -> Iterator[tuple[str, str]]:
    """(symbol, number with unit and the rest in words) of every known field of a section."""
    holder = getattr(part, attribute)
    for item in fields(holder):
        known = getattr(holder, item.name)
        if known in (None, "", (), {}) or item.name in _SHOWN_APART:
            continue
        name = "  " + WORDS.get(item.name, item.name)
        if isinstance(known, Value):
            yield name, _value(item.name, known, part)
        elif isinstance(known, tuple) and known and isinstance(known[0], Value):
            for number, value in enumerate(known):
                yield name if number == 0 else "", _value(item.name, value, part)
        else:
            path = f"{attribute}.{item.name}"
            basis = _basis(part.basis_of(path), _stated_in(part, path), part)
            yield name, _plain(item.name, known) + (f"; {basis}" if basis else "")


_SHOWN_APART = {"leads", "pinout", "lead_count", "holes", "facing", "quadrants", "order", "wire_colours", "view"}


def _value(key: str, value: Value, part: Part) -> str:
    numbers = [
        f"{getattr(value, word):g} {unit_of(key)} {word}"
        for word in ("min", "typ", "max")
        if getattr(value, word) is not None
    ]
    where = [quantity_of(name, number) for name, number in value.at.items()]
    if value.target:
        where.append(value.target)
    text = ", ".join(numbers) + (" at " + ", ".join(where) if where else "")
    return "; ".join(piece for piece in (text.strip(), value.note, _basis(value.basis, value.source, part)) if piece)


def _stated_in(part: Part, path: str) -> str:
    """Key of the source of a plain value: the longest prefix that ``stated_in`` has, empty for the first source."""
    hits = [prefix for prefix in part.stated_in if path == prefix or path.startswith(prefix + ".")]
    return part.stated_in[max(hits, key=len)] if hits else ""


def _basis(basis: str, source: str, part: Part) -> str:
    """How a value is known, where it is not plainly printed in the first source."""
    words = [] if basis == "printed" else [{"memory": "from memory", "curve": "read from a curve"}.get(basis, basis)]
    if source and source != next(iter(part.sources), ""):
        words.append(f"[{source}]")
    return " ".join(words)


def _plain(key: str, known: Any) -> str:
    unit = unit_of(key)
    if isinstance(known, dict):
        named = [(WORDS.get(name, name), _plain(name if unit_of(name) else key, item)) for name, item in known.items()]
        return "; ".join(f"{name} {text}" for name, text in named)
    if isinstance(known, Value):
        numbers = [(word, getattr(known, word)) for word in ("min", "typ", "max")]
        return ", ".join(f"{number:g} {unit} {word}" for word, number in numbers if number is not None)
    if isinstance(known, tuple) and known and isinstance(known[0], tuple):
        return ", ".join(":".join(f"{number:g}" for number in pair) for pair in known)
    if isinstance(known, tuple):
        joiner = {"ic_bins_ma": " to ", "optical_axis_mm": ", ", "uncertain_mm": ", "}.get(key, " x ")
        return joiner.join(f"{number:g}" for number in known) + f" {unit}"
    return f"{known:g} {unit}".rstrip() if isinstance(known, int | float) else str(known)


def _contact_lines(contacts: Contacts) -> Iterator[str]:
    yield wrap(
        f"Contacts: {contacts.action}" + (f", {contacts.timing}" if contacts.timing else ""), first="", indent="  "
    )
    if not contacts.timing:
        yield "  make before break: not given, may be either"
    for position, groups in contacts.table.items():
        joins = ", ".join("-".join(group) for group in groups) or "nothing"
        rest = "  (rest)" if position == contacts.returns_to else ""
        yield wrap(f"  {position}: {joins}{rest}", first="", indent="    ")
    counts = [
        f"{getattr(contacts, k)} {k}" for k in ("poles", "throws", "positions") if getattr(contacts, k) is not None
    ]
    if counts:
        yield "  " + ", ".join(counts)
    for rating in contacts.ratings:
        yield wrap(f"  rated {_rating(rating)}", first="", indent="    ")
    if contacts.low_v is not None or contacts.low_ma is not None:
        least = [f"{n:g} {u}" for n, u in ((contacts.low_v, "V"), (contacts.low_ma, "mA")) if n is not None]
        yield f"  smallest load: {', '.join(least)}"
    for item in fields(contacts):
        known = getattr(contacts, item.name)
        if item.name in _CONTACT_FIELDS and known not in (None, "", {}):
            yield wrap(f"  {WORDS.get(item.name, item.name)}: {_plain(item.name, known)}", first="", indent="    ")


_CONTACT_FIELDS = (
    "material", "resistance_mohm", "resistance_after_life_mohm", "resistance_measured", "bounce_ms", "force_n",
    "release_force_n", "travel_mm", "life_cycles", "reed", "sections", "function", "contact_form",
)  # fmt: skip


def _rating(rating: Rating) -> str:
    numbers = [f"{n:g} {u}" for n, u in ((rating.v, "V"), (rating.a, "A"), (rating.va, "VA")) if n is not None]
    words = [word for word in (rating.ac_dc or "", rating.load, rating.standard, rating.note) if word]
    return " ".join(numbers) + (f" ({', '.join(words)})" if words else "")


def _lead_lines(part: Part) -> Iterator[str]:
    yield "Leads (their places are not known)"
    yield wrap(
        "  " + ", ".join(f"{lead.label} = {lead.function}" for lead in part.geometry.leads), first="", indent="    "
    )
    geometry = part.geometry
    for title, known in (("opposite each other", geometry.facing), ("layout", geometry.quadrants)):
        if known:
            yield wrap(f"  {title}: " + ", ".join(f"{a} {b}" for a, b in known.items()), first="", indent="    ")
    if geometry.order:
        yield "  in a row: " + " ".join(geometry.order)


def _two(left: str, right: str) -> str:
    return wrap(f"  {left:<39}{right}", first="", indent=" " * 41)
