"""Cards from photos: the right answer stands among the others, with how to look."""

from datetime import UTC, datetime

import pytest

from resale.garments.rulebook.rule_book import load_rule_book
from resale.training.practice.photo_cards import (
    MOST_ANSWERS,
    PhotoTaught,
    photo_card,
    photo_drills,
    photo_drills_met,
)
from resale.training.practice.schedule import Progress

BOOK = load_rule_book()
PILLS = PhotoTaught(7, "jacket", "pilling", "grade_3")
GONE = [
    PhotoTaught(1, "kite", "pilling", "grade_3"),
    PhotoTaught(2, "jacket", "no_such_sign", "grade_3"),
    PhotoTaught(3, "jacket", "pilling", "grade_9"),
]


def test_the_right_option_is_offered_in_the_order_of_the_book_with_how_to_look():
    card = photo_card(BOOK, PILLS)
    signal = BOOK.kinds["jacket"].by_id["pilling"]
    assert [one.id for one in card.answers] == list(signal.option_ids)
    assert card.truth == "grade_3" and card.is_right("grade_3")
    assert "which of these is it?" in card.question
    assert signal.hands in card.why and signal.see in card.why
    assert card.signal_ids == ("pilling",) and card.zone == signal.zone


def test_of_many_options_the_right_one_and_some_others_are_offered():
    for signal in BOOK.kinds["shoes"].signals:
        for option in signal.option_ids:
            card = photo_card(BOOK, PhotoTaught(11, "shoes", signal.id, option))
            ids = [one.id for one in card.answers]
            assert option in ids and len(set(ids)) == len(ids) <= MOST_ANSWERS
            assert ids == [one for one in signal.option_ids if one in ids]
    again = [photo_card(BOOK, PILLS) for _ in range(2)]
    assert again[0] == again[1]


@pytest.mark.parametrize("photo", GONE)
def test_what_the_book_no_longer_has_makes_no_card(photo):
    assert photo_drills(BOOK, [photo]) == ()
    with pytest.raises(ValueError, match=f"no card for photo {photo.id}"):
        photo_card(BOOK, photo)


def test_a_sign_is_one_drill_however_many_photos_it_has():
    two = [PILLS, PhotoTaught(8, "shirt", "pilling", "grade_5"), *GONE]
    (drill,) = photo_drills(BOOK, two)
    assert (drill.key, drill.signal_ids) == ("card_photo/1/pilling", ("pilling",))
    assert photo_drills_met(BOOK, Progress()) == ()
    progress = Progress().answered(drill, True, 9, datetime(2026, 3, 2, tzinfo=UTC))
    assert photo_drills_met(BOOK, progress) == (drill,)
