"""Writing straight into records, each call one transaction, for tests below the use cases."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Engine
from sqlalchemy.orm import Session

from resale.config.settings import Settings
from resale.garments.rulebook.rule_book import RuleBook
from resale.services.actor import Actor
from resale.services.photos import add_photo as photo_service
from resale.services.photos import remove_photo as service
from resale.services.prices.learn_prices import learn_prices
from resale.services.transaction import transaction
from resale.storage.items import save as saving
from resale.storage.items.new_save import NewSave
from resale.storage.ledger import write_holds as holding
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.write_events import write_events
from resale.storage.models.book_in_use import book_of_shop
from resale.storage.models.fits import FittedModel
from resale.storage.models.model_runs import check_model, write_switch
from resale.storage.people.idempotency_keys import answer_before, note_answer
from resale.storage.photos.photos import photo_by_id

BY = "Sunniva"
SORTER = Actor(BY, "sorter")


def writes(records: Engine) -> Session:
    return Session(records.execution_options(writes=True))


def save_items(records: Engine, many: Sequence[NewSave], at: datetime, by: str = BY) -> list[str]:
    with writes(records) as session, session.begin():
        return [one.number for one in saving.save_items(session, many, at, by)]


def save_item(records: Engine, new: NewSave, at: datetime, by: str = BY) -> str:
    return save_items(records, [new], at, by)[0]


def add_events(
    records: Engine, many: Sequence[NewEvent], *, currency: str, at: datetime, by: str = BY
) -> list[int]:
    with writes(records) as session, session.begin():
        return [one.id for one in write_events(session, many, currency=currency, at=at, by=by)]


def add_event(records: Engine, new: NewEvent, *, currency: str, at: datetime, by: str = BY) -> int:
    return add_events(records, [new], currency=currency, at=at, by=by)[0]


def raise_hold(records: Engine, *args: Any, **more: Any) -> bool:
    with writes(records) as session, session.begin():
        return holding.raise_hold(session, *args, **more)


def clear_hold(records: Engine, *args: Any, **more: Any) -> bool:
    with writes(records) as session, session.begin():
        return holding.clear_hold(session, *args, **more)


def add_photo(
    records: Engine,
    settings: Settings,
    number: str,
    content: bytes,
    *,
    at: datetime,
    signal: str = "",
    by: str = BY,
    where: str = "",
) -> int:
    actor = Actor(by, "sorter")
    return photo_service.add_photo(
        records, settings, actor, number, content, at=at, signal=signal, where=where
    )


def remove_photo(records: Engine, data_folder: Path, photo: int) -> None:
    at = datetime(2026, 6, 30, 12, tzinfo=UTC)
    service.remove_photo(records, data_folder, SORTER, photo_by_id(records, photo), at)


def switch_to(
    records: Engine,
    settings: Settings,
    book: RuleBook,
    model_id: str | None,
    *,
    at: datetime,
    by: str = BY,
) -> None:
    if model_id is not None:
        check_model(records, settings, book, model_id)
    with writes(records) as session, session.begin():
        write_switch(session, model_id, at, by)


def fit_from_ledger(
    records: Engine,
    book: RuleBook | None,
    settings: Settings,
    at: datetime,
    progress: Callable[[int, int, str], None] | None = None,
    note: str = "",
    by: str = BY,
) -> FittedModel:
    book = book or book_of_shop(settings)
    return learn_prices(records, settings, book, Actor(by, "owner"), at, progress, note)


def done_once(
    records: Engine,
    key: str,
    asked: dict[str, Any],
    at: datetime,
    do: Callable[[], dict[str, Any]],
) -> dict[str, Any]:
    with transaction(records, SORTER, at) as work:
        before = answer_before(work.session, key, asked, at)
        if before is not None:
            return before
        answer = do()
        note_answer(work.session, key, answer)
        return answer
