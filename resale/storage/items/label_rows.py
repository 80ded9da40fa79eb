"""Names of labels in the records: looked up, met for the first time, joined and parted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Engine, func, insert, select, update
from sqlalchemy.orm import Session

from resale.garments.labels.label_key import label_key
from resale.garments.labels.label_names import LabelNames, common_names
from resale.storage.db.tables import ItemRow, LabelNameRow
from resale.storage.db.utc import stored
from resale.storage.items.search_index import keep_words

# The most that one question names; joined spellings lead on to further keys.
AT_ONCE = 500


@dataclass(frozen=True)
class LabelLine:
    """A label with everything that is called so.

    Attributes
    ----------
    spellings : tuple of (str, int)
        What is written on the things, and on how many, the most frequent first.
    items : int
        Things in the records that have it.
    """

    name: str
    spellings: tuple[tuple[str, int], ...]
    items: int


def label_name(engine: Engine, text: str) -> str:
    """What the shop calls a label that is written so.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    text : str
        As somebody wrote it.

    Returns
    -------
    str
        Empty for none; the text itself where the shop has no name for it.
    """
    if not text.strip():
        return ""
    with Session(engine) as session:
        return _names(session, [label_key(text)]).name_of(text)


def all_names(engine: Engine) -> LabelNames:
    """Every name that the shop gave a label."""
    with Session(engine) as session:
        return _names(session, None)


def names_with(session: Session, labels: Iterable[str], at: datetime, by: str) -> LabelNames:
    """Names of these labels; one that is met for the first time is called as it is written most.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    labels : iterable of str
        As written.
    by : str
        Name of whoever wrote them.
    """
    met = common_names(labels)
    known = _names(session, list(met))
    new = {key: name for key, name in met.items() if key not in known.names}
    call(session, new.items(), at, by)
    return LabelNames({**known.names, **new})


def call(session: Session, named: Iterable[tuple[str, str]], at: datetime, by: str) -> None:
    """Write down what keys are called from now on.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    named : iterable of (str, str)
        Key of a label, and its name.
    at : datetime
        Now, with its zone.
    by : str
        Name of whoever does it.
    """
    rows = [{"key": key, "name": name, "by_whom": by, "made_at": stored(at)} for key, name in named]
    if rows:
        session.execute(insert(LabelNameRow), rows)


def name_items_anew(session: Session) -> int:
    """Let every item say what its label is called now; gives how many changed."""
    names, changed = _names(session, None), list[int]()
    query = select(ItemRow.label_written, ItemRow.label).distinct()
    for written, label in session.execute(query.where(ItemRow.label_written != "")).all():
        name = names.name_of(written)
        if name == label:
            continue
        of_these = (ItemRow.label_written == written, ItemRow.label == label)
        changed += session.scalars(select(ItemRow.id).where(*of_these)).all()
        session.execute(update(ItemRow).where(*of_these).values(label=name))
    keep_words(session, changed)
    return len(changed)


def label_lines(engine: Engine) -> list[LabelLine]:
    """List the labels of the records by name, each with its spellings."""
    query = select(ItemRow.label, ItemRow.label_written, func.count()).where(ItemRow.label != "")
    found: dict[str, Counter[str]] = {}
    with Session(engine) as session:
        for name, written, count in session.execute(
            query.group_by(ItemRow.label, ItemRow.label_written)
        ):
            found.setdefault(name, Counter())[written or name] += count
    lines = (
        LabelLine(name, tuple(counts.most_common()), counts.total())
        for name, counts in found.items()
    )
    return sorted(lines, key=lambda line: (label_key(line.name), line.name))


def _names(session: Session, keys: Collection[str] | None) -> LabelNames:
    """Names of these keys, and of those that they lead to; of all where none are given."""
    found: dict[str, str] = {}
    wanted = None if keys is None else list(keys)
    while wanted is None or wanted:
        for part in _parts(wanted):
            query = select(LabelNameRow.key, LabelNameRow.name).order_by(LabelNameRow.id)
            query = query if part is None else query.where(LabelNameRow.key.in_(part))
            found.update({row.key: row.name for row in session.execute(query)})
        if wanted is None:
            break
        leads = {label_key(found[key]) for key in wanted if key in found}
        wanted = [key for key in leads if key not in found]
    return LabelNames(found)


def _parts(keys: list[str] | None) -> Iterable[list[str] | None]:
    if keys is None:
        return [None]
    return (keys[start : start + AT_ONCE] for start in range(0, len(keys), AT_ONCE))
