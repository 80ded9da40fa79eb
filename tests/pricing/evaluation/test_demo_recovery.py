"""What the sales of the invented shop teach, against what its generator took for true.

Everything here is derived: the truth is in `demo_data/truth.json`, the sales in `sales.csv`.
Centred with the book's shares, a true effect is what the working calls a factor: how far an option
stands above an item of which nothing is known. Of a tell, which acts through make, it is what the
option does besides. The truth is not made as the model is: make is hidden and its tells go together
more than the book thinks, further faults count less than the book thinks, levels move, and what is
made well is looked at more often.
"""

import json
from dataclasses import dataclass, replace

import numpy as np
import pytest
from correlation import mean_correlation
from demo_shop import DEMO, more_sales, past_sales, shop_book, truth, with_seasons
from sent_files import read_sales

from resale.pricing.model.learn import learn, rules_alone
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer


@dataclass(frozen=True)
class Found:
    """Truth and finding of every option of every kind, in one row."""

    model: object
    place: list
    book: np.ndarray
    true: np.ndarray
    learned: np.ndarray
    doubt: np.ndarray
    sales: np.ndarray
    tell: np.ndarray

    @property
    def off(self):
        return (self.learned - self.true) / self.doubt


def found_by(book, true, readings, price, sold_on):
    model = learn(book, readings, price, sold_on=sold_on)
    names = ("book", "true", "learned", "doubt", "sales", "tell")
    place, columns = [], {name: [] for name in names}
    for number, kind in enumerate(book.kinds.values()):
        table = model.tables[kind.id]
        mine = readings.codes[readings.kinds == number]
        doubts = np.sqrt(np.diag(table.covariance))[1:-1]
        for first, signal in zip(table.starts, kind.signals, strict=False):
            span = slice(first, first + len(signal.options))
            effect = np.array([true[kind.id][signal.id][name] for name in signal.option_ids])
            if signal.counts == "tell":
                effect = effect - np.log([option.effect for option in signal.options])
            share = np.array([option.share for option in signal.options])
            codes = mine[:, book.signal_ids.index(signal.id)]
            columns["true"].append(effect - share @ effect / share.sum())
            columns["book"].append(table.rules[span])
            columns["learned"].append((table.rules + table.sales)[span])
            columns["doubt"].append(doubts[span])
            columns["sales"].append(np.bincount(codes[codes >= 0], minlength=len(share)))
            columns["tell"].append(np.full(len(share), signal.counts == "tell"))
            place += [(kind.id, signal.id, name) for name in signal.option_ids]
    return Found(model, place, **{name: np.concatenate(v) for name, v in columns.items()})


@pytest.fixture(scope="module")
def book():
    return shop_book()


