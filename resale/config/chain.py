"""Which other shops a shop sees beside itself, where it is the desk of a chain."""

from __future__ import annotations

from pathlib import Path

from pydantic import BaseModel

from resale.config.fields import setting


class ChainSettings(BaseModel):
    """Settings of a chain; they open other shops' records, so the screen does not change them."""

    other_shops: tuple[Path, ...] = setting(
        (),
        "Data folders of the chain's other shops, each with a shop.toml of its own that says where "
        "its records lie.",
        changes="The owner of this shop sees theirs beside it under Chain, and may move things "
        "between them, from the next start on.",
        on_screen=False,
    )
