"""The accounts say the same in a file and on a server."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from consigned_shop import LEAD, ConsignedShop
from sqlalchemy import Engine, text

from resale.services.settlement.close_day import NewClosing, close_day, day_money
from resale.services.settlement.owed import NewPayments, due_to, pay
from resale.services.settlement.papers import statement_closed, statement_file
from resale.services.settlement.statements import close_all, open_statement
from resale.storage.items.item_filter import ItemFilter
from resale.storage.items.item_lines import items_before


def test_a_month_is_settled_and_a_day_closed(records: Engine, tmp_path: Path) -> None:
    shop = ConsignedShop(tmp_path, records)
    shop.consignor("C-1")
    item, other = shop.brings("C-1"), shop.brings("C-1", share="0.6")
    sale = shop.sells(item, "10-20", 4001, data={"payment": "card"})
    shop.sells(other, "10-20", 1000)
    shop.corrects(item, sale, "10-20", "10-20", 3001)
    shop.moves("C-1", "deduction", "10-21", 100, note="Repair 10 %")
    day = date(2026, 10, 20)
    assert day_money(shop.shop, day).sums == {"cash": 1000, "card": 3001}
    closed = close_day(shop.shop, LEAD, NewClosing(day, 990, "Coffee"), shop.at("10-20"))
    assert (closed.difference, day_money(shop.shop, day).closed) == (-10, closed)
    (one,) = close_all(shop.shop, LEAD, date(2026, 10, 31), shop.at("11-01"))
    # Half of 30.01 is 15.01; 60 % of 10.00; less 1.00.
    assert one.closing == 1501 + 600 - 100 == due_to(shop.shop, "C-1").to_pay
    new = NewPayments(["C-1"], "transfer", date(2026, 11, 2), "k")
    assert pay(shop.shop, LEAD, new, shop.at("11-02")) == {"C-1": 2001}
    shop.happens(item, "returned", "11-05")
    assert open_statement(shop.shop, "C-1", date(2026, 11, 30)).closing == -1501
    assert shop.owed("C-1") == -1501
    again = statement_closed(shop.shop, "C-1", 1)
    assert (again, statement_file(again)) == (one, statement_file(one))
    shop.accounts()
    with records.connect() as open_one:
        assert open_one.scalar(text("SELECT sum(amount) FROM posting")) == 0
    assert items_before(records, None, 5, ItemFilter("x", "shirt", "sold", "C-1")) == ()
