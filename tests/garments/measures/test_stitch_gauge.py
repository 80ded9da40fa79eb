"""Stitch density from counts over a gauge."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from resale.errors import ReadingError
from resale.garments.measures.stitch_gauge import (
    GAUGES,
    custom_gauge,
    density,
    parse_count,
)


@pytest.mark.parametrize(("count", "per_inch"), [(8, 6.4), (10, 8.0), (15, 12.0), (20, 16.0)])
def test_a_count_over_a_folded_note_is_the_density_by_arithmetic(count, per_inch):
    """n stitches over 1.25 inch are n/1.25 to the inch; redone by hand, exact to rounding."""
    assert density(count, GAUGES["folded_note"]).per_inch == pytest.approx(per_inch, abs=1e-12)


def test_ten_over_a_us_note_is_7_663_to_the_inch():
    """Published note height 2.61 inch (from memory), folded: 10/1.305 = 7.663, three decimals."""
    assert density(10, GAUGES["folded_us_note"]).per_inch == pytest.approx(7.663, abs=5e-4)


@pytest.mark.parametrize(
    ("per_inch", "per_cm", "per_three_cm", "mm"),
    [
        (7, 2.756, 8.27, 3.629),
        (8, 3.150, 9.45, 3.175),
        (10, 3.937, 11.81, 2.54),
        (12, 4.724, 14.17, 2.117),
        (14, 5.512, 16.54, 1.814),
        (20, 7.874, 23.62, 1.27),
    ],
)
def test_stitches_per_inch_convert_to_metric_by_arithmetic(per_inch, per_cm, per_three_cm, mm):
    """1 inch = 25.4 mm; redone by hand. Tolerance: half of the last digit shown."""
    found = density(per_inch, GAUGES["inch"])
    assert found.per_cm == pytest.approx(per_cm, abs=5e-4)
    assert 3 * found.per_cm == pytest.approx(per_three_cm, abs=5e-3)
    assert found.mm_per_stitch == pytest.approx(mm, abs=5e-4)


@pytest.mark.parametrize(("gauge", "error"), [("folded_note", 0.8), ("three_inch", 1 / 3)])
def test_one_stitch_of_miscount_is_an_error_per_inch(gauge, error):
    """One stitch over 1.25 inch is 0.8 to the inch, over 3 inches a third; redone by hand."""
    assert density(10, GAUGES[gauge]).error_per_inch == pytest.approx(error, abs=1e-12)


def test_arrays_go_in_and_come_out_in_the_same_shape():
    counts = np.array([[8.0, 10.0], [15.0, 20.0]])
    found = density(counts, GAUGES["folded_note"])
    assert found.per_inch.shape == found.mm_per_stitch.shape == (2, 2)
    assert np.allclose(found.per_inch, [[6.4, 8.0], [12.0, 16.0]])


@pytest.mark.parametrize(
    ("count", "fragment"),
    [
        (0, "is not above 0"),
        (-3, "is not above 0"),
        (np.nan, "is not a number"),
        (np.inf, "is not a number"),
        (61, "more than 60 to the inch"),
        ("many", "is not a number"),
        (None, "is not a number"),
    ],
)
def test_a_bad_count_says_what_and_how(count, fragment):
    with pytest.raises(ReadingError) as caught:
        density(count, GAUGES["inch"])
    assert fragment in caught.value.sentence
    assert caught.value.remedy


def test_a_bad_count_in_an_array_says_which():
    with pytest.raises(ReadingError, match="count 3: the stitch count -1"):
        density([10, 12, -1], GAUGES["inch"])


@pytest.mark.parametrize("length_mm", [0, -1, 0.5, 1001, np.nan, np.inf])
def test_a_gauge_that_cannot_be_used_is_refused(length_mm):
    with pytest.raises(ReadingError, match="cannot be used"):
        custom_gauge(length_mm)


def test_a_gauge_of_a_known_length_is_the_known_gauge():
    assert custom_gauge(25.4) is GAUGES["inch"]
    assert custom_gauge(40).id == "custom"


@pytest.mark.parametrize(
    ("text", "count", "gauge"),
    [
        ("12", 12.0, "three_cm"),
        ("12,5", 12.5, "three_cm"),
        ("12 in 1.25 in", 12.0, "folded_note"),
        ('12 over 1 1/4"', 12.0, "folded_note"),
        ("12/3cm", 12.0, "three_cm"),
        ("12 per 3 cm", 12.0, "three_cm"),
        ("20 auf 5 cm", 20.0, "five_cm"),
        ("9.5 per inch", 9.5, "inch"),
        ("10 spi", 10.0, "inch"),
        ("10 SPI", 10.0, "inch"),
        ("10 stitches per inch", 10.0, "inch"),
        ("4 per cm", 4.0, "cm"),
        ("30/3 in", 30.0, "three_inch"),
    ],
)
def test_a_count_is_read_as_typed_in_a_cell(text, count, gauge):
    assert parse_count(text, GAUGES["three_cm"]) == (count, GAUGES[gauge])


@pytest.mark.parametrize(
    ("text", "fragment"),
    [
        ("", "is not a stitch count"),
        ("many", "is not a stitch count"),
        ("-4", "is not a stitch count"),
        ("12 per 3", "has no unit"),
        ("12 in", "is not a stitch count"),
        ("12 per ell", "the unit 'ell' is not known"),
        ("12 per 0 cm", "cannot be used"),
        ("0", "is not above 0"),
        ("99 per cm", "more than 60 to the inch"),
    ],
)
def test_a_bad_cell_says_what_where_and_how(text, fragment):
    with pytest.raises(ReadingError) as caught:
        parse_count(text, where="row 7")
    assert fragment in caught.value.what
    assert caught.value.where == "row 7"
    assert caught.value.remedy


@given(st.floats(0.1, 50), st.sampled_from(sorted(GAUGES)))
def test_density_times_gauge_gives_the_count_back(per_inch, name):
    gauge = GAUGES[name]
    count = per_inch * gauge.length_mm / 25.4
    found = density(count, gauge)
    assert found.per_inch == pytest.approx(per_inch)
    assert found.mm_per_stitch * count == pytest.approx(gauge.length_mm)
    assert found.per_cm * 2.54 == pytest.approx(found.per_inch)


@given(st.text(max_size=40))
def test_any_cell_is_a_count_or_a_sentence(text):
    try:
        count, gauge = parse_count(text)
        assert density(count, gauge).per_inch > 0
    except ReadingError as fault:
        assert fault.sentence.endswith(".")
