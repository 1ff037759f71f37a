"""The types of the page's messages are those of today's schema."""

from __future__ import annotations

import pytest

from tests.table.page_types import TYPES, typed, types


def test_the_pages_types_are_those_of_today() -> None:
    assert TYPES.read_text(encoding="utf-8") == types(), "run: python -m tests.table.page_types"


@pytest.mark.parametrize(
    ("schema", "said"),
    [
        ({"$ref": "#/$defs/Box"}, "Box"),
        ({"const": "paint"}, '"paint"'),
        ({"enum": ["a", "b"]}, '"a" | "b"'),
        ({"anyOf": [{"type": "integer"}, {"type": "null"}]}, "number | null"),
        ({"anyOf": [{"type": "integer"}, {"type": "number"}]}, "number"),
        ({"type": "array", "items": {"type": "string"}}, "(string)[]"),
        ({"type": "array", "prefixItems": [{"type": "integer"}, {"type": "string"}]}, "[number, string]"),
        ({"type": "object", "additionalProperties": {"type": "number"}}, "Record<string, number>"),
        ({"type": "object", "properties": {"a": {"type": "string"}}}, "{ a?: string }"),
        ({}, "any"),
    ],
)
def test_a_part_of_the_schema_as_a_type(schema: dict[str, object], said: str) -> None:
    assert typed(schema, whole=False) == said
