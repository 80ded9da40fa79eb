"""Money as it can be printed: a sign of currency that the typeface lacks becomes its ISO code."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from resale.selling.tickets.typeface import can_draw, drawable


class MoneyWriter(Protocol):
    """What writes the shop's amounts: one currency in one locale."""

    @property
    def currency(self) -> str:
        """ISO 4217 code."""

    @property
    def decimals(self) -> int:
        """Decimals of the currency."""

    def show(self, minor: int) -> str:
        """Write minor units with the sign of currency."""

    def plain(self, minor: int) -> str:
        """Write minor units without the currency."""


@dataclass(frozen=True)
class PaperMoney:
    """A money writer whose words can all be printed."""

    writer: MoneyWriter

    def show(self, minor: int) -> str:
        """Write an amount with its sign of currency, or with its ISO code where that is missing."""
        text = self.writer.show(minor)
        if can_draw(text):
            return drawable(text)
        return f"{self.writer.currency} {self.plain(minor)}"

    def plain(self, minor: int) -> str:
        """Write an amount without its currency."""
        text = self.writer.plain(minor)
        return drawable(text) if can_draw(text) else str(self.exact(minor))

    def signed(self, minor: int) -> str:
        """Write a change of price: plus or minus, without the currency."""
        sign = "+" if minor > 0 else "−" if minor < 0 else "±"
        return sign + self.plain(abs(minor))

    def exact(self, minor: int) -> Decimal:
        """Minor units as an exact amount, with all its decimals."""
        return Decimal(minor).scaleb(-self.writer.decimals)
