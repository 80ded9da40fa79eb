"""A month in the invented shop, through the same forms as a person: every cent is in the Ledger."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from io import BytesIO, StringIO

import numpy as np
import pytest
from pypdf import PdfReader
from rail_shop import RailShop
from signed_in import Lay

from resale.selling.markdown.demand import Demand
from resale.services.on_hand.lines import Rail, rail_of
from resale.services.standing.desk import desk_over
from resale.storage.ledger.day_book import day_book
from resale.storage.ledger.price_periods import stretches
from resale.web import create_app

SEED = 20260325
STEP = 7
DAYS = 28


# The same month is lived in a browser in every run.
pytestmark = pytest.mark.long


@dataclass
class Month:
    """What was done and what the buyers did, kept apart from the Ledger."""

    shop: RailShop
    chosen: list[str]
    tickets: bytes
    sold: dict[str, int] = field(default_factory=dict)
    marked: dict[str, int] = field(default_factory=dict)
    marks: int = 0
    begin: datetime = datetime(2026, 1, 1, tzinfo=UTC)


def demand_of(rail: RailShop) -> Demand:
    """How fast things sell by all that was seen until now, learned afresh."""
    shop = rail.shop
    return desk_over(shop.valuer, shop.settings, shop.records, rail.day).demand


def look(rail: RailShop) -> Rail:
    with rail.app.app_context():
        return rail_of(rail.shop, rail.day)


def buyers_come(month: Month, pace: dict[str, float], rng: np.random.Generator) -> None:
    """Let a week pass: each item sells by the demand model, at a pace of its own."""
    rail = month.shop
    with rail.app.app_context():
        demand = demand_of(rail)
    seen = look(rail)
    rail.later(STEP)
    # After a week the page is asked for first: who stands there is signed in anew.
    assert rail.client.get("/ledger").status_code == 200
    for line in seen.lines:
        if line.where != "on_rail":
            continue
        kind = int(seen.stock.readings.kinds[line.row])
        rate = demand.rate(kind, line.price / float(seen.stock.estimate[line.row]))
        stays = rng.exponential() / (float(rate) * pace[line.number])
        if stays < STEP:
            day = rail.day - timedelta(days=STEP - 1 - int(stays))
            amount = f"{line.price / 100:.2f}"
            sold = {"what": "sold", "day": day.isoformat(), "amount": amount}
            assert rail.post(f"/ledger/item/{line.number}", **sold).status_code == 303
            month.sold[line.number] = line.price


def mark_all_due(month: Month) -> None:
    rail = month.shop
    due = look(rail).due("mark")
    if due:
        assert "Mark them all" in rail.client.get("/rail").text
        rail.post("/rail/marks", pick=[line.number for line in due])
        month.marks += len(due)
        month.marked.update({line.number: line.due_price for line in due})


@pytest.fixture(scope="module")
def month(tmp_path_factory: pytest.TempPathFactory, copy_of_demo: Lay) -> Iterator[Month]:
    folder = copy_of_demo(tmp_path_factory.mktemp("month"))
    with pytest.MonkeyPatch.context() as patch:
        app = create_app(folder, demo=True)
        rail = RailShop(app, patch, datetime.now(UTC).date())
        page = rail.client.get("/rail/choice?cm=250").text
        chosen = re.findall(r'name="pick" value="([^"]+)" checked', page)
        rail.post("/consignors", number="C-1", name="")
        rail.post("/consignors/C-1/brings", items=" ".join(chosen))
        rail.post("/rail/out", pick=chosen)
        done = Month(rail, chosen, rail.client.get("/tickets/print?today=1").data)
        done.begin = rail.shop.now()
        rng = np.random.default_rng(SEED)
        pace = dict(zip(chosen, 2 * rng.gamma(1 / 0.6, 0.6, len(chosen)), strict=True))
        for _ in range(DAYS // STEP):
            buyers_come(done, pace, rng)
            mark_all_due(done)
        yield done


def test_every_chosen_item_got_a_ticket_on_the_first_day(month: Month) -> None:
    said = " ".join(page.extract_text() for page in PdfReader(BytesIO(month.tickets)).pages)
    assert len(month.chosen) > 20
    assert all(number in said for number in month.chosen)


def test_the_day_book_takes_in_what_buyers_paid_to_the_cent(month: Month) -> None:
    shop = month.shop.shop
    book = day_book(shop.records, month.begin.date(), month.shop.day, "EUR")
    assert month.sold and month.marked
    assert book.sums.sold == sum(month.sold.values())
    assert book.sums.counts["sold"] == len(month.sold)
    assert book.sums.counts["marked_down"] == month.marks
    assert book.sums.counts["put_out"] == len(month.chosen)
    assert sum(one.sold for one in book.days.values()) == book.sums.sold


def test_the_statement_accounts_for_every_cent_and_every_item(month: Month) -> None:
    shop = month.shop
    shop.post("/consignors/C-1/close", end=shop.day.isoformat())
    text = shop.client.get("/consignors/C-1/statements/1.csv").data.decode("utf-8-sig")
    rows = list(csv.DictReader(StringIO(text)))
    sales = [row for row in rows if row["line"] == "sale"]
    assert sorted(row["item"] for row in sales) == sorted(month.sold)

    def cents(text: str) -> int:
        return round(100 * float(text))

    assert sum(cents(row["price"]) for row in sales) == sum(month.sold.values())
    # Half a cent goes to the consignor, item by item.
    owed = sum((price + 1) // 2 for price in month.sold.values())
    assert cents(rows[-1]["amount"]) == sum(cents(row["amount"]) for row in sales) == owed


def test_what_still_hangs_bears_the_price_that_the_plan_gave_it(month: Month) -> None:
    for number in set(month.chosen) - set(month.sold):
        state = month.shop.life(number).state
        assert state.where == "on_rail"
        if number in month.marked:
            assert state.price == month.marked[number]


def test_the_month_teaches_the_speed_of_sale_with_unsold_items_counted(month: Month) -> None:
    shop = month.shop.shop
    hung = [
        one for one in stretches(shop.records, month.shop.day) if one.first >= month.begin.date()
    ]
    assert len({one.item for one in hung}) == len(month.chosen)
    assert sum(one.sold for one in hung) == len(month.sold)
    with month.shop.app.app_context():
        learned = demand_of(month.shop)
    assert learned.sold.sum() == len(month.sold)
