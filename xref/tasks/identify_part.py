"""A settled identification as the text of a part file."""

from __future__ import annotations

from typing import Any

from xref.errors import UsageError
from xref.model.answers.identify import IdentifyAnswer

KINDS = ("pair", "reflective", "slotted")
LIKELY = 0.01
"""Hypotheses above this probability are named where they differ from what is saved."""
_OUTPUTS = (
    "phototransistor", "photodarlington", "photodiode", "logic-open-collector", "logic-pull-up", "logic-totem-pole",
)  # fmt: skip


def part_text(
    answer: IdentifyAnswer,
    name: str,
    *,
    kind: str = "",
    grid: tuple[float, float] | None = None,
    lead_map: str = "",
    seen_from: str = "component",
    notes: str = "",
) -> str:
    """The part file.

    Args:
        answer: a settled identification
        name: name of the new part
        kind: pair, reflective or slotted, for a part with both halves
        grid: step across and down in mm, with ``lead_map``
        lead_map: the labels as they stand, rows top to bottom: ``1 2 / 3 4``
        seen_from: component or solder
        notes: a remark

    Raises:
        UsageError: a device that the library does not hold, or a map that does not suit the leads
    """
    from xref.library.writer import file_text

    emits = answer.device.startswith("emitter")
    output = _output(answer.device)
    others = [] if answer.settled else [item for item in answer.alternatives if item.probability > LIKELY]
    if " or " in answer.device or not (emits or output):
        raise UsageError(f"a part cannot be saved from '{answer.device}': the library holds sensors", "--save")
    if kind and (kind not in KINDS or not (emits and output)):
        raise UsageError(f"--kind {kind}: expected {', '.join(KINDS)}, for a part with both halves", "--kind")
    part: dict[str, Any] = {
        "part": name,
        "kind": kind or ("pair" if emits and output else "emitter" if emits else "detector"),
    }
    if output and all(_output(item.device) == output for item in others):
        part["output"] = output
    if "two phototransistors" in answer.device:
        part["channels"] = 2
    if emits and answer.vf_v is not None and answer.vf_at.endswith("mA"):
        value = {"typ": answer.vf_v, "if_ma": float(answer.vf_at[:-2]), "basis": "measured"}
        part["emitter"] = {"vf_v": [value]}
    part["geometry"] = _geometry(answer, grid, lead_map, seen_from)
    if "leads" in part["geometry"]:
        part["provenance"] = {"geometry.leads": "measured"}
    remark = [f"identified by readings: {answer.device}, probability {answer.probability:.3f}"]
    if others:
        remark.append("the readings also allow " + ", ".join(f"{o.device} ({o.probability:.3f})" for o in others))
    unclear = [label for label, function in answer.leads.items() if " or " in function]
    if unclear:
        remark.append("no reading tells leads " + ", ".join(f"{label} ({answer.leads[label]})" for label in unclear))
    part["notes"] = "; ".join([*remark, *([notes] if notes else [])])
    source = {"title": "own measurement", **dict.fromkeys(("document", "revision", "date"), "not printed")}
    return file_text([part], {"main": source})


def _output(device: str) -> str:
    """The output in a device's name; empty for an emitter alone."""
    return next((word for word in _OUTPUTS if word in device), "")


def _geometry(
    answer: IdentifyAnswer, grid: tuple[float, float] | None, lead_map: str, seen_from: str
) -> dict[str, Any]:
    """Leads with their functions, and their places where a map was given."""
    data: dict[str, Any] = {"lead_count": len(answer.leads)}
    if bool(lead_map) != (grid is not None):
        raise UsageError("--map and --grid go together: --map '1 2 / 3 4' --grid 5.5x2.54mm", "--map")
    if any(" or " in function for function in answer.leads.values()):
        return data
    places: dict[str, tuple[float, float]] = {}
    if lead_map and grid is not None:
        from xref.library.newpart import places_of

        found = places_of(lead_map, grid, seen_from)
        places = dict(found)
        if len(places) != len(found) or sorted(places) != sorted(answer.leads):
            raise UsageError(f"the map must hold each lead once: {', '.join(answer.leads)}", "--map")
    leads = []
    for label, function in answer.leads.items():
        lead: dict[str, Any] = {"label": label, "function": function}
        if label in places:
            lead["at_mm"] = list(places[label])
        leads.append(lead)
    data["leads"] = leads
    return data
