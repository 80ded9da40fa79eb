"""Marked sizes against the units that they are made of.

Paris point 2/3 cm, barleycorn 1/3 in and 'EU = 1.5 x last in cm' were seen in public pages (ISO
9407 on one, a shoe school's tables on another); the rows of feet below were worked out by hand
from them with 15 mm of room. Letters: EN 13402-3, from memory. Lands of women's numbers: from
memory.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from resale.garments.sizes.compared import size_words
from resale.garments.sizes.marked import bodies_of


# Foot in mm, EU and UK with a last 15 mm longer: by hand, EU = 1.5 x last, UK = 3 x last in - 25.
@pytest.mark.parametrize(
    ("foot", "european", "british"),
    [(240, 38.25, 5.12), (255, 40.5, 6.89), (270, 42.75, 8.66), (280, 44.25, 9.84)],
)
def test_a_shoe_of_either_land_holds_the_foot_it_was_reckoned_from(foot, european, british):
    for mark in (f"EU {european:.1f}", f"UK {british:.1f}"):
        (body,) = bodies_of(mark, "shoes")
        assert body.low <= foot / 10 <= body.high
        assert body.high - body.low == pytest.approx(1.0, abs=0.11)
    (mondo,) = bodies_of(str(foot), "shoes")
    assert mondo.low == mondo.high == foot / 10


def test_american_mens_shoes_stand_one_above_british():
    (british,), (american,) = bodies_of("UK 12", "shoes"), bodies_of("US 13", "shoes", "men")
    assert (british.low, british.high) == (american.low, american.high)


@given(st.integers(32, 52))
def test_one_body_has_one_range_whatever_land_marked_it(german):
    marks = [f"DE {german}", f"FR {german + 2}", f"IT {german + 6}", f"UK {german - 26}"]
    read = {(one.low, one.high) for mark in marks for one in bodies_of(mark, "dress", "women")}
    assert len(read) == 1


@pytest.mark.parametrize(
    ("mark", "kind", "who", "part", "within"),
    [
        ("M", "jacket", "men", "chest", (94, 102)),
        ("XL", "dress", "women", "chest", (107, 119)),
        ("IT 50", "jacket", "men", "chest", (98, 102)),
        ("15½", "shirt", "either", "neck", (38.9, 39.9)),  # 15.5 x 2.54 = 39.37
        ("39", "shirt", "either", "neck", (38.5, 39.5)),
        ("7 1/8", "hat", "either", "head", (56.4, 57.4)),  # 7.125 x pi x 2.54 = 56.85
        ("7", "gloves", "either", "hand", (18.2, 19.6)),  # 7 x 2.707 = 18.95
        ("116", "child", "either", "height", (110, 116)),
    ],
)
def test_a_mark_is_read_as_what_its_kind_measures(mark, kind, who, part, within):
    (body,) = bodies_of(mark, kind, who)
    assert (body.part, body.low, body.high) == (part, *within)


def test_jeans_are_marked_in_inches_of_waist_and_leg():
    for mark in ("W32 L34", "32/34", "32 x 34"):
        waist, leg = bodies_of(mark, "trousers")
        assert (waist.part, waist.low, leg.part, leg.low) == ("waist", 81.3, "inside leg", 86.4)


@given(st.text(max_size=30), st.sampled_from(["shoes", "dress", "hat", "shirt", "trousers", "bag"]))
def test_no_mark_whatever_raises(mark, kind):
    assert all(0 < one.low <= one.high for one in bodies_of(mark, kind))


def test_a_mark_that_the_tape_does_not_bear_out_is_warned_of():
    said = size_words("M", "shirt", "men", 64.0)
    assert "By the tape it fits 110 to 120 cm" in said and "larger than its mark" in said
    assert "larger" not in size_words("M", "shirt", "men", 55.0)
    assert "smaller than its mark" in size_words("XL", "shirt", "men", 46.0)


def test_a_number_of_too_many_lands_is_asked_for_its_land():
    assert "type the land with it" in size_words("50", "jacket")


def test_the_tape_speaks_of_what_the_kinds_size_speaks_of() -> None:
    # Last 27.5 cm is EU 41.25: a published worked example (1.5 x last in cm).
    assert "about EU 41.25." in size_words("41", "shoes", tape_cm=27.5)
    assert "smaller" not in size_words("41", "shoes", tape_cm=27.5)
    assert "It is smaller than its mark" in size_words("44", "shoes", tape_cm=27.5)
    # A waist of 32 in is 81.3 cm (1 in = 2.54 cm): 42 cm laid flat fits it, 47 is a vanity size.
    assert "larger" not in size_words("W32 L34", "trousers", "men", tape_cm=42)
    assert "It is larger than its mark" in size_words("W32 L34", "trousers", "men", tape_cm=47)
    assert "fits a neck of 39.5 to 40.5 cm" in size_words("40", "shirt", "men", tape_cm=40)
    assert "It is smaller" in size_words("16", "shirt", "men", tape_cm=37)
    assert size_words("", "bag", tape_cm=30) == ""
    # A slip of the tape fits nobody, and nothing is said of it.
    assert size_words("", "trousers", tape_cm=400) == ""
