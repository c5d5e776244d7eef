"""How much the shipped data can do: the floors that the search and the fit are built on.

Source of the floors: what the facts in tests/reference/facts allow, counted there by hand; the parts themselves come
from the documents named in their files.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import yaml

from xref.library.store import open_library
from xref.model.part import Part

SENSORS = ("reflective", "slotted")


@cache
def parts() -> tuple[Part, ...]:
    """All shipped parts."""
    return tuple(open_library().parts())


def sensors() -> list[Part]:
    """Reflective and slotted ones."""
    return [part for part in parts() if part.kind in SENSORS]


def wired() -> list[Part]:
    """Sensors and lone halves whose leads all have a place and a function."""
    return [part for part in parts() if part.geometry.wired and part.kind != "switch"]


def order(part: Part) -> tuple[tuple[str, str], ...]:
    """Pin order: the maker's label and the function, by label."""
    return tuple(sorted((lead.label, lead.function) for lead in part.geometry.leads))


def test_wired_parts() -> None:
    """At least 100 sensors, 120 with the lone halves, can be wired from data alone; so can 50 switches."""
    assert len([part for part in wired() if part.kind in SENSORS]) >= 100
    assert len(wired()) >= 120
    assert len([part for part in parts() if part.kind == "switch" and part.geometry.wired]) >= 50


def test_wired_parts_come_from_many_makers() -> None:
    """At least nine makers, a renamed firm counted once."""
    aliases = yaml.safe_load((Path(__file__).parent / "makers.yaml").read_text("utf-8"))
    one = {old: new for new, names in aliases.items() for old in names}
    assert len({one.get(part.maker, part.maker) for part in wired() if part.kind in SENSORS}) >= 9


def test_pin_orders() -> None:
    """At least eight different pin orders with numbers, so that no order can be taken for granted."""
    numbered = {order(part) for part in wired() if all(lead.label.isdigit() for lead in part.geometry.leads)}
    assert len(numbered) >= 8


def test_logic_outputs() -> None:
    """At least three kinds of logic output among the wired sensors."""
    assert len({part.output for part in wired() if (part.output or "").startswith("logic-")}) >= 3


def test_parts_complete_enough_to_be_searched() -> None:
    """At least 60 wired sensors with VF, body and either collector current or threshold."""
    assert len([
        part
        for part in wired()
        if any(value.typ is not None or value.max is not None for value in part.emitter.vf_v)
        and part.geometry.size_mm
        and (part.coupling.ic_ma or part.detector.ift_ma)
    ]) >= 60  # fmt: skip


def test_every_kind_ships() -> None:
    """Reflective and slotted sensors, lone emitters and detectors, and switches."""
    assert {part.kind for part in parts()} >= {"reflective", "slotted", "emitter", "detector", "switch"}
    assert len([part for part in parts() if part.kind in ("emitter", "detector")]) >= 12


def test_every_part_has_a_source() -> None:
    """A title at least; words for what is missing are the two agreed ones."""
    for part in parts():
        assert part.sources, part.name
        for source in part.sources.values():
            assert source.title.strip(), part.name


def test_named_sources_exist() -> None:
    """A value, or a path in ``stated_in``, names only sources of its file."""
    for part in parts():
        assert set(part.stated_in.values()) <= set(part.sources), part.name
        for value in (*part.emitter.vf_v, *part.coupling.ic_ma):
            assert not value.source or value.source in part.sources, part.name


def test_places_are_possible() -> None:
    """No two leads of a wired part share a place, labels differ, and all lie within reach of the body."""
    for part in parts():
        if not part.geometry.wired:
            continue
        places = [lead.at_mm for lead in part.geometry.leads]
        assert len(set(places)) == len(places), part.name
        assert len({lead.label for lead in part.geometry.leads}) == len(places), part.name
        assert all(at is not None and abs(at[0]) <= 20 and abs(at[1]) <= 20 for at in places), part.name
