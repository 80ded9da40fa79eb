"""Which signs of the card share a row: as many answers, and the order of the hand otherwise."""

from __future__ import annotations

from typing import Any

import pytest

from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.valuation.striking import Striking
from resale.web.bench.card_rows import HALVES, card_rows

SIGNALS = load_rule_book().kinds["jacket"].signals


def card(*counts: int) -> list[Striking]:
    """Signs of a card with so many answers; what they say does not matter."""
    answer: Any = None
    return [
        Striking(signal, (answer,) * count) for signal, count in zip(SIGNALS, counts, strict=False)
    ]


@pytest.mark.parametrize(
    ("counts", "rows"),
    [
        ((), []),
        # The later of two comes up to the earlier, past what fills a row by itself.
        ((1, 3, 1), [(0, 2), (1,)]),
        ((2, 1, 4, 1, 2, 4), [(0, 4), (1, 3), (2, 5)]),
        # A third finds no other, and five or more need the whole row.
        ((1, 1, 1), [(0, 1), (2,)]),
        ((5, 5, 7), [(0,), (1,), (2,)]),
    ],
)
def test_signs_with_as_many_answers_share_a_row(
    counts: tuple[int, ...], rows: list[tuple[int, ...]]
) -> None:
    signs = card(*counts)
    assert [tuple(map(signs.index, row)) for row in card_rows(signs)] == rows


def test_a_card_keeps_every_sign_once_and_begins_its_rows_in_the_order_of_the_hand() -> None:
    signs = card(*[1 + place * 7 % 6 for place in range(len(SIGNALS))])
    rows = card_rows(signs)
    laid = [sign for row in rows for sign in row]
    assert sorted(map(signs.index, laid)) == list(range(len(signs)))
    begun = [signs.index(row[0]) for row in rows]
    assert begun == sorted(begun)
    for row in rows:
        assert len({len(one.options) for one in row}) == 1
        assert len(row) == 1 or len(row[0].options) in HALVES
