"""Learning prices from what sold, and going back to earlier ones."""

from __future__ import annotations

from flask import Blueprint, Flask, current_app, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from resale.services.prices.learn_prices import learn_prices
from resale.services.prices.switch_prices import switch_prices
from resale.storage.ledger.sold_items import sold_count
from resale.storage.models.model_runs import current_model_id, fitted_models
from resale.web.access.current_user import me
from resale.web.core.jobs import Job, Step, begin
from resale.web.core.shop import current_shop, renew_shop

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
        sold=sold_count(shop.records, shop.book, shop.settings),
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
    switch_prices(shop, me(), wanted, shop.now())
    renew_shop(this_app())
    return redirect(url_for("prices.listed"), 303)


def begin_fit(leads_to: str, note: str = "") -> ResponseReturnValue:
    """Learn beside the server; once done, the whole application follows what was learned.

    Parameters
    ----------
    leads_to : str
        Address for afterwards.
    note : str, optional
        Stored beside the model that is learned.
    """
    shop, app, actor = current_shop(), this_app(), me()
    job = Job(FITTING, "Learning prices from what sold", leads_to, url_for("prices.listed"))

    def work(step: Step) -> None:
        learn_prices(shop.records, shop.settings, shop.changed, actor, shop.here(), step, note)
        renew_shop(app)

    return begin(job, work)


def this_app() -> Flask:
    """The application itself, for work that outlives the request."""
    app: Flask = current_app._get_current_object()  # type: ignore[attr-defined]
    return app
