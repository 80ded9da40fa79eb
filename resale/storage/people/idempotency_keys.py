"""What a device sends under a key of its own is done once, however often it is sent.

The header ``Idempotency-Key`` and what a second sending gets follow the IETF's draft
(draft-ietf-httpapi-idempotency-key-header-07), section 2.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from datetime import datetime
from typing import Any

from sqlalchemy import Engine, delete, null, update
from sqlalchemy.orm import Session

from resale.errors import ResaleError
from resale.storage.db.device_tables import DeviceRequest
from resale.storage.db.upsert import insert
from resale.storage.db.utc import stored

Answer = dict[str, Any]


class KeyTakenError(ResaleError):
    """The key came with something else before."""


def done_once(
    engine: Engine, key: str, asked: Answer, at: datetime, do: Callable[[], Answer]
) -> Answer:
    """Do something unless it was done under this key, and give what it gave the first time.

    Parameters
    ----------
    key : str
        Of the device and the request; up to 64 characters.
    asked : dict
        What was sent, as JSON has it.
    do : callable
        Writes under `key` itself, so that it may be begun again where a plug was pulled between
        its writing and the keeping of its answer.

    Raises
    ------
    KeyTakenError
        If the key came with something else.
    """
    digest = hashlib.sha256(json.dumps(asked, sort_keys=True).encode()).hexdigest()
    row = _held(engine, key, digest, at)
    if row.digest != digest:
        raise KeyTakenError(
            "this key was sent with something else before",
            where="Idempotency-Key",
            remedy="make a new key for every new thing, and keep it for sending that again",
        )
    if row.answer is not None:
        return row.answer
    try:
        answer = do()
    except ResaleError:
        # Nothing was done, so the same key may come again once the fault is mended.
        _forget(engine, key)
        raise
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        kept = update(DeviceRequest).where(DeviceRequest.client_key == key)
        session.execute(kept.values(answer=answer))
    return answer


def _held(engine: Engine, key: str, digest: str, at: datetime) -> DeviceRequest:
    """Claim the key, or find who claimed it."""
    writing = engine.execution_options(writes=True)
    with Session(writing, expire_on_commit=False) as session, session.begin():
        row = {"client_key": key, "digest": digest, "made_at": stored(at)}
        claim = insert(session, DeviceRequest).values(row)
        session.execute(claim.on_conflict_do_nothing(index_elements=["client_key"]))
        return session.get_one(DeviceRequest, key)


def _forget(engine: Engine, key: str) -> None:
    unanswered = DeviceRequest.client_key == key, DeviceRequest.answer.is_(null())
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        session.execute(delete(DeviceRequest).where(*unanswered))
