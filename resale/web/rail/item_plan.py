"""The markdown plan of one item as a table: each period's ticket, beside the shop's habit."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from resale.selling.markdown.outlook import Outlook
from resale.services.on_hand.lines import Rail, RailLine
from resale.web.core.shop import Shop


@dataclass(frozen=True)
class PlanRow:
    """One price period. Money in minor units; None once it has been passed on."""

    first: date | None
    from_day: int
    plan: int | None
    plan_sold: float
    habit: int | None
    habit_sold: float
    now: bool


@dataclass(frozen=True)
class Way:
    """What a way of marking down is expected to bring. Money in minor units."""

    shop: int
    consignor: int
    days: float
    passed_on: float


@dataclass(frozen=True)
class ItemPlan:
    """Plan and habit of one item, from the day it goes out."""

    rows: tuple[PlanRow, ...]
    plan: Way
    habit: Way


def plan_of(shop: Shop, rail: Rail, line: RailLine) -> ItemPlan:
    """Set the plan of one item beside what the habit would do.

    Parameters
    ----------
    shop : Shop
        For the length and number of periods.
    rail : Rail
        Everything on hand, with its plans.
    line : RailLine
        The item.
    """
    compared, row = rail.outlook.compared, line.row
    hanging = rail.stock.hanging.get(line.number) if line.where == "on_rail" else None
    length = shop.settings.period_days
    minor = 10**shop.money.decimals
    rows = []
    for period in range(shop.settings.periods):
        start = hanging.out + timedelta(days=period * length) if hanging else None
        rows.append(
            PlanRow(
                start,
                period * length,
                line.plan[period],
                float(compared.plan.sold_by[row, period]),
                _minor(compared.habit.tickets[row, period], minor),
                float(compared.habit.sold_by[row, period]),
                hanging is not None and int(rail.outlook.period[row]) == period,
            )
        )
    return ItemPlan(tuple(rows), _way(compared.plan, row, minor), _way(compared.habit, row, minor))


def _way(outlook: Outlook, row: int, minor: int) -> Way:
    return Way(
        round(float(outlook.shop[row]) * minor),
        round(float(outlook.consignor[row]) * minor),
        float(outlook.days[row]),
        float(outlook.passed_on[row]),
    )


def _minor(amount: float, minor: int) -> int | None:
    return None if np.isnan(amount) else round(float(amount) * minor)
