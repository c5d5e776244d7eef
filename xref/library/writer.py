"""A part as the text of a part file: what ``part add`` shows and writes."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from typing import Any

from xref.model.decode import encode
from xref.model.part import Part

_SIMPLE = re.compile(r"[A-Za-z0-9_+-](?:[A-Za-z0-9 ._/()+%=-]*[A-Za-z0-9._/()+%=-])?")
_WIDTH = 110


def file_text(parts: Sequence[Mapping[str, Any]], sources: Mapping[str, Mapping[str, str]]) -> str:
    """The text of a part file.

    Args:
        parts: each part in the form of a part file (flat conditions, ``part`` for the name)
        sources: the documents by key, the first is the default
    """
    lines = ["format: 1", "sources:"]
    lines += [f"  {_scalar(key)}: {_flow(dict(source))}" for key, source in sources.items()]
    lines.append("parts:")
    for part in parts:
        block = _block(part, 4)
        lines += [f"  - {block[0].lstrip()}", *block[1:]]
    return "\n".join(lines) + "\n"


def file_form(part: Part) -> dict[str, Any]:
    """A part as a part file holds it: conditions beside the numbers, labels where a pinout gives the places."""
    data: dict[str, Any] = encode(part)
    for key in ("sources", "origin", "path"):
        data.pop(key, None)
    form = {"part": data.pop("name"), **{key: _flat(item) for key, item in data.items()}}
    geometry = form.get("geometry", {})
    if geometry.get("pinout") and "leads" in geometry:
        geometry["labels"] = [lead["label"] for lead in geometry.pop("leads")]
    return form


def _flat(item: Any) -> Any:
    if isinstance(item, dict):
        item = {key: _flat(each) for key, each in item.items()}
        if isinstance(item.get("at"), dict):
            item.update(item.pop("at"))
        return item
    return [_flat(each) for each in item] if isinstance(item, list) else item


def _block(data: Mapping[str, Any], indent: int) -> list[str]:
    """Key and value lines; what fits in one line stands in one line."""
    lines = []
    for key, item in data.items():
        head = " " * indent + _scalar(key) + ":"
        flow = _flow(item)
        if len(head) + len(flow) < _WIDTH or not isinstance(item, (dict, list)):
            lines.append(f"{head} {flow}")
        elif isinstance(item, dict):
            lines += [head, *_block(item, indent + 2)]
        else:
            lines.append(head)
            lines += [f"{' ' * (indent + 2)}- {_flow(each)}" for each in item]
    return lines


def _flow(item: Any) -> str:
    if isinstance(item, Mapping):
        return "{" + ", ".join(f"{_scalar(key)}: {_flow(each)}" for key, each in item.items()) + "}"
    if isinstance(item, (list, tuple)):
        return "[" + ", ".join(_flow(each) for each in item) + "]"
    return _scalar(item)


def _scalar(item: Any) -> str:
    if isinstance(item, bool):
        return "true" if item else "false"
    if isinstance(item, float):
        return f"{item:.12g}"
    text = str(item)
    if _SIMPLE.fullmatch(text) and text not in ("null", "-") and not text.startswith("- "):
        return text
    return json.dumps(text, ensure_ascii=False)
