"""Where each item is now, as rows that the database keeps: asked, compared and written anew."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import BigInteger, Connection, Engine, Select, cast, delete, func, select, text
from sqlalchemy.orm import Session

from resale.storage.db.migrations.item_now_triggers import (
    COLUMNS,
    selected,
    state_triggers,
    state_triggers_gone,
    written,
)
from resale.storage.db.tables import ItemNow, ItemRow

# Items that are looked at in one question: so much is held at once, whatever a shop ever sold.
BLOCK = 20_000
MOST = 20_000
_STEP, _RING = 40_503, 1 << 16
Progress = Callable[[int, int], None]


def newest_valuations(only: Select[Any] | Collection[int] | None = None) -> Select[Any]:
    """Ids of the newest valuation of each item that has one.

    Parameters
    ----------
    only : select of ids, or ids, optional
        Which items; all of them where omitted.
    """
    query = select(ItemNow.valuation_id).where(ItemNow.valuation_id.is_not(None))
    return query if only is None else query.where(ItemNow.item_id.in_(only))


def looked_at(engine: Engine) -> Select[Any] | None:
    """Ids of items from which more is said of a shop than anybody needs; None where it is all.

    How fast things sell and how good prices are is asked of ten to twenty thousand items, spread
    evenly over all that there ever were, sold or not: more would say the same, a day later.
    """
    with engine.connect() as connection:
        most = connection.scalar(select(func.max(ItemRow.id))) or 0
    share = -(-most // MOST)
    if share < 2:
        return None
    # Steps of the golden ratio lie evenly between each other, and in time with nothing (Weyl 1916).
    spread = cast(ItemNow.item_id, BigInteger) * _STEP % _RING
    return select(ItemNow.item_id).where(spread < _RING // share)


def astray(engine: Engine, progress: Progress | None = None) -> list[str]:
    """Numbers of items whose kept row is another than their events and valuations say.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    progress : callable, optional
        Told how many ids of how many were looked at.
    """
    found: list[str] = []
    with engine.connect() as connection:
        for first, last in _blocks(connection, progress):
            between = {"first": first, "last": last}
            derived = text(selected("i.id BETWEEN :first AND :last"))
            kept = text(
                f"SELECT {', '.join(COLUMNS)} FROM item_now "  # noqa: S608 - our own names
                "WHERE item_id BETWEEN :first AND :last"
            )
            # As text: a file gives days so where it is not told that they are days.
            ours, theirs = (
                {tuple(map(_plain, row)) for row in connection.execute(query, between)}
                for query in (kept, derived)
            )
            ids = sorted({int(row[0] or 0) for row in ours ^ theirs})
            if ids:
                numbers = select(ItemRow.number).where(ItemRow.id.in_(ids)).order_by(ItemRow.id)
                found += connection.scalars(numbers)
    return found


@contextmanager
def new_at_once(session: Session) -> Iterator[None]:
    """Write the rows of new items once in the end, and not with every event of them.

    For a file of many: a file of records writes a row anew with each of its events, a server with
    each statement. Triggers go and come back in the caller's transaction, or not at all.

    Parameters
    ----------
    session : Session
        In a transaction that writes; items that were there before must be left alone meanwhile.
    """
    dialect = session.get_bind().dialect.name
    if dialect == "postgresql":
        yield
        return
    for statement in state_triggers_gone(dialect):
        session.execute(text(statement))
    yield
    session.execute(text(written("i.id NOT IN (SELECT item_id FROM item_now)")))
    for statement in state_triggers(dialect):
        session.execute(text(statement))


def write_anew(engine: Engine, progress: Progress | None = None) -> None:
    """Write every row anew from events and valuations, a block of items at a time.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    progress : callable, optional
        Told how many ids of how many were looked at.
    """
    with engine.connect() as connection:
        blocks = list(_blocks(connection, progress))
    for first, last in blocks:
        with engine.execution_options(writes=True).begin() as connection:
            connection.execute(delete(ItemNow).where(ItemNow.item_id.between(first, last)))
            statement = text(written("i.id BETWEEN :first AND :last"))
            connection.execute(statement, {"first": first, "last": last})


def _blocks(connection: Connection, progress: Progress | None) -> Iterator[tuple[int, int]]:
    most = connection.scalar(select(func.max(ItemRow.id))) or 0
    for first in range(1, most + 1, BLOCK):
        yield first, first + BLOCK - 1
        if progress is not None:
            progress(min(first + BLOCK - 1, most), most)


def _plain(value: object) -> str | None:
    return None if value is None else str(value)
