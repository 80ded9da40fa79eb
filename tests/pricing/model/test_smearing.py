"""From median to mean: against the mean of the lognormal distribution, and by kind."""

import numpy as np
import pandas as pd
import pytest

from resale.pricing.model.estimator import RulePriorRegressor
from resale.pricing.model.fit import CROSS_FIT_UP_TO
from resale.pricing.model.smearing import (
    NORMAL_MAD,
    SLIP,
    smearing_by_group,
    smearing_sums,
)

SPREADS = {"bag": 0.3, "shirt": 0.55}


def sales(count, seed, slips=0):
    """Items of two kinds with fifteen inputs, whose log price is normal about its mean."""
    rng = np.random.default_rng(seed)
    kind = np.array(list(SPREADS))[np.arange(count) % 2]
    words = {f"sign{i}": rng.choice(["a", "b", "c"], count) for i in range(15)}
    items = pd.DataFrame({"kind": kind, **words})
    log = 3 + sum(0.05 * (items[name] == "a") for name in words)
    log += np.array([SPREADS[one] for one in kind]) * rng.standard_normal(count)
    log[:slips] += np.log(100.0)
    return items, np.exp(log.to_numpy())


@pytest.mark.parametrize(
    ("count", "slips"),
    [
        (CROSS_FIT_UP_TO // 2, 0),
        pytest.param(3 * CROSS_FIT_UP_TO, 0, marks=pytest.mark.long),
        (3 * CROSS_FIT_UP_TO, 4),
    ],
)
def test_the_mean_of_lognormal_prices_is_found_in_each_kind(count, slips):
    """The mean of a lognormal is its median times exp(s**2 / 2) (Johnson, Kotz and Balakrishnan
    1994, Continuous Univariate Distributions 1, ch. 14, from memory). Means of 5 draws: what is
    not learned of the inputs adds to the spread, and a tenth of the log is luck."""
    found = {kind: [] for kind in SPREADS}
    for seed in range(5):
        items, price = sales(count, seed, slips)
        model = RulePriorRegressor(groups="kind", pairs=False).fit(items, price)
        for place, kind in enumerate(model.fitted_.encoder.groups):
            found[kind].append(np.log(model.fitted_.smearing[place]))
    true = {kind: spread**2 / 2 for kind, spread in SPREADS.items()}
    weight = count / 2 / (count / 2 + 40)
    pooled = np.log(np.mean(np.exp(list(true.values()))))
    for kind, logs in found.items():
        wanted = weight * true[kind] + (1 - weight) * pooled
        assert np.mean(logs) == pytest.approx(wanted, rel=0.25, abs=0.012)


def smearing_factor(residuals):
    """Of one group alone, slips and all."""
    one = np.zeros(len(residuals), dtype=int)
    sums = smearing_sums(residuals, one, np.ones(len(residuals)), groups=1, limit=0)
    return smearing_by_group(sums)[0]


def by_group(residuals, group, groups):
    limit = SLIP * NORMAL_MAD * float(np.median(np.abs(residuals)))
    sums = smearing_sums(residuals, group, np.ones(len(group)), groups=groups, limit=limit)
    return smearing_by_group(sums)


def test_a_kind_with_few_sales_leans_on_all_kinds():
    """Forty sales of its own and the rule of all kinds count alike: the mean of both logs."""
    residuals = np.concatenate([np.tile([-0.9, 0.9], 200), np.tile([-0.1, 0.1], 20)])
    group = np.repeat([0, 1], [400, 40])
    everything, few = np.log(smearing_factor(residuals)), np.log(np.cosh(0.1))
    found = np.log(by_group(residuals, group, 3))
    assert found[1] == pytest.approx((everything + few) / 2)
    assert found[2] == pytest.approx(everything)
    assert found[0] == pytest.approx((400 * np.log(np.cosh(0.9)) + 40 * everything) / 440)


@pytest.mark.parametrize(("spreads", "counts"), [(4.4, True), (4.6, False)])
def test_what_lies_beyond_four_and_a_half_spreads_is_a_slip_of_the_pen(spreads, counts):
    """Of 99 residuals of size 0.2 the robust spread is 1.4826 times 0.2."""
    residuals = np.append(np.tile([-0.2, 0.2], 50)[:99], spreads * 1.4826 * 0.2)
    meant = residuals if counts else residuals[:-1]
    found = by_group(residuals, np.zeros(100, dtype=int), 1)
    assert found[0] == pytest.approx(smearing_factor(meant))
