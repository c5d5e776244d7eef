"""Unused contacts of a switch as its own donor: a virgin pole or throw that takes over from a worn one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from xref.adapt.contacts import Table, poles, table, table_of
from xref.adapt.contacts_load import is_mains
from xref.adapt.contacts_match import Way, in_positions, nodes_of, position_maps
from xref.adapt.contacts_place import unplaced
from xref.adapt.contacts_timing import timing
from xref.adapt.contacts_verify import verify_contacts
from xref.adapt.original import Original, Pad
from xref.errors import DataError, SafetyRefusal, UsageError
from xref.model.answers.switch import SpareAnswer, SpareWay
from xref.model.contact_need import ContactNeed
from xref.model.contacts import Contacts
from xref.model.lead import Lead
from xref.model.part import Geometry, Part
from xref.tasks.references import resolve
from xref.tasks.switch import opened

if TYPE_CHECKING:
    from xref.library.store import Library

MOST_SHOWN = 4


def spare(
    reference: str,
    used: Sequence[str],
    need: ContactNeed | None = None,
    library: Library | None = None,
    *,
    safety: str = "",
) -> SpareAnswer:
    """How the wires of each used pole can move to contacts of the same switch that nothing has worn.

    Args:
        reference: the part
        used: leads that the board is wired to
        need: the circuit, where moments between positions matter
        library: by default the user's and the shipped parts
        safety: what the site says that the switch protects

    Returns:
        for every pole that the used leads form, the ways to move it; same positions first

    Raises:
        SafetyRefusal: an interlock or another safety function, or a mains circuit: no wire is moved there
        NotFound: no such part
        DataError: its contact table is not known
        UsageError: a lead that it does not have, or used leads that join nothing
    """
    need = need or ContactNeed()
    _refuse(need, safety)
    part = resolve(reference, opened(library))
    whole = table_of(part)
    if whole is None or part.contacts is None:
        raise DataError(f"which contacts of {part.name} join when is not known: xref switch identify")
    for name in used:
        if name not in whole.leads:
            raise UsageError(f"{part.name} has no lead {name}; its leads are {' '.join(whole.leads)}", "--used")
    if len(set(used)) < 2:
        raise UsageError("name at least two leads that the board is wired to: --used 1,2,3", "--used")
    taken = [whole.leads.index(name) for name in dict.fromkeys(used)]
    wired = [tuple(lead for lead in pole if lead in taken) for pole in poles(whole)]
    wired = [pole for pole in wired if len(pole) > 1]
    if not wired:
        raise UsageError(f"the leads {' '.join(used)} of {part.name} never join each other", "--used")
    found: list[SpareWay] = []
    for pole in wired:
        found += _moves(part, part.contacts, whole, pole, taken, need)
    unused = tuple(name for name in whole.leads if name not in used)
    kept = any(old == new for way in found for old, new in way.moves)
    notes = ["a lead that stays in use keeps its old contact surface on that side"] if kept else []
    if any(way.positions[0][0] != way.positions[0][1] for way in found):
        notes.append("where positions change places, the legend of the lever must change too")
    return SpareAnswer(part=part.name, used=tuple(used), unused=unused, ways=tuple(found), notes=tuple(notes))


def safety_of(job: str) -> str:
    """What the site of a job file says that the switch protects; '' without a file.

    Raises:
        DataError: the file is wrong
    """
    if not job:
        return ""
    from xref.job.file import load_job

    site = load_job(job).site
    return "" if site is None else site.safety


def _refuse(need: ContactNeed, safety: str) -> None:
    """Moving wires defeats a safety function, and in mains it is no like for like.

    Raises:
        SafetyRefusal: the switch belongs to either
    """
    from xref.tasks.safety import guard

    for kind in (safety, need.drives):
        guard(kind, "moving its wires", "switch")
    if is_mains(need):
        raise SafetyRefusal(
            "mains: moving its wires is refused; only a whole switch of equal rating and approval, by a licensed "
            "electrician"
        )


def _moves(
    part: Part, contacts: Contacts, whole: Table, pole: tuple[int, ...], taken: Sequence[int], need: ContactNeed
) -> list[SpareWay]:
    """Ways for one used pole. Every contact that works afterwards has a side that was not in use."""
    wanted = _part_of(whole, pole)
    free = tuple(k for k in range(len(whole.leads)) if k not in taken or k in pole)
    offered = _part_of(whole, free)
    if not nodes_of(wanted):
        return []
    straight = tuple(range(len(whole.positions)))
    maps = [straight, *(each for each in position_maps(wanted, offered) if each != straight)]
    found: list[SpareWay] = []
    for positions in maps:
        for way in in_positions(offered, wanted, positions):
            judged = timing(wanted, offered, way, need)
            if judged.refuse or not _fresh(whole, free, pole, way):
                continue
            made = _spare_way(part, contacts, wanted, offered, way, need)
            found.append(replace(made, warnings=judged.warnings) if judged.warnings else made)
    found.sort(key=lambda way: (sum(a != b for a, b in way.positions), sum(a != b for a, b in way.moves)))
    return [way for way in found if way.verified][:MOST_SHOWN]


def _fresh(whole: Table, free: Sequence[int], pole: Sequence[int], way: Way) -> bool:
    """True when no two leads of the used pole work on each other again."""
    kept = {free[k] for k, node in enumerate(way.nodes) if node >= 0 and free[k] in pole}
    return all(
        sum(1 for lead in kept if whole.group[place][lead] == number) < 2
        for place in way.positions
        for number in {whole.group[place][lead] for lead in kept}
    )


def _spare_way(part: Part, contacts: Contacts, wanted: Table, offered: Table, way: Way, need: ContactNeed) -> SpareWay:
    """The way as moves of wires, confirmed by the independent check on the two cut-down tables."""
    pads = tuple(Pad(label=name, net=name, functions=(name,)) for name in wanted.leads)
    original = Original(name=part.name, kind="switch", pads=pads, contacts=_contacts(contacts, wanted))
    donor = Part(
        name=part.name,
        kind="switch",
        geometry=Geometry(leads=tuple(Lead(label=name, function=name) for name in offered.leads)),
        contacts=_contacts(contacts, offered),
    )
    fit = unplaced(original, donor, wanted, offered, [way])
    return SpareWay(
        pole=wanted.leads,
        moves=tuple((connection.pad, connection.lead) for connection in fit.connections),
        positions=tuple((item.original, item.donor) for item in fit.positions),
        verified=not verify_contacts(original, donor, fit, need),
    )


def _part_of(whole: Table, leads: Sequence[int]) -> Table:
    names = [whole.leads[lead] for lead in leads]
    joins = {
        name: [[n for n in group if n in names] for group in whole.groups(place)]
        for place, name in enumerate(whole.positions)
    }
    rest = "" if whole.rest is None else whole.positions[whole.rest]
    return table(joins, leads=names, timing=whole.timing, rest=rest)


def _contacts(contacts: Contacts, of: Table) -> Contacts:
    tables = {name: of.groups(place) for place, name in enumerate(of.positions)}
    return replace(contacts, table=tables)
