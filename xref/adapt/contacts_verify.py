"""The independent check of a switch fit: solders the answer together and compares what is joined, position by position.

Shares no code with the solver. From the answer it takes only the wires; it draws them as a graph together with the
donor's closed contacts and asks which pads hang together in each position, and on the way with the contacts of every
pole in every state that the sheets allow.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator

from xref.adapt.original import Original
from xref.model.answers.fit import Fit
from xref.model.contact_need import ContactNeed
from xref.model.contacts import Contacts
from xref.model.part import Part

Groups = list[frozenset[str]]
"""What is joined, as sets of lead names."""

_DAMAGE = ("outputs", "supplies", "motor", "mains", "interlock")
_DIRECT_MM = 0.31


def verify_contacts(original: Original, donor: Part, fit: Fit, need: ContactNeed | None = None) -> list[str]:
    """Reasons why ``fit`` must not be trusted; empty when it is confirmed."""
    if not fit.possible:
        return []
    need = need or ContactNeed()
    if original.contacts is None or donor.contacts is None:
        return ["the contact table of the original or the donor is not known"]
    pads = [pad.label for pad in original.pads]
    old = _named(
        original.contacts, [(pad.functions[0] if pad.functions else pad.label, pad.label) for pad in original.pads]
    )
    new = _named(donor.contacts, list(_lead_names(donor)))
    reasons = [*_names(original, donor, new, fit), *_places(original, donor, fit)]
    if reasons:
        return reasons
    played = {item.original: item.donor for item in fit.positions}
    if set(played) != set(old) or any(name not in new for name in played.values()):
        return ["not every position of the original is played by one of the donor"]
    if len(set(played.values())) != len(played):
        return ["one position of the donor plays two of the original"]
    board = _nets(original)
    wires = _wires(original, fit)
    for position, groups in old.items():
        before, after = _pad_sets(pads, [*groups, *board]), _pad_sets(pads, [*new[played[position]], *board, *wires])
        if before != after:
            return [f"in position {position} {_difference(before, after)}"]
    rest, back = original.contacts.returns_to, donor.contacts.returns_to
    if rest and back and played.get(rest) != back:
        return [f"the original rests in {rest}, the donor in {back}"]
    return _on_the_way(original, donor, old, new, played, pads, board, wires, need)


def _on_the_way(
    original: Original,
    donor: Part,
    old: dict[str, Groups],
    new: dict[str, Groups],
    played: dict[str, str],
    pads: list[str],
    board: Groups,
    wires: Groups,
    need: ContactNeed,
) -> list[str]:
    """Differences on the way that the answer neither refuses nor may keep silent about."""
    if need.between == "any" or original.contacts is None or donor.contacts is None:
        return []
    word = {"open": "non-shorting", "joined": "shorting"}.get(need.between, original.contacts.timing)
    if not word and need.drives in ("outputs", "supplies"):
        word = "non-shorting"
    alike = not original.contacts.timing and not donor.contacts.timing and not need.between
    order = list(new)
    if need.drives in _DAMAGE:
        ever = _touching([_pad_sets(pads, [*groups, *board]) for groups in old.values()], set(pads))
        for name in order:
            strange = _touching([_pad_sets(pads, [*new[name], *board, *wires])], set(pads)) - ever
            if name not in played.values() and strange:
                return [f"in the unused position {name} it joins {_pairs(strange)} and the original never does"]
    live = {pad for groups in old.values() for group in groups if len(group) > 1 for pad in group}
    for start, end in itertools.pairwise(old):
        steps = order.index(played[start]), order.index(played[end])
        path = order[min(steps) : max(steps) + 1]
        goal = list(_moments(pads, [(old[start], old[end])], word, board))
        hops = [(new[here], new[there]) for here, there in itertools.pairwise(path)]
        got = list(_moments(pads, hops, donor.contacts.timing, [*board, *wires]))
        strict = need.drives in _DAMAGE and not alike
        if donor.contacts.timing == "shorting" or strict:
            extra = _touching(got, live) - _touching(goal, live)
            if extra:
                return [f"on the way from {start} to {end} it joins {_pairs(extra)} and the original does not"]
        if donor.contacts.timing == "non-shorting" or strict:
            for pad in sorted(live):
                kept = [_with(sets, pad) for sets in goal]
                mine = [_with(sets, pad) for sets in got]
                if any(few and not any(least and least <= few for least in kept) for few in mine):
                    return [f"on the way from {start} to {end} it lets go of {pad} and the original does not"]
    return []


def _touching(moments: list[set[frozenset[str]]], live: set[str]) -> set[frozenset[str]]:
    """Every pair of pads that is joined in some moment."""
    return {
        frozenset(pair)
        for sets in moments
        for group in sets
        for pair in itertools.combinations(sorted(group & live), 2)
    }


def _with(sets: set[frozenset[str]], pad: str) -> frozenset[str]:
    """The pads that hang together with ``pad``, itself included; empty when the moment does not speak of it."""
    return next((group for group in sets if pad in group), frozenset())


def _moments(
    pads: list[str], hops: list[tuple[Groups, Groups]], word: str, fixed: Groups
) -> Iterator[set[frozenset[str]]]:
    """What hangs together in every moment of every hop; parts of the circuit that never meet are told one by one."""
    for one, other in hops:
        circuits = _merged([*one, *other, *fixed])
        for circuit in circuits:
            inside = [pad for pad in pads if pad in circuit]
            lines = [group for group in fixed if group & circuit]
            for state in _states([g for g in one if g & circuit], [g for g in other if g & circuit], word):
                yield _pad_sets(inside, [*state, *lines])
        silent = [pad for pad in pads if all(pad not in circuit for circuit in circuits)]
        if silent:
            yield {frozenset((pad,)) for pad in silent}


def _states(one: Groups, other: Groups, word: str) -> Iterator[Groups]:
    """What the contacts may look like between two positions: every pole for itself."""
    choices = []
    for pole in _merged([*one, *other]):
        first = [group & pole for group in one if group & pole]
        second = [group & pole for group in other if group & pole]
        states = [first, second]
        if word != "shorting":
            states.append([a & b for a in first for b in second if len(a & b) > 1])
        if word != "non-shorting":
            states.append(_merged([*first, *second]))
        choices.append(states)
    for combination in itertools.product(*choices):
        yield [group for state in combination for group in state]


def _pad_sets(pads: Iterable[str], groups: Groups) -> set[frozenset[str]]:
    """Which pads hang together; wire ends of leads are named ``lead:...`` and drop out."""
    merged = _merged(groups)
    found = {frozenset(name for name in group if not name.startswith("lead:")) for group in merged} - {frozenset()}
    inside = {pad for group in found for pad in group}
    return found | {frozenset((pad,)) for pad in pads if pad not in inside}


def _merged(groups: Iterable[frozenset[str]]) -> list[frozenset[str]]:
    """Overlapping sets made one."""
    found: list[frozenset[str]] = []
    for group in groups:
        if not group:
            continue
        touching = [other for other in found if other & group]
        found = [other for other in found if not other & group]
        found.append(group.union(*touching))
    return found


def _named(contacts: Contacts, labels: list[tuple[str, str]]) -> dict[str, Groups]:
    """Position to joined sets, with the terminal's label replaced by the names of all its leads."""
    leads: dict[str, set[str]] = {}
    for label, name in labels:
        leads.setdefault(label, set()).add(name)
    same = [frozenset(names) for names in leads.values() if len(names) > 1]
    return {
        position: _merged(
            [frozenset(n for label in group for n in leads.get(label, {label})) for group in groups] + same
        )
        for position, groups in contacts.table.items()
    }


