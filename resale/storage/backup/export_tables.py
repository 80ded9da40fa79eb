"""The tables of an export, each as rows of cells with its heading first."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Engine, Row, select
from sqlalchemy.orm import Session

from resale.config.settings import Settings
from resale.storage.backup.bringable import bringable
from resale.storage.db.hold_tables import HoldEventRow
from resale.storage.db.photo_tables import PhotoRow
from resale.storage.db.tables import ColumnMemory, EventRow, ImportRun, ItemRow, ValuationRow
from resale.storage.items.stored_valuation import from_stored
from resale.storage.models.model_runs import fitted_models

# Rows fetched at once: an export of many years fits in little memory.
AT_ONCE = 1000
_SHARE = ("signal", "name", "option", "rule_factor", "sales_factor", "rule_money", "sales_money")

Cells = Iterable[Sequence[str]]


def tables_of(session: Session, engine: Engine, settings: Settings) -> dict[str, Cells]:
    """Give the tables by the names of their files.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's, so that all are of one moment.
    engine : Engine
        The shop's records.
    settings : Settings

    Returns
    -------
    dict of str to iterable of rows
        Each row is its cells as text; money in minor units.
    """
    return {
        "items.csv": _rows(session, ItemRow),
        "events.csv": _of_items(session, EventRow),
        "holds.csv": _of_items(session, HoldEventRow),
        "valuations.csv": _rows(session, ValuationRow, leave=("result", "inputs")),
        "shares.csv": _shares(session),
        "answers.csv": _answers(session),
        "files.csv": _rows(session, ImportRun),
        "words.csv": _rows(session, ColumnMemory),
        "models.csv": _models(engine, settings),
        "photos.csv": _rows(session, PhotoRow),
        **bringable(session, settings.money),
    }


def _rows(session: Session, table: Any, leave: Sequence[str] = ()) -> Iterator[Sequence[str]]:
    """A table as it stands."""
    columns = [column for column in table.__table__.columns if column.name not in leave]
    yield [column.name for column in columns]
    query = select(*columns).order_by(table.id)
    for row in session.execute(query.execution_options(yield_per=AT_ONCE)):
        yield [_cell(value) for value in row]


def _of_items(session: Session, table: Any) -> Iterator[Sequence[str]]:
    """A table of what belongs to items, each by its number."""
    columns = [column for column in table.__table__.columns if column.name != "item_id"]
    yield ["item", *(column.name for column in columns)]
    query = (
        select(ItemRow.number, *columns)
        .join(ItemRow, ItemRow.id == table.item_id)
        .order_by(table.id)
    )
    for row in session.execute(query.execution_options(yield_per=AT_ONCE)):
        yield [_cell(value) for value in row]


def _shares(session: Session) -> Iterator[Sequence[str]]:
    yield ["valuation", "item", *_SHARE]
    for row in _valued(session):
        for share in from_stored(row.result).contributions:
            yield [_cell(row.id), row.number, *(_cell(getattr(share, name)) for name in _SHARE)]


def _answers(session: Session) -> Iterator[Sequence[str]]:
    yield ["valuation", "item", "how", "signal", "said"]
    for row in _valued(session):
        for how in ("choices", "picked", "typed", "gauges", "flats"):
            for signal, option in row.inputs.get(how, {}).items():
                yield [_cell(row.id), row.number, how, signal, _cell(option)]


def _valued(session: Session) -> Iterator[Row[Any]]:
    query = (
        select(ValuationRow.id, ItemRow.number, ValuationRow.result, ValuationRow.inputs)
        .join(ItemRow, ItemRow.id == ValuationRow.item_id)
        .order_by(ValuationRow.id)
    )
    yield from session.execute(query.execution_options(yield_per=AT_ONCE))


def _models(engine: Engine, settings: Settings) -> Iterator[Sequence[str]]:
    names = (
        "model_id",
        "note",
        "book_version",
        "book_fingerprint",
        "data",
        "sales",
        "noise",
        "made_at",
        "current",
    )
    yield names
    for model in reversed(fitted_models(engine, settings)):
        yield [_cell(getattr(model, name)) for name in names]


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.replace(tzinfo=None).isoformat(timespec="seconds")
    if isinstance(value, dict | list):
        return as_json(value)
    return str(value)


def as_json(value: Any, indent: int | None = None) -> str:
    """Write plain values as JSON, in one order.

    Parameters
    ----------
    value : dict, list, str, number or None
    indent : int, optional
        Blanks a step, for readers; all in one line where omitted.

    Returns
    -------
    str
    """
    return json.dumps(value, ensure_ascii=False, sort_keys=indent is None, indent=indent)
