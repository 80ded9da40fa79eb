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
