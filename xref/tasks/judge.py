"""What fit and physics say of a candidate when the board side is known: used to rank stand-ins."""

from __future__ import annotations

from typing import TYPE_CHECKING

from xref.errors import XrefError
from xref.model.answers.find import Check, Refused
from xref.search.rank import Judge

if TYPE_CHECKING:
    from xref.library.store import Library
    from xref.model.answers.fit import Fit
    from xref.model.part import Part
    from xref.model.row import Row
    from xref.model.site import Site

WIRE_COST, CUT_COST, VALUE_COST, OPEN_COST = 0.05, 0.1, 0.03, 0.15
"""Cost of one wire, one board change, one changed resistor, and of a signal that could not be decided."""


def site_judge(site: Site, part: Part | None, library: Library) -> Judge:
    """A judge for ``rank``: fits each candidate into the site and asks whether the input sees a clean signal."""
    from xref.adapt.fit import FitOptions
    from xref.adapt.fit import fit as solve
    from xref.adapt.original import from_part, from_site
    from xref.tasks.references import resolve
    from xref.tasks.signal import with_signal

    has_pads = bool(site.pads.map or site.pads.at)
    original = from_site(site) if has_pads else from_part(part, site) if part is not None else None
    quick = FitOptions(alternatives=0, time_cap_s=0.1)

    def judge(row: Row) -> tuple[float, Check] | Refused | None:
        try:
            donor = resolve(row.reference, library)
            if original is None or not any(lead.function for lead in donor.geometry.leads):
                return None
            answer = solve(original, donor, quick)
            if answer.possible and donor.kind != "switch":
                answer = with_signal(answer, original, donor, site, change=None, series="E24")
        except XrefError as error:
            return Refused(part=row.reference, why=str(error))
        if not answer.possible:
            return Refused(part=row.reference, why=answer.because)
        if answer.signal is not None and answer.signal.clean is False:
            return Refused(part=row.reference, why=f"no clean signal: {answer.signal.limited_by}")
        return _cost(answer), _check(answer)

    return judge


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
