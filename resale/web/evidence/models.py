"""Learning prices from what sold, and going back to earlier ones."""

from __future__ import annotations

from flask import Blueprint, Flask, current_app, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from resale.storage.models.book_in_use import book_of_model
from resale.storage.models.fits import fit_from_ledger
from resale.storage.models.model_runs import current_model_id, fitted_models, switch_to
from resale.web.access.current_user import my_name
from resale.web.core.jobs import Job, Step, begin
from resale.web.core.shop import current_shop, renew_shop
from resale.web.ledger.sales_cache import sold_now

screen = Blueprint("prices", __name__, url_prefix="/ledger/prices")
FITTING = "learn"


@screen.get("")
def listed() -> ResponseReturnValue:
    """List the prices that were learned, and offer to learn again."""
    shop = current_shop()
    models = fitted_models(shop.records, shop.settings)
    return render_template(
        "evidence/models.html",
        models=models,
        current=current_model_id(shop.records),
        sold=len(sold_now(shop).items),
    )


@screen.post("/learn")
def learn_again() -> ResponseReturnValue:
    """Learn from all that sold; prices follow what was learned."""
    note = " ".join(request.form.get("note", "").split())
    return begin_fit(url_for("prices.listed"), note)


@screen.post("/switch")
def switch() -> ResponseReturnValue:
    """Let prices follow another model, or none of the Ledger's."""
    shop = current_shop()
    wanted = request.form.get("model") or None
    book = book_of_model(shop.settings, shop.changed, shop.records, wanted)
    switch_to(shop.records, shop.settings, book, wanted, at=shop.now(), by=my_name())
    renew_shop(this_app())
    return redirect(url_for("prices.listed"), 303)


def begin_fit(leads_to: str, note: str = "") -> ResponseReturnValue:
    """Learn beside the server; once done, the whole application follows what was learned."""
    shop, app = current_shop(), this_app()
    job = Job(FITTING, "Learning prices from what sold", leads_to, url_for("prices.listed"))

    def work(step: Step) -> None:
        fit_from_ledger(shop.records, shop.changed, shop.settings, shop.here(), step, note)
        renew_shop(app)

    return begin(job, work)


def this_app() -> Flask:
    """The application itself, for work that outlives the request."""
    app: Flask = current_app._get_current_object()  # type: ignore[attr-defined]
    return app
