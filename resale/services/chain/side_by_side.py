"""What the desk of a chain is told of each shop, from that shop's own records."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from time import monotonic

import numpy as np
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from resale.garments.labels.label_key import label_key
from resale.pricing.evaluation.errors import percent_off
from resale.pricing.model.columns.terms import Array
from resale.pricing.valuation.price_tables import KindTable, PriceModel
from resale.selling.markdown.survival import kaplan_meier
from resale.services.shop import Shop
from resale.storage.db.tables import ItemNow, ItemRow, ValuationRow
from resale.storage.ledger.item_now import looked_at
from resale.storage.ledger.ledger import HERE
from resale.storage.ledger.price_periods import stretches

DAYS, WITHIN, MOST_JUDGED = 90, 60, 20_000
# Below so many things a share says little of a shop.
FEWEST = 20

FRESH, _MEMORY = 300.0, "side by side"


@dataclass(frozen=True)
class LabelThere:
    """A label in a shop.

    Attributes
    ----------
    sales : int
        In the days that are looked at.
    factor : float or None
        By which its prices stand above the same thing of unknown label; None where not learned.
    """

    sales: int
    factor: float | None


@dataclass(frozen=True)
class ShopFigures:
    """A shop's figures. Money in minor units of its own currency.

    Attributes
    ----------
    on_hand, on_rail : int
    sold, brought : int
        In the days that are looked at.
    sold_within : float or None
        Share of what is put out that sells within `WITHIN` days; None where too little was.
    off : float or None
        Half of those sales were off the shop's own estimate by no more than so many percent.
    in_band : float or None
        Share of them that lay in their band.
    judged : int
        Sales with an estimate, which those two rest on.
    labels : mapping of str to LabelThere
        By name as the shop has it.
    """

    on_hand: int
    on_rail: int
    sold: int
    brought: int
    sold_within: float | None
    off: float | None
    in_band: float | None
    judged: int
    labels: Mapping[str, LabelThere] = field(default_factory=dict)


def known_figures(shop: Shop, today: date, days: int) -> ShopFigures | None:
    """Give figures that were gathered some minutes ago; None where there are none.

    Parameters
    ----------
    shop : Shop
    today : date
    days : int
    """
    at, figures = shop.memory.get((_MEMORY, today, days), (-FRESH, None))
    return figures if monotonic() - at < FRESH else None


def forget_figures(shop: Shop) -> None:
    """Let figures be gathered anew: something was done that changes them."""
    for key in [one for one in shop.memory if one[0] == _MEMORY]:
        del shop.memory[key]


def figures_of(shop: Shop, today: date, days: int = DAYS) -> ShopFigures:
    """Gather the figures of a shop, and keep them for some minutes.

    Parameters
    ----------
    shop : Shop
    today : date
        The last day that is looked at.
    days : int
        So many of them.

    Returns
    -------
    ShopFigures

    Notes
    -----
    How many sell is told by Kaplan and Meier's estimate (1958, JASA 53), so that what hangs still,
    or went on to another shop, counts for as long as it was seen.
    """
    figures = _gathered(shop, today, days)
    shop.memory[_MEMORY, today, days] = (monotonic(), figures)
    return figures


def _gathered(shop: Shop, today: date, days: int) -> ShopFigures:
    since = today - timedelta(days=days)
    sold = (
        ItemNow.what == "sold",
        ItemNow.day.between(since + timedelta(days=1), today),
        ItemNow.amount.is_not(None),
        ItemNow.currency.in_(("", shop.settings.currency)),
    )
    with Session(shop.records) as session:
        places = dict(
            session.execute(
                select(ItemNow.place, func.count())
                .where(ItemNow.place.in_(HERE))
                .group_by(ItemNow.place)
            ).all()
        )
        count, brought = session.execute(
            select(func.count(), func.coalesce(func.sum(ItemNow.amount), 0)).where(*sold)
        ).one()
        judged = session.execute(
            select(ItemNow.amount, ValuationRow.estimate, ValuationRow.low, ValuationRow.high)
            .join(ValuationRow, ValuationRow.id == ItemNow.valuation_id)
            .where(*sold, ValuationRow.estimate > 0)
            .where(ValuationRow.currency == shop.settings.currency)
            .order_by(ItemNow.day.desc(), ItemNow.event_id.desc())
            .limit(MOST_JUDGED)
        ).all()
        labels = session.execute(
            select(ItemRow.label, func.count())
            .join(ItemNow, ItemNow.item_id == ItemRow.id)
            .where(*sold, ItemRow.label != "")
            .group_by(ItemRow.label)
        )
        factors = label_factors(shop.valuer.model)
        there = {
            name: LabelThere(sales, factors.get(label_key(name))) for name, sales in labels.all()
        }
    off, in_band = _judged(np.array([tuple(row) for row in judged], dtype=float))
    return ShopFigures(
        sum(places.values()),
        places.get("on_rail", 0),
        count,
        int(brought or 0),
        _sold_within(shop, today),
        off,
        in_band,
        len(judged),
        there,
    )


def _judged(rows: Array) -> tuple[float | None, float | None]:
    if len(rows) < FEWEST:
        return None, None
    amount, estimate, low, high = rows.T
    off = percent_off(float(np.median(np.abs(np.log(amount / estimate)))))
    return off, float(((amount >= low) & (amount <= high)).mean())


def _sold_within(shop: Shop, today: date) -> float | None:
    """Of all that a shop put out, the share that sells within so many days on the rail."""
    days: dict[int, float] = {}
    sold: dict[int, bool] = {}
    for one in stretches(shop.records, today, looked_at(shop.records)):
        days[one.item] = days.get(one.item, 0.0) + one.days
        sold[one.item] = sold.get(one.item, False) or one.sold
    if len(days) < FEWEST:
        return None
    ended = np.array([sold[item] for item in days])
    curve = kaplan_meier(np.array(list(days.values())), ended)
    return float(1 - curve.at(float(WITHIN)))


def label_factors(model: PriceModel) -> dict[str, float]:
    """What prices make of each label, as a factor, over the kinds that sold.

    Parameters
    ----------
    model : PriceModel

    Returns
    -------
    dict of str to float
        By the label's key; 1 is a thing of unknown label. Kinds weigh by their sales.
    """
    kinds = list(model.tables)
    # The others have nothing to say of labels, and would only be laid out to be left out.
    tables = [model.tables[kinds[place]] for place, sold in model.scores.counts.items() if sold]
    weights = np.array([float(table.sold) for table in tables])
    if not weights.sum() or not model.labels:
        return {}
    logs = np.array([_label_logs(table, len(model.labels)) for table in tables])
    mean = weights @ logs / weights.sum()
    return {
        label_key(name): float(np.exp(log)) for name, log in zip(model.labels, mean, strict=True)
    }


def _label_logs(table: KindTable, labels: int) -> Array:
    """Log factor of each label; it is the last input but one."""
    first = int(table.starts[-3])
    return (table.rules + table.sales)[first : first + labels]


def common_labels(
    shops: Sequence[tuple[str, ShopFigures]], most: int = 12
) -> list[tuple[str, list[LabelThere]]]:
    """Labels that sell most over all shops, and how they stand in each.

    Parameters
    ----------
    shops : sequence of (str, ShopFigures)
    most : int
        At most so many.

    Returns
    -------
    list of (str, list of LabelThere)
        In the order of the shops; a label is the same however each shop spells it.
    """
    names: dict[str, str] = {}
    sales: dict[str, int] = {}
    by_shop: list[dict[str, LabelThere]] = []
    for _, figures in shops:
        own: dict[str, LabelThere] = {}
        for name, there in figures.labels.items():
            key = label_key(name)
            names.setdefault(key, name)
            sales[key] = sales.get(key, 0) + there.sales
            own[key] = there
        by_shop.append(own)
    first = sorted(sales, key=lambda key: (-sales[key], names[key]))[:most]
    none = LabelThere(0, None)
    return [(names[key], [own.get(key, none) for own in by_shop]) for key in first]
