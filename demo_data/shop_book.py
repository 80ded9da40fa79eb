"""The part of the rule book that the invented shop deals in.

It has sold five kinds. The others stand in the book and on its Bench, and are priced by the book's
opinion: a shop that begins with a kind has no sales of it either.
"""

from __future__ import annotations

from resale.garments.rulebook.rule_book import RuleBook, load_rule_book

# Past sales of each kind.
SOLD = {"bag": 420, "jacket": 480, "shirt": 900, "shoes": 480, "trousers": 720}


def shop_book() -> RuleBook:
    """Give the rule book with the kinds that the shop sells."""
    return load_rule_book().of(SOLD)
