"""``python -m tests.table``: write what is kept of the table and held against what it is kept of.

The schema of the messages, which the page's types are tested against; the built-in hat at rest, which the package ships
so that it is drawn at once.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import fabricsim.table
from fabricsim.table.messages.schema import messages_schema
from fabricsim.table.solving.kept import FOLDER, written
from tests.table.hat import ORDER, PIECES, at_rest, written_down


def main() -> None:
    schema = Path(__file__).parent / "messages.schema.json"
    schema.write_text(json.dumps(messages_schema(), indent=1) + "\n", encoding="utf-8")
    folder = Path(fabricsim.table.__file__).parent / FOLDER
    folder.mkdir(exist_ok=True)
    pieces: list[dict[str, Any]] = []
    for name, data in written(ORDER, *at_rest(pieces=written_down(pieces))).items():
        (folder / name).write_bytes(data)
    PIECES.write_text(json.dumps(pieces, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
