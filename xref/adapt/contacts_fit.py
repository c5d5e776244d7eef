"""How one switch goes in for another: leads to pads, positions to positions, wires; refused where the contact is wrong.

Order of the questions: may it at all (safety, load class), does its table contain the wanted one, may it on the way
between positions, and only then where the wires run.
"""

from __future__ import annotations

from dataclasses import replace

from xref.adapt import space
from xref.adapt.contacts import Table, from_contacts, table_of
from xref.adapt.contacts_aid import last_resort, why_not
from xref.adapt.contacts_lever import lever_turns
from xref.adapt.contacts_load import Finding, is_mains, suits
from xref.adapt.contacts_match import Rule, Way, doubled, generous, nodes_of, ways
from xref.adapt.contacts_place import place, unplaced
from xref.adapt.contacts_timing import Timing, timing
from xref.adapt.contacts_verify import verify_contacts
from xref.adapt.fit import FitOptions
from xref.adapt.original import Original
from xref.errors import SafetyRefusal
from xref.model.answers.fit import Fit
from xref.model.base import weakest
from xref.model.contact_need import ContactNeed
from xref.model.contacts import Contacts
from xref.model.part import Part

SUPPRESSOR = {
    "coil": "the diode or damper across the coil stays",
    "motor": "the suppressor across motor or contact stays",
    "mains": "the suppressor across the contact stays, of the same class",
}


def fit_switch(
    original: Original, donor: Part, options: FitOptions | None = None, need: ContactNeed | None = None
) -> Fit:
    """The best way to put the switch ``donor`` where ``original`` was, verified.

    Best: no difference on the way between positions, then fewest wires, fewest crossings, shortest. ``need``: the
    circuit around it; what it does not say is taken from the original's contacts or named as not known.

    Raises:
        SafetyRefusal: an interlock, or mains where rating or approval is not equal
    """
    options, need = options or FitOptions(), need or ContactNeed()
    same = donor.name == original.name
    _guard(original, donor, need, same)
    wanted, offered = wanted_table(original), table_of(donor)
    refused = _unknown(original, donor, wanted, offered)
    if refused or wanted is None or offered is None or donor.contacts is None:
        return _impossible(original, donor, *(refused or ("", "")))
    findings = [] if same and not need.load else suits(donor.contacts, need, original.contacts)
    bad = [finding for finding in findings if finding.level == "refuse"]
    if bad:
        return _impossible(original, donor, "; ".join(finding.text for finding in bad), _next_load(bad))
    # an order that the user has tried holds for the lever; otherwise every order is electrically right
    drawn = _drawn(original, donor)
    rule = Rule(order=need.lever)
    found, complete = generous(offered, wanted, rule) if drawn else (ways(offered, wanted, rule), True)
    if not found:
        return _impossible(
            original, donor, f"{donor.name}: {why_not(wanted, offered)}", _aids(wanted, offered, donor, need)
        )
    if need.doubled:
        found = [way for way in (doubled(offered, wanted, each) for each in found) if way is not None]
        if not found:
            return _impossible(
                original, donor, f"{donor.name} has too few contacts to take each twice", "a larger switch"
            )
    judged = [(way, timing(wanted, offered, way, need)) for way in found]
    clean = [item for item in judged if not item[1].refuse]
    if not clean:
        return _impossible(original, donor, f"{donor.name}: {judged[0][1].refuse}", _next_timing(judged[0][1], need))
    least = min(item[1].weight for item in clean)
    usable = [item for item in clean if item[1].weight == least]
    answer = _wired(original, donor, wanted, offered, usable, options, need, drawn)
    if not answer.possible:
        return answer
    answer = replace(answer, proven_best=answer.proven_best and complete)
    answer = replace(answer, warnings=(*answer.warnings, *_remarks(original, donor, need, findings, same)))
    return _proved(original, donor, answer, need)


