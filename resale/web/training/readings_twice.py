"""What the shop's second looks come to: answers by sorter, and how often each sign is misread."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from resale.garments.rulebook.rule_book import RuleBook
from resale.services.training.read_twice import leads_of, looked_back_to
from resale.storage.items.readers import Readers, reader_then, readers
from resale.storage.people.second_looks import SavedLook, looks
from resale.training.agreement.by_signal import Answer
from resale.web.core.shop import Shop

BENCH = "first reading"
"""Who read an item at intake, where nobody was signed in."""

FEWEST = 5


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


def misread_rates(shop: Shop) -> dict[str, float]:
    """How often sorters read each sign otherwise than a lead did, 0 to 1.

    Signs with few second looks are left out.
    """
    leads = leads_of(shop)
    answers = answers_from(
        shop.book, looks(shop.records, since=looked_back_to(shop)), readers(shop.records)
    )
    truth = {(one.item, one.signal): one.option for one in answers if one.sorter in leads}
    counts: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    for one in answers:
        right = truth.get((one.item, one.signal))
        if one.sorter not in leads and right is not None:
            counts[one.signal][0] += one.option != right
            counts[one.signal][1] += 1
    return {signal: wrong / of for signal, (wrong, of) in counts.items() if of >= FEWEST}
