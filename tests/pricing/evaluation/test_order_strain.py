"""Where sales stand against a ladder: said beyond luck alone, and followed once it is freed."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tiny_rule_book import tiny_rule_book

from resale.errors import RuleBookError
from resale.garments.rulebook.edits import EVERY_KIND, Edit, with_edits
from resale.garments.rulebook.readings import many_readings
from resale.pricing.evaluation.order_strain import order_strains
from resale.pricing.model.learn import learn


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    return tiny_rule_book(tmp_path_factory.mktemp("book"))


def sales(book, rng, count, gap):
    """Boots and shirts; a worn boot brings more than a good one by a log of `gap`."""
    kinds = rng.choice(["boot", "shirt"], count)
    worn = rng.random(count) < 0.5
    words = [{"wear": "worn" if one else "good"} for one in worn]
    readings = many_readings(book, kinds.tolist(), words, [""] * count)
    step = np.where(kinds == "boot", gap, -0.45)
    price = np.exp(3 + step * worn + 0.3 * rng.normal(size=count))
    return readings, price


def freed(book, kind="boot"):
    edit = Edit(kind=kind, signal="wear", option="order", field="order", value=0.0)
    return with_edits(book, [edit])


def step_of(model, kind):
    """Log factor of worn over good."""
    table = model.tables[kind]
    first = table.starts[table.signals.index("wear")]
    worn, good = (table.rules + table.sales)[first : first + 2]
    return worn - good


def test_a_worse_answer_that_sells_for_more_is_named_with_how_much(book):
    readings, price = sales(book, np.random.default_rng(4), 400, 0.5)
    (found,) = order_strains(book, readings, price)
    assert (found.kind, found.signal, found.worse, found.better) == (
        "boot",
        "wear",
        "Worn",
        "Good",
    )
    # 200 boots of spread 0.3: the difference of two means of a hundred, 0.3 * sqrt(2 / 100).
    assert found.doubt == pytest.approx(0.3 * np.sqrt(2 / 100), rel=0.35)
    assert found.gap == pytest.approx(0.5, abs=3 * found.doubt)
    assert found.sales == int((readings.kinds == list(book.kinds).index("boot")).sum())


@pytest.mark.long
def test_by_luck_alone_it_speaks_no_oftener_than_it_says(book):
    """At no difference at all, which is as bad as an order can be without being wrong; one false
    alarm in twenty is promised, and six in forty would be by chance once in seventy (binomial)."""
    rng = np.random.default_rng(5)
    alarms = sum(bool(order_strains(book, *sales(book, rng, 120, 0.0))) for _ in range(40))
    assert alarms <= 5


def test_the_order_is_kept_until_it_is_freed_and_in_that_kind_alone(book):
    readings, price = sales(book, np.random.default_rng(6), 400, 0.5)
    # Factors are rounded to four decimals.
    assert step_of(learn(book, readings, price), "boot") == pytest.approx(0, abs=2e-4)
    free = freed(book)
    model = learn(free, readings, price)
    assert step_of(model, "boot") == pytest.approx(0.5, abs=0.15)
    assert step_of(model, "shirt") < 0
    assert order_strains(free, readings, price) == ()


@settings(max_examples=25)
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(0, 60))
def test_whatever_the_sales_say_other_kinds_keep_their_order(book, seed, count):
    rng = np.random.default_rng(seed)
    readings, price = sales(book, rng, count, rng.normal())
    model = learn(freed(book), readings, price * np.exp(rng.normal(size=count)))
    assert step_of(model, "shirt") <= 1e-9


def test_a_freed_order_is_another_book_and_taken_back_the_same_again(book):
    free = freed(book)
    assert free.fingerprint != book.fingerprint
    back = Edit(kind=EVERY_KIND, signal="wear", option="order", field="order", value=1.0)
    here = Edit(kind="boot", signal="wear", option="order", field="order", value=0.0)
    assert with_edits(book, [here, back]).fingerprint == book.fingerprint
    assert with_edits(book, [here]).fingerprint == free.fingerprint


@pytest.mark.parametrize(
    ("signal", "option", "value"),
    [("cloth", "order", 0.0), ("wear", "worn", 0.0), ("wear", "order", 0.5)],
)
def test_what_cannot_be_freed_is_said(book, signal, option, value):
    edit = Edit(kind="boot", signal=signal, option=option, field="order", value=value)
    with pytest.raises(RuleBookError):
        with_edits(book, [edit])
