"""Cords on children's wear, at and about every published limit."""

import math

import pytest

from resale.errors import ReadingError
from resale.safety.cords import ChildSize, cord_rule, read_child_size
from resale.safety.holds import hold_called

FAST = {"attachments": False, "stitched_fast": True}

# 16 CFR 1120 and ASTM F1816-97, as on the CPSC page "Drawstrings in Children's Upper Outerwear":
# none at hood or neck in 2T to 12; at waist or bottom in 2T to 16 at most 3 in outside the channel
# at full width, no toggles or knots at the ends, one continuous string bar-tacked.
US = [
    ("2T", "neck", 0.5, "hold"),
    ("12", "neck", 0.1, "hold"),
    ("13", "neck", 9.0, "within"),
    ("14", "neck", 9.0, "within"),
    ("14", "waist", 3.01, "hold"),
    ("14", "waist", 3.0, "within"),
    ("2T", "waist", 3.0, "within"),
    ("2T", "waist", 3.001, "hold"),
    ("16", "waist", 3.2, "hold"),
    ("17", "waist", 12.0, "within"),
    ("1T", "neck", 1.0, "ask"),
    ("18 months", "neck", 1.0, "ask"),
    ("M", "waist", 1.0, "ask"),
    ("6 years", "neck", 1.0, "ask"),
    ("", "neck", 1.0, "ask"),
]


@pytest.mark.parametrize(("size", "place", "length", "verdict"), US)
def test_the_us_rule_at_its_limits(size, place, length, verdict):
    found = cord_rule(size, place, length, "us", **FAST)
    assert found.verdict == verdict
    assert found.holds == (verdict != "within")
    assert found.source == "16 CFR 1120, ASTM F1816-97"


@pytest.mark.parametrize(
    ("attachments", "stitched", "verdict"),
    [
        (True, True, "hold"),
        (False, False, "hold"),
        (None, True, "ask"),
        (False, None, "ask"),
        (None, None, "ask"),
        (True, None, "hold"),
        (None, False, "hold"),
        (False, True, "within"),
    ],
)
def test_a_short_cord_still_needs_plain_ends_and_a_fast_string(attachments, stitched, verdict):
    found = cord_rule("8", "waist", 2.0, "us", attachments=attachments, stitched_fast=stitched)
    assert found.verdict == verdict


# EN 14682, as on the page of the Finnish authority: nothing at hood, head or neck up to 7 years or
# 134 cm; no drawstring with free ends there up to 14 years; heights end at 182 cm.
EU = [
    ("6 years", "neck", True, "hold"),
    ("7 years", "neck", None, "hold"),
    ("134 cm", "neck", False, "hold"),
    ("135 cm", "neck", True, "hold"),
    ("135 cm", "neck", False, "ask"),
    ("8 years", "neck", None, "ask"),
    ("14 years", "neck", True, "hold"),
    ("15 years", "neck", True, "within"),
    ("182 cm", "neck", True, "hold"),
    ("183 cm", "neck", True, "within"),
    ("9 months", "neck", None, "hold"),
    ("5 years", "waist", None, "ask"),
    ("15 years", "waist", None, "within"),
    ("4T", "neck", True, "ask"),
    ("7-8 years", "neck", None, "hold"),
    ("134-140 cm", "neck", None, "hold"),
]


@pytest.mark.parametrize(("size", "place", "free", "verdict"), EU)
def test_the_european_rule_at_its_limits(size, place, free, verdict):
    found = cord_rule(size, place, 4.0, "eu", free_ends=free)
    assert (found.verdict, found.source) == (verdict, "EN 14682")


def test_elsewhere_a_lead_asks_the_authority():
    found = cord_rule("8", "neck", 1.0, "somewhere")
    assert (found.verdict, found.holds) == ("ask", True)
    assert "public authority" in found.sentence
    assert hold_called("child_cords").by_hand


def test_every_answer_is_one_sentence():
    for size, place, length, _ in US:
        for region in ("us", "eu", "elsewhere"):
            found = cord_rule(size, place, length, region)
            assert found.sentence.endswith(".")
            assert found.sentence[0].isupper() or found.sentence[0].isdigit()


@pytest.mark.parametrize("length", [-0.1, math.nan, math.inf, 101])
def test_a_length_that_cannot_be_is_refused(length):
    with pytest.raises(ReadingError, match="cannot be"):
        cord_rule("8", "waist", length, "us")


def test_a_place_that_no_cord_has_is_refused():
    with pytest.raises(ReadingError, match="use neck or waist"):
        cord_rule("8", "sleeve", 1.0, "us")


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("2t", ChildSize(us=2)),
        (" 10 ", ChildSize(us=10)),
        ("24M", ChildSize(age=2)),
        ("3-4 yrs", ChildSize(age=3)),
        ("98/104 cm", ChildSize(cm=98)),
        ("104", ChildSize()),
        ("large", ChildSize()),
        ("6X", ChildSize()),
    ],
)
def test_sizes_are_read_or_left_open(text, size):
    assert read_child_size(text) == size
