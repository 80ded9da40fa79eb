"""What other currencies are worth in the shop's, as its owner states it from a day on."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal, InvalidOperation

from babel.numbers import list_currencies
from sqlalchemy import Engine, insert, select
from sqlalchemy.orm import Session

from resale.errors import ReadingError
from resale.storage.db.tables import ExchangeRateRow
from resale.storage.db.utc import stored

HIGHEST = Decimal(1_000_000)


@dataclass(frozen=True)
class Rates:
    """Rates by currency: days in order, and what one unit is worth from each on."""

    by_currency: Mapping[str, tuple[tuple[date, Decimal], ...]] = field(default_factory=dict)

    def at(self, currency: str, day: date) -> Decimal | None:
        """What one unit was worth on a day; None before the first day that the owner stated.

        Parameters
        ----------
        currency : str
            ISO 4217.
        day : date

        Returns
        -------
        Decimal or None
            In the shop's currency.
        """
        stated = self.by_currency.get(currency, ())
        place = bisect_right([since for since, _ in stated], day)
        return stated[place - 1][1] if place else None


def stated_rates(engine: Engine) -> Rates:
    """Recall all rates; what was stated last of a day holds."""
    found: dict[str, dict[date, Decimal]] = {}
    with Session(engine) as session:
        for row in session.scalars(select(ExchangeRateRow).order_by(ExchangeRateRow.id)):
            found.setdefault(row.currency, {})[row.since] = Decimal(row.rate)
    return Rates({code: tuple(sorted(days.items())) for code, days in found.items()})


def write_rate(
    session: Session, currency: str, since: date, rate: Decimal, at: datetime, by: str
) -> None:
    """Write down what one unit of a currency is worth from a day on.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    currency : str
        ISO 4217.
    since : date
        From this day on, until a later rate.
    rate : Decimal
        Of the shop's currency for one unit of that one, above 0.
    at : datetime
        Now, with its zone.
    by : str
        Name of whoever does it.
    """
    row = {"currency": currency, "since": since, "rate": f"{rate:f}", "by_whom": by}
    session.execute(insert(ExchangeRateRow).values(**row, made_at=stored(at)))


def read_rate(currency: str, rate: str, own: str) -> tuple[str, Decimal]:
    """Read a currency and what one unit of it is worth in the shop's.

    Parameters
    ----------
    currency : str
        ISO 4217 code.
    rate : str
        Such as ``0.0061``, with a point or a comma.
    own : str
        Code of the shop's own.

    Raises
    ------
    ReadingError
        If it is no other currency, or no rate.
    """
    code = currency.strip().upper()
    if code not in list_currencies() or code == own:
        raise ReadingError(
            f"{currency.strip()[:20]!r} is no other currency",
            where="Rates",
            remedy="write its code of three letters, such as JPY",
        )
    try:
        value = Decimal(rate.strip().replace(",", "."))
    except InvalidOperation:
        value = Decimal(0)
    if not 0 < value < HIGHEST:
        raise ReadingError(
            f"{rate.strip()[:20]!r} is no rate",
            where="Rates",
            remedy=f"write what 1 {code} is worth in {own}, such as 0.0061",
        )
    return code, value
