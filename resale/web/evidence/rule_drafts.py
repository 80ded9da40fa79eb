"""Changes of the rule book that are being considered: what they are, and what they would do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np

from resale.errors import RuleBookError
from resale.garments.rulebook.edits import EVERY_KIND, Edit, What, with_edits
from resale.garments.rulebook.overlay import RuleChange
from resale.garments.rulebook.rule_book import Kind, RuleBook, load_rule_book
from resale.garments.rulebook.signals import Signal
from resale.pricing.evaluation.what_if import KnownSales, Outlook, learned_valuer, outlook
from resale.pricing.valuation.valuer import Valuer
from resale.storage.items.on_hand_readings import on_hand_readings
from resale.storage.ledger.sold_items import sold_items
from resale.storage.models.fits import sales_fingerprint
from resale.storage.models.model_runs import fitted_models
from resale.storage.models.rule_changes import changes_of, newest_change
from resale.web.core.jobs import Step
from resale.web.core.shop import Shop

FIELDS: tuple[What, ...] = ("effect", "doubt")


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


def edits_from_form(kind: Kind, signal: Signal, form: Mapping[str, str]) -> tuple[Edit, ...]:
    """Read which opinions the form changes.

    Parameters
    ----------
    kind : Kind
        Which the form is about; its field `where` may say that every kind is meant.
    signal : Signal
        Whose options are changed.
    form : mapping of str to str
        Fields `effect-ID` (a factor) and `doubt-ID` (percent), empty where nothing changes.

    Raises
    ------
    RuleBookError
        If a number cannot be read, or nothing was changed.
    """
    where = EVERY_KIND if form.get("where") == EVERY_KIND else kind.id
    edits: dict[tuple[str, str], Edit] = {}
    for option in signal.options:
        for field, scale in (("effect", 1.0), ("doubt", 100.0)):
            text = form.get(f"{field}-{option.id}", "").strip()
            before = getattr(option, field)
            value = _number(text, f"{option.name}, {field}") / scale if text else before
            if abs(value - before) > 1e-9 and text != shown(before, field):
                # The doubt of a finding belongs to all of it.
                whole = field == "doubt" and signal.shape == "finding"
                key = ("" if whole else option.id, field)
                edits[key] = Edit(
                    kind=where,
                    signal=signal.id,
                    option=option.id,
                    field=cast("What", field),
                    value=value,
                )
    if not edits:
        raise RuleBookError(
            "nothing was changed", where=signal.name, remedy="write another effect or doubt"
        )
    return tuple(edits.values())


def shown(value: float, field: str) -> str:
    """An opinion as the form shows it: a factor, or a doubt in percent.

    Parameters
    ----------
    value : float
        As the rule book has it.
    field : str
        Either effect or doubt.
    """
    return f"{value:.3f}".rstrip("0").rstrip(".") if field == "effect" else f"{100 * value:.3g}"


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


def draw_up(shop: Shop, edits: tuple[Edit, ...], step: Step) -> Draft:
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


def _number(text: str, where: str) -> float:
    try:
        return float(text.replace(",", ".").removeprefix("×").removesuffix("%"))
    except ValueError:
        raise RuleBookError(
            f"{text[:20]!r} is not a number", where=where, remedy="write a number such as 1.10"
        ) from None
