"""Ordinary prices: ten amounts that tell a new shop's prices where they stand."""

from __future__ import annotations

from datetime import date

import numpy as np
from flask import Blueprint, current_app, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from resale.services.on_hand.parts import AT_ONCE
from resale.services.on_hand.rail_index import index_of, known_index, to_look_at
from resale.services.prices.state_ordinary import state_ordinary
from resale.services.shop import Shop
from resale.services.standing.unpriced import unpriced
from resale.storage.ledger.sold_items import newest_amounts
from resale.web.access.current_user import me
from resale.web.core.shop import renew_shop, shop_now

screen = Blueprint("ordinary", __name__, url_prefix="/rules/ordinary")
FEWEST = 8


@screen.get("")
def ask() -> ResponseReturnValue:
    """Ask from where to where most things of each kind go."""
    shop, at = shop_now()
    waiting = {kind: unpriced(shop.valuer, shop.settings, kind) for kind in shop.valuer.book.kinds}
    return render_template(
        "evidence/rules/ordinary.html",
        kinds=shop.changed.kinds.values(),
        waiting=waiting,
        sold=_by_till(shop),
        before=_valued_before(shop, at.date()),
        done=request.args.get("done", type=int),
        behind=shop.book.fingerprint != shop.changed.fingerprint,
    )


@screen.post("")
def state() -> ResponseReturnValue:
    """Take what was said; prices follow at once, or when they are learned again."""
    shop, at = shop_now()
    form = request.form
    ranges = {
        kind: (form.get(f"from-{kind}", "")[:30], form.get(f"to-{kind}", "")[:30])
        for kind in shop.changed.kinds
    }
    typed = {kind: pair for kind, pair in ranges.items() if any(text.strip() for text in pair)}
    found = state_ordinary(shop, me(), typed, at)
    renew_shop(current_app)
    return redirect(url_for("ordinary.ask", done=len(found)), 303)


def _valued_before(shop: Shop, today: date) -> int:
    """How many things on hand other prices valued; of many, as it was last looked at."""
    few = len(to_look_at(shop, today)) <= AT_ONCE
    index = index_of(shop, today) if few else known_index(shop)
    return len(index.repriced) if index else 0


def _by_till(shop: Shop) -> dict[str, tuple[int, int]]:
    """The middle half of what sold of each kind, in minor units, where enough did."""
    found = {}
    for kind in shop.changed.kinds:
        amounts = newest_amounts(shop.records, shop.settings, kind)
        if len(amounts) >= FEWEST:
            low, high = np.quantile(amounts, (0.25, 0.75))
            found[kind] = (round(low), round(high))
    return found
