"""Acceptance sampling against the published table and operating characteristics."""

from itertools import pairwise

import numpy as np
import pytest
from scipy import stats

from resale.errors import SettingError
from resale.training.agreement.sampling import (
    chance_of_passing,
    chance_of_passing_a_lot,
    choose,
    left_misread,
    quality_levels,
    sampling_plan,
    source,
    times_of,
    what_it_means,
)

# MIL-STD-105E, single, normal, level II (same plans as ISO 2859-1), as stored at
# www.nibs.org/FMOC/DPW_AC/AC-TABLE.ASC: lot, letter, then n/Ac at 0.65 1.0 1.5 2.5 4.0 6.5.
TABLE = """
    2-8        A  20/0  13/0  8/0   5/0   3/0   2/0
    9-15       B  20/0  13/0  8/0   5/0   3/0   2/0
    16-25      C  20/0  13/0  8/0   5/0   3/0   8/1
    26-50      D  20/0  13/0  8/0   5/0   13/1  8/1
    51-90      E  20/0  13/0  8/0   20/1  13/1  13/2
    91-150     F  20/0  13/0  32/1  20/1  20/2  20/3
    151-280    G  20/0  50/1  32/1  32/2  32/3  32/5
    281-500    H  80/1  50/1  50/2  50/3  50/5  50/7
    501-1200   J  80/1  80/2  80/3  80/5  80/7  80/10
    1201-3200  K  125/2 125/3 125/5 125/7 125/10 125/14
    3201-10000 L  200/3 200/5 200/7 200/10 200/14 200/21
"""
AQLS = (0.65, 1.0, 1.5, 2.5, 4.0, 6.5)
CELLS = [
    (int(end), letter, aql, *(int(number) for number in cell.split("/")))
    for lots, letter, *cells in (line.split() for line in TABLE.strip().splitlines())
    for aql, cell in zip(AQLS, cells, strict=True)
    for end in lots.split("-")
]


def test_every_cell_of_the_table_at_both_ends_of_its_lots():
    assert len(CELLS) == 132
    wrong = []
    for lot, letter, aql, sample, accept in CELLS:
        found = sampling_plan(lot, aql)
        asked = (letter, min(sample, lot), accept, accept + 1, sample >= lot)
        if (found.letter, found.sample, found.accept, found.reject, found.check_all) != asked:
            wrong.append((lot, aql, found))
    assert wrong == []


def test_the_table_is_the_whole_table():
    assert quality_levels() == AQLS
    assert "not seen" in source()


# Chances computed from the two distributions: binomial, and for a lot of the size given.
POINTS = [
    (800, 0.01, 0.9998, 1.0000),
    (800, 0.025, 0.9848, 0.9898),
    (800, 0.05, 0.7892, 0.7983),
    (800, 0.10, 0.1769, 0.1629),
    (400, 0.01, 0.9984, 0.9998),
    (400, 0.025, 0.9638, 0.9743),
    (400, 0.05, 0.7604, 0.7690),
    (400, 0.10, 0.2503, 0.2320),
    (200, 0.01, 0.9960, 1.0000),
    (200, 0.025, 0.9548, 0.9701),
    (200, 0.05, 0.7861, 0.7976),
    (200, 0.10, 0.3667, 0.3456),
]


@pytest.mark.parametrize(("lot", "misread", "steady", "in_lot"), POINTS)
def test_points_of_the_operating_characteristic(lot, misread, steady, in_lot):
    asked = sampling_plan(lot, 2.5)
    assert chance_of_passing(asked, misread) == pytest.approx(steady, abs=5e-5)
    assert chance_of_passing_a_lot(asked, round(lot * misread)) == pytest.approx(in_lot, abs=5e-5)


def test_more_misread_never_passes_more_often():
    for lot, _, aql, *_ in CELLS:
        chances = [chance_of_passing(sampling_plan(lot, aql), p) for p in np.linspace(0, 1, 21)]
        assert chances[0] == 1
        assert all(worse <= better for better, worse in pairwise(chances))


