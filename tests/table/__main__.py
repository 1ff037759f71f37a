"""``python -m tests.table``: write the schema of the messages, which the page's types are tested against."""

from __future__ import annotations

import json
from pathlib import Path

from fabricsim.table.messages.schema import messages_schema

if __name__ == "__main__":
    path = Path(__file__).parent / "messages.schema.json"
    path.write_text(json.dumps(messages_schema(), indent=1) + "\n", encoding="utf-8")
