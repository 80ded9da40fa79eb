"""Forgetting a consignor who asks for it: first what would go and stay, then it is done."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from resale.storage.ledger.consignors import consignor_numbered
from resale.storage.people.erasure import FORGOTTEN, forget_consignor, traces_of
from resale.web.core.shop import current_shop

screen = Blueprint("erasure", __name__, url_prefix="/consignors")


@screen.get("/<number>/forget")
def ask(number: str) -> ResponseReturnValue:
    """Show what is kept of a consignor, what goes and what stays."""
    shop = current_shop()
    return render_template(
        "ledger/statements/forget.html",
        consignor=consignor_numbered(shop.records, number),
        traces=traces_of(shop.records, number),
        gone=request.args.get("gone", type=int),
        forgotten=FORGOTTEN,
    )


@screen.post("/<number>/forget")
def forget(number: str) -> ResponseReturnValue:
    """Forget them."""
    shop = current_shop()
    before = traces_of(shop.records, number)
    forget_consignor(shop.records, shop.settings.data_folder, number)
    return redirect(url_for("erasure.ask", number=number, gone=before.photos), 303)
