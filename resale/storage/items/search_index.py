"""Words of items kept in rows of their own, in the write that changes them; made anew at any time.

A word stands once (`SearchWord`), and beside it the items that have it (`ItemWord`). The words of a
shop are some thousands however many items it has, so a part of a word, and one that was spelt
wrongly, are looked up among them; the items follow by an index. Both databases do that alike, with
no extension of either.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Any

from sqlalchemy import Engine, delete, func, select
from sqlalchemy import insert as plain_insert
from sqlalchemy.orm import Session

from resale.storage.db.tables import ItemRow, ItemWord, SearchWord, ValuationRow
from resale.storage.db.upsert import insert
from resale.storage.items.search_words import words_of

_AT_ONCE = 400


def keep_words(session: Session, items: Collection[int]) -> None:
    """Write the words of items as they are now, in place of those that they had.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    items : collection of int
        Ids.
    """
    session.flush()
    for some in _parts(sorted(set(items))):
        words = dict(_words(session, some))
        ids = _ids(session, sorted(frozenset().union(*words.values())))
        session.execute(delete(ItemWord).where(ItemWord.item_id.in_(some)))
        rows = [
            {"word_id": ids[word], "item_id": item} for item, own in words.items() for word in own
        ]
        if rows:
            session.execute(plain_insert(ItemWord), rows)


def keep_missing_words(engine: Engine) -> int:
    """Write the words of items that have none yet, as after an update; gives how many."""
    with Session(engine) as session:
        missing = session.scalars(_without_words()).all()
    if not missing:
        return 0
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        keep_words(session, session.scalars(_without_words()).all())
    return len(missing)


def _without_words() -> Any:
    known = select(ItemWord.item_id)
    return select(ValuationRow.item_id).where(ValuationRow.item_id.not_in(known)).distinct()


def _words(session: Session, items: Sequence[int]) -> Iterator[tuple[int, frozenset[str]]]:
    newest = (
        select(func.max(ValuationRow.id))
        .where(ValuationRow.item_id.in_(items))
        .group_by(ValuationRow.item_id)
    )
    query = (
        select(ItemRow, ValuationRow.result, ValuationRow.inputs)
        .join(ValuationRow, ValuationRow.item_id == ItemRow.id)
        .where(ValuationRow.id.in_(newest))
        .execution_options(populate_existing=True)
    )
    for item, result, inputs in session.execute(query):
        yield item.id, words_of(item, result, inputs)


def _ids(session: Session, words: Sequence[str]) -> dict[str, int]:
    """Ids of words, written where they are new."""
    found: dict[str, int] = {}
    for some in _parts(words):
        session.execute(
            insert(session, SearchWord)
            .values([{"word": word} for word in some])
            .on_conflict_do_nothing(index_elements=["word"])
        )
        query = select(SearchWord.word, SearchWord.id).where(SearchWord.word.in_(some))
        found |= {row.word: row.id for row in session.execute(query)}
    return found


def _parts(many: Sequence[Any]) -> Iterator[Sequence[Any]]:
    """Parts that a database takes in one question."""
    return (many[at : at + _AT_ONCE] for at in range(0, len(many), _AT_ONCE))
