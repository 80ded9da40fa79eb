"""A chain's fit: one shop's is a shop's own, several share, workers come to the same.

Derived by a second road: `learn` on all sales in memory; Dask's workers beside one process.
"""

from dataclasses import replace

import numpy as np
import pytest
from pyarrow import parquet

from resale.garments.measures.warmth import seasons_of
from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.learn import learn
from resale.pricing.model.recency import recency_weights
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer
from resale.services.chain.fit_chain import fit_chain
from resale.services.chain.value_chain import PieceValuer, value_chain
from resale.storage.warehouse.parquet import Sold, write_pieces
from resale.storage.warehouse.workers import local_workers

BOOK = load_rule_book().of(["shirt", "bag"])
TODAY, HALF_LIFE = np.datetime64("2026-07-01"), 365.0
WANTED = "Vembobix"


def sold(shop: str, count: int, level: float, wanted: float, seed: int) -> Sold:
    """Made-up sales: a level of the shop, and what it does with one label."""
    rng = np.random.default_rng(seed)
    kinds = rng.integers(0, 2, count)
    codes = np.full((count, len(BOOK.signal_ids)), NOT_LOOKED_AT, dtype=np.int16)
    for place, kind in enumerate(BOOK.kinds.values()):
        for signal in kind.signals:
            rows = np.flatnonzero((kinds == place) & (rng.random(count) < 0.3))
            drawn = rng.integers(0, len(signal.options), len(rows))
            codes[rows, BOOK.signal_ids.index(signal.id)] = drawn
    labels = rng.choice(["", "Ulmbach", WANTED], count)
    log = 3 + level + wanted * (labels == WANTED) + 0.25 * rng.standard_normal(count)
    days = np.datetime64("2026-01-01") + rng.integers(0, 170, count)
    readings = Readings(kinds, codes, tuple(labels.tolist()))
    return Sold(readings, (shop,) * count, np.exp(log).round(2), days)


def in_pieces(folder, whole: Sold, cut: int) -> None:
    def part(rows):
        shops = tuple(np.array(whole.shops)[rows])
        return Sold(whole.readings.rows(rows), shops, whole.price[rows], whole.sold_on[rows])

    rows = np.arange(len(whole.price))
    name = folder / f"{whole.shops[0]}.parquet"
    write_pieces(name, iter([part(rows[:cut]), part(rows[cut:])]), BOOK)


def estimates(model, readings):
    return Valuer(BOOK, model, ShopTerms()).value(readings)


def test_a_chain_of_one_shop_is_a_shop(tmp_path):
    whole = sold("Harbour", 700, 0.1, 0.3, 1)
    in_pieces(tmp_path, whole, 260)
    found = fit_chain(tmp_path, BOOK, TODAY, HALF_LIFE).models()["Harbour"]
    months = whole.sold_on.astype("datetime64[M]").astype(int) % 12 + 1
    readings = replace(whole.readings, seasons=seasons_of(BOOK, whole.readings, months.tolist()))
    weight = recency_weights(whole.sold_on, TODAY, HALF_LIFE)
    once = learn(BOOK, readings, whole.price, weight, sold_on=whole.sold_on)
    ours, theirs = estimates(found, readings), estimates(once, readings)
    assert ours.estimate == pytest.approx(theirs.estimate, abs=0.011)
    assert ours.low == pytest.approx(theirs.low, abs=0.011)
    assert found.noise == pytest.approx(once.noise, rel=1e-8)
    for kind, table in once.tables.items():
        assert found.tables[kind].sold == table.sold
        assert found.tables[kind].level == pytest.approx(table.level, abs=1e-12)


@pytest.fixture(scope="module")
def warehouse(tmp_path_factory):
    """Two shops with hundreds of sales, and one with a dozen that all went dear."""
    folder = tmp_path_factory.mktemp("chain")
    in_pieces(folder, sold("Harbour", 1500, 0.3, 0.5, 1), 700)
    in_pieces(folder, sold("Mill", 1500, -0.3, 0.1, 2), 700)
    in_pieces(folder, sold("New", 12, 0.9, 0.3, 3), 5)
    return folder


@pytest.fixture(scope="module")
def fitted(warehouse):
    return fit_chain(warehouse, BOOK, TODAY, HALF_LIFE)


def test_shops_share_what_is_common_and_keep_what_is_theirs(fitted):
    nothing = np.full((2, len(BOOK.signal_ids)), NOT_LOOKED_AT, dtype=np.int16)
    items = Readings(np.zeros(2, np.intp), nothing, ("Ulmbach", WANTED))
    logs = {
        shop: np.log(estimates(model, items).estimate) for shop, model in fitted.models().items()
    }
    # Made 0.6 apart, and the label worth 0.4 more there; 500 sales of it, noise of 0.25.
    assert logs["Harbour"][0] - logs["Mill"][0] == pytest.approx(0.6, abs=0.06)
    of_label = {shop: own[1] - own[0] for shop, own in logs.items()}
    assert of_label["Harbour"] - of_label["Mill"] == pytest.approx(0.4, abs=0.08)
    # A dozen sales move a shop some of the way to where they lie, and its labels not at all.
    middle = (logs["Harbour"][0] + logs["Mill"][0]) / 2
    assert 0.2 < logs["New"][0] - middle < 0.9
    assert of_label["Mill"] < of_label["New"] < of_label["Harbour"]


def test_everything_is_valued_by_its_own_shop(warehouse, fitted, tmp_path):
    valuers = {s: Valuer(BOOK, model, ShopTerms()) for s, model in fitted.models().items()}
    assert value_chain(warehouse, PieceValuer(BOOK, valuers, tmp_path / "out")) == 3012
    part = sold("Mill", 1500, -0.3, 0.1, 2).readings.rows(np.arange(700))
    table = parquet.read_table(tmp_path / "out" / "Mill-0000.parquet")
    wanted = valuers["Mill"].value(part).estimate
    assert table.column("estimate").to_numpy() == pytest.approx(wanted)


@pytest.mark.long
def test_two_workers_come_to_the_same_prices(warehouse, fitted, tmp_path):
    with local_workers(2) as client:
        apart = fit_chain(warehouse, BOOK, TODAY, HALF_LIFE, client)
        valuers = {s: Valuer(BOOK, model, ShopTerms()) for s, model in apart.models().items()}
        assert value_chain(warehouse, PieceValuer(BOOK, valuers, tmp_path), client) == 3012
    close = {"rel": 0, "abs": 1e-8}
    assert apart.fitted.weights.both == pytest.approx(fitted.fitted.weights.both, **close)
    assert apart.fitted.noise == pytest.approx(fitted.fitted.noise, **close)
    assert apart.fitted.smearing == pytest.approx(fitted.fitted.smearing, **close)
