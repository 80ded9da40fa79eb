"""How old is it: ticking what was seen, and reading the years that it leaves open."""

from __future__ import annotations

from flask import Blueprint, render_template, request

from resale.garments.dating.collectable import AGE_SIGN
from resale.garments.dating.dating import PLACES, dated, shipped_clues
from resale.web.core.shop import current_shop

screen = Blueprint("dating", __name__)


@screen.get("/how-old")
def page() -> str:
    """Show the clues, and what those that were ticked come to."""
    shop = current_shop()
    ticked = set(request.args.getlist("clue"))
    found = dated(ticked, shop.here().date().year) if ticked else None
    kind = shop.book.kinds.get(request.args.get("kind", ""))
    sign = kind.by_id.get(AGE_SIGN) if kind else None
    answer = found.answer if found else ""
    return render_template(
        "bench/how_old.html",
        places=PLACES,
        clues=shipped_clues().clue,
        ticked=ticked,
        found=found,
        kind=kind,
        answer=sign.option(answer).name if sign and answer in sign.option_ids else "",
        used_up=shipped_clues().used_up,
    )
