"""What the shop's second looks come to: answers by sorter, and how often each sign is misread."""

from __future__ import annotations

from collections.abc import Iterable

from resale.garments.rulebook.rule_book import RuleBook
from resale.storage.items.readers import Readers, reader_then
from resale.storage.people.second_looks import SavedLook
from resale.training.agreement.by_signal import Answer

BENCH = "first reading"
"""Who read an item at intake, where nobody was signed in."""


def answers_from(book: RuleBook, many: Iterable[SavedLook], by: Readers) -> list[Answer]:
    """Turn second looks into answers; a first reading is that of whoever made it.

    Parameters
    ----------
    by : mapping of number to tuple of Reader
        Who read the items on the bench; where nobody was signed in, a first reading counts as a
        sorter of its own.
    """
    found = []
    for look in many:
        kind = book.kinds.get(look.kind)
        if kind is None:
            continue
        first = reader_then(by, look.number, look.made_at) or BENCH
        # Who reads a thing twice does not see it blind: only the first of both counts.
        again = {} if first == look.person else look.choices
        for sorter, choices in ((first, look.first), (look.person, again)):
            found += [
                Answer(look.number, sorter, look.kind, signal, option)
                for signal, option in choices.items()
                if signal in kind.by_id and option in kind.by_id[signal].option_ids
            ]
    return found
