"""The first ticket, the plan and what is mended follow the share that was agreed for the thing."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest
from consigned_shop import ConsignedShop

from resale.config.settings import Settings
from resale.garments.rulebook.readings import one_reading
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.selling.markdown.trial import Trial
from resale.services.on_hand.outlook import agreed_shares, outlook_of
from resale.services.on_hand.stock import stock_of
from resale.services.standing.decide import decide, first_tickets
from resale.services.standing.desk import Desk, desk_of, desk_over
from resale.storage.models.shop_prices import prices_by_rules

PLAN_BEATS_HABIT = Trial(things=1000, gain=0.1, low=0.05, high=0.15, last=0.1)


def desk(folder: Path, **settings: object) -> Desk:
    chosen = Settings(data_folder=folder, **settings)  # type: ignore[arg-type]
    valuer = prices_by_rules(load_rule_book()).valuer(ShopTerms.of(chosen))
    found = desk_over(valuer, chosen, None, date(2026, 3, 1))
    # What a trial needs is a past; here it is given its outcome.
    found.__dict__["trial"] = PLAN_BEATS_HABIT
    return found


def test_the_first_ticket_falls_where_the_shop_keeps_less_of_it(tmp_path: Path) -> None:
    """Of (1 - share) times the price, a day on the rail costs the more, so it has to go sooner."""
    desk_now = desk(tmp_path, consignor_share=0.5)
    estimates = np.array([35.0, 60.0])
    kinds = np.zeros(2, dtype=int)
    own, half, most = (first_tickets(desk_now, kinds, estimates, [s] * 2) for s in (0.0, 0.5, 0.9))
    assert (own > half).all() and (half > most).all()
    # Where nobody agreed on one, the shop's own counts.
    assert (first_tickets(desk_now, kinds, estimates) == half).all()


def test_the_rails_plan_is_made_with_the_things_own_share(tmp_path: Path) -> None:
    shop = ConsignedShop(tmp_path)
    shop.consignor("C-1")
    places = {share: shop.brings("C-1", share=share) for share in ("0", "0.9")}
    today = shop.at("02-01").date()
    desk_of(shop.shop, today).__dict__["trial"] = PLAN_BEATS_HABIT
    stock = stock_of(shop.shop, today)
    row = {item.number: place for place, item in enumerate(stock.items)}
    plan = outlook_of(shop.shop, stock, stock.day).compared.plan.tickets
    own, most = (plan[row[places[share]]] for share in ("0", "0.9"))
    assert np.nansum(own) > np.nansum(most)


@pytest.mark.parametrize(
    ("charged", "ways"), [(False, ["mend_first", "put_out"]), (True, ["mend_first"] * 2)]
)
def test_a_repair_pays_out_of_the_shops_share_or_is_charged(
    tmp_path: Path, charged: bool, ways: list[str]
) -> None:
    """An open seam: worth its minutes to the whole price, not to half of it."""
    desk_now = desk(tmp_path, repairs_charged=charged)
    jacket = one_reading(desk_now.valuer.book, "jacket", {"seam_failure": "seen_2"})
    values = desk_now.valuer.value(jacket)
    own, half = (decide(desk_now, jacket, values, [share])[0].route for share in (None, 0.5))
    assert [own, half] == ways


def test_the_rails_net_follows_the_items_own_agreement(tmp_path: Path) -> None:
    shop = ConsignedShop(tmp_path)
    anna, bert = shop.consignor("C-1"), shop.consignor("C-2")
    half, whole = shop.brings(anna, share="0.5"), shop.brings(bert, share="0")
    stock = stock_of(shop.shop, shop.at("02-01").date())
    place = {item.number: row for row, item in enumerate(stock.items)}
    share = agreed_shares(shop.shop, stock)
    assert [share[place[half]], share[place[whole]]] == [0.5, 0]
    rest = outlook_of(shop.shop, stock, stock.day).rest
    # Alike in all else: what differs is what the first consignor gets.
    first, other = place[half], place[whole]
    assert rest.days[first] == pytest.approx(rest.days[other])
    assert rest.consignor[first] > 0 and rest.consignor[other] == 0
    gap = rest.shop[other] - rest.shop[first]
    assert gap == pytest.approx(rest.consignor[first])
