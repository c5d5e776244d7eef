"""A settled identification as the text of a part file."""

from __future__ import annotations

from typing import Any

from xref.bench.readings import parse_reading
from xref.errors import UsageError
from xref.model.answers.identify import IdentifyAnswer, OtherDevice

KINDS = ("pair", "reflective", "slotted")
LIKELY = 0.01
"""Hypotheses above this probability are named where they differ from what is saved."""
FLOWS = 0.96
"""Above this share of an own supply nothing flows."""
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

    names = answer.device.split(" or ")
    halves = {(item.startswith("emitter"), bool(_output(item)), "two phototransistors" in item) for item in names}
    emits, detects, doubled = next(iter(halves))
    if len(halves) > 1 or not (emits or detects):
        raise UsageError(f"a part cannot be saved from '{answer.device}': the library holds sensors", "--save")
    if len(names) > 1 and not one_map(answer):
        raise UsageError(
            f"a part cannot be saved from '{answer.device}': they differ in what the leads are, and no reading tells",
            "--save",
        )
    if kind and (kind not in KINDS or not (emits and detects)):
        raise UsageError(f"--kind {kind}: expected {', '.join(KINDS)}, for a part with both halves", "--kind")
    part: dict[str, Any] = {
        "part": name,
        "kind": kind or ("pair" if emits and detects else "emitter" if emits else "detector"),
    }
    others = _others(answer)
    if output := output_of(answer):
        part["output"] = output
    if doubled:
        part["channels"] = 2
    if emits and (values := _forward_voltages(answer)):
        part["emitter"] = {"vf_v": values}
    part["geometry"] = _geometry(answer, grid, lead_map, seen_from)
    if "leads" in part["geometry"]:
        part["provenance"] = {"geometry.leads": "measured"}
    remark = [f"identified by readings: {answer.device}, probability {answer.probability:.3f}"]
    if len(names) > 1:
        remark.append("no reading that could be taken tells these apart")
    if others:
        remark.append("the readings also allow " + ", ".join(f"{o.device} ({o.probability:.3f})" for o in others))
    unclear = [label for label, function in answer.leads.items() if " or " in function]
    if unclear:
        remark.append("no reading tells leads " + ", ".join(f"{label} ({answer.leads[label]})" for label in unclear))
    part["notes"] = "; ".join([*remark, *([notes] if notes else [])])
    source = {"title": "own measurement", **dict.fromkeys(("document", "revision", "date"), "not printed")}
    return file_text([part], {"main": source})


def one_map(answer: IdentifyAnswer) -> bool:
    """True when everything the answer names in one breath gives each lead the same single function."""
    names = answer.device.split(" or ")
    return not any(" or " in function for function in answer.leads.values()) and all(
        item.leads == answer.leads for item in answer.alternatives if item.same and item.device in names
    )


def output_of(answer: IdentifyAnswer) -> str:
    """The output word of the part file; empty for an emitter alone, and where the readings allow several."""
    names = [*answer.device.split(" or "), *(item.device for item in _others(answer))]
    found = {_output(name) for name in names}
    return found.pop() if len(found) == 1 else ""


def without_output(answer: IdentifyAnswer) -> str:
    """What to say of a detector that is saved without its output; empty where there is nothing to say."""
    names = [*answer.device.split(" or "), *(item.device for item in _others(answer))]
    outputs = list(dict.fromkeys(filter(None, map(_output, names))))
    if output_of(answer) or not outputs:
        return ""
    return f"saved without output: the readings allow {' or '.join(outputs)}; the leads are the same for each"


def _others(answer: IdentifyAnswer) -> list[OtherDevice]:
    return [] if answer.settled else [item for item in answer.alternatives if item.probability > LIKELY]


def _forward_voltages(answer: IdentifyAnswer) -> list[dict[str, Any]]:
    """Forward voltages with a known current: the diode test of a known meter, own supplies through their resistor.

    None where a resistor may sit in the part: the voltage would be both together.
    """
    names = [*answer.device.split(" or "), *(item.device for item in _others(answer))]
    if any("resistor inside" in name for name in names):
        return []
    found: dict[float, float] = {}
    if answer.vf_v is not None and answer.vf_at.endswith("mA"):
        found[float(answer.vf_at[:-2])] = answer.vf_v
    for text in answer.readings:
        item = parse_reading(text, tuple(answer.leads))
        ahead = "A" in answer.leads[item.red].split("+") and "K" in answer.leads[item.black].split("+")
        if ahead and item.value is not None and item.supply and item.series and item.value < FLOWS * item.supply:
            # the last of equal readings counts: it was read again
            found[float(f"{(item.supply - item.value) / item.series * 1e3:.3g}")] = item.value
    return [{"typ": found[ma], "if_ma": ma, "basis": "measured"} for ma in sorted(found)]


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
