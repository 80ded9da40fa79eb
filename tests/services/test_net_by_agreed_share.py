"""What the shop can expect of an item is reckoned with the share that was agreed for it."""

from __future__ import annotations

import pytest
from consigned_shop import ConsignedShop

from resale.services.on_hand.outlook import agreed_shares, outlook_of
from resale.services.on_hand.stock import stock_of


def test_the_rails_net_follows_the_items_own_agreement(tmp_path):
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
