"""Items are found whatever the capitals, in any alphabet and in either place."""

from __future__ import annotations

from a_save import AT, a_save
from sqlalchemy import Engine
from writing import save_item

from resale.storage.items.item_pages import items_page

ASKED = [
    ("Écharpe de laine", "écharpe laine"),
    ("écharpe de soie", "ÉCHARPE soie"),
    ("Größe klein, Öse lose", "öse"),
    ("ПАЛЬТО тёплое", "пальто"),
    ("Écharpe à pois", "echarpe a pois"),
    ("100 % Öl/Wachs", "% öl/w"),
    ("100 % Öl/Wachs", "_öl"),
    ("Harris weave", "HARRIS"),
]


def test_words_are_found_whatever_their_capitals(records: Engine) -> None:
    """Small letters are those of the Unicode standard's table; values from memory.

    Marks before and after a word stand for nothing.
    """
    for note in dict.fromkeys(kept for kept, _ in ASKED):
        save_item(records, a_save(note, note=note), AT)
    found = [(asked, [one.note for one in items_page(records, asked).lines]) for _, asked in ASKED]
    assert found == [(asked, [kept]) for kept, asked in ASKED]


def test_text_with_the_sign_that_ends_text_elsewhere_is_kept(records: Engine) -> None:
    """A server keeps no NUL in text; a save must not break on it."""
    save_item(records, a_save(note="a\0b", key="k\0"), AT)
    save_item(records, a_save(note="a\0b", key="k\0"), AT)
    assert items_page(records).total == 1
    assert items_page(records).lines[0].note.replace("\0", "") == "ab"
