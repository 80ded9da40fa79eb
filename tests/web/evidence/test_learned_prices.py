"""The list of learned prices: what it says of how far sales spread, against a known truth."""

from __future__ import annotations

import re

import numpy as np
import pytest
from flask import Flask
from flask.testing import FlaskClient

from resale.services.actor import at_the_machine
from resale.services.imports.load_past_sales import load_past_sales
from resale.services.prices.learn_prices import learn_prices
from resale.storage.imports.past.past_sales import dry_run
from resale.web.core.shop import Shop

# Kind, day and price alone; log prices lie around the middle of their kind with this deviation.
TRUTH, SALES = 0.35, 400
MIDDLES = {"jacket": 40.0, "shirt": 12.0}


def bare_sales() -> bytes:
    rng = np.random.default_rng(20261129)
    kinds = rng.choice(list(MIDDLES), SALES)
    prices = [MIDDLES[kind] * np.exp(rng.normal(0, TRUTH)) for kind in kinds]
    days = np.datetime64("2026-01-05") + rng.integers(0, 200, SALES)
    rows = [f"{a},{b},{c:.2f}" for a, b, c in zip(kinds, days, prices, strict=True)]
    return "\n".join(["kind,sold on,price", *rows]).encode()


@pytest.mark.long
def test_a_shop_without_signs_reads_how_far_its_own_sales_spread(
    app: Flask, client: FlaskClient
) -> None:
    shop: Shop = app.extensions["resale"]
    at, who = shop.here(), at_the_machine()
    tried = dry_run(shop.records, bare_sales(), "till.csv", shop.book, shop.settings, at.date())
    assert load_past_sales(shop.records, who, tried, "EUR", at) == SALES
    learn_prices(shop.records, shop.settings, shop.changed, who, at)

    text = client.get("/ledger/prices").text
    heads = re.findall(r'<th scope="col"[^>]*>(.*?)</th>', text)
    row = text[text.index('class="is-current"') :]
    cells = re.findall(r"<t[dh]\b[^>]*>(.*?)</t[dh]>", row, re.S)
    said = {head: cells[place] for place, head in enumerate(heads)}
    spread = int(said["Spread as read"].removesuffix(" %"))
    # Four standard errors of such a figure from 400 sales are 5 of a hundred.
    assert abs(spread - 100 * TRUTH) <= 5
    # What would be left is an opinion that no sale here speaks to; it has a head of its own.
    assert int(said["With every sign"].removesuffix(" %")) < spread
