"""Items are found whatever the capitals, in any alphabet and in either place."""

from __future__ import annotations

import pytest
from a_save import AT, a_save
from sqlalchemy import Engine
from writing import save_item

from resale.storage.items.item_pages import items_page


@pytest.mark.parametrize(
    ("kept", "asked", "found"),
    [
        ("Écharpe de laine", "écharpe", 1),
        ("écharpe de laine", "ÉCHARPE", 1),
        ("Größe klein, Öse lose", "öse", 1),
        ("ПАЛЬТО тёплое", "пальто", 1),
        ("Écharpe", "echarpe", 1),
        ("100 % Öl/Wachs", "% öl/w", 1),
        ("100 % Öl/Wachs", "_öl", 1),
        ("Harris weave", "HARRIS", 1),
    ],
)
def test_words_are_found_whatever_their_capitals(
    records: Engine, kept: str, asked: str, found: int
) -> None:
    """Small letters are those of the Unicode standard's table; values from memory.

    Marks before and after a word stand for nothing.
    """
    save_item(records, a_save(note=kept), AT)
    assert items_page(records, asked).total == found


def test_text_with_the_sign_that_ends_text_elsewhere_is_kept(records: Engine) -> None:
    """A server keeps no NUL in text; a save must not break on it."""
    save_item(records, a_save(note="a\0b", key="k\0"), AT)
    save_item(records, a_save(note="a\0b", key="k\0"), AT)
    assert items_page(records).total == 1
    assert items_page(records).lines[0].note.replace("\0", "") == "ab"
