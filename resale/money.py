"""Money as a shop's customers read it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property, lru_cache

from babel import Locale
from babel.numbers import (
    format_currency,
    format_decimal,
    get_currency_precision,
    get_currency_symbol,
    get_decimal_symbol,
    get_group_symbol,
)

# From here on the minor units of a range are noise to the eye.
WHOLE_FROM = 10
# A number with decimals; not a day such as 31.12.2026.
_WITH_POINT = re.compile(r"(?<![\d.,:])\d+\.\d+(?!\d|\.\d)")


@dataclass(frozen=True)
class Money:
    """Shows amounts of one currency in one locale.

    Attributes
    ----------
    currency : str
        ISO 4217 code.
    locale : str
        A locale name, such as ``en_GB``.
    """

    currency: str
    locale: str

    @cached_property
    def decimals(self) -> int:
        """Decimals of the currency: 2 for cents, 0 for yen."""
        return get_currency_precision(self.currency)

    @cached_property
    def symbol(self) -> str:
        """What the locale writes for the currency."""
        return get_currency_symbol(self.currency, locale=self._locale)

    def show(self, minor: int) -> str:
        """Write an amount given in minor units, with its sign of currency.

        Examples
        --------
        >>> Money("EUR", "en_IE").show(123450)
        '€1,234.50'
        """
        return _shown(self, minor)

    def plain(self, minor: int) -> str:
        """Write an amount without the currency, all decimals shown."""
        return self._grouped(self.amount(minor), self.decimals)

    def signed(self, minor: int) -> str:
        """Write a change: plus or minus, without the currency."""
        sign = "+" if minor > 0 else "−" if minor < 0 else "±"
        return f"{sign}{self.plain(abs(minor))}"

    def rough(self, minor: int) -> str:
        """Write an amount for a range: whole units from 10 up.

        Examples
        --------
        >>> money = Money("USD", "en_US")
        >>> money.rough(2449), money.rough(310)
        ('24', '3.10')
        """
        amount = self.amount(minor)
        if amount >= WHOLE_FROM:
            return self._grouped(amount, 0)
        return self.plain(minor)

    def mark(self, minor: int) -> str:
        """Write a mark on a scale: no decimals where they are all nought."""
        whole = minor % 10**self.decimals == 0
        return self._grouped(self.amount(minor), 0 if whole else self.decimals)

    def factor(self, value: float) -> str:
        """Write a factor to the four decimals that it is kept with."""
        return f"{value:.4f}".translate(self._symbols)

    def number(self, value: float, places: int | None = None, *, signed: bool = False) -> str:
        """Write a number that is no amount, such as a share or a length.

        Parameters
        ----------
        value : float
        places : int, optional
            Decimals; without it, as many as it has, up to six figures.
        signed : bool
            Whether a plus or minus stands before it.

        Examples
        --------
        >>> Money("EUR", "de_DE").number(2.5), Money("EUR", "de_DE").number(1.234, 2, signed=True)
        ('2,5', '+1,23')
        """
        how = "g" if places is None else f",.{places}f"
        return f"{value:{'+' if signed else ''}{how}}".translate(self._symbols)

    def in_words(self, sentence: str) -> str:
        """Give a sentence that was put together with decimal points this locale's marks.

        For what knows no shop: signs, drills, agreement, label stock.

        Examples
        --------
        >>> Money("SEK", "sv_SE").in_words("63.5 x 38.1 mm, read on 31.12.2026. Kappa is 0.62.")
        '63,5 x 38,1 mm, read on 31.12.2026. Kappa is 0,62.'
        """
        return _WITH_POINT.sub(lambda found: found[0].translate(self._symbols), sentence)

    def about(self, amount: float) -> str:
        """Write an amount that is not exact to the minor unit, such as a median."""
        return self.show(round(amount * 10**self.decimals))

    def count(self, value: int) -> str:
        """Write a count."""
        return format_decimal(value, locale=self._locale)

    def amount(self, minor: int) -> Decimal:
        """Minor units as an exact amount."""
        return Decimal(minor).scaleb(-self.decimals)

    def _grouped(self, amount: Decimal, decimals: int) -> str:
        """Write an amount with digits in threes, as Babel does by '#,##0.00'.

        A page of the Bench holds some seventy of them, and Babel reads its pattern and the
        locale's symbols anew for each: a tenth of the answer to a tap.
        """
        if amount < 0:
            pattern = "#,##0." + "0" * decimals if decimals else "#,##0"
            return format_decimal(amount, format=pattern, locale=self._locale)
        return f"{amount:,.{decimals}f}".translate(self._symbols)

    @cached_property
    def _symbols(self) -> dict[int, str]:
        group, point = get_group_symbol(self._locale), get_decimal_symbol(self._locale)
        return str.maketrans({",": group, ".": point})

    @cached_property
    def _locale(self) -> Locale:
        return Locale.parse(self.locale)


@lru_cache(maxsize=4096)
def _shown(money: Money, minor: int) -> str:
    # A page says the same price several times, and Babel reads its pattern anew for each.
    return format_currency(money.amount(minor), money.currency, locale=money._locale)
