"""What the JSON Schema of a scene file says where words may stand in place of a list or a table."""

from __future__ import annotations

from typing import Any

from fabricsim.design.scene.model import Scene


def key(part: str, name: str) -> dict[str, Any]:
    found: dict[str, Any] = Scene.model_json_schema()["$defs"][part]["properties"][name]
    return found


def test_catches_are_words_or_a_list() -> None:
    catches = key("FloatRules", "catches")
    assert catches["anyOf"] == [
        {"const": "none"},
        {"const": "planned"},
        {"type": "array", "items": {"$ref": "#/$defs/Catch"}},
    ]
    assert catches["default"] == "none"
    assert not {"type", "items"} & catches.keys()


def test_a_body_is_a_table_a_name_or_a_number() -> None:
    bodies, none = key("Sizing", "bodies")["anyOf"]
    assert bodies["items"] == {"anyOf": [{"$ref": "#/$defs/Wish"}, {"type": "string"}, {"type": "number"}]}
    assert (bodies["type"], bodies["minItems"]) == ("array", 1)
    assert none == {"type": "null"}
