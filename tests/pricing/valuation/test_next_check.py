"""The next check against brute force: every option tried by valuing the item anew."""

import numpy as np
import pytest
from scipy.stats import norm

from resale.config.prices import OLD_WEAR_COUNTS
from resale.garments.rulebook.readings import asked_only, one_reading
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.make.tells import tells_of
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.next_check import next_checks
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer

BOOK = load_rule_book()
VALUER = Valuer(BOOK, rules_alone(BOOK), ShopTerms(old_wear_counts=OLD_WEAR_COUNTS))
SOME = {
    "jacket": {"fibre_shell": "wool", "hole": "hidden_2", "cuff_buttons": "working"},
    "shirt": {"fibre_shell": "cotton"},
    "trousers": {"denim_or_not": "denim"},
    "shoes": {"sole_attach": "cemented"},
    "bag": {},
    # Worn and of unknown age, and worn and wanted for it.
    "dress": {"stain": "seen_3", "fading": "grade_2", "odour": "strong"},
    "leather": {"label_era": "older_label", "stain": "seen_3", "odour": "strong"},
}


def gain_by_brute_force(kind: str, chosen: dict[str, str], signal) -> float:
    """Value the item once with each option, and average what knowing it would have been worth.

    How likely each option is: its share in the book, or for a tell what the make so far leaves.
    """
    terms = VALUER.terms
    now = VALUER.value(one_reading(BOOK, kind, chosen))
    likely = likely_options(kind, now, signal)
    price = float(now.anchor[0] * np.exp(now.level[0] + now.standing[0]))
    gain = 0.0
    for chance, option in zip(likely, signal.options, strict=True):
        known = one_reading(BOOK, kind, {**chosen, signal.id: option.id})
        then = VALUER.value(asked_only(BOOK, known))
        error = float(then.standing[0] - now.standing[0])
        gain += (
            chance
            * price
            * (
                terms.mispricing_cost * error**2
                + terms.wrong_tier_cost * (then.tier[0] != now.tier[0])
                + terms.wrong_route_cost * (then.route[0] != now.route[0])
            )
        )
    return gain


def likely_options(kind: str, now, signal) -> np.ndarray:
    """Bayes' rule by integrating over make: p(option) times the density of the make seen so far."""
    share = np.array([option.share for option in signal.options])
    share = share / share.sum()
    if signal.counts != "tell":
        return share
    tells = tells_of(BOOK.kinds[kind])
    place = [one.id for one in tells.signals].index(signal.id)
    loading, score = tells.loading[place], tells.scores[place]
    grid = np.linspace(-8, 8, 4001)
    seen = norm.pdf(grid, now.make[0], now.precision[0] ** -0.5)
    of_option = norm.pdf(score[:, None], loading * grid, (1 - loading**2) ** 0.5)
    chance = share * (of_option @ seen) / norm.pdf(score)
    return chance / chance.sum()


@pytest.mark.parametrize(
    "kind",
    [
        kind if place % 3 == 0 else pytest.param(kind, marks=pytest.mark.long)
        for place, kind in enumerate(SOME)
    ],
)
def test_every_gain_equals_trying_every_option(kind):
    item = one_reading(BOOK, kind, SOME[kind])
    checks = next_checks(VALUER, item, VALUER.value(item))
    assert len(checks) > 5
    for check in checks:
        # Factors are rounded to four decimals, each off by 5e-5 at most, and the gain goes with
        # their square: of an effect of a hundredth, a hundredth either way.
        assert check.gain == pytest.approx(
            gain_by_brute_force(kind, SOME[kind], check.signal), rel=0.02, abs=1e-5
        )


def test_what_an_answer_would_rule_out_is_part_of_its_worth():
    """Strong fading is charged while nobody said whether it is denim; on denim it is not."""
    faded = {"fading": "grade_2", "fibre_shell": "cotton"}
    item = one_reading(BOOK, "trousers", faded)
    checks = next_checks(VALUER, item, VALUER.value(item))
    assert checks[0].signal.id == "denim_or_not"
    gain = gain_by_brute_force("trousers", faded, checks[0].signal)
    assert checks[0].gain == pytest.approx(gain, rel=0.02)
    clear = one_reading(BOOK, "trousers", {"fibre_shell": "cotton"})
    plain = {one.signal.id: one for one in next_checks(VALUER, clear, VALUER.value(clear))}
    assert checks[0].gain > 10 * plain["denim_or_not"].gain


def test_the_gain_agrees_with_a_simulated_desk():
    """20,000 jackets whose maker's standing is then looked at; the mean saving must agree within
    four standard errors (a false alarm once in 16,000 runs, and the seed is fixed)."""
    kind, chosen = "jacket", SOME["jacket"]
    item = one_reading(BOOK, kind, chosen)
    now = VALUER.value(item)
    check = next(c for c in next_checks(VALUER, item, now) if c.signal.id == "label_standing")
    share = np.array([option.share for option in check.signal.options])
    rng = np.random.default_rng(12)
    drawn = rng.choice(len(share), 20_000, p=share / share.sum())
    price = float(now.anchor[0] * np.exp(now.standing[0]))
    then = [
        VALUER.value(one_reading(BOOK, kind, {**chosen, "label_standing": option.id}))
        for option in check.signal.options
    ]
    terms = VALUER.terms
    saved = np.array(
        [
            price
            * (
                terms.mispricing_cost * float(t.standing[0] - now.standing[0]) ** 2
                + terms.wrong_tier_cost * (t.tier[0] != now.tier[0])
                + terms.wrong_route_cost * (t.route[0] != now.route[0])
            )
            for t in then
        ]
    )[drawn]
    assert abs(saved.mean() - check.gain) < 4 * saved.std() / np.sqrt(len(saved))


def test_checks_stand_in_falling_order_of_gain_a_second():
    item = one_reading(BOOK, "bag", {})
    rates = [check.rate for check in next_checks(VALUER, item, VALUER.value(item))]
    assert rates == sorted(rates, reverse=True)


def test_what_was_looked_at_is_not_asked_again():
    item = one_reading(BOOK, "jacket", SOME["jacket"])
    asked = {check.signal.id for check in next_checks(VALUER, item, VALUER.value(item))}
    assert asked.isdisjoint(SOME["jacket"])


def test_denim_signs_are_asked_for_only_on_denim():
    def asked(answer: dict[str, str]) -> set[str]:
        item = one_reading(BOOK, "trousers", answer)
        return {check.signal.id for check in next_checks(VALUER, item, VALUER.value(item))}

    assert "denim_weight" not in asked({})
    assert "denim_weight" not in asked({"denim_or_not": "not_denim"})
    assert "denim_weight" in asked({"denim_or_not": "denim"})


def test_an_expensive_hour_stops_the_looking_sooner():
    def worth(wage: float) -> int:
        valuer = Valuer(BOOK, rules_alone(BOOK), ShopTerms(wage=wage))
        item = one_reading(BOOK, "shirt", {})
        return sum(c.worth_it for c in next_checks(valuer, item, valuer.value(item)))

    assert worth(5) > worth(50) > worth(5000) == 0


def test_when_everything_was_looked_at_there_is_nothing_to_check():
    kind = BOOK.kinds["shoes"]
    chosen = {signal.id: signal.options[0].id for signal in kind.signals}
    item = one_reading(BOOK, "shoes", chosen)
    assert next_checks(VALUER, item, VALUER.value(item)) == []
