"""Small switches: what is this one, and which can stand in."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from xref.adapt.contacts import Table, table, table_of
from xref.adapt.contacts_aid import why_not
from xref.adapt.contacts_load import check_mains, is_mains, mains_lack, suits
from xref.adapt.contacts_match import Rule, TooLarge, contains, doubled, ways
from xref.adapt.contacts_timing import DAMAGE, timing
from xref.bench.readings import parse_readings
from xref.bench.switch import identify_switch
from xref.errors import UsageError
from xref.model.answers.find import FindAnswer
from xref.model.answers.switch import SwitchIdentity
from xref.model.contact_need import ContactNeed
from xref.model.contacts import Contacts
from xref.model.part import Part
from xref.model.row import Row, row_of
from xref.model.switch_want import SwitchWant
from xref.search.contact import Judge, Opinion, find_switches

if TYPE_CHECKING:
    from xref.library.store import Library

ORIGINS = ("published", "stock", "all")
SPARE_LEAD = 0.02
"""Share that each lead more than needed costs: an unused pole is no harm, only room."""


def identify(
    leads: Sequence[str],
    readings: Sequence[str],
    *,
    positions: Sequence[str] = (),
    returns_to: str = "",
    bounce: float | None = None,
    job: str = "",
    library: Library | None = None,
) -> SwitchIdentity:
    """The contact table behind continuity readings, and known parts that have the same.

    Args:
        leads: their names in order; empty: those that the readings name
        readings: as typed, ``1:2@left=0``
        positions, returns_to: as in :func:`xref.bench.switch.identify_switch`
        bounce: longest bounce that was measured [s]
        job: a job file whose loose readings come first
        library: by default the user's and the shipped parts

    Raises:
        UsageError, QuantityError: a reading cannot be read
        DataError: readings that contradict each other
    """
    texts = list(readings)
    if job:
        from xref.job.file import load_job

        texts = [*load_job(job).readings.loose, *texts]
    read = parse_readings(texts, leads)
    leads = leads or tuple(dict.fromkeys(name for reading in read for name in (reading.red, reading.black)))
    if not leads:
        raise UsageError("no leads and no readings: give --leads 6, or readings like 1:2@left=0", "switch identify")
    answer = identify_switch(
        leads,
        read,
        positions=positions,
        returns_to=returns_to,
        bounce_ms=None if bounce is None else bounce * 1e3,
    )
    if not answer.settled or not answer.poles:
        return answer
    mine = table({each.position: each.joined for each in answer.positions}, leads=leads, rest=returns_to)
    rule = Rule(ties=False, links=False, bridge=False)
    alike = []
    for part in opened(library).parts("switch"):
        other = table_of(part)
        if other is None or len(other.positions) != len(mine.positions) or len(other.leads) != len(mine.leads):
            continue
        if _same(mine, other, rule):
            alike.append(part.name)
    return replace(answer, alike=tuple(sorted(alike)))


def _same(mine: Table, other: Table, rule: Rule) -> bool:
    try:
        return contains(other, mine, rule) and contains(mine, other, rule)
    except TooLarge:
        return False


def find(want: SwitchWant, *, origin: str = "all", limit: int = 10, library: Library | None = None) -> FindAnswer:
    """Switches that contain the wanted behaviour and suit the circuit, best first.

    Raises:
        UsageError: an unknown origin, nothing to search by, a mains circuit without its load in volts AC
        SafetyRefusal: the switch belongs to an interlock
    """
    if origin not in ORIGINS:
        raise UsageError(f"--from {origin}: expected one of {', '.join(ORIGINS)}")
    if want == SwitchWant():
        raise UsageError(
            "nothing to search by: give --joins, --load, --action, --leads, --pitch or --body", "switch find"
        )
    from xref.tasks.safety import guard

    guard(want.need.drives, "a switch chosen by behaviour", "switch")
    check_mains(want.need)
    if want.need.drives == "mains" and want.need.load is None:
        raise UsageError("mains: a switch is chosen by its AC rating, so give the circuit like 230VAC/2A", "--load")
    judges: list[tuple[tuple[str, ...], Judge]] = []
    wanted = None
    if want.joins:
        wanted = table(want.joins, rest=want.rest)
        watched = want.need.between in ("open", "joined") or want.need.drives in DAMAGE
        asked = ("contacts", "on the way") if watched else ("contacts",)
        judges.append((asked, lambda part: _plays(part, wanted, want.need)))
    need = want.need
    if need.load is not None or need.ohm_max is not None:
        loads = ("smallest load", "rating") if need.load is not None else ()
        ohms = ("contact resistance",) if need.ohm_max is not None or need.drives in ("lamp", "motor") else ()
        judges.append(((*loads, *ohms), lambda part: _suits(part, need)))
    answer = find_switches(_donors(opened(library), origin), want, judges=judges, limit=limit)
    return replace(answer, notes=_notes(want))


def like_for_like(want: SwitchWant) -> bool:
    """True where nothing found may simply be fitted: a mains circuit."""
    return is_mains(want.need)


def opened(library: Library | None) -> Library:
    """The library given, or the user's and the shipped parts."""
    if library is not None:
        return library
    from xref.library.store import open_library

    return open_library()


