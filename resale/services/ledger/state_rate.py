"""The owner states what another currency is worth, from a day on."""

from __future__ import annotations

from datetime import date, datetime

from resale.errors import ReadingError
from resale.services.actor import Actor
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.imports.past.rates import read_rate, write_rate

ACTION = "stated a rate"


def state_rate(
    shop: Shop, actor: Actor, currency: str, rate: str, since: str, at: datetime
) -> None:
    """Write down what one unit of a currency is worth; files brought from now on follow it.

    Parameters
    ----------
    currency : str
        Its code, such as ``JPY``.
    rate : str
        In the shop's money, such as ``0.0061``.
    since : str
        First day that it holds for, year first.

    Raises
    ------
    ReadingError
        If one of them cannot be read.
    """
    code, value = read_rate(currency, rate, shop.settings.currency)
    try:
        day = date.fromisoformat(since.strip())
    except ValueError:
        raise ReadingError(
            f"{since.strip()[:20]!r} is no day", where="Rates", remedy="write it like 2026-03-31"
        ) from None
    with transaction(shop.records, actor, at) as work:
        write_rate(work.session, code, day, value, at, actor.name)
        work.log(ACTION, code, rate=f"{value:f}", since=day.isoformat())
