"""The past of the invented shop, loaded as any shop would load its own."""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime, time

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from resale.config.paths import shipped
from resale.config.settings import Settings
from resale.garments.rulebook.rule_book import RuleBook
from resale.storage.db.tables import ImportRun
from resale.storage.imports.past.past_load import load
from resale.storage.imports.past.past_sales import dry_run

FILE = "sales.csv"
# The invented shop lives in days of its own: whatever the clock says, its last sale has happened.
LAST_DAY = date(2026, 10, 31)


def seed_demo_ledger(engine: Engine, book: RuleBook, settings: Settings) -> int:
    """Load the invented past sales, the first time only.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    book : RuleBook
    settings : Settings
        Of the invented shop.

    Returns
    -------
    int
        Sales added.
    """
    content = (shipped("demo_data") / FILE).read_bytes()
    with Session(engine) as session:
        digest = hashlib.sha256(content).hexdigest()
        if session.scalar(select(ImportRun.id).where(ImportRun.digest == digest)) is not None:
            return 0
    tried = dry_run(engine, content, FILE, book, settings, LAST_DAY)
    at = datetime.combine(LAST_DAY, time(18), UTC)
    return load(engine, tried, currency=settings.currency, at=at, by="invented")