def _donors(library: Library, origin: str) -> list[tuple[Row, Part]]:
    donors: list[tuple[Row, Part]] = []
    if origin in ("published", "all"):
        donors += [(row_of(part), part) for part in library.parts("switch")]
    if origin in ("stock", "all"):
        from xref.tasks.stock import item_part, stock_rows

        donors += [(row, item_part(row.reference)) for row in stock_rows("switch")]
    return donors


def _notes(want: SwitchWant) -> tuple[str, ...]:
    found = []
    if want.need.load is None:
        found.append("load not given: smallest load and rating are not compared (--load 5V/0.5mA)")
    if is_mains(want.need):
        found.append(
            "mains: only like for like with equal rating and approval may go in, by a licensed electrician; the "
            "suppressor stays; what is listed has an approved AC rating that reaches, nothing more"
        )
    if want.joins and not want.need.between:
        found.append("what may happen between positions is not said (--between open, joined or any)")
    return tuple(found)


def _plays(part: Part, wanted: Table | None, need: ContactNeed) -> list[Opinion]:
    """Does its table contain the wanted one, and what happens on the way."""
    assert wanted is not None
    offered = table_of(part)
    goal = f"{len(wanted.positions)} positions, {len(wanted.leads)} leads"
    if offered is None:
        distance, why = _by_count(part.contacts, wanted)
        way_why = "contact table not known"
        return [
            Opinion(quantity="contacts", distance=distance, wanted=goal, offered=None, unit="", why=why),
            Opinion(quantity="on the way", distance=None, wanted=need.between, offered=None, unit="", why=way_why),
        ]
    try:
        found = ways(offered, wanted)
    except TooLarge as error:
        return [Opinion(quantity="contacts", distance=None, wanted=goal, offered=None, unit="", why=error.message)]
    if need.doubled:
        found = [twin for twin in (doubled(offered, wanted, way) for way in found) if twin is not None]
    has = f"{len(offered.positions)} positions, {len(offered.leads)} leads"
    if not found:
        why = "too few contacts to take each twice" if need.doubled else why_not(wanted, offered)
        return [Opinion(quantity="contacts", distance=1.0, wanted=goal, offered=has, unit="", why=why)]
    judged = [timing(wanted, offered, way, need) for way in found]
    best = min(judged, key=lambda item: (bool(item.refuse), item.weight))
    spare = len(offered.leads) - found[0].used
    idle = len(offered.positions) - len(wanted.positions)
    distance = min(SPARE_LEAD * spare + 0.1 * idle, 0.5)
    text = "its contacts do what is wanted" + (f", {spare} leads stay unused" if spare else "")
    text += f", {idle} position{'s' * (idle > 1)} too many" if idle else ""
    open_question = next((warning for warning in best.warnings if " may " in warning), "")
    passing = 1.0 if best.refuse else None if open_question else 0.0
    said = (part.contacts.timing if part.contacts else "") or "not given"
    way_why = best.refuse or open_question or f"timing {said}"
    return [
        Opinion(quantity="contacts", distance=distance, wanted=goal, offered=has, unit="", why=text),
        Opinion(quantity="on the way", distance=passing, wanted=need.between, offered=said, unit="", why=way_why),
    ]


def _by_count(contacts: Contacts | None, wanted: Table) -> tuple[float | None, str]:
    """Table not known: poles, throws and positions may still rule it out."""
    unknown = "contact table not known: continuity test in each position (xref switch identify)"
    if contacts is None:
        return None, unknown
    needed = {frozenset(pair) for place in range(len(wanted.positions)) for group in wanted.groups(place)
              for pair in itertools.pairwise(group)}  # fmt: skip
    if contacts.positions is not None and contacts.positions < len(wanted.positions):
        return 1.0, f"it has {contacts.positions} positions, {len(wanted.positions)} are needed"
    if contacts.poles and contacts.throws:
        offered = contacts.poles * contacts.throws * (contacts.sections or 1)
        if offered < len(needed):
            return 1.0, f"{contacts.poles} pole(s) with {contacts.throws} throw(s): {len(needed)} contacts are needed"
    return None, unknown


def _suits(part: Part, need: ContactNeed) -> list[Opinion]:
    lack = mains_lack(part.contacts, need) if is_mains(need) else ""
    if lack:
        return [Opinion(quantity="rating", distance=1.0, wanted=None, offered=None, unit="", why=lack)]
    if part.contacts is None:
        return []
    return [
        Opinion(
            quantity=item.quantity, distance=item.share, wanted=item.wanted, offered=item.offered, unit=item.unit,
            why=item.text,
        )
        for item in suits(part.contacts, need)
    ]  # fmt: skip
