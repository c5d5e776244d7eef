"""A small checker for the part of JSON Schema (draft 2020-12) that the shipped schemas use; it knows no class of ours.

An unknown word in a schema is an error, so that nothing passes because it was not looked at.
"""

from __future__ import annotations

from typing import Any

TYPES: dict[str, tuple[type, ...]] = {
    "object": (dict,),
    "array": (list,),
    "string": (str,),
    "number": (int, float),
    "integer": (int,),
    "boolean": (bool,),
    "null": (type(None),),
}
KNOWN = {
    "$schema",
    "$defs",
    "$ref",
    "title",
    "type",
    "properties",
    "required",
    "additionalProperties",
    "items",
    "prefixItems",
    "minItems",
    "maxItems",
    "anyOf",
    "enum",
    "const",
}


def faults(value: Any, schema: dict[str, Any], whole: dict[str, Any] | None = None, at: str = "$") -> list[str]:
    """Where a value is not as the schema says."""
    whole = whole or schema
    unknown = set(schema) - KNOWN
    if unknown:
        return [f"{at}: the schema uses {sorted(unknown)}, which this checker does not know"]
    if "$ref" in schema:
        return faults(value, whole["$defs"][schema["$ref"].rsplit("/", 1)[1]], whole, at)
    if "anyOf" in schema:
        tried = [faults(value, option, whole, at) for option in schema["anyOf"]]
        return [] if any(not found for found in tried) else min(tried, key=len)
    kind = schema.get("type")
    if kind and (not isinstance(value, TYPES[kind]) or (isinstance(value, bool) and kind in ("number", "integer"))):
        return [f"{at}: {value!r:.60} is not of type {kind}"]
    if "enum" in schema and value not in schema["enum"]:
        return [f"{at}: {value!r} is not one of {schema['enum']}"]
    if "const" in schema and value != schema["const"]:
        return [f"{at}: {value!r} is not {schema['const']!r}"]
    if isinstance(value, dict):
        return _object(value, schema, whole, at)
    return _array(value, schema, whole, at) if isinstance(value, list) else []


def _object(value: dict[str, Any], schema: dict[str, Any], whole: dict[str, Any], at: str) -> list[str]:
    known, rest = schema.get("properties", {}), schema.get("additionalProperties", True)
    found = [f"{at}: no {name}" for name in schema.get("required", ()) if name not in value]
    for name, item in value.items():
        if name in known:
            found += faults(item, known[name], whole, f"{at}.{name}")
        elif rest is False:
            found.append(f"{at}: {name} is not in the schema")
        elif isinstance(rest, dict):
            found += faults(item, rest, whole, f"{at}.{name}")
    return found


def _array(value: list[Any], schema: dict[str, Any], whole: dict[str, Any], at: str) -> list[str]:
    found = []
    if not schema.get("minItems", 0) <= len(value) <= schema.get("maxItems", len(value)):
        found.append(f"{at}: {len(value)} items")
    first = schema.get("prefixItems", [])
    for number, item in enumerate(value):
        part = first[number] if number < len(first) else schema.get("items", {})
        found += faults(item, part, whole, f"{at}[{number}]")
    return found
