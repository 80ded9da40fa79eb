"""Difference in differences: a published example, another library, trainees of a known answer."""

import numpy as np
import pandas as pd
import pytest
import statsmodels.formula.api as smf

from resale.training.oversight.before_after import Look, difference_in_differences

# Card and Krueger 1994, American Economic Review 84, 772, table 3, rows 1 and 2: mean full-time
# employment before and after, in the state that changed and in its neighbour; row 3: 2.76.
# From memory.
CHANGED, NEIGHBOUR, PRINTED = (20.44, 21.03), (23.33, 21.17), 2.76


def test_two_groups_and_two_times_are_the_published_example():
    looks = [
        Look(f"{group}{n}", time, bool(group and time), means[time] + scatter)
        for group, means in enumerate((NEIGHBOUR, CHANGED))
        for n, scatter in enumerate(np.linspace(-3, 3, 20))
        for time in (0, 1)
    ]
    found = difference_in_differences(looks)
    # The printed means are rounded to hundredths, the printed difference is not made of them.
    assert found.change == pytest.approx(PRINTED, abs=0.02)


def trainee(seed: int, effect: float, weeks: int = 12) -> list[Look]:
    """Eight signs, drilled two at a time in drawn order; everything gets easier week by week."""
    rng = np.random.default_rng(seed)
    start = dict(zip(rng.permutation(8).tolist(), [3, 3, 6, 6, 9, 9, 99, 99], strict=True))
    looks = []
    for week in range(weeks):
        for sign, begins in start.items():
            level = 0.25 + 0.03 * sign - 0.012 * week + effect * (week >= begins)
            looks += [
                Look(sign, week, week >= begins, float(rng.random() < level)) for _ in range(6)
            ]
    return looks


def test_effect_and_interval_are_those_of_another_library():
    """statsmodels, ordinary least squares with two sets of dummies, clustered by sign."""
    looks = trainee(3, -0.15)
    frame = pd.DataFrame([[one.sign, one.week, float(one.drilled), one.wrong] for one in looks])
    frame.columns = pd.Index(["sign", "week", "drilled", "wrong"])
    fit = smf.ols("wrong ~ drilled + C(sign) + C(week)", frame).fit(
        cov_type="cluster", cov_kwds={"groups": frame["sign"]}, use_t=True
    )
    found = difference_in_differences(looks)
    assert found.change == pytest.approx(fit.params["drilled"])
    assert (found.low, found.high) == pytest.approx(tuple(fit.conf_int().loc["drilled"]))


def test_it_finds_what_was_put_in_and_nothing_where_nothing_was():
    """40 trainees each; the interval promises 95 %, few clusters take some of it."""
    helped = [difference_in_differences(trainee(n, -0.18)) for n in range(40)]
    nothing = [difference_in_differences(trainee(n, 0.0)) for n in range(40)]
    assert np.mean([one.change for one in helped]) == pytest.approx(-0.18, abs=0.03)
    assert sum("Drilling helps" in one.sentence for one in helped) >= 28
    assert sum(one.low <= 0 <= one.high for one in nothing) >= 33
    assert sum("No sign yet" in one.sentence for one in nothing) >= 33


def test_signs_that_all_began_at_once_tell_nothing():
    looks = [Look(sign, week, week > 4, 0.0) for sign in range(6) for week in range(10)]
    assert not difference_in_differences(looks).can_be_said
    assert "Cannot be said yet" in difference_in_differences(looks).sentence