def wanted_table(original: Original) -> Table | None:
    """What joins at the pads; pads on one net of the board are joined in every position. None: not known."""
    if original.contacts is None or not original.contacts.table:
        return None
    labels = [pad.functions[0] if pad.functions else pad.label for pad in original.pads]
    known = from_contacts(original.contacts, labels, [pad.label for pad in original.pads])
    nets: dict[str, list[str]] = {}
    for pad in original.pads:
        nets.setdefault(pad.net, []).append(pad.label)
    shared = [group for group in nets.values() if len(group) > 1]
    if not shared:
        return known
    from xref.adapt.contacts import table

    joins = {name: [*known.groups(place), *shared] for place, name in enumerate(known.positions)}
    rest = "" if known.rest is None else known.positions[known.rest]
    return table(joins, leads=known.leads, timing=known.timing, rest=rest)


def _guard(original: Original, donor: Part, need: ContactNeed, same: bool) -> None:
    if need.drives == "interlock" and not same:
        raise SafetyRefusal(
            f"switch of an interlock: fitting {donor.name} is refused; only the same number or its named successor, by "
            "a licensed technician"
        )
    if is_mains(need) and not same:
        why = _unequal(original.contacts, donor.contacts)
        if why:
            raise SafetyRefusal(
                f"mains: {donor.name} is refused, {why}; only equal rating and approval, by a licensed electrician"
            )


def _unequal(old: Contacts | None, new: Contacts | None) -> str:
    """Why the donor's AC ratings and approvals are not at least the original's; '' when they are."""
    if old is None or not any(rating.ac_dc in ("AC", "AC/DC") for rating in old.ratings):
        return "the AC rating of the original is not known"
    for mine in old.ratings:
        if mine.ac_dc not in ("AC", "AC/DC") or mine.v is None or mine.a is None:
            continue
        covers = [
            r for r in (new.ratings if new else ())
            if r.ac_dc in ("AC", "AC/DC") and (r.v or 0) >= mine.v and (r.a or 0) >= mine.a
            and r.load in ("", mine.load)
        ]  # fmt: skip
        if not covers:
            return f"it has no rating of {mine.v:g} V AC {mine.a:g} A or more"
        if not mine.standard:
            return f"the approval of the original for {mine.v:g} V AC is not known"
        if all(r.standard != mine.standard for r in covers):
            return f"its approval to {mine.standard} is not known"
    return ""


def _unknown(original: Original, donor: Part, wanted: Table | None, offered: Table | None) -> tuple[str, str] | None:
    how = "continuity test in each position: xref switch identify"
    if donor.kind != "switch":
        return f"{donor.name} is no switch", "a switch with the same contact table: xref switch find"
    if wanted is None:
        return f"which contacts of {original.name} join when is not known", how
    if offered is None:
        return f"which contacts of {donor.name} join when is not known", how
    if not nodes_of(wanted):
        return f"{original.name} joins nothing in any position", how
    strangers = [lead for lead in wanted.leads if all(pad.label != lead for pad in original.pads)]
    if strangers:
        return f"the contact table names {strangers[0]}, which is no pad of {original.name}", "give each pad its name"
    return None


def _drawn(original: Original, donor: Part) -> bool:
    """True where places of all pads and leads are known and the switch stands on the board."""
    loose = "panel/wired" in (donor.geometry.mount, original.mount)
    return not loose and original.placed and donor.geometry.wired


def _wired(
    original: Original,
    donor: Part,
    wanted: Table,
    offered: Table,
    usable: list[tuple[Way, Timing]],
    options: FitOptions,
    need: ContactNeed,
    drawn: bool,
) -> Fit:
    allowed, too_big = space.body_limit(original, donor)
    if too_big:
        return _impossible(original, donor, too_big, "a donor with a smaller body")
    chosen = [way for way, _ in usable]
    if not drawn:
        answer, way = unplaced(original, donor, wanted, offered, chosen), chosen[0]
        said: tuple[str, ...] = ()
        if not need.lever and len({item.positions for item in chosen}) > 1:
            said = (
                f"the lever of {donor.name} moves as its list of positions says; if it works the other way, ask again "
                "with --lever reversed",
            )
        answer = replace(answer, assumed=(*answer.assumed, *said))
    else:
        by_turn, said = lever_turns(original, donor, wanted, offered, chosen, need)
        placed = place(original, donor, wanted, offered, by_turn, options, allowed)
        if placed is None:
            return _impossible(
                original, donor, f"in no turn does the body of {donor.name} stay within the room",
                "a larger --tolerance, or a donor with a smaller body",
            )  # fmt: skip
        answer, way = placed
        answer = replace(answer, assumed=(*answer.assumed, *said))
    remarks = next(judged.warnings for each, judged in usable if each == way)
    return replace(answer, warnings=(*answer.warnings, *remarks))


