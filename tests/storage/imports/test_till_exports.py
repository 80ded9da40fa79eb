"""Any till's file: what it sold is in the records, to the cent, and nothing stands there twice."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from sqlalchemy import text
from till_exports import ENCODINGS, EXPLAINED, LANGUAGES, LAYOUTS, Export, twenty

from resale.config.settings import Settings
from resale.garments.rulebook.rule_book import load_rule_book
from resale.storage.db.database import open_records
from resale.storage.imports.cells.past_cells import Told
from resale.storage.imports.past.past_load import load
from resale.storage.imports.past.past_sales import DryRun, dry_run

BOOK, AT = load_rule_book(), datetime(2026, 6, 30, 12, tzinfo=UTC)
EXPORTS = twenty()
# The first seven have every layout, language and encoding once.
EVERYDAY = 7
MANY = [
    pytest.param(one, id=one.name, marks=() if place < EVERYDAY else pytest.mark.long)
    for place, one in enumerate(EXPORTS)
]


@pytest.fixture(scope="module")
def records(tmp_path_factory):
    engine = open_records(tmp_path_factory.mktemp("tills"))
    yield engine
    engine.dispose()


def tried(records, export: Export, **told) -> DryRun:
    words = {("kind", word): means for word, means in EXPLAINED.items()}
    return dry_run(
        records, export.content, export.name, BOOK, Settings(), AT.date(), Told(words=words, **told)
    )


def pieces_of(run: DryRun) -> list[tuple[date, str, int]]:
    return sorted((row.sold_on, row.kind, row.price) for row in run.rows)


def test_the_twenty_have_every_layout_language_and_encoding():
    assert len(EXPORTS) == 20
    for some in (EXPORTS, EXPORTS[:EVERYDAY]):
        names = " ".join(one.name for one in some)
        assert all(word in names for word in (*LAYOUTS, *(f"-{one}-" for one in LANGUAGES)))
        assert all(f"-{one}." in names for one in ENCODINGS)


@pytest.mark.parametrize("export", MANY)
def test_what_a_till_sold_is_read_to_the_cent(records, export):
    run = tried(records, export)
    counts = run.counts
    read = sum(1 for one in pieces_of(run) if one in export.pieces)
    assert read >= 0.97 * len(export.pieces), [one.sentence for one in run.problems][:5]
    assert pieces_of(run) == export.pieces
    # None dropped in silence: every row is in, or comes back with a reason.
    seen = {row.place for row in run.rows} | {one.place for one in run.problems}
    assert len(seen) == counts.rows and not run.left


@pytest.mark.parametrize("export", EXPORTS[:EVERYDAY], ids=lambda one: one.name)
def test_makers_keep_their_letters(records, export):
    run = tried(records, export)
    if any(one.match.column == "label" for one in run.columns):
        assert {row.label for row in run.rows} == {sale.maker for sale in export.sales}


def test_each_is_loaded_once_and_a_second_time_brings_nothing(records):
    for export in EXPORTS[:4]:
        added = load(records, tried(records, export), currency="EUR", at=AT, by="Ottoline")
        assert added == len(export.pieces), export.name
        again = tried(records, export, take=frozenset({"known", "odd"}))
        assert (again.counts.fresh, again.loaded_before is not None) == (0, True)
        assert load(records, again, currency="EUR", at=AT, by="Ottoline") == 0
    with records.connect() as one:
        sold = one.execute(
            text("SELECT count(*), sum(amount) FROM event WHERE what = 'sold'")
        ).one()
    assert tuple(sold) == (
        sum(len(one.pieces) for one in EXPORTS[:4]),
        sum(cents for one in EXPORTS[:4] for *_, cents in one.pieces),
    )
