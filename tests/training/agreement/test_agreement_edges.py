"""What the figures of agreement say at their edges: nothing, hardly any variety, few draws."""

from __future__ import annotations

import krippendorff
import numpy as np
import pytest
import scipy

from resale.training.agreement.alpha import krippendorff_alpha
from resale.training.agreement.kappa import cohen_kappa, disagreement

NAN = float("nan")
# Two sorters, three items, answers 0 to 2; they differ on the last.
SEEN = [[0, 1, 2], [0, 1, 1]]


@pytest.mark.parametrize(
    "given",
    [
        [[0, 1], [1, 0]],
        [[0, -1, 1], [1, 0, 1], [1, 1, 0]],
        [[0, 1, 1], [1, 2, 1], [1, 1, 0]],
    ],
    ids=["too few", "below nought", "not nought on the diagonal"],
)
def test_weights_with_one_fault_are_refused(given: list[list[float]]) -> None:
    with pytest.raises(ValueError, match="weights must be 3 x 3"):
        disagreement(np.array(given, dtype=float), 3)


def test_where_nothing_was_read_twice_the_figure_rests_on_no_item() -> None:
    none = krippendorff_alpha([[NAN, 1.0], [0.0, NAN]], random=np.random.default_rng(0), draws=5)
    assert (cohen_kappa(np.zeros((3, 3))).items, none.items) == (0, 0)


def test_hardly_any_variety_is_still_said() -> None:
    """By hand: observed .995; expected .997 * .998 + .003 * .002 = .995012; so kappa is
    -.000012 / .004988, and its interval is the large-sample one, as they do not agree on all."""
    found = cohen_kappa([[995, 2], [3, 0]])
    assert found.value == pytest.approx(-0.000012 / 0.004988, rel=1e-6)
    reach = scipy.stats.norm.ppf(0.975) * found.standard_error
    assert found.low == pytest.approx(found.value - reach, rel=1e-12)


def test_agreement_seen_is_a_share_whatever_the_weights() -> None:
    """By hand, of ten: one a step apart of two counts half, one two steps apart in full."""
    found = cohen_kappa([[2, 1, 0], [0, 2, 0], [1, 0, 4]], weights="linear")
    assert found.observed == pytest.approx(1 - (0.5 + 1) / 10, rel=1e-12)


@pytest.mark.parametrize(("level", "largest"), [("nominal", 1), ("interval", 4)])
def test_alphas_shares_are_those_of_its_coincidences(level: str, largest: int) -> None:
    """By hand (Krippendorff 2011, section C): of 6 answers two lie in a pair that differs by one;
    answers 0, 1, 2 stand 2, 3 and 1 times, so of 30 pairs 22 differ, 4 of them by two."""
    found = krippendorff_alpha(SEEN, random=np.random.default_rng(0), level=level, draws=5)
    apart = {"nominal": 22, "interval": 18 + 4 * 4}[level]
    assert found.observed == pytest.approx(1 - 2 / 6 / largest, rel=1e-12)
    assert found.expected == pytest.approx(1 - apart / 30 / largest, rel=1e-12)


def test_alphas_interval_holds_the_middle_share_of_redrawn_items() -> None:
    """Second road: the same items redrawn, each set given to the library made for it."""
    ratings = np.random.default_rng(3).integers(0, 3, (3, 12)).astype(float)
    found = krippendorff_alpha(ratings, random=np.random.default_rng(8), draws=60, coverage=0.8)
    drawn = np.random.default_rng(8).multinomial(12, np.full(12, 1 / 12), size=60)
    again = [
        krippendorff.alpha(np.repeat(ratings, times, axis=1), level_of_measurement="nominal")
        for times in drawn
    ]
    assert (found.low, found.high) == pytest.approx(tuple(np.quantile(again, [0.1, 0.9])))
    assert found.standard_error == pytest.approx(np.std(again))
