"""Letters of any script: printed as they are, or said before anything is printed."""

from __future__ import annotations

from datetime import date
from io import BytesIO

import pytest
from pypdf import PdfReader

from resale.money import Money
from resale.selling.tickets.label_stock import stock_named
from resale.selling.tickets.lost_letters import lost_letters
from resale.selling.tickets.print_tickets import tickets_pdf
from resale.selling.tickets.ticket import Ticket

MONEY = Money("EUR", "el_GR")


def printed(kind: str, shop: str = "") -> str:
    one = Ticket("Q-00001", kind, "M", 1450, date(2026, 11, 29))
    pdf = tickets_pdf([one], stock_named("a4-2x7"), MONEY, shop=shop)
    return PdfReader(BytesIO(pdf)).pages[0].extract_text()


# 'Jacket' in Greek, Cyrillic, Armenian and Georgian, and signs that people write beside it.
@pytest.mark.parametrize("word", ["Σακάκι", "Піджак", "Բաճկոն", "ქურთუკი", "Coat ♥ ★ 😀"])
def test_letters_of_these_scripts_print_as_they_are(word: str) -> None:
    assert lost_letters(word) == ""
    text = printed(word, shop=word)
    assert text.count(word) == 2 and "?" not in text


# Joined, running from the right, or of more letters than any file of ours has.
@pytest.mark.parametrize("word", ["سترة", "ז'קט", "夹克", "재킷", "जैकेट", "🧥"])
def test_what_will_not_print_is_said_before_and_is_a_question_mark(word: str) -> None:
    said = lost_letters(["Jacket", ("plain", f"{word} blue")])
    assert word in said and "plain" not in said and "blue" not in said
    assert "?" in printed(word)


def test_a_document_without_such_letters_is_the_same_as_ever() -> None:
    one = Ticket("Q-00001", "Пальто", "M", 1450, date(2026, 11, 29))
    pdf = tickets_pdf([one], stock_named("a4-2x7"), MONEY)
    fonts = {str(font["/BaseFont"]) for font in _fonts(pdf)}
    assert fonts and not any("DejaVu" in font for font in fonts)


def _fonts(pdf: bytes) -> list[dict[str, object]]:
    page = PdfReader(BytesIO(pdf)).pages[0]
    return [font.get_object() for font in page["/Resources"]["/Font"].values()]
