"""The Evidence: how far off prices are, whether bands keep their word, what sales have taught."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from flask import Blueprint, Response, current_app, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import NotFound

from resale.pricing.evaluation.errors import percent_off
from resale.services.ledger.sold_now import sold_judged
from resale.storage.items.kinds_missing import kinds_missing
from resale.storage.ledger.sold_items import sold_count
from resale.web.core.jobs import Job, Step, begin, works
from resale.web.core.shop import Shop, current_shop
from resale.web.evidence.cache import Found, evidence_key, find_evidence
from resale.web.evidence.rows import ORDERS, sorted_rules

screen = Blueprint("evidence", __name__, url_prefix="/evidence")
_FOUND, _WORK = "resale.evidence", "evidence"
PLOTS_WAIT = 60.0


@screen.get("")
def page() -> ResponseReturnValue:
    """Answer the three questions."""
    shop = current_shop()
    sold = sold_count(shop.records, shop.book, shop.settings)
    found = _known(evidence_key(shop)) or _nearly(shop, sold)
    if found is None:
        return _find(shop)
    # What draws the plots takes most of a second to load; few come here on a day.
    from resale.web.evidence.plots import taught_rows  # noqa: PLC0415

    report = found.report
    order = request.args.get("order", "moved")
    return render_template(
        "evidence/evidence.html",
        found=found,
        report=report,
        order=order if order in ORDERS else "moved",
        orders=ORDERS,
        rules=sorted_rules(report.rules, order) if report else (),
        every=bool(request.args.get("every")),
        taught=taught_rows(found) if report else (),
        percent=percent_off,
        sold=sold,
        missing=kinds_missing(shop.records),
    )


@screen.get("/<name>/<key>.svg")
def plot(name: str, key: str) -> ResponseReturnValue:
    """Draw one plot, by daylight or by lamplight."""
    from resale.web.evidence.plots import PLOTS, draw  # noqa: PLC0415 - as above

    found = _known(key) or _of_another_process(key)
    if name not in PLOTS or found is None or (found.report is None and name != "hung"):
        raise NotFound
    lamp, narrow = bool(request.args.get("lamp")), bool(request.args.get("narrow"))
    place = f"{name} {lamp} {narrow}"
    if place not in found.plots:
        found.plots[place] = draw(name, found, current_shop().book, lamp=lamp, narrow=narrow)
    answer = Response(found.plots[place], mimetype="image/svg+xml")
    # Another model or another sale makes another address.
    answer.cache_control.private = True
    answer.cache_control.max_age = 86_400
    answer.cache_control.immutable = True
    return answer


def _find(shop: Shop) -> ResponseReturnValue:
    return begin(*_gathering(shop))


def _gathering(shop: Shop) -> tuple[Job, Callable[[Step], None]]:
    store = _store()
    here = url_for("evidence.page")
    job = Job(_WORK, "Gathering the evidence", here, url_for("prices.listed"))

    def work(step: Step) -> None:
        found = find_evidence(shop, sold_judged(shop), step)
        store.clear()
        store[found.key] = found
        job.kept = found.key

    return job, work


def _of_another_process(key: str) -> Found | None:
    """The evidence of a page that another process of the shop wrote: what it found lies stored."""
    told = works().find(_WORK)
    if told is None or told.kept != key:
        return None
    job = works().begin(*_gathering(current_shop()))
    if job.thread is None or not job.ended.wait(PLOTS_WAIT):
        return None
    last = next(iter(_store().values()), None)
    if last is not None:
        _store()[key] = last
    return last


def _store() -> dict[str, Found]:
    """The last evidence found; older prices have other figures."""
    validation: dict[str, Any] = current_app.extensions.setdefault(_FOUND, {})
    return validation


def _nearly(shop: Shop, sold: int) -> Found | None:
    """The last evidence found, where but few sales came since and nobody asks for them."""
    last = next(iter(_store().values()), None)
    asked = bool(request.args.get("anew"))
    return last if last and not asked and last.still_says(shop, sold) else None


def _known(key: str) -> Found | None:
    return _store().get(key)
