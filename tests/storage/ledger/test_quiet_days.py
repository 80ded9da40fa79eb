"""Days on which nobody wrote down what sold: found by a count, left out until somebody says."""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta

import numpy as np
import pytest
from ledger_shop import NOON, LedgerShop, day
from sqlalchemy.orm import Session

from resale.storage.ledger.price_periods import stretches
from resale.storage.ledger.quiet_days import (
    Unseen,
    not_said,
    quiet_spells,
    say_quiet,
    spells_among,
    unseen,
)

MONDAY = date(2026, 3, 2)


def days_of(offsets) -> Counter[date]:
    """Sales by day."""
    return Counter(MONDAY + timedelta(int(one)) for one in offsets)


def test_a_spell_is_one_in_which_eight_sales_were_usual():
    """By hand: two a day for ten days; four silent days miss eight sales, three miss six."""
    busy = np.repeat(np.arange(10), 2)
    missed = spells_among(days_of(busy), MONDAY + timedelta(14))
    assert [(one.first, one.last, one.usual) for one in missed] == [
        (MONDAY + timedelta(10), MONDAY + timedelta(13), 8.0)
    ]
    assert spells_among(days_of(busy), MONDAY + timedelta(13)) == []
    # Two days are a week's end, however busy the shop.
    assert spells_among(days_of(np.repeat(busy, 40)), MONDAY + timedelta(12)) == []


def test_chance_hardly_ever_makes_one():
    """Poisson days, 0.7 to 6 sales each, ten years: about one of 3,000 sales is followed by one."""
    rng = np.random.default_rng(5)
    found = sold = 0
    for rate in (0.7, 1.5, 3.0, 6.0):
        counts = rng.poisson(rate, 3650)
        days = days_of(np.repeat(np.arange(3650), counts))
        found += len(spells_among(days, max(days) + timedelta(1)))
        sold += days.total()
    # P(more than 20 | mean 13.6) is below 5 %; a rule that cried at 5 missed sales would find 270.
    assert found <= sold / 2000


@pytest.fixture
def shop(records):
    """Two sales a day for ten days, one thing that hangs all the while, then nothing."""
    shop = LedgerShop(records)
    for place in range(20):
        number = shop.item()
        shop.happens(number, "put_out", "03-01", 2000)
        shop.happens(number, "sold", f"03-{2 + place // 2:02d}", 2000)
    shop.happens(shop.item(), "put_out", "03-01", 2000)
    return shop


def hangs(shop, today: str) -> float:
    return [one.days for one in stretches(shop.records, day(today)) if not one.sold][-1]


def test_silence_is_no_hanging_until_somebody_says_that_the_shop_was_open(shop):
    assert hangs(shop, "03-15") == 14
    # Four whole days miss eight sales: 12 to 15 March are left out, by hand 15 less 4.
    assert hangs(shop, "03-16") == 11
    with Session(shop.records) as session:
        (spell,) = not_said(session, quiet_spells(session, day("03-16")))
        assert unseen(session, day("03-16")) == Unseen((spell,))
    for was_open, left in ((False, 11), (True, 15)):
        with Session(shop.records.execution_options(writes=True)) as session, session.begin():
            say_quiet(session, spell, NOON, "Ottoline", was_open=was_open)
        with Session(shop.records) as session:
            assert not_said(session, quiet_spells(session, day("03-16"))) == []
        assert hangs(shop, "03-16") == left
    # It goes on: what was said holds for those days alone.
    with Session(shop.records) as session:
        assert not_said(session, quiet_spells(session, day("03-17")))


def test_a_sale_that_is_written_late_ends_the_spell(shop):
    number = shop.item()
    shop.happens(number, "put_out", "03-01", 2000)
    shop.happens(number, "sold", "03-14", 2000)
    assert hangs(shop, "03-16") == 15


def test_sales_of_files_are_no_measure_of_silence(records):
    shop = LedgerShop(records)
    for place in range(30):
        number = shop.item("01-01", past="file")
        shop.happens(number, "sold", f"01-{1 + place % 20:02d}", 2000)
    with Session(shop.records) as session:
        assert quiet_spells(session, day("03-16")) == []
