"""What a shop decides about copies of itself."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, BeforeValidator

from resale.config.selling import setting

OtherFolder = Annotated[Path | None, BeforeValidator(lambda said: said or None)]


class KeepingSettings(BaseModel):
    """Settings of the copies."""

    copies_folder: OtherFolder = setting(
        None,
        "",
        "Where copies of the shop are kept; empty is the folder copies beside its records.",
    )
    copy_each_day: bool = setting(
        True, "", "Whether a copy is made each day while the screens are open."
    )
    copy_hour: int = setting(13, "hour", "When the copy of the day is due.", ge=0, le=23)
    copies_kept: int = setting(
        30, "copies", "So many daily copies stay; the oldest go.", ge=1, le=10_000
    )
