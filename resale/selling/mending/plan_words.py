"""What a mending plan comes to, in money and in words."""

from __future__ import annotations

from dataclasses import dataclass

from resale.money import Money
from resale.pricing.valuation.valuer import Valuer
from resale.selling.mending.enumerate import Choice

MINUTES_AN_HOUR = 60.0


@dataclass(frozen=True)
class Totals:
    """What the chosen set takes, and how it is said.

    Attributes
    ----------
    minutes : float
        Of the shop's own people.
    wage, material : float
        What those minutes cost, and what is bought (the shop's currency).
    bills : bool
        Whether a trade's bill is among what is bought.
    money : Money or None
        How amounts are written; plain figures where omitted.
    """

    minutes: float
    wage: float
    material: float
    bills: bool
    decimals: int
    money: Money | None = None

    @classmethod
    def of(cls, choice: Choice, valuer: Valuer, money: Money | None) -> Totals:
        """Add up the remedies of a choice.

        Parameters
        ----------
        choice : Choice
        valuer : Valuer
            With the wage and the decimals of the shop's terms.
        money : Money or None
        """
        remedies = [case.remedy for case in choice.chosen]
        minutes = sum(remedy.minutes for remedy in remedies)
        return cls(
            minutes,
            minutes * valuer.terms.wage / MINUTES_AN_HOUR,
            sum(remedy.material for remedy in remedies),
            any(remedy.trade_only for remedy in remedies),
            valuer.terms.decimals,
            money,
        )

    def text(self, choice: Choice) -> str:
        """One line that a reader can redo: gain, less minutes at the wage, less what is bought."""
        bought = f" and {self._plain(self.material)} of {'bills' if self.bills else 'material'}"
        return (
            f"mend: {self._signed(choice.gain)} for {self.minutes:g} minutes"
            f"{bought if self.material else ''}, net {self._signed(choice.net)}"
        )

    def _plain(self, amount: float) -> str:
        minor = round(amount * 10**self.decimals)
        return self.money.plain(minor) if self.money else f"{amount:.{self.decimals}f}"

    def _signed(self, amount: float) -> str:
        minor = round(amount * 10**self.decimals)
        return self.money.signed(minor) if self.money else f"{amount:+.{self.decimals}f}"


def route_after(choice: Choice, gate: str) -> str:
    """Say where an item goes with this choice.

    Parameters
    ----------
    choice : Choice
    gate : str
        Route that the rule book's gates allow.

    Returns
    -------
    str
        A hold stays one, whatever mending would bring.
    """
    if gate == "hold":
        return gate
    if choice.chosen:
        return "mend_first"
    return "put_out" if gate == "mend_first" else gate


def nothing_pays(gate: str, offered: bool) -> str:
    """Say why nothing is mended.

    Parameters
    ----------
    gate : str
        Route that the rule book's gates allow.
    offered : bool
        Whether any remedy fits what was seen.
    """
    if gate == "mend_first":
        return "no mending pays, so it goes out as it is seen"
    return "no mending pays" if offered else "nothing to mend"
