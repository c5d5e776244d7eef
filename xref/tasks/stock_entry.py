"""From what was typed (options, answers, a line of a table) to a piece for the shelf."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from xref.errors import NotFound, UsageError
from xref.model.stock import CONDITIONS, Board, Item, Profile
from xref.stock.measured import lead_functions, measured, merged

if TYPE_CHECKING:
    from xref.library.store import Library
    from xref.model.part import Part

KINDS = ("reflective", "slotted", "pair", "emitter", "detector", "switch")
OUTPUTS = {"transistor": "phototransistor", "darlington": "photodarlington", "diode": "photodiode",
           "logic": "logic-unspecified"}  # fmt: skip
ALL_OUTPUTS = ("phototransistor", "photodarlington", "photodiode", "logic-open-collector", "logic-totem-pole",
               "logic-pull-up", "logic-unspecified")  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A piece as typed. ``values``: measured words (see ``xref.stock.measured.WORDS``)."""

    part: str = ""
    count: int = 1
    board: Board | None = None
    place: str = ""
    condition: str = "used"
    tested: bool = False
    notes: str = ""
    file: str = ""
    kind: str = ""
    output: str = ""
    logic: str = ""
    leads: str = ""
    map: str = ""
    grid: str = ""
    seen_from: str = "component"
    joins: str = ""
    readings: tuple[str, ...] = ()
    values: dict[str, str] = field(default_factory=dict)


PROVES = ("ic", "contact")
"""Measured values that show that the piece works; a forward voltage shows half of it."""

OF_ONE = ("vf", "ic", "vce", "distance", "target", "dark", "contact")
"""Measured values that differ from piece to piece; body and slot are those of the type."""


def items_from(entry: Entry, library: Library) -> list[Item]:
    """The pieces as they go on the shelf: what was measured is that of one, the others keep their type's spread.

    Raises:
        NotFound, UsageError, DataError: as ``item_from``
    """
    if entry.count == 1 or not any(entry.values.get(word) for word in OF_ONE):
        return [item_from(entry, library)]
    others = {word: text for word, text in entry.values.items() if word not in OF_ONE}
    return [
        item_from(replace(entry, count=1), library),
        item_from(replace(entry, count=entry.count - 1, values=others), library),
    ]


def item_from(entry: Entry, library: Library) -> Item:
    """The piece, not yet on the shelf.

    Raises:
        NotFound: the part is not known and nothing says what it is
        UsageError: an option that cannot be
        DataError: the part file is wrong
    """
    if entry.condition not in CONDITIONS:
        raise UsageError(f"{entry.condition[:20]!r} is not one of {', '.join(CONDITIONS)}", "--condition")
    condition: Any = entry.condition
    own = measured(entry.values)
    extra = described(entry)
    notes = entry.notes
    if entry.readings:
        found, remark = _read(entry)
        extra = merged(extra, found)
        notes = "; ".join(word for word in (notes, remark) if word)
    base, known = _base(entry, library)
    if known is None:
        base = _decoded(merged(base, extra))
        own_part, profile_part = base, ""
    else:
        own, own_part, profile_part = merged(extra, own), known, known.name if not entry.file else ""
    profile = profile_from(own_part, own, part=profile_part)
    return Item(
        id=0, profile=profile, board=entry.board, count=entry.count, place=entry.place,
        condition=condition,
        tested=entry.tested or any(entry.values.get(word) for word in PROVES),
        notes=notes,
    )  # fmt: skip


def profile_from(base: Part, own: dict[str, Any], *, part: str) -> Profile:
    """What a piece is: its type (``part`` names it in the library) and its own values, ready to be searched."""
    from xref.model.decode import encode
    from xref.model.row import pack, row_of
    from xref.tasks.stock import with_measured

    plain = pack(row_of(base))
    full = with_measured(base, own)
    cells = pack(row_of(full))
    names = _columns()
    overlay = {name: new for name, old, new in zip(names, plain, cells, strict=True) if old != new}
    overlay.pop("reference", None)
    keep = not part or base.origin != "shipped"
    return Profile(
        part=part, name=base.name, kind=base.kind,
        record=encode(replace(base, origin="shipped", path="")) if keep else {},
        measured=own, packed=dict(zip(names, cells, strict=True)), overlay=overlay if part else {},
    )  # fmt: skip


def _columns() -> list[str]:
    from dataclasses import fields

    from xref.model.row import Row

    return [item.name for item in fields(Row)]


