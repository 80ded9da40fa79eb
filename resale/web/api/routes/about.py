"""What the shop's devices may know beforehand: that it answers, what it knows, by which prices."""

from __future__ import annotations

from flask import Response
from sqlalchemy import text

from resale.storage.items.catalogue import catalogue_of
from resale.web.api import measured
from resale.web.api.blueprint import api
from resale.web.api.openapi import document
from resale.web.api.operations import operation
from resale.web.api.requests import KindAsked
from resale.web.api.responses import shop as shop_answers
from resale.web.core.shop import current_shop


@api.get("/health")
@operation(None, shop_answers.Health)
def health() -> shop_answers.Health:
    """Say that the shop answers and its records can be read."""
    with current_shop().records.connect() as connection:
        connection.execute(text("SELECT 1"))
    return shop_answers.Health()


@api.get("/metrics")
@operation("read", None, file=measured.MIME)
def metrics() -> Response:
    """Give counts of requests and how long they took, for a watch over the server.

    In the OpenMetrics text format, since this process started. Each is counted under the rule of
    its address: no number of an item and no name is in it.
    """
    return measured.written()


@api.get("/openapi.json")
@operation(None, None)
def openapi() -> Response:
    """Give the document of the API."""
    return Response(document(), mimetype="application/json")


@api.get("/catalogue")
@operation("read", shop_answers.Catalogue, query=KindAsked)
def catalogue(query: KindAsked) -> shop_answers.Catalogue:
    """Give kinds, signs and options: what an item may say, and how to look."""
    book = current_shop().book
    return shop_answers.Catalogue(**catalogue_of(book, query.kind))


@api.get("/model")
@operation("read", shop_answers.Model)
def model() -> shop_answers.Model:
    """Say which prices are in use and what they rest on."""
    shop = current_shop()
    scores = shop.valuer.model.scores
    return shop_answers.Model(
        model=shop.model_id,
        rule_book=shop_answers.Book(version=shop.book.version, fingerprint=shop.book.fingerprint),
        sales=int(shop.valuer.model.sales),
        kinds=[
            shop_answers.KindSales(
                kind=kind,
                sales=scores.counts.get(place, 0),
                band_of_its_own=scores.rests_on_group(place),
            )
            for place, kind in enumerate(shop.book.kinds)
        ],
        coverage=shop.settings.coverage,
        currency=shop.settings.currency,
        decimals=shop.money.decimals,
        invented=shop.settings.invented,
        fallback=shop.fallback,
    )
