"""What is owed, through a month of sales, returns, corrections, payouts and closings."""

from __future__ import annotations

import csv
import shutil
from datetime import date
from decimal import Decimal
from io import StringIO
from pathlib import Path

import pytest
from consigned_shop import LEAD, ConsignedShop
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError
from sqlalchemy.orm import Session

from resale.errors import ResaleError
from resale.services.settings.change_settings import change_settings
from resale.services.settlement.close_day import NewClosing, close_day
from resale.services.settlement.consigned import agree_share, bring_items, take_item_off
from resale.services.settlement.owed import NewPayments, due_to, pay
from resale.services.settlement.papers import statement_closed, statement_file, statement_paper
from resale.services.settlement.payouts import take_back
from resale.services.settlement.statements import close_all, open_statement
from resale.storage.settlement.statements import moves_of


@pytest.fixture
def shop(tmp_path: Path, empty_records: Path) -> ConsignedShop:
    shutil.copy(empty_records, tmp_path)
    made = ConsignedShop(tmp_path)
    made.consignor("C-1")
    return made


def lines(statement) -> list[tuple[str, int]]:
    return [(line.what, line.amount) for line in statement.lines]


def test_a_return_in_november_of_a_sale_settled_in_october_stands_on_november(shop) -> None:
    """The owner's case: 20 due for October, brought back on 5 November: 20 have to come back."""
    item = shop.brings("C-1", on="10-01")
    shop.sells(item, "10-20", 4000)
    october = shop.closes("C-1", "10-31", on="11-02")
    assert (lines(october), october.closing) == ([("sale", 2000)], 2000)
    shop.happens(item, "returned", "11-05")
    november = shop.closes("C-1", "11-30")
    assert lines(november) == [("return", -2000)]
    assert (november.opening, november.closing) == (2000, 0)
    assert shop.accounts() == {}


def test_returned_then_sold_again_pays_for_both_sales_and_takes_one_back(shop) -> None:
    item = shop.brings("C-1")
    shop.sells(item, "10-20", 4000)
    shop.happens(item, "returned", "10-21")
    shop.sells(item, "10-25", 3000)
    assert lines(open_statement(shop.shop, "C-1", date(2026, 10, 31))) == [
        ("sale", 2000),
        ("return", -2000),
        ("sale", 1500),
    ]
    assert shop.accounts() == {"consignor": -1500, "money: cash": 3000, "shop part": -1500}


def test_a_part_given_back_takes_back_the_share_of_that_part(shop) -> None:
    """By hand: half of 30.01 is 15.005, so 15.01; half of the 20.00 that stayed is 10.00."""
    item = shop.brings("C-1")
    shop.sells(item, "10-20", 3001)
    shop.happens(item, "returned", "10-22", 1001)
    assert shop.owed("C-1") == 1000
    assert shop.accounts() == {"consignor": -1000, "money: cash": 2000, "shop part": -1000}


def test_another_share_of_the_shop_changes_nothing_that_was_agreed(shop) -> None:
    item, later = shop.brings("C-1"), shop.brings("C-1")
    shop.sells(item, "10-20", 4000)
    october = shop.closes("C-1", "10-31", on="11-01")
    paper = statement_paper(october)
    at = shop.at("11-02")
    settings, _ = change_settings(
        shop.shop.records,
        shop.shop.settings,
        LEAD,
        {"consignor_share": 0.3},
        at,
    )
    object.__setattr__(shop.shop, "settings", settings)
    shop.sells(later, "11-03", 4000)
    assert shop.owed("C-1") == 2000 + 2000
    assert statement_paper(statement_closed(shop.shop, "C-1", 1)) == paper
    # Whoever comes now agrees on what the shop says now.
    shop.consignor("C-2", "11-04")
    shop.sells(shop.brings("C-2", on="11-04"), "11-05", 1000)
    assert shop.owed("C-2") == 300


def test_a_share_is_agreed_for_a_consignor_from_now_on_or_for_one_item(shop) -> None:
    before = shop.brings("C-1")
    agree_share(shop.shop, LEAD, "C-1", Decimal("0.6"), shop.at("10-02"))
    after, own = shop.brings("C-1", on="10-03"), shop.brings("C-1", share="0.7", on="10-03")
    for item in (before, after, own):
        shop.sells(item, "10-05", 1000)
    assert shop.owed("C-1") == 500 + 600 + 700
    # What was sold keeps its share; what is sold again follows the new one.
    agree_share(shop.shop, LEAD, "C-1", Decimal("0.1"), shop.at("10-06"), item=own)
    assert shop.owed("C-1") == 1800
    shop.happens(own, "returned", "10-07")
    assert shop.owed("C-1") == 1100
    shop.sells(own, "10-08", 1000)
    assert shop.owed("C-1") == 1200


