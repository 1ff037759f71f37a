"""What all messages of the server have in common."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

Pair = tuple[float, float]
"""Two numbers: a least and a greatest, or one across and one up."""


class Told(BaseModel):
    """A message of the server."""

    model_config = ConfigDict(extra="forbid", frozen=True, ser_json_inf_nan="null")
