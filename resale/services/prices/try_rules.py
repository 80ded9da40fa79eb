"""What a change of the rule book would do to what is on hand, before it is saved."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from resale.garments.rulebook.edits import EVERY_KIND, ORDER, Edit, value_of, with_edits
from resale.garments.rulebook.overlay import RuleChange
from resale.garments.rulebook.rule_book import RuleBook, load_rule_book
from resale.pricing.evaluation.what_if import Outlook, compared
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.valuer import Valuer
from resale.services.shop import Shop
from resale.storage.items.on_hand_readings import on_hand_readings
from resale.storage.ledger.sold_items import sold_items
from resale.storage.models.fits import learn_from_records
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
            value=value_of(kind.by_id[meant.signal], meant),
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
    by_sales = 0 if shop.model_id.startswith("rules-") else _sold_count(shop)
    step(1, 3, "Learning from what sold by the book of now")
    now = _valuer(shop, shop.changed, by_sales)
    step(2, 3, "Learning from what sold by the changed book")
    then = _valuer(shop, changed, by_sales)
    numbers, on_hand = on_hand_readings(shop.records, shop.changed)
    lines = tuple(_lines(before, edits))
    return Draft(edits, lines, after, compared(now, then, on_hand), by_sales, numbers)


def _sold_count(shop: Shop) -> int:
    return len(sold_items(shop.records, shop.changed, shop.settings))


def _valuer(shop: Shop, book: RuleBook, by_sales: int) -> Valuer:
    """Value by a book as a fit of today would: both books learn anew, so both know the same."""
    if not by_sales:
        return Valuer(book, rules_alone(book), shop.terms)
    sold = sold_items(shop.records, book, shop.settings)
    today = shop.here().date()
    learned = learn_from_records(shop.records, book, shop.settings, sold, today)
    return Valuer(book, learned.model, shop.terms)


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
            whole = edit.field == ORDER or (edit.field == "doubt" and signal.shape == "finding")
            name = "every answer" if whole else signal.option(edit.option).name
            line = (kind.text.plural, signal.name, name, edit.field)
            found.append(Line(*line, value_of(signal, edit), edit.value))
    return found
