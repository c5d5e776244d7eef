"""What a fact says a part must hold: paths into the part, with values in SI.

The factors and the renamed keys are written down here once more, apart from the package, so that a wrong factor or a
lost key in the package shows.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml

REFERENCE = Path(__file__).parents[1] / "reference"
FACTOR = {
    "nm": 1e-9, "v": 1, "ma": 1e-3, "ua": 1e-6, "na": 1e-9, "mw": 1e-3, "ohm": 1, "us": 1e-6, "mm": 1, "mohm": 1e-3,
    "ms": 1e-3, "n": 1, "a": 1, "va": 1, "c": 1, "cm2": 1,
}  # fmt: skip
"""SI prefixes by the ending of a key; millimetres and milliwatts per cm² stay."""

KIND = {"emitter-detector-pair": "detector"}
MAKER = {"Vishay Semiconductors": "Vishay", "Rohm": "ROHM", "Fairchild Semiconductor": "Fairchild"}
RENAMED = {
    "emitter.ir_max_ua": "emitter.ir_ua",
    "detector.ioh_max_ua": "detector.ioh_ua",
    "coupling.ic_bins": "coupling.ic_bins_ma",
}
LIMITS = ("min", "typ", "max")
Expected = Iterator[tuple[str, Any]]


def facts(name: str) -> list[dict[str, Any]]:
    """One file of tests/reference/facts."""
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    loaded: list[dict[str, Any]] = yaml.load((REFERENCE / "facts" / f"{name}.yaml").read_text("utf-8"), Loader=loader)
    return loaded


def step(key: object) -> str:
    """A key as one step of a path: a full stop in it would part it."""
    return str(key).replace(".", ";")


def in_si(key: str, number: float) -> float:
    """A printed number in SI by the ending of its key."""
    return number * FACTOR[key.rsplit("_", 1)[-1]]


def value(path: str, key: str, fact: dict[str, Any]) -> Expected:
    """A value with its limits and conditions; words in place of numbers are kept in the note and not compared."""
    for name, content in fact.items():
        if isinstance(content, str) or content is None:
            if name == "target":
                yield f"{path}.target", content
        elif name in LIMITS:
            yield f"{path}.{name}", in_si(key, content)
        else:
            yield f"{path}.at.{name}", in_si(name, content)


def group(entry: dict[str, Any], name: str, skip: tuple[str, ...] = ()) -> Expected:
    """The keys of emitter, detector, coupling or slot."""
    for key, fact in (entry.get(name) or {}).items():
        if fact is None or key in skip:
            continue
        path = RENAMED.get(f"{name}.{key}", f"{name}.{key}")
        if key in ("vf_v", "ic_ma"):
            for number, item in enumerate(fact):
                yield from value(f"{path}.{number}", key, item)
        elif key == "ic_bins":
            for label, limits in fact.items():
                for side in (0, 1):
                    yield f"{path}.{step(label)}.{side}", in_si("ic_ma", limits[side])
        elif key == "distance_curve":
            yield path, tuple(tuple(map(float, point)) for point in fact)
        elif key == "icc_ma" and not isinstance(fact, dict):
            yield f"{path}.max", in_si(key, fact)
        elif isinstance(fact, dict):
            yield from value(path, path, fact)
        else:
            yield path, fact if isinstance(fact, str) else in_si(key, fact)


def sensor(entry: dict[str, Any]) -> Expected:
    """Everything of a sensor but its leads."""
    yield from group(entry, "emitter")
    yield from group(entry, "detector")
    detector_only = entry["kind"] == "emitter-detector-pair"
    yield from group(entry, "coupling", ("curve_basis", "tprop_us", *(("ic_ma",) if detector_only else ())))
    if detector_only:
        for row in (entry.get("coupling") or {}).get("ic_ma") or ():
            yield from value("detector.light_current_ma", "ic_ma", row)
    if (entry.get("coupling") or {}).get("curve_basis"):
        yield f"provenance.{step('coupling.distance_curve')}", entry["coupling"]["curve_basis"]
    for way in ("low_high", "high_low"):
        delay = (entry.get("coupling") or {}).get("tprop_us") or {}
        if f"{way}_typ" in delay:
            yield f"coupling.tprop_{way}_us.typ", in_si("us", delay[f"{way}_typ"])
    yield from group(entry, "slot")


def spread(path: str, key: str, fact: Any) -> Expected:
    """A switch's force or travel: a number, limits, or a nominal value with a tolerance."""
    if not isinstance(fact, dict):
        yield f"{path}.typ", in_si(key, fact)
        return
    for name in ("min", "max"):
        if name in fact:
            yield f"{path}.{name}", in_si(key, fact[name])
    middle = fact.get("nom", fact.get("ref", fact.get("stage1")))
    if middle is not None:
        yield f"{path}.typ", in_si(key, middle)
    if "nom" in fact and "tol" in fact:
        yield f"{path}.min", in_si(key, fact["nom"] - fact["tol"])
        yield f"{path}.max", in_si(key, fact["nom"] + fact["tol"])


