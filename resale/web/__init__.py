"""The web side: an application for one shop on its own machine."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from flask import Flask

from resale.settings import read_settings
from resale.shipped import shipped
from resale.web import (
    agreement,
    api,
    bench,
    bench_shell,
    bring,
    coming_on,
    consignors,
    devices,
    drill,
    evidence,
    forgetting,
    holds,
    items,
    keeping,
    ledger,
    like,
    limits,
    page_words,
    photos,
    prices,
    rail,
    rules,
    safeguards,
    second_looks,
    tickets,
    troubles,
    whole_items,
    work,
)
from resale.web.access import deed_pages, doors, guard, team
from resale.web.demo import DEMO_KEY, demo_folder, fill_demo
from resale.web.drill_demo import fill_demo_drill
from resale.web.shop import EXTENSION, open_shop


def create_app(folder: Path | None = None, *, demo: bool = False, **overrides: Any) -> Flask:
    """Assemble the application.

    Parameters
    ----------
    folder : Path, optional
        The shop's data folder; the setting `data_folder` where omitted.
    demo : bool, default False
        Whether to serve the invented shop that comes with the program.
    **overrides
        Settings in small letters; Flask's own configuration in capitals.

    Raises
    ------
    ResaleError
        If a setting is wrong or the records cannot be opened.
    """
    if demo:
        folder = demo_folder(folder)
    config = {name: value for name, value in overrides.items() if name.isupper()}
    given = {name: value for name, value in overrides.items() if not name.isupper()}
    if demo:
        # Its things are never put among those of a real shop on the same server.
        given.setdefault("shop_key", DEMO_KEY)
    settings = read_settings(folder, **given)
    app = Flask(__name__, template_folder=str(shipped("templates")))
    shop = open_shop(settings)
    app.extensions[EXTENSION] = shop
    # Before the forms are looked at: a stranger is told to sign in, not that the form is old.
    guard.init_app(app)
    safeguards.init_app(app, settings)
    app.config.update({"OPEN_DEMO": demo and settings.invented, **config})
    limits.init_app(app)
    page_words.init_app(app)
    troubles.init_app(app)
    app.register_blueprint(bench.screen)
    app.register_blueprint(bench_shell.screen)
    app.register_blueprint(items.screen)
    for desk in (
        drill,
        whole_items,
        second_looks,
        agreement,
        coming_on,
        ledger,
        bring,
        prices,
        evidence,
        rules,
        like,
        devices,
    ):
        app.register_blueprint(desk.screen)
    for desk in (
        rail,
        tickets,
        holds,
        consignors,
        forgetting,
        photos,
        doors,
        team,
        deed_pages,
        keeping,
    ):
        app.register_blueprint(desk.screen)
    work.init_app(app)
    api.init_app(app)
    photos.tidy(app, shop)
    if demo:
        fill_demo(shop)
        fill_demo_drill(shop)
    return app