def test_corrections_of_what_is_closed_stand_on_the_next_statement(shop) -> None:
    item, other = shop.brings("C-1"), shop.brings("C-1")
    sale, never = shop.sells(item, "10-20", 4000), shop.sells(other, "10-21", 1000)
    shop.closes("C-1", "10-31", on="11-01")
    shop.corrects(item, sale, "11-03", "10-20", 3000)
    shop.corrects(other, never, "11-03", "10-21", strikes=True)
    november = shop.closes("C-1", "11-30")
    assert lines(november) == [("correction", -500), ("correction", -500)]
    assert {line.day for line in november.lines} == {date(2026, 11, 3)}
    assert "20 Oct 2026" in november.lines[0].words
    assert (november.closing, shop.owed("C-1")) == (1500, 1500)


def test_a_slip_mended_before_the_closing_counts_on_its_own_day(shop) -> None:
    item = shop.brings("C-1")
    sale = shop.sells(item, "10-20", 4000)
    shop.corrects(item, sale, "10-25", "10-19", 3000)
    found = open_statement(shop.shop, "C-1", date(2026, 10, 31))
    assert [(line.day.day, line.amount) for line in found.lines] == [
        (19, 1500),
        (20, 2000),
        (20, -2000),
    ]
    assert found.closing == 1500


def test_what_counts_from_tomorrow_on_is_owed_today(shop) -> None:
    """Till and statement of a day are closed, and a late buyer comes: page and balance agree."""
    item, late = shop.brings("C-1"), shop.brings("C-1")
    shop.sells(item, "10-20", 4000)
    close_day(shop.shop, LEAD, NewClosing(date(2026, 10, 20)), shop.at("10-20"))
    shop.closes("C-1", "10-20")
    shop.sells(late, "10-20", 1000)
    found = open_statement(shop.shop, "C-1", date(2026, 10, 20))
    assert [(line.day.day, line.amount) for line in found.lines] == [(21, 500)]
    assert (found.end.day, found.closing) == (21, 2500) and shop.owed("C-1") == 2500


def test_a_sale_that_was_forgotten_until_the_month_was_closed_comes_later(shop) -> None:
    item, late = shop.brings("C-1"), shop.brings("C-1")
    shop.sells(item, "10-20", 4000)
    shop.closes("C-1", "10-31", on="11-01")
    shop.sells(late, "11-04", 1000, day=date(2026, 10, 30))
    found = open_statement(shop.shop, "C-1", date(2026, 11, 30))
    assert [(line.day, line.what, line.words) for line in found.lines] == [
        (date(2026, 11, 4), "sale", "on 30 Oct 2026")
    ]


def test_paid_taken_off_paid_in_and_carried_over(shop) -> None:
    shop.sells(shop.brings("C-1"), "10-20", 10000)
    shop.moves("C-1", "deduction", "10-22", 700, note="Mending of a lining")
    shop.moves("C-1", "deposit", "10-23", 200, payment="card")
    shop.moves("C-1", "payout", "10-24", 1500)
    october = shop.closes("C-1", "10-31")
    assert october.closing == 5000 - 700 + 200 - 1500 == due_to(shop.shop, "C-1").to_pay
    sums = shop.accounts()
    assert sums == {
        "charged": -700,
        "consignor": -3000,
        "money: card": 200,
        "money: cash": 8500,
        "shop part": -5000,
    }
    pay(shop.shop, LEAD, NewPayments(["C-1"], "transfer", date(2026, 11, 2), "k"), shop.at("11-02"))
    assert (shop.owed("C-1"), due_to(shop.shop, "C-1").to_pay) == (0, 0)
    november = shop.closes("C-1", "11-30")
    assert (november.opening, lines(november), november.closing) == (3000, [("payout", -3000)], 0)


def test_a_payment_list_pays_what_was_stated_and_never_more_than_is_owed(shop) -> None:
    item = shop.brings("C-1")
    shop.sells(item, "10-20", 4000)
    shop.sells(shop.brings("C-1"), "10-21", 1000)
    shop.closes("C-1", "10-31")
    shop.sells(shop.brings("C-1"), "11-01", 600)
    assert (due_to(shop.shop, "C-1").to_pay, shop.owed("C-1")) == (2500, 2800)
    shop.happens(item, "returned", "11-02")
    assert due_to(shop.shop, "C-1").to_pay == shop.owed("C-1") == 800
    new = NewPayments(["C-1"], "cash", date(2026, 11, 3), "once")
    assert pay(shop.shop, LEAD, new, shop.at("11-03")) == {"C-1": 800}
    # Sent again by a tired finger.
    assert pay(shop.shop, LEAD, new, shop.at("11-03")) == {}
    assert shop.owed("C-1") == 0


def test_a_payout_can_be_taken_back_once_and_the_line_stays(shop) -> None:
    shop.sells(shop.brings("C-1"), "10-20", 4000)
    shop.moves("C-1", "payout", "10-21", 2000)
    with Session(shop.shop.records) as session:
        (payout,) = moves_of(session, "C-1")
    take_back(shop.shop, LEAD, payout.entry, "back", shop.at("10-22"))
    take_back(shop.shop, LEAD, payout.entry, "back", shop.at("10-22"))
    assert shop.owed("C-1") == 2000
    with pytest.raises(ResaleError, match="took it back already"):
        take_back(shop.shop, LEAD, payout.entry, "again", shop.at("10-22"))
    assert lines(open_statement(shop.shop, "C-1", date(2026, 10, 31))) == [
        ("sale", 2000),
        ("payout", -2000),
        ("correction", 2000),
    ]


