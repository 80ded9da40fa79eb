"""Time to sale with unsold items: a published table, and a second program's answer."""

import numpy as np
import pytest
from statsmodels.duration.survfunc import SurvfuncRight

from resale.errors import ReadingError
from resale.selling.markdown.survival import kaplan_meier

# Freireich et al. 1963, Blood 21, 699-716, 6-MP arm: weeks of remission; + means still going on.
SIX_MP = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"
PLACEBO = "1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23"


def typed(text: str) -> tuple[np.ndarray, np.ndarray]:
    words = text.split()
    return (
        np.array([float(word.rstrip("+")) for word in words]),
        np.array([not word.endswith("+") for word in words]),
    )


def test_the_published_remission_table():
    """Gehan's table of the 6-MP arm as textbooks print it, four decimals: hence half of the last
    digit as tolerance."""
    found = kaplan_meier(*typed(SIX_MP))
    assert found.day.tolist() == [6, 7, 10, 13, 16, 22, 23]
    assert found.unsold == pytest.approx(
        [0.8571, 0.8067, 0.7529, 0.6902, 0.6275, 0.5378, 0.4482], abs=5e-5
    )
    assert found.sold.tolist() == [3, 1, 1, 1, 1, 1, 1]
    assert found.median == 23


@pytest.mark.parametrize("text", [SIX_MP, PLACEBO])
def test_share_and_counts_agree_with_statsmodels(text):
    days, sold = typed(text)
    found, theirs = kaplan_meier(days, sold), SurvfuncRight(days, sold)
    assert found.day.tolist() == theirs.surv_times.tolist()
    assert found.sold.tolist() == theirs.n_events.tolist()
    assert found.unsold == pytest.approx(theirs.surv_prob, abs=1e-12)


def test_between_sales_the_share_stays_and_before_the_first_it_is_all():
    found = kaplan_meier(*typed(SIX_MP))
    assert found.at(np.array([0, 5.9, 6, 8, 40])) == pytest.approx(
        [1, 1, 6 / 7, found.unsold[1], found.unsold[-1]]
    )


def test_no_median_while_more_than_half_hangs():
    assert kaplan_meier(np.array([1.0, 2, 3]), np.array([True, False, False])).median is None


def test_nothing_sold_leaves_all_unsold():
    found = kaplan_meier(np.array([10.0, 20]), np.array([False, False]))
    assert len(found.day) == 0
    assert found.at(15.0) == 1.0


def test_a_day_that_is_not_above_nothing_is_refused():
    with pytest.raises(ReadingError, match="not above 0"):
        kaplan_meier(np.array([0.0]), np.array([True]))
