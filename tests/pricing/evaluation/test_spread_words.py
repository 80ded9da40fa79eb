"""Signs take spread away: more is never said to be left than there is."""

from __future__ import annotations

import pytest

from resale.pricing.evaluation.spread_words import left_with_every_sign, spread_words


@pytest.mark.parametrize(
    ("spread", "noise", "left"),
    [(0.35, 0.2, 0.2), (0.2, 0.21, 0.2), (1.2, 3.23, None), (None, 0.2, 0.2)],
)
def test_what_is_left_is_never_more(spread: float | None, noise: float, left: float | None) -> None:
    assert left_with_every_sign(spread, noise) == left


def test_twelve_sales_and_one_slip_say_nothing_of_signs() -> None:
    assert "323" not in spread_words(1.2, 3.23) and "cannot be told" in spread_words(1.2, 3.23)
    assert "about 20% would be left" in spread_words(0.35, 0.2)
