"""Nearest past sales: by hand, by brute force, and adjusted to the item without remainder."""

import time
from dataclasses import replace

import numpy as np
import pytest
from tiny_rule_book import tiny_rule_book

from resale.errors import ReadingError
from resale.garments.rulebook.readings import Readings, one_reading
from resale.pricing.model.learn import learn
from resale.pricing.valuation.comparables import AGE_APART, PastSales
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer

TODAY = np.datetime64("2026-10-31")
SOLD = 300
WORDS = {"labels": ("Vembobix", "Wiffufane", ""), "seasons": ("cold weather, Dec to Feb", "")}


def drawn(book, count, seed):
    """Items whose signals, labels and seasons are drawn at will."""
    rng = np.random.default_rng(seed)
    kinds = rng.integers(0, 2, count)
    codes = np.full((count, len(book.signal_ids)), -1, dtype=np.int16)
    for place, kind in enumerate(book.kinds.values()):
        rows = kinds == place
        for signal in kind.signals:
            column = book.signal_ids.index(signal.id)
            codes[rows, column] = rng.integers(-1, len(signal.options), rows.sum())
    words = {name: tuple(rng.choice(known, count).tolist()) for name, known in WORDS.items()}
    return Readings(kinds, codes, **words)


@pytest.fixture(scope="module")
def past(tmp_path_factory):
    book = tiny_rule_book(tmp_path_factory.mktemp("book"))
    readings = drawn(book, SOLD, 1)
    rng = np.random.default_rng(2)
    price = 20 * np.exp(0.4 * rng.standard_normal(SOLD)) * np.where(readings.kinds == 0, 2, 1)
    sold_on = TODAY - rng.integers(0, 700, SOLD)
    valuer = Valuer(book, learn(book, readings, price), ShopTerms())
    return PastSales(valuer, readings, price, sold_on)


@pytest.fixture(scope="module")
def items(past):
    return drawn(past.valuer.book, 30, 3)


def _brute_distance(past, item, sale):
    """Distance by its definition, a signal at a time."""
    kind = list(past.valuer.book.kinds)[item.kinds[0]]
    table, columns = past.valuer.model.tables[kind], past.valuer.columns[kind]
    ours = past.valuer.with_extras(item)[0, columns]
    theirs = past.codes[sale, columns]
    total = 0.0
    for signal, (mine, other) in enumerate(zip(ours, theirs, strict=True)):
        effects = [
            0.0 if code == -1 else (table.rules + table.sales)[table.starts[signal] + code]
            for code in (mine, other)
        ]
        total += (effects[0] - effects[1]) ** 2
        if (mine == -1) != (other == -1):
            total += table.gaps[signal]
    age = (TODAY - past.sold_on[sale]).astype(float)
    return (total + (AGE_APART * age / 365) ** 2) ** 0.5


def test_the_nearest_are_those_of_brute_force(past, items):
    for row in range(len(items)):
        item = items.row(row)
        same = np.flatnonzero(past.readings.kinds == item.kinds[0])
        distance = np.array([_brute_distance(past, item, sale) for sale in same])
        found = past.nearest(item, TODAY, count=7)
        assert [one.distance for one in found] == pytest.approx(np.sort(distance)[:7])
        by_sale = dict(zip(same.tolist(), distance, strict=True))
        assert all(one.distance == pytest.approx(by_sale[one.sale]) for one in found)


def test_an_identical_item_of_today_is_at_no_distance_and_not_adjusted(past):
    fresh = replace_days(past, TODAY)
    for sale in range(0, SOLD, 17):
        first = fresh.nearest(past.readings.row(sale), TODAY, 1)[0]
        assert first.distance == 0.0
        assert first.differences == ()
        assert first.adjusted == first.price == past.price[first.sale]


def replace_days(past, day):
    return PastSales(past.valuer, past.readings, past.price, np.full(SOLD, day))


