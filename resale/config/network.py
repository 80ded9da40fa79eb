"""How a shop is reached from other machines than its own."""

from __future__ import annotations

from ipaddress import ip_address
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, field_validator

from resale.config.fields import Text, setting

_NEXT_START = "Takes hold when the shop is opened next."


def _known_address(text: str) -> str:
    try:
        return str(ip_address(text))
    except ValueError:
        raise ValueError("is not an IP address; write one like 127.0.0.1 or ::1") from None


IpAddress = Annotated[str, AfterValidator(_known_address)]


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
    proxy_address: IpAddress = setting(
        "127.0.0.1",
        "Address that the proxy asks from, where it runs on another machine.",
        changes=_NEXT_START,
        on_screen=False,
    )
    log_form: Literal["lines", "json"] = setting(
        "lines",
        "How the program writes what it met, where it was started: lines for a person (lines), or "
        "an object for each request and each fault (json), without names, numbers or addresses.",
        changes=_NEXT_START,
        on_screen=False,
    )
    second_step: Literal["nobody", "leads", "everybody"] = setting(
        "nobody",
        "Who needs a second step at the door, an app's code or a passkey: nobody, leads and owners "
        "(leads), or everybody. Whoever has one needs it in any case.",
        changes="Whoever has none is led to set one up, before anything else opens.",
    )

    @field_validator("second_step", mode="before")
    @classmethod
    def _as_it_was_written_before(cls, value: Any) -> Any:
        """Read yes and no, which the setting was until sorters could be asked too."""
        return _BEFORE.get(str(value).lower(), value)


_BEFORE = {"true": "leads", "yes": "leads", "false": "nobody", "no": "nobody"}