def switch(entry: dict[str, Any]) -> Expected:
    """Everything of a switch but its leads."""
    for key in ("action", "timing", "poles", "throws", "positions", "sections", "function", "contact_form"):
        if entry.get(key) is not None:
            yield f"contacts.{key}", entry[key]
    if entry.get("contact_material"):
        yield "contacts.material", entry["contact_material"]
    for position, joined in (entry.get("contact_table") or {}).items():
        yield f"contacts.table.{step(position)}", {frozenset(map(str, pins)) for pins in joined}
    for number, rating in enumerate(entry.get("rating") or ()):
        for key, fact in rating.items():
            path = f"contacts.ratings.{number}.{key}"
            if key in ("v", "a", "va"):
                yield path, float(fact)
            elif key == "ac_dc":
                yield path, "AC/DC" if fact == "DC or AC peak" else fact
            elif key in ("load", "standard"):
                yield path, fact
            elif key == "limit" and fact.removesuffix(" VA").replace(".", "").isdigit():
                yield f"contacts.ratings.{number}.va", float(fact.removesuffix(" VA"))
    low = entry.get("low_level") or {}
    for key in low:
        yield f"contacts.low_{key}", in_si(key, low[key])
    contact = entry.get("contact_resistance_mohm") or {}
    for key, path in (("typ", "resistance_mohm.typ"), ("max_initial", "resistance_mohm.max")):
        if key in contact:
            yield f"contacts.{path}", in_si("mohm", contact[key])
    if "after_life" in contact:
        yield "contacts.resistance_after_life_mohm", in_si("mohm", contact["after_life"])
    if "measured" in contact:
        yield "contacts.resistance_measured", contact["measured"]
    bounce = entry.get("bounce_ms") or {}
    if bounce:
        yield "contacts.bounce_ms.max", in_si("ms", bounce.get("max", bounce.get("off")))
    for key, path in (("operating_force_n", "contacts.force_n"), ("release_force_n", "contacts.release_force_n")):
        if entry.get(key) is not None:
            yield from spread(path, key, entry[key])
    travel = dict(entry.get("travel_mm") or {})
    if "tol" in travel:
        travel["total"] = {"nom": travel["total"], "tol": travel.pop("tol")}
    for key, fact in travel.items():
        yield from spread(f"contacts.travel_mm.{key}", "mm", fact)
    for key, fact in (entry.get("life_cycles") or {}).items():
        yield f"contacts.life_cycles.{step(key)}", float(fact)
    yield from _reed(entry.get("reed") or {})


def _reed(fact: dict[str, Any]) -> Expected:
    for key in ("at_min", "at_max", "overall_length_mm"):
        if key in fact:
            yield f"contacts.reed.{key}", float(fact[key])
    for key, name in (("operate_ms_incl_bounce", "operate_ms"), ("release_ms", "release_ms")):
        if key in fact:
            yield f"contacts.reed.{name}", in_si("ms", fact[key])
    for key, size in (fact.get("glass_mm") or {}).items():
        yield f"contacts.reed.glass_{key}_mm", float(size)


def expected(entry: dict[str, Any]) -> dict[str, Any]:
    """All that the fact says, apart from the leads, by path into the part."""
    found: dict[str, Any] = {"kind": KIND.get(entry["kind"], entry["kind"])}
    found["maker"] = MAKER.get(entry["maker"], entry["maker"])
    for key in ("output", "logic", "channels"):
        if entry.get(key) is not None:
            found[key] = entry[key]
    for key in ("title", "document", "revision", "date"):
        if entry["source"].get(key) is not None:
            found[f"source.{key}"] = str(entry["source"][key])
    if entry.get("aliases"):
        found["aliases"] = tuple(map(str, entry["aliases"]))
    temperature = entry.get("temp_c") or {}
    if temperature.get("operating"):
        found["temp_c"] = tuple(map(float, temperature["operating"]))
    if temperature.get("solder"):
        found["solder"] = temperature["solder"]
    found.update(switch(entry) if entry["kind"] == "switch" else sensor(entry))
    return found