def test_adjustments_add_up_to_the_difference_of_the_two_valuations(past, items):
    """The valuer says how far each stands above its kind; the adjustments must be all of it."""
    ours = past.valuer.value(items).standing
    theirs = past.valuer.value(past.readings).standing
    for row in range(len(items)):
        for one in past.nearest(items.row(row), TODAY):
            total = sum(difference.log_adjustment for difference in one.differences)
            assert total == pytest.approx(ours[row] - theirs[one.sale], abs=1e-12)
            assert one.adjusted == pytest.approx(one.price * np.exp(total), rel=1e-12)
            product = np.prod([difference.factor for difference in one.differences])
            assert one.adjusted == pytest.approx(one.price * product, rel=1e-12)


def test_each_difference_names_both_sides_and_what_the_model_makes_of_it(past):
    """By hand: the factor of thick cloth over that of thin, both as the working shows them."""
    book = past.valuer.book
    item = replace(one_reading(book, "boot", {"cloth": "thick"}), seasons=("",))
    sold = replace(one_reading(book, "boot", {"cloth": "thin", "sole": "sewn"}), seasons=("",))
    one = PastSales(past.valuer, sold, np.array([30.0]), np.array([TODAY])).nearest(item, TODAY)[0]
    told = {d.name: (d.theirs, d.ours) for d in one.differences}
    assert told == {"Cloth": ("Thin", "Thick"), "Sole": ("Sewn", "not looked at")}
    table = past.valuer.model.tables["boot"]
    thin, thick = np.exp(table.rules + table.sales)[:2]
    cloth = next(d for d in one.differences if d.name == "Cloth")
    assert cloth.signal is book.kinds["boot"].by_id["cloth"]
    assert cloth.factor == pytest.approx(thick / thin)
    sizes = [abs(d.log_adjustment) for d in one.differences]
    assert sizes == sorted(sizes, reverse=True)


def test_only_sales_of_the_same_kind_are_compared(past, items):
    for row in range(len(items)):
        for one in past.nearest(items.row(row), TODAY, SOLD):
            assert past.readings.kinds[one.sale] == items.kinds[row]


def test_a_label_and_a_season_are_compared_like_any_signal(past):
    item = past.readings.row(0)
    changed = replace(item, labels=("Never heard of",), seasons=("",))
    told = {d.name for one in past.nearest(changed, TODAY, 50) for d in one.differences}
    assert {"Label", "Season"} <= told


def test_of_two_alike_the_later_sale_is_nearer_until_age_does_not_matter(past):
    item = past.readings.row(0)
    twice = past.readings.rows(np.array([0, 0]))
    ages = np.array([TODAY - 365, TODAY - 10])
    sales = PastSales(past.valuer, twice, np.array([20.0, 30.0]), ages)
    later, earlier = sales.nearest(item, TODAY)
    assert (later.sale, earlier.sale) == (1, 0)
    assert earlier.distance == pytest.approx(AGE_APART)
    ageless = sales.nearest(item, TODAY, half_life=np.inf)
    assert [one.distance for one in ageless] == [0.0, 0.0]


def test_fewer_are_found_where_fewer_were_sold(past):
    item = one_reading(past.valuer.book, "shirt", {})
    none = past.readings.rows(np.flatnonzero(past.readings.kinds == 0))
    sales = PastSales(past.valuer, none, np.ones(len(none)), np.full(len(none), TODAY))
    assert sales.nearest(item, TODAY) == ()


def test_two_items_at_a_time_are_refused(past, items):
    with pytest.raises(ReadingError, match="one at a time"):
        past.nearest(items, TODAY)


def test_a_hundred_thousand_sales_are_searched_in_less_than_half_a_second(past):
    many = past.readings.rows(np.resize(np.arange(SOLD), 100_000))
    price, sold_on = np.ones(len(many)), np.full(len(many), TODAY)
    took = []
    for _ in range(3):
        began = time.perf_counter()
        PastSales(past.valuer, many, price, sold_on).nearest(past.readings.row(0), TODAY)
        took.append(time.perf_counter() - began)
    assert min(took) < 0.5
