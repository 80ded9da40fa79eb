"""Assembles the application: settings, shop, guards and one blueprint a screen."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from flask import Flask

from resale.config.paths import shipped
from resale.config.settings import read_settings
from resale.services.holds.catch_up import hold_by_newer_rules
from resale.services.settlement.entered import catch_up_accounts
from resale.storage.items.search_index import keep_missing_words
from resale.storage.people.invented_mark import is_invented
from resale.web import api
from resale.web.access import audit_log, devices, guard, own_steps, second_step, sign_in, team
from resale.web.admin import backups, standing_lines
from resale.web.admin import settings as shop_settings
from resale.web.admin.demo import DEMO_KEY, demo_folder, fill_demo, lay_out
from resale.web.admin.drill_demo import fill_demo_drill
from resale.web.bench import how_old, label_photo, offline
from resale.web.bench import views as bench
from resale.web.chain import views as chain
from resale.web.core import (
    error_pages,
    followed_version,
    form_fields,
    jinja,
    jobs,
    rate_limits,
    security,
    static_files,
    trusted_hosts,
)
from resale.web.core.shop import EXTENSION, Shop, open_shop
from resale.web.evidence import models, ordinary, rules
from resale.web.evidence import views as evidence
from resale.web.items import photos, replayed, similar_sales
from resale.web.items import views as items
from resale.web.ledger import (
    accounts,
    consignors,
    erasure,
    import_views,
    labels,
    rates,
    stock_files,
    till,
)
from resale.web.ledger import views as ledger
from resale.web.rail import tickets
from resale.web.rail import views as rail
from resale.web.safety import views as holds
from resale.web.training import (
    agreement,
    calibration,
    courses,
    second_looks,
    team_progress,
    whole_items,
)
from resale.web.training import views as drill


def _catch_up(shop: Shop) -> None:
    """Bring what an older version left behind up to what this one keeps."""
    hold_by_newer_rules(shop, shop.here())
    catch_up_accounts(shop, shop.here())
    keep_missing_words(shop.records)


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
    if demo:
        lay_out(settings, datetime.now(UTC))
    app = Flask("resale.web", template_folder=str(shipped("templates")))
    shop = open_shop(settings)
    if is_invented(shop.records) and not settings.invented:
        # The records say so wherever they are opened, and not a file that may be absent.
        settings = settings.model_copy(update={"invented": True})
        shop = replace(shop, settings=settings)
    app.extensions[EXTENSION] = shop
    _catch_up(shop)
    static_files.init_app(app)
    trusted_hosts.init_app(app, settings.hosts)
    followed_version.init_app(app)
    # Before the forms are looked at: a stranger is told to sign in, not that the form is old.
    guard.init_app(app)
    security.init_app(app, settings)
    form_fields.init_app(app)
    app.config.update({"OPEN_DEMO": demo, followed_version.GIVEN: given, **config})
    rate_limits.init_app(app)
    jinja.init_app(app)
    standing_lines.init_app(app)
    error_pages.init_app(app, settings)
    app.register_blueprint(bench.screen)
    app.register_blueprint(offline.screen)
    app.register_blueprint(label_photo.screen)
    app.register_blueprint(items.screen)
    for desk in (
        drill,
        whole_items,
        second_looks,
        agreement,
        calibration,
        team_progress,
        courses,
        ledger,
        import_views,
        labels,
        rates,
        stock_files,
        models,
        evidence,
        ordinary,
        rules,
        similar_sales,
        replayed,
        devices,
        how_old,
    ):
        app.register_blueprint(desk.screen)
    for desk in (
        rail,
        tickets,
        holds,
        consignors,
        accounts,
        till,
        erasure,
        photos,
        sign_in,
        second_step,
        own_steps,
        team,
        audit_log,
        backups,
        shop_settings,
    ):
        app.register_blueprint(desk.screen)
    for part in (jobs, chain, api):
        part.init_app(app)
    photos.tidy(app, shop)
    if demo:
        fill_demo(shop)
        fill_demo_drill(shop)
    return app