def test_whose_it_is_may_be_said_after_it_sold_and_taken_back(shop) -> None:
    item = shop.ledger.item()
    shop.sells(item, "10-20", 4000)
    assert shop.accounts() == {"money: cash": 4000, "own sales": -4000}
    bring_items(shop.shop, LEAD, "C-1", [item], shop.at("10-22"))
    assert shop.accounts() == {"consignor": -2000, "money: cash": 4000, "shop part": -2000}
    take_item_off(shop.shop, LEAD, "C-1", item, shop.at("10-23"))
    assert shop.accounts() == {"money: cash": 4000, "own sales": -4000}


def test_everybodys_month_is_closed_at_once_and_twice_does_nothing(shop) -> None:
    shop.consignor("C-2")
    shop.consignor("C-3")
    for number in ("C-1", "C-2"):
        shop.sells(shop.brings(number), "10-20", 1000)
    end = date(2026, 10, 31)
    assert [one.name for one in close_all(shop.shop, LEAD, end, shop.at("11-01"))] == [
        "C-1/1",
        "C-2/1",
    ]
    assert close_all(shop.shop, LEAD, end, shop.at("11-01")) == []


@pytest.mark.parametrize(
    ("do", "said"),
    [
        (lambda s: s.closes("C-1", "11-30", on="10-31"), "is still to come"),
        (lambda s: s.closes("C-1", "10-15", on="10-31"), "is closed already"),
        (lambda s: s.closes("C-9", "10-31"), "no consignor 'C-9'"),
        (lambda s: s.closes("C-1", "10-31"), "nothing happened"),
        (lambda s: s.moves("C-1", "payout", "10-31", 100), "only €0.00 is owed"),
        (lambda s: s.moves("C-1", "deduction", "10-31", 100), "says what it is for"),
        (lambda s: s.moves("C-1", "gift", "10-31", 100), "nothing that can be entered"),
        (lambda s: s.moves("C-1", "payout", "10-31", 0), "not above 0"),
        (lambda s: agree_share(s.shop, LEAD, "C-1", Decimal(2), s.at("10-31")), "is no share"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(shop, do, said) -> None:
    shop.sells(shop.brings("C-1"), "10-01", 1000)
    shop.moves("C-1", "payout", "10-02", 500)
    shop.closes("C-1", "10-20")
    with pytest.raises(ResaleError, match=said):
        do(shop)


def test_the_tax_of_a_sale_is_that_of_its_day(tmp_path: Path) -> None:
    """Margin: 20 % within the shop's part of 20.00 is 3.33; full: within 40.00 it is 6.67."""
    for scheme, tax in (("margin", -333), ("full", -667)):
        shop = ConsignedShop(tmp_path / scheme, tax_scheme=scheme, tax_rate=Decimal("0.2"))
        shop.consignor("C-1")
        item = shop.brings("C-1")
        shop.sells(item, "10-20", 4000)
        assert shop.accounts() == {
            "consignor": -2000,
            "money: cash": 4000,
            "shop part": -2000 - tax,
            "tax due": tax,
        }
        # A later setting does not reach back to it.
        object.__setattr__(
            shop.shop, "settings", shop.shop.settings.model_copy(update={"tax_scheme": "none"})
        )
        shop.happens(item, "returned", "10-21")
        assert shop.accounts() == {}


def test_how_it_was_paid_decides_the_account_and_a_slip_can_be_mended(shop) -> None:
    item = shop.brings("C-1")
    sale = shop.sells(item, "10-20", 4000, data={"paid": {"card": 3000, "cash": 1000}})
    shop.corrects(item, sale, "10-20", "10-20", data={"paid": {"card": 4000}})
    assert shop.accounts()["money: card"] == 4000 and "money: cash" not in shop.accounts()
    shop.happens(item, "returned", "10-21")
    assert shop.accounts() == {}


def test_the_database_refuses_to_change_what_is_entered_or_closed(shop) -> None:
    shop.sells(shop.brings("C-1"), "10-20", 4000)
    shop.closes("C-1", "10-31")
    for table in ("account_entry", "posting", "statement", "stated_posting"):
        for order in (f'DELETE FROM "{table}"', f'UPDATE "{table}" SET rowid = rowid'):  # noqa: S608
            with (
                pytest.raises(DatabaseError, match="never"),
                shop.shop.records.execution_options(writes=True).begin() as one,
            ):
                one.execute(text(order))


def test_a_statement_as_file_adds_up_by_itself(shop) -> None:
    shop.sells(shop.brings("C-1"), "10-20", 4001)
    shop.moves("C-1", "deduction", "10-22", 700, note="=1+1")
    found = shop.closes("C-1", "10-31")
    rows = list(csv.DictReader(StringIO(statement_file(found).decode("utf-8-sig"))))
    amounts = [Decimal(row["amount"]) for row in rows]
    assert sum(amounts[:-1]) == amounts[-1] == Decimal("13.01")
    assert rows[2]["words"] == "'=1+1"
