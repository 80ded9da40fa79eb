"""Lengths as people write them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from resale.errors import ReadingError
from resale.garments.measures.length import format_length, parse_length


@pytest.mark.parametrize(
    ("text", "cm"),
    [
        # 1 inch is 25.4 mm exactly (international yard and pound agreement of 1959), so no
        # tolerance beyond the six decimals kept.
        ("1 in", 2.54),
        ("1 1/4 in", 3.175),
        ("4 3/4 in", 12.065),
        ("4-3/4 in", 12.065),
        ("4¾ in", 12.065),
        ("¾ in", 1.905),
        ('4.75"', 12.065),
        ("4.75''", 12.065),
        ("4.75”", 12.065),
        ("3/4 inch", 1.905),
        ("2 inches", 5.08),
        ("2 Zoll", 5.08),
        ("12 cm", 12.0),
        ("12cm", 12.0),
        ("12,5 cm", 12.5),
        ("120 mm", 12.0),
        ("1.2 m", 120.0),
        (" 12 ", 12.0),
        ("0", 0.0),
    ],
)
def test_a_length_is_read_in_centimetres(text, cm):
    assert parse_length(text) == pytest.approx(cm, abs=1e-6)


def test_a_bare_number_takes_the_unit_of_the_shop():
    assert parse_length("10", "in") == 25.4
    assert parse_length("10", "cm") == 10.0


@pytest.mark.parametrize(
    ("text", "fragment"),
    [
        ("", "is not a length"),
        ("cm", "is not a length"),
        ("long", "is not a length"),
        ("-4 cm", "is not a length"),
        ("nan", "is not a length"),
        ("1e9", "is not a length"),
        ("4 3/0 in", "is not a length"),
        ("4.5 3/4 in", "is not a length"),
        ("4 3 in", "is not a length"),
        ("12 ells", "the unit 'ells' is not known"),
        ("11 m", "is over 10 m"),
        ("9" * 400, "is not a length"),
    ],
)
def test_a_bad_length_says_what_where_and_how(text, fragment):
    with pytest.raises(ReadingError) as caught:
        parse_length(text, where="row 3, sleeve")
    assert fragment in caught.value.what
    assert caught.value.where == "row 3, sleeve"
    assert caught.value.remedy


@pytest.mark.parametrize(
    ("cm", "unit", "text"),
    [
        (12.065, "in", "4 3/4 in"),
        (1.905, "in", "3/4 in"),
        (5.08, "in", "2 in"),
        (0.0, "in", "0 in"),
        (-1.905, "in", "-3/4 in"),
        (12.0, "cm", "12 cm"),
        (12.54, "cm", "12.5 cm"),
        (-0.01, "cm", "0 cm"),
    ],
)
def test_a_length_is_shown_in_the_unit_of_the_shop(cm, unit, text):
    assert format_length(cm, unit) == text


def test_a_decimal_comma_is_shown_where_asked_and_nonsense_is_refused():
    assert format_length(12.5, decimal=",") == "12,5 cm"
    with pytest.raises(ReadingError):
        format_length(math.nan)


@given(st.floats(0, 900), st.sampled_from(["cm", "in"]))
def test_a_shown_length_reads_back_within_half_a_step(cm, unit):
    # Half a millimetre, or a sixteenth of an inch, is what showing rounds away.
    step = 0.05 if unit == "cm" else 2.54 / 16
    assert parse_length(format_length(cm, unit)) == pytest.approx(cm, abs=step + 1e-6)


@given(st.text(max_size=60))
def test_any_text_is_a_length_or_a_sentence(text):
    try:
        assert 0 <= parse_length(text) <= 1000
    except ReadingError as fault:
        assert fault.sentence.endswith(".")
