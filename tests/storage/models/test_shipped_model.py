"""The model that comes with the program is the one that its manifest, card and sales speak of."""

import numpy as np
import pytest
from sent_files import read_sales

from resale.config.paths import shipped
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.learn import learn
from resale.storage.models.model_files import data_fingerprint, load_model, read_manifest

AGAIN = (
    "the rule book or the sales changed: "
    "RESALE_OLD_WEAR_COUNTS=1 resale learn demo_data/sales.csv --out models"
)
BOOK = load_rule_book()


@pytest.fixture(scope="module")
def sales():
    return read_sales(shipped("demo_data") / "sales.csv", BOOK)


def test_the_shipped_model_opens_with_the_shipped_rule_book():
    assert read_manifest(shipped("models")).rule_book_sha256 == BOOK.fingerprint, AGAIN
    assert load_model(shipped("models"), BOOK).sales == 3000


def test_it_was_learned_from_the_shipped_sales(sales):
    manifest = read_manifest(shipped("models"))
    assert sales.items.problems == ()
    assert manifest.data == data_fingerprint(sales.items.readings, sales.price), AGAIN


def test_the_manifest_and_the_card_say_that_nothing_is_real():
    assert "not for real prices" in read_manifest(shipped("models")).note
    card = (shipped("models") / "README.md").read_text(encoding="utf-8")
    assert "**Learned from invented sales. It prices nothing real.**" in card


@pytest.mark.long
def test_learning_again_gives_the_shipped_model(sales):
    """As the command learns, by the day of each sale. On other machines it differs by rounding:
    factors are kept to four decimals, so one step of the last (1e-4) is what a rounding at the edge
    may move."""
    kept = load_model(shipped("models"), BOOK)
    again = learn(BOOK, sales.items.readings, sales.price, sold_on=sales.sold_on)
    for kind, table in kept.tables.items():
        np.testing.assert_allclose(
            np.exp(again.tables[kind].sales), np.exp(table.sales), rtol=0, atol=1.01e-4
        )
