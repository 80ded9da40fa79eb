"""The loop: a shop that learns from its own tickets, before buyers who never change.

Six quarters of 250 things here; twelve of 400, and more truths, in the benchmark of the loop.
"""

from __future__ import annotations

import numpy as np
import pytest
from worth_loop import Buyers, Year, run_loop

from resale.selling.worth.regression import WorthOpinion

TRUE = np.array([np.log(28), 0.4, 0.3, -0.3, 0.2])
WRONG = TRUE + np.array([0.0, -0.1, 0.15, 0.1, -0.2])
DOUBT = np.array([0.3, 0.25, 0.25, 0.25, 0.25])


def year(start: float, **how: bool) -> Year:
    opinion = WorthOpinion(WRONG + np.r_[start, np.zeros(4)], DOUBT)
    return run_loop(Buyers(TRUE), opinion, seed=3, things=250, quarters=6, **how)


@pytest.mark.parametrize("start", [0.0, 0.25])
def test_estimates_stay_at_what_things_are_worth(start: float) -> None:
    found = year(start)
    assert np.abs(np.log(found.estimate[2:])).max() < 0.08
    assert found.net[2:].min() > 0.95


def test_learning_from_sale_prices_alone_ratchets_down() -> None:
    """The fault that worth mends: after six quarters a third is gone."""
    found = year(0.0, by_sales_alone=True)
    assert found.estimate[-1] < 0.7
    assert (np.diff(found.estimate) < 0).all()
