"""The selector's positions: every mode, and every state that it can pass through between two modes."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from xref.model.network import Contact, Network


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """One state of the selector. ``closed``: contact names; ``between``: the two modes, or one mode twice."""

    name: str
    between: tuple[str, str]
    closed: frozenset[str]

    @property
    def is_mode(self) -> bool:
        """True where the selector rests."""
        return self.between[0] == self.between[1]


def positions(network: Network) -> list[Position]:
    """Return the modes in order, then the states between neighbours.

    Each pole may be still in the old mode, in the middle, or already in the new one, whatever the other poles do. In
    the middle a contact that changes is open (break before make), closed (make before break), or, where the timing is
    not specified, either. A contact that is closed on both sides stays closed.
    """
    found = [
        Position(name=mode, between=(mode, mode), closed=frozenset(_closed(network, mode))) for mode in network.modes
    ]
    for old, new in zip(network.modes, network.modes[1:], strict=False):
        seen = {found[network.modes.index(old)].closed, found[network.modes.index(new)].closed}
        poles = sorted({contact.pole for contact in network.contacts.values()})
        per_pole = [_pole_states(network, pole, old, new) for pole in poles]
        for states in product(*per_pole):
            closed = frozenset().union(*states)
            if closed not in seen:
                seen.add(closed)
                found.append(Position(name=f"between {old} and {new}", between=(old, new), closed=closed))
    return found


def _closed(network: Network, mode: str) -> set[str]:
    return {name for name, contact in network.contacts.items() if mode in contact.closed_in}


def _pole_states(network: Network, pole: str, old: str, new: str) -> list[frozenset[str]]:
    mine = {name: contact for name, contact in network.contacts.items() if contact.pole == pole}
    before = frozenset(name for name in mine if old in mine[name].closed_in)
    after = frozenset(name for name in mine if new in mine[name].closed_in)
    changing = sorted(before ^ after)
    middles = [
        frozenset(name for name, closed in zip(changing, choice, strict=True) if closed) | (before & after)
        for choice in product(*[_middle(mine[name]) for name in changing])
    ]
    return [before, after, *middles]


def _middle(contact: Contact) -> tuple[bool, ...]:
    if contact.timing == "make-before-break":
        return (True,)
    return (False,) if contact.timing == "break-before-make" else (False, True)