def _lead_names(donor: Part) -> Iterator[tuple[str, str]]:
    """(label, name in the answer) of each lead: ``lead:`` and the label, with -2, -3 where it repeats."""
    times: dict[str, int] = {}
    for number, lead in enumerate(donor.geometry.leads, start=1):
        label = lead.label or f"{number}"
        times[label] = times.get(label, 0) + 1
        yield lead.label, "lead:" + (label if times[label] == 1 else f"{label}-{times[label]}")
    if not donor.geometry.leads and donor.contacts is not None:
        every = {label for groups in donor.contacts.table.values() for group in groups for label in group}
        yield from ((label, f"lead:{label}") for label in sorted(every))


def _nets(original: Original) -> Groups:
    nets: dict[str, set[str]] = {}
    for pad in original.pads:
        nets.setdefault(pad.net, set()).add(pad.label)
    return [frozenset(names) for names in nets.values()]


def _wires(original: Original, fit: Fit) -> Groups:
    """Connections and added wires as joined pairs."""
    found = [frozenset((f"lead:{item.lead}", item.pad)) for item in fit.connections]
    for added in fit.added:
        ends = [f"lead:{end[5:]}" if end.startswith("lead ") else end.removeprefix("pad ") for end in added.between]
        found.append(frozenset(ends))
    found += [frozenset(link.between) for link in fit.links]
    return found


