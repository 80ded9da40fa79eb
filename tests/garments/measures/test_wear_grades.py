"""Published grade scales: direction, nominal values, limits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from resale.errors import ReadingError
from resale.garments.measures.wear_grades import (
    COLOUR_CHANGE_STEPS,
    GRADES,
    SOURCES,
    STAINING_STEPS,
    WearGrade,
    WearScale,
    grey_scale_grade,
    grey_scale_rating,
    parse_grade,
    staining_rating,
)

# ISO 105-A02:1993 cl. 2.4: grade, nominal CIELAB difference, tolerance. Seen at
# standards.iteh.ai (EN 20105-A02:1994) and in the Russian edition at ajdocs.ru/gsp/51985/6.
A02 = [
    (5.0, 0.0, 0.2),
    (4.5, 0.8, 0.2),
    (4.0, 1.7, 0.3),
    (3.5, 2.5, 0.35),
    (3.0, 3.4, 0.4),
    (2.5, 4.8, 0.5),
    (2.0, 6.8, 0.6),
    (1.5, 9.6, 0.7),
    (1.0, 13.6, 1.0),
]
# ISO 105-A03:1993, from memory.
A03 = [
    (5.0, 0.0, 0.2),
    (4.5, 2.2, 0.3),
    (4.0, 4.3, 0.3),
    (3.5, 6.0, 0.4),
    (3.0, 8.5, 0.5),
    (2.5, 12.0, 0.7),
    (2.0, 16.9, 1.0),
    (1.5, 24.0, 1.5),
    (1.0, 34.1, 2.0),
]
# ISO 105-A05:1996, table, from memory: limit, grade just below it, grade at it.
A05 = [
    (0.40, 5.0, 4.5),
    (1.25, 4.5, 4.0),
    (2.10, 4.0, 3.5),
    (2.95, 3.5, 3.0),
    (4.10, 3.0, 2.5),
    (5.80, 2.5, 2.0),
    (8.20, 2.0, 1.5),
    (11.60, 1.5, 1.0),
]


def test_the_grey_scale_for_colour_change_is_the_published_one():
    assert [(s.grade, s.delta_e, s.tolerance) for s in COLOUR_CHANGE_STEPS] == A02


def test_the_grey_scale_for_staining_is_another_scale():
    assert [(s.grade, s.delta_e, s.tolerance) for s in STAINING_STEPS] == A03
    assert all(
        a.delta_e < b.delta_e
        for a, b in zip(COLOUR_CHANGE_STEPS[1:], STAINING_STEPS[1:], strict=True)
    )


@pytest.mark.parametrize(("grade", "delta_e", "tolerance"), A02)
def test_a_nominal_pair_gets_its_own_grade(grade, delta_e, tolerance):
    assert grey_scale_grade(delta_e) == grade


@pytest.mark.parametrize(("limit", "below", "at"), A05)
def test_a_difference_at_a_limit_takes_the_lower_grade(limit, below, at):
    assert grey_scale_grade(np.nextafter(limit, 0)) == below
    assert grey_scale_grade(limit) == at


def test_two_greys_3_4_apart_in_lightness_are_grade_3():
    """ISO 105-A05: for L* 50 and 53.4 with a = b = 0 the other terms vanish; recomputed."""
    assert grey_scale_grade(53.4 - 50.0) == 3.0


@pytest.mark.parametrize(
    ("delta_e", "rating"),
    # Companion formula of A05 (from memory), recomputed: exact at these four points.
    [(0.0, 5.0), (1.7, 4.0), (3.4, 3.0), (6.8, 2.0), (13.6, 1.0), (100.0, 1.0)],
)
def test_the_smooth_rating_meets_the_whole_grades(delta_e, rating):
    assert grey_scale_rating(delta_e) == pytest.approx(rating, abs=1e-12)


@pytest.mark.parametrize(
    ("delta_e", "rating"),
    # ISO 105-A04 (from memory), recomputed to two decimals, hence half of the last digit.
    [(4.3, 3.99), (6.0, 3.50), (8.5, 3.00), (12, 2.50), (16.9, 2.00), (24, 1.49), (34.1, 1.0)],
)
def test_the_staining_rating_meets_its_own_scale(delta_e, rating):
    # A pure difference in lightness, so d equals the whole difference. At 34.1 the formula gives
    # 0.98; the scale ends at 1.
    assert staining_rating(delta_e, delta_e) == pytest.approx(rating, abs=0.0051)


def test_arrays_go_in_and_come_out():
    assert grey_scale_grade([0.0, 3.4, 20.0]).tolist() == [5.0, 3.0, 1.0]
    assert grey_scale_rating(np.array([[1.7]])).shape == (1, 1)
    assert staining_rating([0.0, 8.5], [0.0, 8.5]).shape == (2,)


@pytest.mark.parametrize("bad", [-0.1, np.nan, np.inf, [1.0, -1.0]])
@pytest.mark.parametrize(
    "grade", [grey_scale_grade, grey_scale_rating, lambda bad: staining_rating(bad, 0.0)]
)
def test_a_difference_that_cannot_be_is_refused(grade, bad):
    with pytest.raises(ReadingError, match="negative or not a number"):
        grade(bad)


def test_lightness_cannot_differ_by_more_than_the_whole():
    with pytest.raises(ReadingError, match="larger than the whole"):
        staining_rating(3.0, -4.0)


def test_five_is_best_on_every_scale():
    for scale in WearScale:
        best, worst = WearGrade(scale, 5.0), WearGrade(scale, 1.0)
        assert best.wording != worst.wording
        assert SOURCES[scale].standard.startswith("ISO ")


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("4", 4.0),
        ("4-5", 4.5),
        ("5-4", 4.5),
        ("4/5", 4.5),
        ("3.5", 3.5),
        ("3,5", 3.5),
        (" 1 ", 1.0),
    ],
)
def test_a_grade_is_read_as_typed(text, value):
    assert parse_grade(text, WearScale.PILLING) == WearGrade(WearScale.PILLING, value)


@pytest.mark.parametrize("text", ["", "0", "6", "5.5", "3-5", "4-4", "4.2", "good", "-3", "45"])
def test_a_bad_grade_says_what_where_and_how(text):
    with pytest.raises(ReadingError) as caught:
        parse_grade(text, WearScale.COLOUR_CHANGE, where="row 2")
    assert "is not a grade of colour change" in caught.value.what
    assert caught.value.where == "row 2"
    assert caught.value.remedy


@pytest.mark.parametrize("value", [0.0, 5.5, 3.3, float("nan")])
def test_a_grade_off_the_scale_cannot_be_made(value):
    with pytest.raises(ReadingError, match="not on the scale"):
        WearGrade(WearScale.PILLING, value)


@pytest.mark.parametrize("value", GRADES)
def test_a_label_reads_back_as_its_grade(value):
    grade = WearGrade(WearScale.FUZZING, value)
    assert parse_grade(grade.label, WearScale.FUZZING) == grade
    assert grade.wording


@given(st.floats(0, 50), st.floats(0, 50))
def test_a_larger_difference_never_gets_a_better_grade(a, b):
    small, large = sorted((a, b))
    assert grey_scale_grade(large) <= grey_scale_grade(small)
    assert grey_scale_rating(large) <= grey_scale_rating(small)


@given(st.floats(0, 50))
def test_the_table_and_the_formula_are_never_half_a_grade_apart(delta_e):
    # Derived: the widest gap is just under a limit, 0.40/1.7 = 0.24 of a grade; near 4.1 it is
    # 0.27. Half a grade is the step of the table.
    assert abs(grey_scale_grade(delta_e) - grey_scale_rating(delta_e)) < 0.5
