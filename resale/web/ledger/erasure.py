"""Forgetting a consignor who asks for it: first what would go and stay, then it is done."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from resale.services.consignors.forget_consignor import forget_consignor
from resale.storage.ledger.consignors import consignor_numbered
from resale.storage.people.erasure import FORGOTTEN, traces_of
from resale.web.access.current_user import me
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
    before = forget_consignor(shop.records, shop.settings.data_folder, me(), number, shop.here())
    return redirect(url_for("erasure.ask", number=number, gone=before.photos), 303)
