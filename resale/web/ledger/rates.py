"""Rates: what other currencies in files of past sales are worth in the shop's money."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from resale.services.ledger.state_rate import state_rate
from resale.storage.imports.past.rates import stated_rates
from resale.web.access.current_user import me
from resale.web.core.shop import shop_now

screen = Blueprint("rates", __name__, url_prefix="/ledger/rates")


@screen.get("")
def listed() -> ResponseReturnValue:
    """List the rates, and ask for another."""
    shop, at = shop_now()
    rates = stated_rates(shop.records).by_currency
    return render_template("ledger/rates.html", rates=rates, today=at.date())


@screen.post("")
def state() -> ResponseReturnValue:
    """State a rate."""
    shop, at = shop_now()
    form = request.form
    currency, rate, since = (form.get(name, "")[:40] for name in ("currency", "rate", "since"))
    state_rate(shop, me(), currency, rate, since, at)
    return redirect(url_for("rates.listed"), 303)
