"""Whether a contact suits a circuit: smallest load, rating, inrush, resistance, bounce. One finding a rule.

The figures and their documents stand beside each rule. ``refuse`` findings end a fit; ``unknown`` ones name what to
measure or read; ``warn`` ones are for the bench.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from xref.errors import UsageError
from xref.model.contact_need import ContactNeed, Load
from xref.model.contacts import Contacts, Rating
from xref.physics.contact import contact_drop, film_share

POWER_A = 2.0
SILVER_V, SILVER_A = 5.0, 0.1
"""A contact rated this or more that is not gold wants at least 100 mA at 5 V: D2FD-2 (2 A) sheet, Omron; its rivet
types 160 mA (V-15 sheet, Omron)."""

SMALL_MA = 5.0
"""An original whose smallest load is this or less was chosen for a small current (D2MQ gold: 5 mA at 5 V, Omron)."""

INRUSH = {"lamp": 10.0, "motor": 6.0, "coil": 2.0}
"""Inrush over steady current: lamps 10, motors 6 (Tend, switch notes; Omron, load-type sheet); inductive 2 (Omron,
basic switch notes)."""

DC_SAFE_V = 30.0
"""Above this an AC rating says nothing of DC: no zero crossing (Omron, cautions 28; V-15: 15 A 250 V AC,
0.6 A 125 V DC, 0.3 A 250 V DC)."""

MAINS_V = 50.0
"""Alternating voltage above which a circuit is treated as mains (limit of extra-low voltage, from memory)."""

GROWTH = 2.0
"""Contact resistance about doubles over the life (Alps slide and detector sheets: 25 to 65, 2000 to 5000 mohm)."""

FILTER_S = 0.02
"""20 ms of filtering covers every maker's bounce figure met (ours, from the makers' sheets of the shipped switches)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One rule applied. ``share``: 0 met to 1 as bad as it gets, None unknown."""

    quantity: str
    level: Literal["ok", "warn", "unknown", "refuse"]
    text: str
    share: float | None = 0.0
    wanted: float | str | None = None
    offered: float | str | None = None
    unit: str = ""


def is_mains(need: ContactNeed) -> bool:
    """True when the circuit is mains, by word or by its voltage."""
    load = need.load
    return need.drives == "mains" or (load is not None and load.ac_dc != "DC" and load.volts > MAINS_V)


def check_mains(need: ContactNeed) -> None:
    """Ask again where ``--drives mains`` and the load contradict each other.

    Raises:
        UsageError: the load of a mains circuit is no alternating voltage above 50 V
    """
    load = need.load
    if need.drives == "mains" and load is not None and (load.ac_dc != "AC" or load.volts <= MAINS_V):
        told = " ".join((_volts(load.volts), load.ac_dc)).strip()
        raise UsageError(
            f"mains: {told} is not volts AC above {MAINS_V:g} V: give 230VAC/2A, or leave out --drives mains", "--load"
        )


def mains_lack(donor: Contacts | None, need: ContactNeed) -> str:
    """Why a switch may not be taken for a mains circuit; '' when an approved AC rating of it reaches the load."""
    load = need.load
    if load is None:
        return "the load of the mains circuit is not known"
    asked = load.current * INRUSH.get(need.drives, 1.0)
    ratings = () if donor is None else donor.ratings
    reach = [
        rating
        for rating in ratings
        if rating.note != "not switching" and _covers(rating, load) and _carries(rating, load, asked)
    ]
    if not reach:
        return f"no AC rating known that reaches {_volts(load.volts)}, {_amps(asked)}"
    if not any(rating.standard for rating in reach):
        return f"approval of its rating {_plate(reach[0])} not known"
    return ""


def suits(donor: Contacts, need: ContactNeed, original: Contacts | None = None) -> list[Finding]:
    """All findings for a donor's contacts; ``original``: the contacts that it replaces, where known."""
    found: list[Finding] = []
    if need.load is not None:
        found.append(_smallest(donor, need.load, original))
        found.append(_rating(donor, need.load, need.drives))
    elif original is not None:
        found += _class_change(donor, original)
    found += _resistance(donor, need)
    found += _bounce(donor, need, original)
    return found


