"""Sales with kind, label and price alone: prices are no worse than the plain mean by both.

The tills are those of the benchmark: harsher than the model, and drawn by fixed seeds.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.columns.prior_columns import LABEL_DOUBT, plan_from_priors
from resale.pricing.model.rule_book_priors import KIND, LABEL, priors_of

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))
from bare_sales import errors


@pytest.mark.long
@pytest.mark.parametrize(
    ("shop", "sales", "most"),
    [
        ("few labels far apart", 50, 0.68),
        pytest.param("few labels far apart", 1000, 1.0, marks=pytest.mark.long),
        pytest.param("many labels", 1000, 1.0, marks=pytest.mark.long),
        # From some thousands on a mean by kind and label has little noise left.
        pytest.param("many labels", 4000, 0.95, marks=pytest.mark.long),
    ],
)
def test_with_bare_sales_prices_are_no_worse_than_the_plain_mean(shop, sales, most):
    ours, plain, truth = errors(load_rule_book(), shop, sales, 0, 0.0)
    assert truth < ours < most * plain


def test_labels_are_believed_to_do_more_where_no_sign_was_read():
    priors = priors_of(load_rule_book())
    frame = pd.DataFrame({LABEL: ["Harrowmere", "Nordhaus"]})
    doubts = []
    for bare in (0.0, 0.5, 1.0):
        encoder = plan_from_priors(priors, KIND, frame, np.ones(2), bare)
        own = encoder.family == encoder.families.index("labels")
        doubts.append(float(encoder.doubt[own][0]))
        assert ("labels by kind" in encoder.families) is (bare > 0)
    # By hand: the variances add, 0.25 squared and half or all of 0.6 squared.
    assert doubts == pytest.approx([LABEL_DOUBT, np.sqrt(0.0625 + 0.18), 0.65])
