"""Values that the schema of a scene allows, most often at the very ends of what it allows."""

from __future__ import annotations

import math
from collections.abc import Mapping
from random import Random
from typing import Any

Schema = Mapping[str, Any]


def allowed_number(rng: Random, node: Schema) -> float | int:
    """Return a number that ``node`` allows: an end of its range, as near it as can be, or any in between."""
    whole = node["type"] == "integer"
    least = node.get("minimum", node.get("exclusiveMinimum", -1e300))
    most = node.get("maximum", node.get("exclusiveMaximum", 1e300))
    if whole:
        between = int(_between(rng, least, most))
        return int(min(max(rng.choice((least, least + 1, most - 1, most, between, between)), least), most))
    ends = [math.nextafter(least, most), math.nextafter(most, least)]
    ends += [float(node[key]) for key in ("minimum", "maximum") if key in node]
    return rng.choice(ends) if rng.random() < 0.5 else _between(rng, least, most)


def _between(rng: Random, least: float, most: float) -> float:
    """Return a number between the two, all orders of magnitude as likely."""
    if least < 0.0:
        return rng.choice((0.0, rng.uniform(least, most), rng.uniform(least, most) * 1e-6))
    low = math.log(max(least, most * 1e-9))
    return min(max(math.exp(rng.uniform(low, math.log(most))), least), most)


def resolved(schema: Schema, node: Schema) -> Schema:
    """Return ``node`` as it is when it is given: no null, no reference."""
    if "anyOf" in node:
        node = next(one for one in node["anyOf"] if one.get("type") != "null")
    return resolved(schema, schema["$defs"][node["$ref"].rsplit("/", 1)[-1]]) if "$ref" in node else node


def numbers_of(schema: Schema, part: str) -> dict[str, Schema]:
    """Return the keys of a ``part`` of a scene ("fabric", "floats") that take a number, each with what is allowed."""
    properties = resolved(schema, schema["properties"][part])["properties"]
    found = {key: resolved(schema, node) for key, node in properties.items()}
    return {key: node for key, node in found.items() if node.get("type") in ("number", "integer")}