def least_load(contacts: Contacts) -> tuple[float, float, str] | None:
    """(volts, ampere, words) of the smallest load of a contact, or None when neither printed nor plain by its class."""
    if contacts.low_v is not None and contacts.low_ma is not None:
        return contacts.low_v, contacts.low_ma * 1e-3, "printed"
    if not _gold(contacts) and _largest(contacts) >= POWER_A:
        return SILVER_V, SILVER_A, f"assumed: silver contact of {_largest(contacts):g} A"
    return None


def _smallest(donor: Contacts, load: Load, original: Contacts | None) -> Finding:
    wanted = f"{_volts(load.volts)}, {_amps(load.current)}"
    least = least_load(donor)
    name = "smallest load"
    if least is None:
        text = "smallest load of its contact not known; gold or a wiping contact is wanted below 1 mA"
        return Finding(quantity=name, level="unknown", text=text, share=None, wanted=wanted)
    volts, current, words = least
    offered = f"{_volts(volts)}, {_amps(current)}"
    share = film_share(load.volts, load.current, least_volts=volts, least_current=current)
    if share.valid:
        text = f"{wanted} is above its smallest load {offered} ({words})"
        return Finding(quantity=name, level="ok", text=text, wanted=wanted, offered=offered)
    text = f"{wanted} is under its smallest load {offered} ({words}): the film on the contact may not break"
    own = least_load(original) if original is not None else None
    if own is not None and own[0] >= volts and own[1] >= current:
        text += "; the original's contact asked for no less, so it is no worse"
        return Finding(quantity=name, level="warn", text=text, share=0.6, wanted=wanted, offered=offered)
    return Finding(quantity=name, level="refuse", text=text, share=1.0, wanted=wanted, offered=offered)


def _rating(donor: Contacts, load: Load, drives: str) -> Finding:
    factor = INRUSH.get(drives, 1.0)
    asked = load.current * factor
    wanted = f"{_volts(load.volts)}, {_amps(load.current)}" + (f" x {factor:g} inrush of a {drives}" * (factor > 1))
    name = "rating"
    usable = [rating for rating in donor.ratings if rating.note != "not switching" and rating.v is not None]
    if not usable:
        return Finding(quantity=name, level="unknown", text="rating not known", share=None, wanted=wanted)
    fitting = [rating for rating in usable if _covers(rating, load)]
    offered = "; ".join(_plate(rating) for rating in usable[:3])
    if not fitting:
        why = "no rating for that voltage"
        if load.ac_dc != "AC" and load.volts > DC_SAFE_V and all(rating.ac_dc == "AC" for rating in usable):
            why = f"its AC rating says nothing of {_volts(load.volts)} DC"
        text = f"{why}: {offered}"
        return Finding(quantity=name, level="refuse", text=text, share=1.0, wanted=wanted, offered=offered)
    if any(_carries(rating, load, asked) for rating in fitting):
        text = f"{wanted} is within {offered}"
        return Finding(quantity=name, level="ok", text=text, wanted=wanted, offered=offered)
    if all(rating.a is None and rating.va is None for rating in fitting):
        text = f"rated current not known: {offered}"
        return Finding(quantity=name, level="unknown", text=text, share=None, wanted=wanted, offered=offered)
    text = f"{wanted} is more than {offered}"
    return Finding(quantity=name, level="refuse", text=text, share=1.0, wanted=wanted, offered=offered)


def _covers(rating: Rating, load: Load) -> bool:
    """True when the line of the plate speaks of a circuit of that voltage and kind."""
    if rating.v is None or rating.v < load.volts:
        return False
    kind = load.ac_dc or ("AC" if load.volts > MAINS_V else "")
    if load.volts <= DC_SAFE_V or not rating.ac_dc:
        return load.volts <= DC_SAFE_V
    return kind in rating.ac_dc if kind else rating.ac_dc != "AC"


def _carries(rating: Rating, load: Load, asked: float) -> bool:
    if rating.a is None and rating.va is None:
        return False
    by_power = rating.va is None or load.volts * asked <= rating.va
    return by_power and (rating.a is None or asked <= rating.a)


