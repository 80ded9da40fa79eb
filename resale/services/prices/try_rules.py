"""What a change of the rule book would do to what is on hand, before it is saved."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from resale.garments.rulebook.edits import EVERY_KIND, Edit, with_edits
from resale.garments.rulebook.overlay import RuleChange
from resale.garments.rulebook.rule_book import RuleBook, load_rule_book
from resale.pricing.evaluation.what_if import KnownSales, Outlook, learned_valuer, outlook
from resale.pricing.valuation.valuer import Valuer
from resale.services.shop import Shop
from resale.storage.items.on_hand_readings import on_hand_readings
from resale.storage.ledger.sold_items import sold_items
from resale.storage.models.fits import sales_fingerprint
from resale.storage.models.model_runs import fitted_models
from resale.storage.models.rule_changes import changes_of, newest_change

Step = Callable[[int, int, str], None]


@dataclass(frozen=True)
class Line:
    """One opinion before and after."""

    kind: str
    signal: str
    option: str
    field: str
    before: float
    after: float


@dataclass(frozen=True)
class Draft:
    """A change that is not saved yet.

    Attributes
    ----------
    after : int
        Number of the newest change that the shop had when this one was drawn up.
    by_sales : int
        Past sales that both books learned from; 0 where the rules alone were compared.
    numbers : tuple of str
        Numbers of the items that `outlook` speaks of.
    why : str
        The reason, where it was written already.
    """

    edits: tuple[Edit, ...]
    lines: tuple[Line, ...]
    after: int
    outlook: Outlook
    by_sales: int
    numbers: tuple[str, ...]
    why: str = ""


def edits_back(changes: Sequence[RuleChange], place: int) -> tuple[Edit, ...]:
    """Edits that take a change back: each kind gets what it had before.

    Parameters
    ----------
    changes : sequence of RuleChange
        Every change of the book, the oldest first.
    place : int
        Which of them is taken back.
    """
    meant = changes[place]
    before = with_edits(load_rule_book(), changes[:place])
    kinds = [
        kind
        for kind in before.kinds.values()
        if meant.kind in (EVERY_KIND, kind.id) and meant.signal in kind.by_id
    ]
    return tuple(
        Edit(
            kind=kind.id,
            signal=meant.signal,
            option=meant.option,
            field=meant.field,
            value=getattr(kind.by_id[meant.signal].option(meant.option), meant.field),
        )
        for kind in kinds
    )


def try_rules(shop: Shop, edits: tuple[Edit, ...], step: Step) -> Draft:
    """Say what edits would do to the items on hand.

    Parameters
    ----------
    shop : Shop
    edits : tuple of Edit
        Beyond the changes that stand already.
    step : Step
        Told how far it is.

    Raises
    ------
    RuleBookError
        If the book cannot mean what they say.
    """
    step(0, 3, "Reading the changed book")
    # Asked first: a change that comes in between is then found when this one is saved.
    after = newest_change(shop.records)
    changes = changes_of(shop.records)
    changed = with_edits(load_rule_book(), (*changes, *edits))
    before = with_edits(load_rule_book(), changes)
    sales = _sales_to_learn(shop)
    step(1, 3, "Learning from what sold by the book of now")
    now = _valuer_of_now(shop, sales)
    step(2, 3, "Learning from what sold by the changed book")
    numbers, on_hand = on_hand_readings(shop.records, shop.changed)
    told = outlook(now, changed, sales, on_hand)
    lines = tuple(_lines(before, edits))
    return Draft(edits, lines, after, told, len(sales.price), numbers)


def _sales_to_learn(shop: Shop) -> KnownSales:
    """Past sales, where prices are learned from them; none where the rules alone hold."""
    sold = sold_items(shop.records, shop.changed, shop.settings)
    rows = np.arange(0 if shop.model_id.startswith("rules-") else len(sold))
    weights = sold.weights(shop.here().date(), shop.settings.half_life_days)
    return KnownSales(sold.readings.rows(rows), sold.price[rows], weights[rows])


def _valuer_of_now(shop: Shop, sales: KnownSales) -> Valuer:
    if shop.book.fingerprint == shop.changed.fingerprint:
        if not len(sales.price):
            return shop.valuer
        current = next(
            (one for one in fitted_models(shop.records, shop.settings) if one.current), None
        )
        sold = sold_items(shop.records, shop.book, shop.settings)
        if current is not None and current.data == sales_fingerprint(sold):
            return shop.valuer
    return learned_valuer(shop.changed, sales, shop.terms)


def _lines(book: RuleBook, edits: Sequence[Edit]) -> list[Line]:
    found = []
    for edit in edits:
        kinds = [
            kind
            for kind in book.kinds.values()
            if edit.kind in (EVERY_KIND, kind.id) and edit.signal in kind.by_id
        ]
        for kind in kinds:
            signal = kind.by_id[edit.signal]
            option = signal.option(edit.option)
            whole = edit.field == "doubt" and signal.shape == "finding"
            name = "every answer" if whole else option.name
            before = getattr(option, edit.field)
            line = (kind.text.plural, signal.name, name, edit.field)
            found.append(Line(*line, before, edit.value))
    return found
