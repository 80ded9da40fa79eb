"""What a column is taken for, looked over by what stands in its cells.

Headings alone mislead: a till's *item* may be a number or a word, and numbers that come again are
those of receipts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from resale.garments.rulebook.rule_book import RuleBook
from resale.storage.imports.tables.table_files import Table
from resale.storage.imports.words.word_lists import kind_in_words, usual_words, word_key

How = Literal[
    "told",
    "remembered",
    "same name",
    "usual word",
    "its cells",
    "much like",
    "for each or for all",
    "passed over",
]
# A price beside a number of pieces that does not say whether it is that of one: nobody has told.
EACH_OR_ALL: How = "for each or for all"
# What a heading or the cells say, and no person did: this may be put right by a surer look.
GUESSED = frozenset({"usual word", "much like", "passed over"})
# Shares of rows, opinions: from where the cells of a column decide what it is.
MOSTLY, RARELY = 0.6, 0.3
# So many numbers that stand twice in a hundred rows are slips; more are receipts.
SLIPS = 0.05
# Rows that are asked for their words, evenly spread: more would say the same.
LOOKED_AT = 1_000
# Columns of ours that may hold the word for a kind under another heading.
_WORDS = ("", "item", "note", "kind", "label")


@dataclass(frozen=True)
class Match:
    """What a column is taken for.

    Attributes
    ----------
    heading : str
        As folded in the table.
    column : str
        Ours; empty where it is passed over.
    examples : tuple of str
        Its first different cells.
    """

    heading: str
    column: str
    how: How
    examples: tuple[str, ...]


def looked_over(matches: tuple[Match, ...], table: Table, book: RuleBook) -> tuple[Match, ...]:
    """Put right what the cells show to be something else; what a person said is let stand.

    Parameters
    ----------
    matches : tuple of Match
        One a column of the table.
    """
    matches = _kind_by_its_words(matches, table, book)
    matches = _receipts(matches, table)
    return _price_of_each(matches)


def _kind_by_its_words(
    matches: tuple[Match, ...], table: Table, book: RuleBook
) -> tuple[Match, ...]:
    now = next((place for place, one in enumerate(matches) if one.column == "kind"), None)
    if now is not None and matches[now].how not in GUESSED:
        return matches
    shares = {
        place: _share_of_kinds(place, table, book)
        for place, one in enumerate(matches)
        if one.column in _WORDS and one.how not in ("told", "remembered")
    }
    best = max(shares, key=lambda place: (shares[place], place == now), default=None)
    had = 0.0 if now is None else shares[now]
    if best is None or best == now or shares[best] < MOSTLY or had > RARELY:
        return matches
    changed = list(matches)
    if now is not None:
        changed[now] = replace(changed[now], column="", how="passed over")
    changed[best] = replace(changed[best], column="kind", how="its cells")
    return tuple(changed)


def _share_of_kinds(place: int, table: Table, book: RuleBook) -> float:
    some = table.rows[:: max(1, len(table.rows) // LOOKED_AT)]
    cells = Counter(row[place] for row in some if place < len(row) and row[place].strip())
    read = sum(count for text, count in cells.items() if kind_in_words(text, book))
    return read / max(1, cells.total())


def _receipts(matches: tuple[Match, ...], table: Table) -> tuple[Match, ...]:
    """Take numbers that come again for those of receipts."""
    column = "" if any(one.column == "receipt" for one in matches) else "receipt"
    return tuple(
        replace(one, column=column, how="its cells")
        if one.column == "item" and one.how not in ("told", "remembered") and _again(place, table)
        else one
        for place, one in enumerate(matches)
    )


def _again(place: int, table: Table) -> bool:
    """Whether more numbers stand in several unlike rows than slips would explain."""
    rows = {tuple(row) for row in table.rows if place < len(row) and row[place].strip()}
    met = Counter(row[place].strip().casefold() for row in rows)
    again = sum(count - 1 for count in met.values())
    return again > max(2, SLIPS * len(rows))


def prices_as_tickets(matches: tuple[Match, ...]) -> tuple[Match, ...]:
    """In a list of what stands in the shop, take a price for what the ticket says.

    Parameters
    ----------
    matches : tuple of Match
        One a column; where one of them is a ticket already, nothing changes.
    """
    if any(one.column == "ticket" for one in matches):
        return matches
    return tuple(
        replace(one, column="ticket", how="its cells" if one.how == EACH_OR_ALL else one.how)
        if one.column == "price"
        else one
        for one in matches
    )


def to_remember(matches: Iterable[Match]) -> dict[str, str]:
    """Columns by heading, as the next file may take them; what is still to be told is left out.

    Parameters
    ----------
    matches : iterable of Match
        As the user saw them and let them stand.
    """
    seen = [one for one in matches if one.how != "passed over"]
    open_now = {"quantity"} if any(one.how == EACH_OR_ALL for one in seen) else set()
    return {
        one.heading: one.column
        for one in seen
        if one.how != EACH_OR_ALL and one.column not in open_now
    }


def _price_of_each(matches: tuple[Match, ...]) -> tuple[Match, ...]:
    """Where a row says how many and has a total too, a bare *price* is that of each.

    Without a total it may be either, and is asked about; once told for a file with pieces, that is
    remembered.
    """
    words = [word_key(word) for word in usual_words()["price"]]
    total_words = set(words[words.index("amount") : words.index("price")])
    bare_words = set(words[words.index("price") :])
    columns = {one.column: place for place, one in enumerate(matches) if one.column}
    place, pieces = columns.get("price"), columns.get("quantity")
    if place is None or pieces is None or "price_each" in columns:
        return matches
    one = matches[place]
    known = one.how == "remembered" and matches[pieces].how in ("told", "remembered")
    if one.how == "told" or known or word_key(one.heading) not in bare_words:
        return matches
    changed = list(matches)
    total = next(
        (
            at
            for at, other in enumerate(matches)
            if other.how == "passed over" and word_key(other.heading) in total_words
        ),
        None,
    )
    if total is None:
        changed[place] = replace(one, how=EACH_OR_ALL)
        return tuple(changed)
    changed[place] = replace(one, column="price_each", how="its cells")
    changed[total] = replace(changed[total], column="price", how="usual word")
    return tuple(changed)