def _class_change(donor: Contacts, original: Contacts) -> list[Finding]:
    """Load not given: the class of the contact must not change unseen."""
    mine, theirs = _largest(original), _largest(donor)
    if not mine or not theirs:
        return []
    name = "contact class"
    told = f"{_amps(mine)} type by a {_amps(theirs)} type"
    if theirs >= POWER_A > mine and not _gold(donor):
        small = _gold(original) or (original.low_ma is not None and original.low_ma <= SMALL_MA)
        text = f"{told}: silver power contacts fail in a logic line; give the circuit's --load, such as 5V/0.5mA"
        return [Finding(quantity=name, level="refuse" if small else "unknown", text=text, share=1.0 if small else None)]
    if mine >= POWER_A and theirs < mine / 2:
        text = f"{told}: it may burn in a motor, lamp or coil line; give the circuit's --load, such as 24V/0.5A"
        return [Finding(quantity=name, level="refuse", text=text, share=1.0)]
    if theirs < mine:
        text = f"{told}: check the current of the circuit (--load)"
        return [Finding(quantity=name, level="warn", text=text, share=0.3)]
    return []


def _resistance(donor: Contacts, need: ContactNeed) -> list[Finding]:
    """Low resistance: resistor ladders, lamps and motors."""
    aged = aged_ohm(donor)
    name = "contact resistance"
    found: list[Finding] = []
    if need.ohm_max is not None:
        wanted = need.ohm_max
        if aged is None:
            text = (
                f"contact resistance not known; the circuit stands {_ohms(wanted)}: measure it, closed, several times"
            )
            found.append(Finding(quantity=name, level="unknown", text=text, share=None, wanted=wanted, unit="ohm"))
        else:
            good = aged <= wanted
            text = f"{_ohms(aged)} at the end of its life, the circuit stands {_ohms(wanted)}"
            level: Literal["ok", "refuse"] = "ok" if good else "refuse"
            found.append(
                Finding(
                    quantity=name,
                    level=level,
                    text=text,
                    share=float(not good),
                    wanted=wanted,
                    offered=aged,
                    unit="ohm",
                )
            )
    if need.drives in ("lamp", "motor") and aged is not None and aged >= 1.0:
        drop = "" if need.load is None else f", {_volts(contact_drop(need.load.current, aged))} lost in it"
        text = f"a contact of {_ohms(aged)} is for logic only, never for a {need.drives}{drop}"
        found.append(Finding(quantity=name, level="refuse", text=text, share=1.0, offered=aged, unit="ohm"))
    return found


def aged_ohm(contacts: Contacts) -> float | None:
    """Contact resistance at the end of life [ohm]: printed, or twice the largest value when new; None: not known."""
    if contacts.resistance_after_life_mohm is not None:
        return contacts.resistance_after_life_mohm * 1e-3
    value = contacts.resistance_mohm
    new = None if value is None else value.max if value.max is not None else value.best
    return None if new is None else GROWTH * new * 1e-3


def _bounce(donor: Contacts, need: ContactNeed, original: Contacts | None) -> list[Finding]:
    if need.drives not in ("logic", "ladder"):
        return []
    mine = None if original is None or original.bounce_ms is None else original.bounce_ms.max
    theirs = None if donor.bounce_ms is None else donor.bounce_ms.max
    limit = f"the input must wait {FILTER_S * 1e3:g} ms before it believes an edge"
    if theirs is None:
        text = f"bounce not known: check that {limit}"
        return [Finding(quantity="bounce", level="warn", text=text, share=0.2)]
    if mine is not None and theirs <= mine:
        return []
    text = f"bounces up to {theirs:g} ms" + ("" if mine is None else f", the original {mine:g} ms")
    return [
        Finding(
            quantity="bounce", level="warn", text=f"{text}: check that {limit}", share=0.1, offered=theirs, unit="ms"
        )
    ]


def _gold(contacts: Contacts) -> bool:
    return "gold" in contacts.material.lower()


def _largest(contacts: Contacts) -> float:
    return max((rating.a for rating in contacts.ratings if rating.a and rating.note != "not switching"), default=0.0)


def _plate(rating: Rating) -> str:
    words = [f"{rating.v:g} V" if rating.v is not None else "", rating.ac_dc or ""]
    words.append(f"{rating.a:g} A" if rating.a is not None else f"{rating.va:g} VA" if rating.va is not None else "?")
    return " ".join(word for word in words if word)


def _volts(volts: float) -> str:
    return f"{volts:g} V" if volts >= 1 or not volts else f"{volts * 1e3:g} mV"


def _amps(current: float) -> str:
    if current >= 1:
        return f"{current:g} A"
    return f"{current * 1e3:.3g} mA" if current >= 1e-3 else f"{current * 1e6:.3g} uA"


def _ohms(ohms: float) -> str:
    return f"{ohms:.3g} ohm" if ohms >= 1 else f"{ohms * 1e3:.3g} mohm"
