"""A kind of which nothing sold, against a fit that carries the columns of every kind.

Derived by a second road: all columns in one posterior. The two differ where a kind has a doubt of
its own on a shared sign, and where the order of ladders binds; both are small.
"""

import numpy as np
import pandas as pd
import pytest

from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.make.tells import loadings_from
from resale.pricing.model.columns.prior_columns import plan_from_priors
from resale.pricing.model.fit import fit
from resale.pricing.model.learn import learn, rules_alone
from resale.pricing.model.recipe import Sales, recipe_for
from resale.pricing.model.rule_book_priors import KIND, LABEL, BookCoder, priors_of
from resale.pricing.valuation.read_off import tables_of

BOOK = load_rule_book().of(["jacket", "shirt", "trousers"])
COUNT, WANTED = 300, "Vembobix"


@pytest.fixture(scope="module")
def sold():
    """Shirts and trousers; all bring a third more than the book says, one label twice as much."""
    rng = np.random.default_rng(7)
    kinds = rng.choice([1, 2], COUNT)
    codes = np.full((COUNT, len(BOOK.signal_ids)), NOT_LOOKED_AT, dtype=np.int16)
    for place, number in enumerate(kinds):
        for signal in list(BOOK.kinds.values())[number].signals:
            if rng.random() < 0.4:
                share = np.array([one.share for one in signal.options])
                drawn = rng.choice(len(share), p=share / share.sum())
                codes[place, BOOK.signal_ids.index(signal.id)] = drawn
    labels = rng.choice([WANTED, ""], COUNT)
    anchor = np.array([kind.text.anchor for kind in BOOK.kinds.values()])[kinds]
    price = anchor * 1.33 * np.where(labels == WANTED, 2.0, 1.0)
    return Readings(kinds, codes, tuple(labels)), price * np.exp(0.3 * rng.standard_normal(COUNT))


@pytest.fixture(scope="module")
def learned(sold):
    return learn(BOOK, *sold)


def test_a_kind_without_sales_is_priced_as_a_fit_with_its_columns_would(sold, learned):
    readings, price = sold
    table = learned.tables["jacket"]
    loadings = loadings_from(BOOK, readings)
    priors = priors_of(BOOK, loadings)
    frame = pd.DataFrame({LABEL: pd.Series(readings.labels, dtype=object).replace("", None)})
    coder = BookCoder(BOOK, plan_from_priors(priors, KIND, frame, np.ones(COUNT)), loadings)
    recipe = recipe_for(coder.encoder, priors)
    fitted = fit(recipe, Sales(coder.code(readings), np.log(price), np.ones(COUNT)))
    whole = tables_of(coder, fitted).tables["jacket"]
    assert table.sold == whole.sold == 0
    assert table.rules == pytest.approx(whole.rules, abs=1e-9)
    # A shared doubt is the mean over the kinds of the fit; collectable labels are doubted unevenly.
    assert table.sales == pytest.approx(whole.sales, abs=0.01, rel=0.12)
    assert table.level == pytest.approx(whole.level, abs=0.02)
    assert np.sqrt(table.covariance[0, 0]) == pytest.approx(
        np.sqrt(whole.covariance[0, 0]), abs=0.02
    )


def test_what_other_kinds_taught_of_all_prices_and_of_a_label_holds_for_it(learned):
    table, plain = learned.tables["jacket"], rules_alone(BOOK).tables["jacket"]
    assert 0.1 < table.level < np.log(1.33)
    wanted = table.starts[-3] + learned.labels.index(WANTED)
    assert table.sales[wanted] > np.log(1.5)
    own = list(BOOK.kinds["jacket"].by_id).index("front_canvas")
    span = slice(table.starts[own], table.starts[own + 1])
    assert not table.sales[span].any()
    signs = slice(0, table.starts[-3])
    assert table.rules[signs] == pytest.approx(plain.rules[signs])


def test_the_columns_of_a_fit_do_not_grow_with_kinds_that_never_sold(sold, learned):
    readings, price = sold
    some = learn(BOOK.of(["shirt", "trousers"]), *_without_jackets(readings, price))
    for kind in ("shirt", "trousers"):
        assert learned.tables[kind].sales == pytest.approx(some.tables[kind].sales, abs=0.01)


def _without_jackets(readings, price):
    """The same sales, as a book that knows no jackets has them."""
    book = BOOK.of(["shirt", "trousers"])
    columns = [BOOK.signal_ids.index(name) for name in book.signal_ids]
    return Readings(readings.kinds - 1, readings.codes[:, columns], readings.labels), price
