"""Where the book puts what a label or a gauge says: the published band, where there is one."""

from __future__ import annotations

import pytest

from resale.garments.measures.grading import measure
from resale.garments.rulebook.rule_book import load_rule_book

BOOK = load_rule_book()


@pytest.mark.parametrize(
    ("label", "option"),
    [
        # 'Pure' is one fibre alone: Reg. (EU) 1007/2011 art. 7 (read); 16 CFR 303.16 (read).
        ("100% cotton", "cotton"),
        ("90% cotton 10% polyester", "cotton_blend"),
        ("96% cotton 4% elastane", "cotton_stretch"),
        # Where a blend ends is common practice, no source.
        ("100% linen", "linen"),
        ("55% linen 45% polyester", "other_blend"),
        ("55% linen 45% cotton", "natural_blend"),
        ("40% angora 60% polyamide", "wool_blend"),
        ("40% mohair 60% polyamide", "fine_hair"),
    ],
)
def test_a_blend_is_not_called_by_its_better_half(label, option):
    assert measure(BOOK.kinds["shirt"].by_id["fibre_shell"], label).option_id == option


@pytest.mark.parametrize(
    ("count", "option"),
    [("7 in 1 in", "coarse"), ("9 in 1 in", "low"), ("11 in 1 in", "usual"),
     ("14 in 1 in", "usual"), ("18 in 1 in", "fine")],
)  # fmt: skip
def test_a_casual_shirt_at_ten_to_fourteen_is_usual(count, option):
    """A thread maker's bulletin (read): casual shirts and tops 10 to 14 stitches an inch, dress
    shirts and blouses 14 to 20."""
    assert measure(BOOK.kinds["shirt"].by_id["stitch_density"], count).option_id == option


DENIM, OTHER = {"denim_or_not": "denim"}, {"denim_or_not": "not_denim"}


@pytest.mark.parametrize(
    ("count", "answers", "option"),
    [
        # Jeans and dress trousers part, as the bulletin has them: denim 7 to 8 stitches an inch,
        # twill trousers 8 to 10, dress trousers and skirts 10 to 12 (read).
        (7, DENIM, "usual"), (8, DENIM, "usual"), (10, DENIM, "fine"), (5, DENIM, "coarse"),
        (8, OTHER, "usual"), (10, OTHER, "usual"), (12, OTHER, "usual"), (7, OTHER, "low"),
        # Nobody said which: what one of the two is sewn at as a rule is neither charged nor paid.
        (7, {}, "usual"), (8, {}, "usual"), (10, {}, "usual"), (12, {}, "usual"),
        (5, {}, "coarse"), (15, {}, "very_fine"),
    ],
)  # fmt: skip
def test_jeans_and_dress_trousers_have_a_band_each(count, answers, option):
    signal = BOOK.kinds["trousers"].by_id["stitch_density"]
    assert measure(signal, f"{count} in 1 in", answers).option_id == option


def test_a_count_that_hangs_on_the_sort_says_so_and_names_the_sign():
    signal = BOOK.kinds["trousers"].by_id["stitch_density"]
    (question,) = measure(signal, "10 in 1 in").questions
    assert question == (
        "It would be fine for denim, usual else: answer 'denim or not' to have it settled."
    )
    assert not measure(signal, "10 in 1 in", OTHER).questions
    assert not measure(signal, "8 in 1 in").questions


def test_fading_is_no_fault_of_denim_in_itself():
    """Denim is bought for fades where it was worn, not for sun on a fold (common practice)."""
    fade = BOOK.kinds["trousers"].by_id["denim_fade"]
    assert fade.only_if is not None and fade.only_if.options == ("denim",)
    worn, spoiled = fade.option("worn_in"), fade.option("spoiled")
    assert worn.effect > fade.option("washed").effect > spoiled.effect
    assert not any(option.gate for option in fade.options)
    grey = BOOK.kinds["trousers"].by_id["fading"].only_if
    assert grey is not None
    assert [grey.met(one) for one in (DENIM, OTHER, {})] == [False, True, True]


def test_angora_is_no_scarce_hair():
    """Forty percent angora was called scarce hair; it is a rabbit's, and common (practice)."""
    rules = BOOK.kinds["jacket"].by_id["fibre_shell"].measure.rules
    fine = next(rule for rule in rules if rule.option == "fine_hair")
    assert "angora" not in fine.fibres


def test_a_houses_own_coated_canvas_is_not_marked_down_as_plastic():
    """Common practice, no source."""
    material = BOOK.kinds["bag"].by_id["bag_material"]
    assert material.option("house_canvas").effect > 1 > material.option("coated").effect


def test_horn_is_not_called_cool_in_one_place_and_warm_in_another():
    """Keratin and plastics conduct heat about alike; pearl and metal are cold (common practice)."""
    for kind, signal in (("jacket", "jacket_buttons"), ("shirt", "shirt_button")):
        see = BOOK.kinds[kind].by_id[signal].see
        assert "warm beside pearl" in see and "Horn: cool" not in see


def test_suede_with_a_nap_on_both_sides_is_the_split():
    assert "split off the hide has a nap on both sides" in (
        BOOK.kinds["shoes"].by_id["shoe_upper"].fools
    )
