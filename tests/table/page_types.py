"""The messages' types as the page's scripts are checked against them, made from the one schema.

``python -m tests.table.page_types`` writes them anew.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import fabricsim.table
from fabricsim.table.messages.schema import messages_schema

TYPES = Path(fabricsim.table.__file__).parent / "page" / "messages.d.ts"
HEAD = "// Made from the messages' schema by tests/table/page_types.py; change the models, not this file.\n"
PLAIN = {"string": "string", "integer": "number", "number": "number", "boolean": "boolean", "null": "null"}


def typed(schema: dict[str, Any], whole: bool) -> str:
    """Return a part of the schema as a type; ``whole``: every key is there, as it is in what the server tells."""
    if "$ref" in schema:
        return str(schema["$ref"]).rpartition("/")[2]
    if "const" in schema:
        return json.dumps(schema["const"])
    if "enum" in schema:
        return " | ".join(json.dumps(one) for one in schema["enum"])
    for choice in ("anyOf", "oneOf"):
        if choice in schema:
            return " | ".join(dict.fromkeys(typed(one, whole) for one in schema[choice]))
    kind = schema.get("type")
    if kind == "array":
        if "prefixItems" in schema:
            return f"[{', '.join(typed(one, whole) for one in schema['prefixItems'])}]"
        return f"({typed(schema['items'], whole)})[]"
    if kind == "object":
        if "properties" not in schema:
            return f"Record<string, {typed(schema['additionalProperties'], whole)}>"
        needed = schema.get("required", [])
        keys = {name: typed(one, whole) for name, one in schema["properties"].items()}
        said = (f"{name}{'' if whole or name in needed else '?'}: {one}" for name, one in keys.items())
        return "{ " + "; ".join(said) + " }"
    return PLAIN[kind] if isinstance(kind, str) else "any"


def reached(defs: dict[str, Any], name: str) -> set[str]:
    """Return the names of the models that one is made of, itself among them."""
    found: set[str] = set()
    ahead = [name]
    while ahead:
        one = ahead.pop()
        if one not in found:
            found.add(one)
            ahead += re.findall(r'"#/\$defs/(\w+)"', json.dumps(defs[one]))
    return found


def types() -> str:
    """Return the file of types."""
    defs = messages_schema()["$defs"]
    told = reached(defs, "AnyTold") | reached(defs, "AnyHead")
    lines = [f"export type {name} = {typed(one, name in told)};" for name, one in defs.items()]
    return HEAD + "\n".join(lines) + "\n"


if __name__ == "__main__":
    TYPES.write_text(types(), encoding="utf-8")
