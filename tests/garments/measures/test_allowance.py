"""What a buyer can still have changed."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from resale.errors import ReadingError
from resale.garments.measures.allowance import hem_reach, sleeve_reach, waist_reach

CM = st.floats(0, 200)


@pytest.mark.parametrize(
    ("cuff", "change_cm", "at_most_cm"),
    [
        # Common practice, no source: 3/4 to 1 inch with working cuffs, 2 inches sewn on.
        ("working", 0.75 * 2.54, 2.54),
        ("sewn_on", 2 * 2.54, 5.08),
        ("none", 2 * 2.54, 5.08),
    ],
)
def test_the_cuff_decides_how_far_a_sleeve_moves(cuff, change_cm, at_most_cm):
    reach = sleeve_reach(cuff, 60.0)
    assert reach.shortest_cm == pytest.approx(60 - change_cm)
    assert reach.shorten_cm == pytest.approx(change_cm)
    assert reach.at_most_cm == pytest.approx(at_most_cm)


def test_no_length_is_promised_that_nobody_measured():
    """What a sleeve can be let down is the cloth inside it, mostly 1 to 1.5 in: common practice."""
    reach = sleeve_reach("sewn_on", 60.0)
    assert (reach.lengthen_cm, reach.longest_cm) == (0.0, 60.0)
    assert "measure it" in reach.note


def test_cloth_measured_in_the_cuff_limits_letting_down():
    reach = sleeve_reach("sewn_on", 60.0, turned_up_cm=3.0)
    assert (reach.shorten_cm, reach.lengthen_cm) == (pytest.approx(5.08), 2.0)
    assert sleeve_reach("sewn_on", 60.0, turned_up_cm=0.5).lengthen_cm == 0.0


def test_a_waist_lets_out_twice_the_spare_cloth_of_the_seam():
    """By hand: 25 mm each side, 10 kept, gives 2 * 15 = 30 mm on a round waist of 80 cm."""
    reach = waist_reach(40.0, 25.0)
    assert (reach.smallest_cm, reach.now_cm, reach.largest_cm) == (75.0, 80.0, 83.0)
    assert waist_reach(40.0, 25.0, keep_seam_mm=15, take_in_cm=2).largest_cm == 82.0


def test_a_seam_with_no_cloth_to_spare_lets_nothing_out():
    assert waist_reach(40.0, 8.0).let_out_cm == 0.0


def test_a_hem_lets_down_what_is_folded_less_what_must_stay():
    """By hand: 4 cm hem less 1; a 4 cm turn-up holds 8 cm more."""
    assert hem_reach(78.0, 4.0).longest_cm == 81.0
    assert hem_reach(78.0, 4.0, turn_up_cm=4.0).longest_cm == 89.0
    assert hem_reach(78.0, 0.5).lengthen_cm == 0.0
    assert hem_reach(3.0, 4.0).shortest_cm == 0.0


def test_arrays_go_in_and_come_out():
    waist = waist_reach(np.array([40.0, 45.0]), np.array([25.0, 5.0]))
    assert waist.largest_cm.tolist() == [83.0, 90.0]
    sleeve = sleeve_reach("working", [60.0, 62.0])
    assert np.allclose(sleeve.shortest_cm, [58.095, 60.095])
    hem = hem_reach(78.0, np.array([4.0, 0.0]))
    assert hem.longest_cm.tolist() == [81.0, 78.0]
    assert hem.shortest_cm.shape == (2,)


@pytest.mark.parametrize("bad", [-1.0, np.nan, np.inf, "wide", [40.0, -1.0]])
@pytest.mark.parametrize(
    "measure",
    [
        lambda bad: sleeve_reach("working", bad),
        lambda bad: sleeve_reach("working", 60.0, bad),
        lambda bad: waist_reach(bad, 20.0),
        lambda bad: waist_reach(40.0, bad),
        lambda bad: hem_reach(bad, 4.0),
        lambda bad: hem_reach(78.0, bad),
        lambda bad: hem_reach(78.0, 4.0, turn_up_cm=bad),
    ],
)
def test_a_bad_measure_says_which_and_how(measure, bad):
    with pytest.raises(ReadingError) as caught:
        measure(bad)
    assert caught.value.where
    assert caught.value.remedy


def test_an_unknown_cuff_names_the_known_ones():
    with pytest.raises(ReadingError, match="working, sewn_on, none"):
        sleeve_reach("loose", 60.0)


@given(CM, CM, CM)
def test_more_cloth_never_means_less_reach(length, less, more):
    less, more = sorted((less, more))
    assert hem_reach(length, less).longest_cm <= hem_reach(length, more).longest_cm
    assert waist_reach(length, less).largest_cm <= waist_reach(length, more).largest_cm


@given(CM, CM, st.sampled_from(["working", "sewn_on", "none"]))
def test_a_reach_always_holds_the_length_of_today_and_never_goes_below_nought(length, cloth, cuff):
    for reach in (sleeve_reach(cuff, length, cloth), hem_reach(length, cloth)):
        assert 0 <= reach.shortest_cm <= length <= reach.longest_cm
    waist = waist_reach(length, cloth)
    assert 0 <= waist.smallest_cm <= 2 * length <= waist.largest_cm
