"""How a shop is reached from other machines than its own."""

from __future__ import annotations

from pydantic import BaseModel

from resale.config.fields import Text, setting

_NEXT_START = "Takes hold when the shop is opened next."


class NetworkSettings(BaseModel):
    """Settings of the way in; the screen shows them, but a slip here would shut it out."""

    hosts: tuple[Text, ...] = setting(
        (),
        "Names and addresses, besides this machine's own, that the shop is opened by.",
        changes=_NEXT_START,
        on_screen=False,
    )
    https: bool = setting(
        False,
        "Whether a proxy in front speaks https; cookies then go no other way.",
        changes=_NEXT_START,
        on_screen=False,
    )
    proxies: int = setting(
        0,
        "Proxies in front whose word on a visitor's address is trusted.",
        unit="proxies",
        changes=_NEXT_START,
        on_screen=False,
        ge=0,
        le=4,
    )