def _remarks(
    original: Original, donor: Part, need: ContactNeed, findings: list[Finding], same: bool
) -> tuple[str, ...]:
    found = [finding.text for finding in findings if finding.level in ("warn", "unknown")]
    old, new = original.contacts, donor.contacts
    if need.load is None and not same:
        found.append("load not given: smallest load and rating are not checked (--load 5V/0.5mA)")
    if old is not None and new is not None:
        if old.action and old.action != new.action:
            found.append(f"a {new.action} switch for a {old.action} switch: its actuator and mounting are another")
        found += _springs(original.name, old, donor.name, new)
    if need.drives in SUPPRESSOR:
        found.append(SUPPRESSOR[need.drives])
    if is_mains(need):
        found.append("mains: unplug, measure, work by a licensed electrician; keep distances and insulation")
    return tuple(dict.fromkeys(found))


STAYS = ("slide", "toggle", "rotary", "dip")
"""Actions that stay where they are put unless the sheet says that they spring back."""


def _springs(old_name: str, old: Contacts, new_name: str, new: Contacts) -> list[str]:
    """Which of the two springs back while the other does not, or is not known to."""
    if bool(old.returns_to) == bool(new.returns_to):
        return []
    name, stays, other = (new_name, old, old_name) if new.returns_to else (old_name, new, new_name)
    back = new.returns_to or old.returns_to
    if stays.action in STAYS:
        return [
            f"{name} springs back to {back}, {other} stays where it is put: something must hold or return the lever"
        ]
    return [f"{name} springs back to {back}; whether {other} does is not known"]


def _aids(wanted: Table, offered: Table, donor: Part, need: ContactNeed) -> str:
    aids = [
        aid for aid in last_resort(wanted, offered, donor.name) if not timing(wanted, aid.table, aid.way, need).refuse
    ]
    if not aids:
        return "a switch that contains the wanted table: xref switch find"
    return "as a last resort " + "; or ".join(aid.words for aid in aids[:2])


def _next_load(bad: list[Finding]) -> str:
    if any(finding.quantity in ("smallest load", "contact class") for finding in bad):
        return "a gold, crossbar or wiping contact for small currents: xref switch find with --load"
    if any(finding.quantity == "contact resistance" for finding in bad):
        return "a switch with a lower contact resistance, or two of its poles in parallel (--doubled)"
    return "a switch with a higher rating: xref switch find with --load"


def _next_timing(judged: Timing, need: ContactNeed) -> str:
    wanted = "joined" if "lets go" in judged.refuse or "let go" in judged.refuse else "open"
    text = f"a switch of the other timing: xref switch find with --between {wanted}"
    return text if need.between else f"{text}; if nothing depends on it, say --between any"


def _impossible(original: Original, donor: Part, because: str, nearest: str) -> Fit:
    return Fit(
        original=original.name, donor=donor.name, kind="switch", possible=False, because=because, nearest=nearest,
        assumed=original.assumed, fails_open=original.if_open,
    )  # fmt: skip


def _proved(original: Original, donor: Part, answer: Fit, need: ContactNeed) -> Fit:
    reasons = verify_contacts(original, donor, answer, need)
    if reasons:
        return replace(answer, possible=False, because=f"the check of the wiring failed: {reasons[0]}")
    basis = weakest(answer.basis, donor.basis_of("contacts.table"))
    return replace(answer, verified=True, basis=basis)
