"""What the shop's second looks come to: answers by sorter, and how often each sign is misread."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from resale.garments.rule_book import RuleBook
from resale.records.second_looks import SavedLook, looks
from resale.training.agreement import Answer
from resale.web.drill_people import lead_of
from resale.web.shop import Shop

BENCH = "first reading"
"""Who read an item at intake, as long as the bench does not ask for a name."""

FEWEST = 5


def answers_from(book: RuleBook, many: Iterable[SavedLook]) -> list[Answer]:
    """Turn second looks into answers; a first reading counts as a sorter of its own."""
    found = []
    for look in many:
        kind = book.kinds.get(look.kind)
        if kind is None:
            continue
        for sorter, choices in ((BENCH, look.first), (look.person, look.choices)):
            found += [
                Answer(look.number, sorter, look.kind, signal, option)
                for signal, option in choices.items()
                if signal in kind.by_id and option in kind.by_id[signal].option_ids
            ]
    return found


def misread_rates(shop: Shop) -> dict[str, float]:
    """How often sorters read each sign otherwise than the lead did, 0 to 1.

    Signs with few second looks are left out.
    """
    lead = lead_of(shop)
    answers = answers_from(shop.book, looks(shop.records))
    truth = {(one.item, one.signal): one.option for one in answers if one.sorter == lead}
    counts: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    for one in answers:
        right = truth.get((one.item, one.signal))
        if one.sorter != lead and right is not None:
            counts[one.signal][0] += one.option != right
            counts[one.signal][1] += 1
    return {signal: wrong / of for signal, (wrong, of) in counts.items() if of >= FEWEST}
