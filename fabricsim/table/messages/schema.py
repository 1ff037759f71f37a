"""The one JSON Schema of all messages, both ways."""

from __future__ import annotations

from typing import Any

from pydantic import TypeAdapter
from pydantic.json_schema import JsonSchemaMode

from fabricsim.table.messages.asked import ASKED
from fabricsim.table.messages.heads import HEAD
from fabricsim.table.messages.told import TOLD


def messages_schema() -> dict[str, Any]:
    """Return the JSON Schema of messages; ``$defs`` holds every model, and the choices AnyAsked, AnyTold, AnyHead."""
    inputs: list[tuple[str, JsonSchemaMode, TypeAdapter[Any]]] = [
        ("asked", "validation", ASKED),
        ("told", "serialization", TOLD),
        ("head", "serialization", HEAD),
    ]
    refs, schema = TypeAdapter.json_schemas(inputs)
    defs = dict(schema["$defs"])
    for (name, _), one in refs.items():
        defs[f"Any{name.capitalize()}"] = one
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "Messages of the table", "$defs": defs}