def _names(original: Original, donor: Part, new: dict[str, Groups], fit: Fit) -> list[str]:
    pads = {pad.label: pad.net for pad in original.pads}
    leads = {name[5:] for _, name in _lead_names(donor)}
    reasons = []
    for connection in fit.connections:
        if connection.lead not in leads:
            reasons.append(f"the donor has no lead {connection.lead}")
        if connection.pad not in pads:
            reasons.append(f"the board has no pad {connection.pad}")
        elif pads[connection.pad] != connection.net:
            reasons.append(f"pad {connection.pad} is not on net {connection.net}")
    ends = {end for added in fit.added for end in added.between}
    for end in sorted(ends):
        word, _, name = end.partition(" ")
        if name not in (leads if word == "lead" else pads):
            reasons.append(f"there is no {end}")
    used = {connection.lead for connection in fit.connections} | {end[5:] for end in ends if end.startswith("lead ")}
    if len(fit.connections) != len({connection.lead for connection in fit.connections}):
        reasons.append("a lead is connected twice")
    if used & set(fit.open_leads) or used | set(fit.open_leads) != leads:
        reasons.append("a lead is both connected and open, or forgotten")
    wires = sum(item.by == "wire" for item in fit.connections) + len(fit.links)
    wires += sum(len(added.between) - 1 for added in fit.added)
    if wires != fit.wire_count:
        reasons.append(f"{fit.wire_count} wires are counted and {wires} are there")
    return reasons


def _places(original: Original, donor: Part, fit: Fit) -> list[str]:
    """A lead that goes into a hole is there in the pose of the answer; two never share one."""
    inside = [item for item in fit.connections if item.by != "wire"]
    if fit.pose is None:
        return ["a lead is not on a wire and there is no pose"] if inside else []
    if len({item.pad for item in inside}) != len(inside):
        return ["two leads share a hole"]
    spots = {pad.label: pad.at_mm for pad in original.pads}
    angle = math.radians(fit.pose.turn_deg)
    at = {}
    for (_, name), lead in zip(_lead_names(donor), donor.geometry.leads, strict=True):
        if lead.at_mm is not None:
            x = -lead.at_mm[0] if fit.pose.side == "solder" else lead.at_mm[0]
            at[name[5:]] = (
                x * math.cos(angle) - lead.at_mm[1] * math.sin(angle) + fit.pose.shift_mm[0],
                x * math.sin(angle) + lead.at_mm[1] * math.cos(angle) + fit.pose.shift_mm[1],
            )
    reasons = []
    for item in fit.connections:
        pad, lead_at = spots.get(item.pad), at.get(item.lead)
        if pad is None or lead_at is None:
            reasons.append(f"the place of lead {item.lead} or pad {item.pad} is not known")
        elif math.dist(lead_at, item.lead_at_mm) > 0.002 or math.dist(pad, item.pad_at_mm) > 0.002:
            reasons.append(f"lead {item.lead} or pad {item.pad} is not where the answer says")
        elif item.by == "direct" and math.dist(lead_at, pad) > _DIRECT_MM:
            reasons.append(f"lead {item.lead} does not fall into pad {item.pad}")
    return reasons


def _difference(before: set[frozenset[str]], after: set[frozenset[str]]) -> str:
    more = sorted("+".join(sorted(group)) for group in after - before if len(group) > 1)
    less = sorted("+".join(sorted(group)) for group in before - after if len(group) > 1)
    return f"{', '.join(more) or 'nothing'} is joined instead of {', '.join(less) or 'nothing'}"


def _pairs(pairs: set[frozenset[str]]) -> str:
    return ", ".join(sorted(" and ".join(sorted(pair)) for pair in pairs)[:3])
