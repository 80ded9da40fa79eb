"""What the API answers of a photographed label."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from resale.web.api.responses.base import Answer


class LabelWord(Answer):
    """One word of a label."""

    text: str
    confidence: int = Field(description="How sure the reading was, 0 to 100.")
    use: Literal["fibres", "care", "neither"]
    look_again: Literal["", "unclear", "unknown"] = Field(
        description="Why a person should look again: read unsurely, or no word that is known here."
    )


class LabelRead(Answer):
    """What a photographed label says, as far as it could be read."""

    fibres: str = Field(description="For the reading of `fibre_shell`; may be empty.")
    care: str = Field(description="For `care`; may be empty.")
    left_out: str = Field(description="Words that are of neither.")
    words: list[LabelWord]
