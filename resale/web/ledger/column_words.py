"""Our columns and options in words, for whoever matches a file with them."""

from __future__ import annotations

from collections.abc import Mapping

from resale.garments.rulebook.rule_book import RuleBook
from resale.storage.imports.words.word_lists import usual_words

PLAIN = {
    "item": "Number of the item",
    "kind": "Kind (needed)",
    "label": "Maker’s label",
    "size": "Size",
    "note": "Note",
    "taken_in_on": "Day taken in",
    "put_out_on": "Day put out",
    "first_ticket": "First ticket price",
    "ticket": "Last ticket price",
    "sold_on": "Day sold (needed)",
    "price": "Price the row brought (needed)",
    "price_each": "Price of each piece",
    "quantity": "How many pieces",
    "currency": "Currency",
    "receipt": "Number of the receipt",
    "consignor": "Who brought it",
}


def column_choices(book: RuleBook) -> list[tuple[str, list[tuple[str, str]]]]:
    """Columns to choose from, in groups, each with its name in words."""
    named = [(column, PLAIN.get(column, column)) for column in usual_words()]
    signals: dict[str, str] = {}
    for kind in book.kinds.values():
        for signal in kind.signals:
            signals.setdefault(signal.id, signal.name)
    ranked = sorted(signals.items(), key=lambda pair: pair[1])
    return [("The sale", named), ("Signs", ranked)]


def option_words(book: RuleBook) -> Mapping[tuple[str, str], str]:
    """Names of options and kinds by our column and id."""
    words = {("kind", kind.id): kind.text.name for kind in book.kinds.values()}
    for kind in book.kinds.values():
        for signal in kind.signals:
            for option in signal.options:
                words.setdefault((signal.id, option.id), option.name)
    return words
