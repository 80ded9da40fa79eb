"""The API: the same shop for its own devices, in JSON.

A view is a function from checked models to a model; `operation` says of it what the document,
the check of tokens and the page for people need.
"""

from __future__ import annotations

from flask import Flask

from resale.web.api import measured, page
from resale.web.api.blueprint import api
from resale.web.api.routes import (
    about,
    days,
    events,
    holds,
    item_files,
    items,
    labels,
    sales,
    values,
)
from resale.web.api.tokens import check_token

# Each of them hangs its addresses on the blueprint.
VIEWS = (about, values, items, events, sales, days, item_files, labels, holds)
api.before_request(check_token)


def init_app(app: Flask) -> None:
    """Serve the API with an application whose forms are guarded already."""
    # A device sends no cookie, so nobody can make it send a form: its token is what is checked.
    app.extensions["csrf"].exempt(api)
    app.register_blueprint(api)
    app.register_blueprint(page.screen)
    measured.init_app(app)
