"""What a shop decides about backups of itself."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, BeforeValidator

from resale.config.fields import setting

OtherFolder = Annotated[Path | None, BeforeValidator(lambda text: text or None)]


class BackupSettings(BaseModel):
    """Settings of the copies of the shop."""

    copies_folder: OtherFolder = setting(
        None,
        "Where copies of the shop go; empty is the folder copies beside its records.",
        changes="Where the next copy goes; those that are made stay where they are.",
        on_screen=False,
    )
    copy_each_day: bool = setting(
        True,
        "Whether a copy is made each day while the screens are open.",
        changes="The next day's copy.",
    )
    copy_hour: int = setting(
        13,
        "When the copy of the day is due.",
        unit="hour of the day",
        changes="The next day's copy.",
        ge=0,
        le=23,
    )
    copies_kept: int = setting(
        30,
        "So many daily copies stay; the oldest go.",
        unit="copies",
        changes="How many stay when the next one is made. A lower number removes older ones.",
        ge=1,
        le=10_000,
    )
