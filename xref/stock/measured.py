"""What was measured on a piece, from words as typed to the part of its record that replaces the type's figures."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from xref import quantity
from xref.errors import QuantityError, UsageError
from xref.model.lead import FUNCTIONS

if TYPE_CHECKING:
    from xref.model.part import Part

SOURCE = "piece"
"""Key of the source that a measured value names."""

ASSUMED_CURRENT = 1e-3
"""Diode test of a meter that is not said: the middle of 0.5 to 1.5 mA, kept as a remark on the value [A]."""

WORDS = ("vf", "ic", "vce", "distance", "target", "dark", "contact", "body", "gap")
"""Names of the options, and of the columns of a table to import."""

Parts = dict[str, Any]


def measured(typed: dict[str, str]) -> Parts:
    """A partial part from typed values (keys: WORDS); empty ones are left out.

    A value of the piece has no spread: least, typical and largest are the reading.

    Raises:
        QuantityError: a value that cannot be read
        UsageError: a condition without its value
    """
    found: Parts = {}
    if typed.get("vf"):
        reading = quantity.parse_at(typed["vf"], "V")
        current = reading.current if reading.current is not None else ASSUMED_CURRENT
        note = "" if reading.current is not None else "meter current not given: 0.5 to 1.5 mA assumed"
        _put(found, "emitter", "vf_v", [_value(reading.value, {"if_ma": current * 1e3}, note=note)])
    if typed.get("ic"):
        reading = quantity.parse_at(typed["ic"], "A")
        if reading.current is None:
            raise QuantityError("say the emitter current that it was read at: 0.3mA@10mA", "ic")
        at = {"if_ma": reading.current * 1e3}
        if typed.get("vce"):
            at["vce_v"] = quantity.parse(typed["vce"], "V")
        if typed.get("distance"):
            at["distance_mm"] = quantity.parse(typed["distance"], "mm")
        value = _value(reading.value * 1e3, at)
        if typed.get("target"):
            value["target"] = typed["target"]
        _put(found, "coupling", "ic_ma", [value])
    elif any(typed.get(word) for word in ("vce", "distance", "target")):
        raise UsageError("--vce, --distance and --target belong to a collector current: add --ic 0.3mA@10mA")
    if typed.get("dark"):
        reading = quantity.parse_at(typed["dark"], "A")
        _put(found, "detector", "iceo_na", _value(reading.value * 1e9, {}))
    if typed.get("contact"):
        ohms = quantity.parse(typed["contact"], "ohm", default_unit=False)
        _put(found, "contacts", "resistance_mohm", _value(ohms * 1e3, {}))
    basis: dict[str, str] = {}
    if typed.get("body"):
        _put(found, "geometry", "size_mm", [_tidy(edge) for edge in quantity.parse_size(typed["body"])])
        basis["geometry.size_mm"] = "measured"
    if typed.get("gap"):
        gap = quantity.parse(typed["gap"], "mm")
        if gap <= 0:
            raise QuantityError(f'"{typed["gap"][:30]}" is not above 0; expected a slot width such as 3.1mm', "gap")
        _put(found, "slot", "gap_mm", _tidy(gap))
        basis["slot.gap_mm"] = "measured"
    if basis:
        found["provenance"] = basis
    if found:
        found["sources"] = {SOURCE: {"title": "own measurement of this piece", **dict.fromkeys(_REST, "not printed")}}
    return found


_REST = ("document", "revision", "date")


def lead_functions(text: str) -> dict[str, str]:
    """Label to function from ``1=A 2=K 3=C 4=E``; ``1 2 3`` gives labels without functions.

    Raises:
        UsageError: a function that no lead has, a label twice
    """
    found: dict[str, str] = {}
    for word in text.replace(",", " ").split():
        label, equals, function = word.partition("=")
        wrong = [each for each in function.split("+") if each not in FUNCTIONS] if equals else []
        if not label or wrong:
            raise UsageError(f"{word[:20]!r}: expected LABEL=FUNCTION with one of {' '.join(FUNCTIONS)}", "--leads")
        if label in found:
            raise UsageError(f"lead {label} stands twice", "--leads")
        found[label] = function
    return found


def one_piece(part: Part) -> bool:
    """True when the collector current is that of one measured piece, not the spread of its type."""
    values = part.coupling.ic_ma
    return bool(values) and all(value.source == SOURCE and value.basis == "measured" for value in values)


def merged(below: Any, above: Any) -> Any:
    """``above`` laid over ``below``: mappings merge, everything else replaces."""
    if isinstance(below, dict) and isinstance(above, dict):
        return {**below, **{key: merged(below.get(key), item) for key, item in above.items()}}
    return above


def words_of(measured: Parts) -> list[str]:
    """What was measured, for people: ``VF 1.12 V at 10 mA``."""
    found = []
    for value in measured.get("emitter", {}).get("vf_v", ()):
        found.append(f"VF {quantity.show(value['typ'], 'V')}{_at(value)}")
    for value in measured.get("coupling", {}).get("ic_ma", ()):
        found.append(f"IC {quantity.show(value['typ'] * 1e-3, 'A')}{_at(value)}")
    dark = measured.get("detector", {}).get("iceo_na")
    if dark:
        found.append(f"dark current {quantity.show(dark['typ'] * 1e-9, 'A')}")
    contact = measured.get("contacts", {}).get("resistance_mohm")
    if contact:
        found.append(f"contact {quantity.show(contact['typ'] * 1e-3, 'ohm')}")
    size = measured.get("geometry", {}).get("size_mm")
    if size:
        found.append(f"body {'x'.join(f'{edge:g}' for edge in size)} mm")
    gap = measured.get("slot", {}).get("gap_mm")
    if gap is not None:
        found.append(f"slot {gap:g} mm")
    return found


def _at(value: Parts) -> str:
    at = value.get("at", {})
    found = f" at {at['if_ma']:g} mA" if "if_ma" in at else ""
    found += f", {at['vce_v']:g} V" if "vce_v" in at else ""
    return found + (f", {at['distance_mm']:g} mm" if "distance_mm" in at else "")


def _value(number: float, at: dict[str, float], note: str = "") -> Parts:
    tidy = _tidy(number)
    found: Parts = {"min": tidy, "typ": tidy, "max": tidy, "basis": "measured", "source": SOURCE}
    if at:
        found["at"] = {key: _tidy(value) for key, value in at.items()}
    if note:
        found["note"] = note
    return found


def _tidy(number: float) -> float:
    """Without the last bits of unit conversion, so that export and import give the same text."""
    return float(f"{number:.10g}")


def _put(data: Parts, section: str, key: str, value: Any) -> None:
    data.setdefault(section, {})[key] = value
