"""What the fields of a rule book may hold."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

Factor = Annotated[float, Field(gt=0.02, lt=50)]
Doubt = Annotated[float, Field(gt=0, le=2)]
Share = Annotated[float, Field(ge=0, le=1)]
Ident = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=40)]
Line = Annotated[str, Field(min_length=2, max_length=240)]
Paragraph = Annotated[str, Field(min_length=10, max_length=600)]
Route = Literal["put_out", "mend_first", "hold", "pass_on"]


class Strict(BaseModel):
    """A part of the rule book: no unknown keys, no later change."""

    model_config = ConfigDict(extra="forbid", frozen=True)
