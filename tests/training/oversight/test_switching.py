"""ISO 2859-1's switching rules, day by day, and the plans between which they switch."""

from datetime import date, timedelta

import pytest

from resale.training.agreement.sampling import (
    chance_of_passing,
    quality_levels,
    sampling_plan,
)
from resale.training.oversight.switching import Lot, switching

MONDAY = date(2026, 1, 5)


def lots(*misread, of=40, aql=4.0, how="normal", start=MONDAY):
    return [
        Lot(start + timedelta(days=n), sampling_plan(of, aql, how), bad)
        for n, bad in enumerate(misread)
    ]


def test_two_failed_of_five_tighten_and_five_good_on_end_bring_back():
    """ISO 2859-1:1999, 9.3.1 and 9.3.2, from memory; MIL-STD-105E, 4.7.1 and 4.7.2."""
    assert switching(lots(0, 9, 0, 0, 0)).state == "normal"
    assert switching(lots(9, 0, 0, 0, 9)).state == "tightened"
    assert switching(lots(9, 0, 0, 0, 0, 9)).state == "normal"
    tight = [*lots(9, 9), *lots(0, 0, 0, 0, how="tightened", start=MONDAY + timedelta(days=2))]
    assert switching(tight).state == "tightened"
    fifth = lots(0, how="tightened", start=MONDAY + timedelta(days=6))
    assert switching([*tight, *fifth]).state == "normal"


def test_five_failed_days_under_the_tightened_plan_end_it():
    """ISO 2859-1:1999, 9.4, from memory: cumulated, good days between do not count them away."""
    bad = lots(9, 9, 9, 0, 9, 0, 0, 9, 9)
    assert switching(bad).state == "tightened"
    assert switching([*bad, *lots(9, start=MONDAY + timedelta(days=9))]).state == "discontinued"


@pytest.mark.parametrize(("of", "days"), [(40, 15), (400, 10)])
def test_the_score_asks_thirty_points(of, days):
    """9.3.3.2: 2 points a day where at most one may be misread, else 3 if one level stricter
    would have passed; a day that earns none starts it anew."""
    assert sampling_plan(of, 4.0).accept == {40: 1, 400: 5}[of]
    assert switching(lots(*[0] * (days - 1), of=of)).state == "normal"
    assert switching(lots(*[0] * days, of=of)).state == "reduced"
    assert switching(lots(*[0] * (days - 1), 9, 0, of=of)).score == 30 // days


def test_a_day_that_passes_only_just_scores_nothing_under_a_larger_plan():
    assert sampling_plan(400, 2.5).accept == 3
    assert switching(lots(0, 4, of=400)).score == 0
    assert switching(lots(0, 3, of=400)).score == 6


def test_the_reduced_plan_ends_with_a_failed_day_or_a_long_pause():
    good = lots(*[0] * 15)
    assert switching(good).state == "reduced"
    after = MONDAY + timedelta(days=15)
    assert switching([*good, *lots(1, how="reduced", start=after)]).state == "normal"
    late = switching(good).on(after + timedelta(days=60))
    assert late.state == "normal" and "steady" in late.why


def test_tightened_plans_pass_less_and_reduced_samples_are_those_of_the_standard():
    """MIL-STD-105E, tables II-B and II-C, from memory: reduced samples of letters D to K are 3, 5,
    8, 13, 20, 32 and 50, before arrows."""
    for aql in quality_levels():
        for of in (30, 80, 200, 400, 1000, 3000, 10_000):
            normal, tight = sampling_plan(of, aql), sampling_plan(of, aql, "tightened")
            if not (normal.check_all or tight.check_all):
                worse = [aql / 100, 2 * aql / 100, 4 * aql / 100]
                assert all(
                    chance_of_passing(tight, p) < chance_of_passing(normal, p) for p in worse
                ), (aql, of)
            assert sampling_plan(of, aql, "reduced").sample <= normal.sample
    assert [
        (p.sample, p.accept)
        for of in (200, 400, 1000)
        for p in [sampling_plan(of, 4.0, "tightened")]
    ] == [(32, 2), (50, 3), (80, 5)]
    assert [sampling_plan(of, 6.5, "reduced").sample for of in (80, 200, 400)] == [8, 13, 20]