def described(entry: Entry) -> dict[str, Any]:
    """What the options say the piece is like, as a partial part.

    Raises:
        UsageError: a word that is not one of the words asked for
    """
    from xref import quantity

    found: dict[str, Any] = {}
    if entry.output:
        found["output"] = _one_of("--output", OUTPUTS.get(entry.output, entry.output), ALL_OUTPUTS)
    if entry.logic:
        found["logic"] = _one_of("--logic", entry.logic, ("high-when-lit", "low-when-lit"))
    if entry.joins:
        from xref.library.interview import read_table

        found["contacts"] = {"action": "", "table": read_table(entry.joins)}
    functions = lead_functions(entry.leads) if entry.leads and not entry.leads.isdigit() else {}
    geometry: dict[str, Any] = {}
    if entry.leads.isdigit():
        geometry["lead_count"] = _lead_count(entry.leads)
    if bool(entry.map) != bool(entry.grid) and entry.map:
        raise UsageError("--map needs the lead grid: --grid 5.5x2.54mm", "--map")
    if entry.map:
        from xref.library.newpart import places_of

        places = places_of(entry.map, quantity.parse_grid(entry.grid), _side(entry.seen_from))
        geometry["leads"] = _placed(places, functions)
    elif functions:
        geometry["leads"] = [{"label": label, "function": word} for label, word in functions.items()]
    if geometry.get("leads"):
        geometry["lead_count"] = len(geometry["leads"])
        found["provenance"] = {"geometry.leads": "measured"}
    if entry.grid and not entry.map:
        across, down = quantity.parse_grid(entry.grid)
        geometry |= {"row_mm": across, "pitch_mm": down}
    if geometry:
        found["geometry"] = geometry
    return found


def _base(entry: Entry, library: Library) -> tuple[Any, Part | None]:
    """(what a piece without a known type starts from, its known type)."""
    if entry.file:
        from xref.library.partfile import load_part_file

        parts = load_part_file(Path(entry.file))
        if entry.part:
            parts = [part for part in parts if part.name == entry.part]
        if len(parts) != 1:
            raise UsageError(
                f"the file holds {len(parts)} such parts; name one: xref stock add NAME --file", entry.file
            )
        return None, parts[0]
    if entry.kind:
        _one_of("--kind", entry.kind, KINDS)
    if entry.part:
        try:
            known = library.get(entry.part)
        except NotFound as error:
            if not entry.kind:
                raise NotFound(f"{error.message}; to enter it as unknown say what it is: --kind slotted") from error
        else:
            if entry.kind and entry.kind != known.kind:
                raise UsageError(f"{known.name} is {known.kind}, not {entry.kind}", "--kind")
            return None, known
    if not entry.kind:
        raise UsageError(
            "name the part, or say what it is: --kind reflective, slotted, pair, emitter, detector, switch"
        )
    base: dict[str, Any] = {"name": entry.part or f"unknown {entry.kind}", "kind": entry.kind}
    if entry.kind == "switch":
        base["contacts"] = {"action": ""}
    base["sources"] = {"own": {"title": "own measurement", "document": "not printed", "revision": "not printed",
                               "date": "not printed"}}  # fmt: skip
    return base, None


def _read(entry: Entry) -> tuple[dict[str, Any], str]:
    """Lead functions, output and VF that meter readings give, and a remark."""
    from xref.model.job import Meter
    from xref.tasks.identify import ask_from, identify, meter_for

    labels = ",".join(lead_functions(entry.leads)) if entry.leads and not entry.leads.isdigit() else ""
    count = entry.leads if entry.leads.isdigit() else ""
    if not labels and not count:
        seen = {word for text in entry.readings for word in text.partition("@")[0].partition("=")[0].split(":")}
        labels = ",".join(sorted(seen))
    answer = identify(entry.readings, ask_from(count, labels, meter=meter_for(Meter())))
    remark = "readings: " + " ".join(entry.readings)
    found: dict[str, Any] = {"geometry": {"lead_count": len(answer.leads)}}
    if not answer.settled or any(" or " in word for word in answer.leads.values()):
        return found, f"{remark} (not settled: likely {answer.device})"
    if not entry.map:
        found["geometry"]["leads"] = [{"label": label, "function": word} for label, word in answer.leads.items()]
        found["provenance"] = {"geometry.leads": "measured"}
    output = next((word for word in ALL_OUTPUTS if word in answer.device), "")
    if output and not entry.output:
        found["output"] = output
    if answer.vf_v is not None and not entry.values.get("vf"):
        found = merged(found, measured({"vf": f"{answer.vf_v:.4g}V" + (f"@{answer.vf_at}" if answer.vf_at else "")}))
    return found, f"{remark}: {answer.device}"


def _placed(places: list[tuple[str, tuple[float, float]]], functions: dict[str, str]) -> list[dict[str, Any]]:
    """Leads at their places; words of the map are functions, or labels whose functions are given apart."""
    from xref.model.lead import FUNCTIONS

    found = []
    for word, at in places:
        function = functions.get(word, word if not functions else "")
        if not function or any(each not in FUNCTIONS for each in function.split("+")):
            raise UsageError(f"{word[:12]!r} of the map is no function: add --leads {word[:12]}=A ...", "--map")
        found.append({"label": word, "function": function, "at_mm": list(at)})
    return found


def _decoded(data: dict[str, Any]) -> Part:
    from xref.model.decode import decode
    from xref.model.part import Part

    return decode(Part, data)


def _lead_count(text: str) -> int:
    if not text.isascii() or not 1 <= int(text[:4]) <= 64:
        raise UsageError(f"{text[:12]!r} is not a number of leads from 1 to 64", "--leads")
    return int(text)


def _side(word: str) -> str:
    return _one_of("--seen-from", word or "component", ("component", "solder"))


def _one_of(option: str, word: str, words: tuple[str, ...]) -> str:
    if word not in words:
        import difflib

        near = difflib.get_close_matches(word, words, 1)
        tail = f"; nearest: {near[0]}" if near else ""
        raise UsageError(f"{word[:30]!r} is not one of {', '.join(words)}{tail}", option)
    return word