@pytest.fixture(scope="module")
def told():
    return json.loads((DEMO / "truth.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def found(book, told):
    file = read_sales(DEMO / "sales.csv", book)
    assert len(file.price) == 3000 and not file.items.problems
    readings = with_seasons(book, file.items.readings, file.sold_on)
    return found_by(book, told["effects"], readings, file.price, file.sold_on)


@pytest.mark.long
def test_the_file_of_sales_and_the_generator_tell_the_same(book, found):
    """The benchmark draws sales past the file; that it starts from the same ones is checked."""
    drawn = past_sales()
    model = learn(book, drawn.readings, drawn.price, sold_on=drawn.sold_on)
    for kind in book.kinds:
        one, other = found.model.tables[kind], model.tables[kind]
        # Sales come in another order, so sums differ in the last digits; factors are rounded.
        assert one.sales == pytest.approx(other.sales, abs=0.0002)


def test_learned_effects_miss_the_truth_by_about_the_doubt_they_state(found):
    """Differences over stated doubts should have deviation 1. Some thousand of them share 3,000
    sales, so they are worth some 200 independent ones: 0.05 of luck; what was not
    looked at leans on what was, which no doubt knows of: as much again. Beyond two doubts, at most
    twice the normal law's 4.6 %; and nothing where only a doubt that is none could put it, as a
    step that the order holds was once called certain and stood 28 doubts off."""
    assert len(found.off) > 900
    assert np.std(found.off) == pytest.approx(1.0, abs=0.12)
    assert np.max(np.abs(found.off)) < 8
    assert abs(np.mean(found.off)) < 0.1
    assert np.mean(np.abs(found.off) > 2) < 0.092


def test_what_the_sales_changed_goes_with_what_is_true_besides_the_book(found):
    departure, change = found.true - found.book, found.learned - found.book
    assert np.corrcoef(departure, change)[0, 1] > 0.4
    # Common options lie near the mean of their signal, so less of them is there to be learned.
    often = found.sales >= 20
    assert often.sum() > 300
    assert np.corrcoef(departure[often], change[often])[0, 1] > 0.4


def test_learning_brings_effects_nearer_to_the_truth(found):
    # A tell has so little of its own besides make that 3,000 sales hardly show it.
    often = (found.sales >= 20) & ~found.tell
    before = np.sqrt(np.mean((found.book - found.true)[often] ** 2))
    after = np.sqrt(np.mean((found.learned - found.true)[often] ** 2))
    assert after < 0.85 * before


def test_anchors_are_found(book, told, found):
    """Within 15 %: further faults count less in truth than the book thinks, and what that does on
    average goes into the anchor, which stated doubts do not know of."""
    before, after = [], []
    for kind in book.kinds:
        table = found.model.tables[kind]
        true = np.log(told["anchors"][kind])
        before.append(np.log(table.anchor) - true)
        after.append(before[-1] + table.level + found.model.drift)
        assert abs(after[-1]) < 0.15
    assert np.mean(np.square(after)) < np.mean(np.square(before))


def test_labels_are_found_within_their_doubts(told, found):
    """Sixty labels: a deviation of 1 is known to 0.09; two and a half of these either way."""
    table = next(iter(found.model.tables.values()))
    span = slice(table.starts[-3], table.starts[-3] + len(found.model.labels))
    learned, doubt = table.sales[span], np.sqrt(np.diag(table.covariance))[1:-1][span]
    true = np.array([told["labels"][name]["effect"] for name in found.model.labels])
    assert np.std((learned - true) / doubt) == pytest.approx(1.0, abs=0.23)
    assert np.corrcoef(learned, true)[0, 1] > 0.8


def test_the_tastes_of_the_shop_are_found_where_sales_can_show_them(told, found):
    """They can where a taste moves an answer by more than twice the doubt that is left of it."""
    rows = {place: row for row, place in enumerate(found.place)}
    shown = [
        taste["sign"] * (found.learned - found.book)[row]
        for taste in told["tastes"]
        for kind, signal, option in taste["places"]
        for row in [
            rows.get(place)
            for place in rows
            if place[1:] == (signal, option) and kind in ("", place[0])
        ]
        if found.sales[row] >= 5
        and taste["sign"] * (found.true - found.book)[row] > 2 * found.doubt[row]
    ]
    assert len(shown) >= 8
    assert np.mean(np.array(shown) > 0) > 0.9


def test_the_stated_spread_is_that_of_errors_on_other_sales(book, found):
    """A sale of a well-looked-at item misses by less: in each fifth of 3,000 other sales, by
    stated spread, the errors' deviation is known to 0.03 of itself; three of these."""
    other = more_sales("held out")
    valuer = Valuer(book, found.model, ShopTerms())
    said = valuer.value(other.readings)
    error = np.log(other.price) - truth().level(other.sold_on)
    error -= np.log(said.anchor) + said.level + said.standing
    order = np.argsort(said.spread)
    for rows in np.array_split(order, 5):
        assert np.std(error[rows]) == pytest.approx(np.mean(said.spread[rows]), rel=0.09)
    widths = [said.spread[rows].mean() for rows in np.array_split(order, 5)]
    assert widths[-1] > 1.2 * widths[0]


def test_the_rules_alone_know_how_unsure_they_are(book):
    """Before any sale: errors of the rules alone within the spread that they state, or less (the
    invented truth is off by about half of the book's doubts)."""
    sales = past_sales()
    said = Valuer(book, rules_alone(book), ShopTerms()).value(
        replace(sales.readings, labels=("",) * len(sales.price))
    )
    error = np.log(sales.price) - np.log(said.anchor) - said.level - said.standing
    assert 0.5 < np.std(error / said.spread) < 1.0


@pytest.mark.long
@pytest.mark.parametrize("name", ["second", "third", "fourth", "fifth"])
def test_recovery_holds_for_other_sales_of_the_same_shop(book, name):
    true = {kind: {} for kind in book.kinds}
    for (kind, signal), effect in truth().effect.items():
        options = book.kinds[kind].by_id[signal].option_ids
        true[kind][signal] = dict(zip(options, effect, strict=True))
    sales = more_sales(name)
    found = found_by(book, true, sales.readings, sales.price, sales.sold_on)
    assert np.std(found.off) == pytest.approx(1.0, abs=0.12)
    assert np.max(np.abs(found.off)) < 8
    change, departure = found.learned - found.book, found.true - found.book
    assert np.corrcoef(departure, change)[0, 1] > 0.4


def test_make_moves_prices_as_it_truly_does(book, told, found):
    """Nearer than a third in every kind: the truth is up to a quarter off the book's opinion, and
    a score by loadings a little too small spreads a little too wide."""
    for kind in book.kinds:
        table = found.model.tables[kind]
        assert table.slope == pytest.approx(told["make"][kind], rel=1 / 3)


def test_the_level_of_a_year_ago_is_found(told, found):
    """Four steps of the truth; 3,000 sales over nine quarters know one quarter's level to about
    0.45 / sqrt(330) = 0.025, and two of them meet: three standard errors of 0.035."""
    since = told["levels"]["2026-4"] - told["levels"]["2025-4"]
    assert found.model.drift == pytest.approx(since, abs=3 * 0.035)
    assert found.model.drift > 0


def test_signs_of_make_are_found_to_go_together_more_than_the_book_thinks(book, told, found):
    """The generator lets two tells go together by 0.35, before they are cut into answers, which
    takes some tenths off; the book thinks of 0.03. The shop must come to more than half way."""
    for kind in book.kinds.values():
        by_book, by_now = found.model.tables[kind.id].tell_weight
        tells = by_book > 0
        loading = np.sqrt(by_now[tells] / (1 + by_now[tells]))
        thought = np.sqrt(by_book[tells] / (1 + by_book[tells]))
        assert mean_correlation(loading) > 0.35 / 4
        assert mean_correlation(loading) > 2 * mean_correlation(thought)
