"""What every answer of the API is: values only."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Answer(BaseModel):
    """Values only."""

    model_config = ConfigDict(frozen=True, extra="forbid")