def test_looking_at_everything_finds_everything():
    asked = sampling_plan(10, 1.5 + 1.0)
    assert (asked.sample, asked.check_all) == (5, False)
    small = sampling_plan(4, 2.5)
    assert small.check_all
    assert small.sentence == "Look again at all 4 items; the day passes only if none is misread."
    assert (chance_of_passing_a_lot(small, 0), chance_of_passing_a_lot(small, 1)) == (1, 0)
    assert what_it_means(small, 0.25).endswith("so none stays misread.")
    assert sampling_plan(1, 2.5).sentence.startswith("Look again at the one item")


def test_the_words_of_a_day():
    assert what_it_means(sampling_plan(800, 2.5), 0.05) == (
        "A day with 5 % misread would pass 4 times out of 5. If failed days are looked through "
        "and what is found is mended, about 3.6 % of items stay misread."
    )


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (1.0, "always"),
        (0.9998, "nearly always"),
        (0.985, "49 times out of 50"),
        (0.789, "4 times out of 5"),
        (0.76, "3 times out of 4"),
        (0.5, "1 time out of 2"),
        (0.1769, "9 times out of 50"),
        (0.1, "1 time out of 10"),
        (0.01, "1 time out of 100"),
        (0.001, "hardly ever"),
        (0.0, "never"),
    ],
)
def test_chances_are_said_as_small_fractions(chance, words):
    assert times_of(chance) == words


def test_the_fraction_said_is_never_far_from_the_chance():
    far = []
    for chance in np.linspace(0.006, 0.994, 60):
        part, whole = times_of(chance).replace("times", "time").split(" time out of ")
        if abs(int(part) / int(whole) - chance) > 0.02:
            far.append((chance, part, whole))
    assert far == []


def test_days_left_misread_agree_with_a_simulated_year():
    """20,000 days of 200 items, 5 % misread each: those found are mended, failed days are looked
    through. The mean must agree within four standard errors."""
    asked, rng = sampling_plan(200, 2.5), np.random.default_rng(3)
    wrong = rng.binomial(asked.lot, 0.05, 20_000)
    found = rng.hypergeometric(wrong, asked.lot - wrong, asked.sample)
    left = np.where(found <= asked.accept, wrong - found, 0) / asked.lot
    error = left.std() / np.sqrt(len(left))
    assert abs(left.mean() - left_misread(asked, 0.05)) < 4 * error


def test_the_draw_is_seeded_fair_and_without_repeats():
    asked = sampling_plan(60, 2.5)
    items = [f"I{place}" for place in range(60)]
    one = choose(items, asked, np.random.default_rng(7))
    assert one == choose(items, asked, np.random.default_rng(7))
    assert one != choose(items, asked, np.random.default_rng(8))
    assert len(set(one)) == asked.sample == 20
    rng, drawn = np.random.default_rng(5), np.zeros(60)
    for _ in range(900):
        drawn[list(choose(range(60), asked, rng))] += 1
    # Each item is drawn in a third of 900; a fair draw falls outside once in 10,000 runs.
    expected = np.full(60, 300.0)
    statistic = ((drawn - expected) ** 2 / (300 * 2 / 3)).sum() * 59 / 60
    assert statistic < stats.chi2.ppf(0.9999, 59)


@pytest.mark.parametrize(
    ("lot", "aql", "words"),
    [
        (0, 2.5, "a day of 0 items"),
        (10_001, 2.5, "split a larger intake"),
        (50, 3.0, "no quality level 3"),
        (-4, 2.5, "a day of -4 items"),
    ],
)
def test_what_the_table_lacks_is_said(lot, aql, words):
    with pytest.raises(SettingError, match=words):
        sampling_plan(lot, aql)


def test_a_plan_for_another_day_is_refused():
    with pytest.raises(ValueError, match="60 items, not for 3"):
        choose([1, 2, 3], sampling_plan(60, 2.5), np.random.default_rng(0))


def test_a_day_passes_with_just_as_many_misread_as_its_plan_allows():
    """ISO 2859-1 for 200 items at 2.5 %: 32 looked at, accepted with 2, refused with 3."""
    asked = sampling_plan(200, 2.5)
    assert asked.passes(2)
    assert not asked.passes(3)
