"""What is typed of a switch, made ready for the questions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import get_args

from xref import quantity
from xref.bench.switch_words import one_of, parse_joins, parse_ladder, parse_leads, parse_load
from xref.errors import QuantityError, UsageError
from xref.model.contact_need import BETWEEN, DRIVES, LEVERS, ContactNeed
from xref.model.contacts import Action
from xref.model.switch_want import SPRINGS, SwitchWant

ACTIONS = tuple(word for word in get_args(Action) if word)


def typed_joins(texts: Sequence[str]) -> dict[str, tuple[tuple[str, ...], ...]]:
    """Contact table from ``left=1:2,4:5`` texts."""
    return parse_joins(texts)


def typed_leads(text: str) -> tuple[str, ...]:
    """Lead names from ``6`` or ``C,1,2``."""
    return parse_leads(text)


def typed_need(
    *, between: str, load: str, drives: str, ohm_max: str, ladder: str, doubled: bool, lever: str = ""
) -> ContactNeed:
    """The circuit around the switch from option texts.

    Raises:
        UsageError, QuantityError: a word or a value is wrong
    """
    stands = [quantity.parse(ohm_max, "ohm")] if ohm_max else []
    stands += [parse_ladder(ladder)] if ladder else []
    return ContactNeed(
        load=parse_load(load) if load else None,
        drives=one_of("--drives", drives or ("ladder" if ladder else ""), DRIVES),
        between=one_of("--between", between, BETWEEN),
        lever=one_of("--lever", lever, LEVERS),
        ohm_max=min(stands, default=None),
        doubled=doubled,
    )


def typed_want(*, joins: Sequence[str], rest: str, need: ContactNeed, **text: str) -> SwitchWant:
    """The request in SI (mm stays mm) from option texts.

    Raises:
        UsageError, QuantityError: a word or a value is wrong
    """
    table_joins = parse_joins(joins)
    if rest and rest not in table_joins:
        raise UsageError(f"there is no position {rest} in --joins", "--rest")
    return SwitchWant(
        joins=table_joins,
        rest=rest,
        need=need,
        springs=one_of("--springs", text["springs"] or ("back" if rest else ""), SPRINGS),
        action=one_of("--action", text["action"], ("", *ACTIONS)),
        mount=one_of("--mount", text["mount"], ("", "through-hole", "smd", "panel/wired")),
        leads=len(parse_leads(text["leads"])) if text["leads"] else None,
        pitch_mm=_above(text["pitch"], "mm", "--pitch"),
        body_mm=quantity.parse_size(text["body"]) if text["body"] else (),
        force=_above(text["force"], "N", "--force"),
        travel_mm=_above(text["travel"], "mm", "--travel"),
        bounce=_above(text["bounce"], "s", "--bounce"),
    )


def _above(text: str, unit: str, option: str) -> float | None:
    if not text:
        return None
    value = quantity.parse(text, unit)
    if value <= 0:
        raise QuantityError(f'"{text[:30]}" is not above 0', option)
    return value
