"""What the figures of agreement say at their edges: nothing, hardly any variety, few draws."""

from __future__ import annotations

import krippendorff
import numpy as np
import pytest
import scipy

from resale.garments.rulebook.rule_book import load_rule_book
from resale.training.agreement.alpha import krippendorff_alpha
from resale.training.agreement.comparison import Difference, Valued
from resale.training.agreement.doubt_feedback import FEWEST, suggest_doubt
from resale.training.agreement.kappa import cohen_kappa, disagreement
from resale.training.agreement.speed import RankCorrelation, speed_against_accuracy

BOOK = load_rule_book()
GUSSET, TIERS = BOOK.kinds["shirt"].by_id["side_gusset"], BOOK.book.tiers
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


def test_kappas_interval_ends_at_full_agreement() -> None:
    # By the formula alone it would reach 0.8 + 1.96 * 0.186, beyond what kappa can be.
    found = cohen_kappa([[5, 1], [0, 4]])
    assert found.value + 1.9 * found.standard_error > 1.05 and found.high == 1.0


def test_alpha_without_a_lot_drawn_again_has_no_interval() -> None:
    # With no lot drawn again there is nothing to take ends from.
    found = krippendorff_alpha([[0, 1], [0, 1]], random=np.random.default_rng(1), draws=0)
    assert found.value == 1.0
    assert [str(one) for one in (found.low, found.high, found.standard_error)] == ["nan"] * 3


@pytest.mark.parametrize(("checked", "enough"), [(FEWEST - 1, False), (FEWEST, True)])
def test_a_doubt_is_suggested_from_so_many_second_looks_on(checked: int, enough: bool) -> None:
    found = suggest_doubt(GUSSET, [[checked - 1, 1], [0, 0]])
    assert (found.checked, found.enough) == (checked, enough)
    own = GUSSET.options[0].doubt
    assert (found.doubt(GUSSET.option_ids[0]) > own) is enough


def test_few_second_looks_are_drawn_towards_the_overall_rate() -> None:
    """By hand: 3 of 24 misread, with half an item either way (3 + 1/2) / (24 + 1) = 0.14. Each row
    is drawn towards that with the weight of four items. Aigner's factor (1973) for two options."""
    found = suggest_doubt(GUSSET, [[18, 2], [1, 3]])
    assert found.rate == pytest.approx(0.14, rel=1e-12)
    first, second = (2 + 4 * 0.14) / (20 + 4), (1 + 4 * 0.14) / (4 + 4)
    share = np.array([option.share for option in GUSSET.options])
    share = share / share.sum()
    read = share * [1 - first, 1 - second] + share[::-1] * [second, first]
    wrong = share[1] * second / read[0] + share[0] * first / read[1]
    assert found.attenuation == pytest.approx(1 - wrong, rel=1e-9)


def test_five_answers_are_the_fewest_and_their_interval_is_bonetts() -> None:
    """By hand: ranks that differ by 2, 0, 2, 1, 1 give 1 - 6 * 10 / (5 * 24) = 1/2. Bonett and
    Wright 2000 (from memory): error sqrt((1 + 1/8) / 2) = 3/4 on Fisher's scale, so the ends are
    tanh(0.549306 -+ 1.959964 * 0.75)."""
    found = speed_against_accuracy([1, 2, 3, 4, 5], [3, 2, 1, 5, 4])
    ends = np.tanh([0.549306 - 1.959964 * 0.75, 0.549306 + 1.959964 * 0.75])
    assert (found.value, found.low, found.high) == pytest.approx((0.5, *ends), abs=1e-5)
    few = speed_against_accuracy([1, 2, 3, 4], [3, 2, 1, 4])
    assert np.isnan(few.value) and few.count == 4


@pytest.mark.parametrize("low, high", [(0.0, 0.6), (-0.6, 0.0)])
def test_an_interval_that_reaches_nought_shows_nothing(low: float, high: float) -> None:
    assert RankCorrelation((low + high) / 2, low, high, 50).sentence.startswith("No steady link")


@pytest.mark.parametrize(
    ("high", "price", "held"),
    [(500, 99, False), (500, 100, True), (500, 500, True), (500, 501, False), (-1, 10**9, True)],
)
def test_a_band_holds_its_ends_and_may_have_no_upper_one(high: int, price: int, held: bool) -> None:
    band = Valued(200, 100, high, TIERS[0], "put_out")
    assert band.holds(price) is held


@pytest.mark.parametrize(
    ("money", "said"),
    [
        (150, "it puts your price 150 too high"),
        (-150, "it puts your price 150 too low"),
        (0, "it moves no money here"),
    ],
)
def test_a_difference_says_which_way_it_puts_the_price(money: int, said: str) -> None:
    now, then = (Valued(200, 100, 500, TIERS[0], "put_out") for _ in range(2))
    one = Difference(GUSSET, "otherwise", "Yes", "No", 1.1, 1.0, money, now, then)
    assert one.sentence(str) == f"{GUSSET.name}: you said “Yes”, the lead “No”; {said}."


def test_a_difference_that_moves_tier_and_route_says_both() -> None:
    now = Valued(200, 100, 500, TIERS[0], "put_out")
    then = Valued(200, 100, 500, TIERS[1], "mend_first")
    one = Difference(GUSSET, "extra", "Yes", "", 1.1, 1.0, 0, now, then)
    assert one.sentence(str).endswith(
        f"; read as the lead did, the tier would be {TIERS[1].name}, not {TIERS[0].name} and the "
        "route would be “Mend first”, not “Put out”."
    )
