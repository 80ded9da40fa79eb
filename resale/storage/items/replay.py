"""Working a stored valuation out again, by the rule book, model and terms of its day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from resale.config.prices import TicketStep
from resale.config.settings import Settings
from resale.errors import ModelFileError, ResaleError
from resale.garments.rulebook.readings import one_reading
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.explanation import explain
from resale.pricing.valuation.price_tables import PriceModel
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuation import Valuation
from resale.pricing.valuation.valuer import Valuer
from resale.storage.db.tables import EventRow, ItemRow, ValuationRow
from resale.storage.items.store import NotSavedError
from resale.storage.items.stored_valuation import from_stored
from resale.storage.models.book_archive import book_at_hand
from resale.storage.models.model_files import load_model
from resale.storage.models.model_runs import model_at_hand

RULES = "rules-"
AMOUNTS = ("anchor", "level_money", "estimate", "low", "high", "mean", "ticket")
WORDS = ("tier", "route")


@dataclass(frozen=True)
class Line:
    """One amount of a valuation, as it was saved and as it comes out again.

    Attributes
    ----------
    was, now : int or None
        Minor units; None where that valuation has no such amount.
    is_share : bool
        Whether it is a sign's share of the price rather than a price.
    """

    what: str
    was: int | None
    now: int | None
    is_share: bool = False


@dataclass(frozen=True)
class Replay:
    """A stored valuation beside the same worked out again.

    Attributes
    ----------
    was : Valuation
    now : Valuation or None
        None where it could not be worked out again.
    differs : tuple of (str, str, str)
        What differs, what it was and what it is now; money in minor units.
    why : str
        Sentence on why it could not be worked out again, or why it differs; else empty.
    """

    was: Valuation
    now: Valuation | None
    differs: tuple[tuple[str, str, str], ...]
    why: str

    @property
    def equal(self) -> bool:
        """Whether every amount is the same to the cent."""
        return self.now is not None and not self.differs

    @property
    def lines(self) -> list[Line]:
        """The way from the average to the ticket, both side by side."""
        was, now = _amounts(self.was), _amounts(self.now) if self.now else {}
        return [
            Line(what, was.get((what, is_share)), now.get((what, is_share)), is_share)
            for what, is_share in {**was, **now}
        ]


def replay(
    engine: Engine, settings: Settings, book: RuleBook, number: str, back: int = 0
) -> Replay:
    """Work a stored valuation out again.

    Parameters
    ----------
    book : RuleBook
        The present one; the one of that day is looked up where it is another.
    back : int
        How many valuations of the item to go back; 0 is the newest.

    Raises
    ------
    NotSavedError
        If the item has no such valuation.
    """
    row, data = _stored(engine, number, back)
    was = from_stored(row.result)
    if was.by_hand:
        return Replay(was, was, (), "")
    try:
        then = book_at_hand(engine, row.book_fingerprint, settings.data_folder, book)
        model = _model(engine, row.model_id, settings, then)
        now = _worked_out(row, was, Valuer(then, model, _terms(data, was, settings)))
    except ResaleError as fault:
        return Replay(was, None, (), f"It cannot be worked out again: {fault.sentence}")
    differs = tuple(_differences(was, now))
    why = ""
    if differs:
        why = "The stored valuation was altered, or the program reckons otherwise by now."
        if "terms" not in data and {name for name, _, _ in differs} <= {"ticket", "route"}:
            why = "How the shop rounded its tickets that day was not kept."
    return Replay(was, now, differs, why)


def _amounts(valued: Valuation) -> dict[tuple[str, bool], int]:
    """Amounts by what they are and whether that is a share, in the order of the sum."""
    shares = [("What your sales say of this kind", valued.level_money)]
    shares += [
        (f"{row.name}: {row.option}" if row.option else row.name, row.money)
        for row in valued.contributions
    ]
    amounts: dict[tuple[str, bool], int] = {("Average of its kind", False): valued.anchor}
    for name, money in shares:
        amounts[name, True] = amounts.get((name, True), 0) + money
    amounts["Estimate", False] = valued.estimate
    amounts["Ticket", False] = valued.ticket
    return amounts


def _stored(engine: Engine, number: str, back: int) -> tuple[ValuationRow, Mapping[str, Any]]:
    with Session(engine) as session:
        rows = session.scalars(
            select(ValuationRow)
            .join(ItemRow, ItemRow.id == ValuationRow.item_id)
            .where(ItemRow.number == number.strip().upper())
            .order_by(ValuationRow.id.desc())
        ).all()
        if not 0 <= back < len(rows):
            raise NotSavedError(
                f"item {number.strip()[:20]!r} has no such valuation", remedy="look at its list"
            )
        row = rows[back]
        valued = select(EventRow.data).where(
            EventRow.item_id == row.item_id, EventRow.what == "valued"
        )
        found = (data for data in session.scalars(valued) if data.get("valuation") == row.id)
        return row, next(found, {})


def _model(engine: Engine, model_id: str, settings: Settings, book: RuleBook) -> PriceModel:
    if model_id.startswith(RULES):
        return rules_alone(book)
    folder = model_at_hand(engine, settings, model_id)
    if not folder.is_dir():
        raise ModelFileError(
            f"no copy of the model {model_id} was kept", remedy="value the item again"
        )
    return load_model(folder, book)


def _terms(data: Mapping[str, Any], was: Valuation, settings: Settings) -> ShopTerms:
    """Terms of that day, as far as they were kept; what the valuation itself says is from there."""
    if "terms" in data:
        plain = {"currency": was.currency, **data["terms"]}
        steps = plain.pop("steps")
        return ShopTerms(
            **plain,
            steps=tuple(
                TicketStep(float("inf") if step["under"] is None else step["under"], step["step"])
                for step in steps
            ),
        )
    return replace(
        ShopTerms.of(settings),
        coverage=was.coverage,
        decimals=was.decimals,
        least_ticket=was.least_ticket / 10**was.decimals,
        currency=was.currency,
        old_wear_counts=1.0,
    )


def _worked_out(row: ValuationRow, was: Valuation, valuer: Valuer) -> Valuation:
    inputs = row.inputs
    readings = one_reading(valuer.book, was.kind, inputs.get("choices", {}), was.label)
    if inputs.get("season"):
        readings = replace(readings, seasons=(str(inputs["season"]),))
    return explain(valuer, readings)


def _differences(was: Valuation, now: Valuation) -> list[tuple[str, str, str]]:
    found = [
        (name, str(getattr(was, name)), str(getattr(now, name)))
        for name in (*AMOUNTS, *WORDS)
        if getattr(was, name) != getattr(now, name)
    ]
    rows = ((one.signal, one.rule_money, one.sales_money) for one in was.contributions)
    again = ((one.signal, one.rule_money, one.sales_money) for one in now.contributions)
    if tuple(rows) != tuple(again):
        before, after = (f"{len(one.contributions)} rows" for one in (was, now))
        found.append(("shares of the signs", before, after))
    return found
