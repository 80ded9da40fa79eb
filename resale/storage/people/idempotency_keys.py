"""What a device sends under a key of its own is done once, however often it is sent.

The header ``Idempotency-Key`` and what a second sending gets follow the IETF's draft
(draft-ietf-httpapi-idempotency-key-header-07), section 2.
"""

from __future__ import annotations

import hashlib
import json
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import delete
from sqlalchemy.orm import Session

from resale.errors import ResaleError
from resale.storage.db.device_tables import DeviceRequest
from resale.storage.db.upsert import insert
from resale.storage.db.utc import stored

Answer = dict[str, Any]

GOOD_FOR = timedelta(days=30)
"""So long what was sent is known again; no device tries a sending for longer (own choice)."""


class KeyTakenError(ResaleError):
    """The key came with something else before."""


def answer_before(session: Session, key: str, body: Answer, at: datetime) -> Answer | None:
    """Claim a key for what was sent, or give what it was answered the first time.

    Parameters
    ----------
    session : Session
        In the transaction that does it: a fault takes the claim back with all else.
    key : str
        Of the device and the request; up to 64 characters.
    body : dict
        What was sent, as JSON has it.

    Raises
    ------
    KeyTakenError
        If the key came with something else.
    """
    digest = hashlib.sha256(json.dumps(body, sort_keys=True).encode()).hexdigest()
    claim = {"client_key": key, "digest": digest, "made_at": stored(at)}
    session.execute(delete(DeviceRequest).where(DeviceRequest.made_at < stored(at - GOOD_FOR)))
    session.execute(
        insert(session, DeviceRequest)
        .values(claim)
        .on_conflict_do_nothing(index_elements=["client_key"])
    )
    row = session.get_one(DeviceRequest, key)
    if row.digest != digest:
        raise KeyTakenError(
            "this key was sent with something else before",
            where="Idempotency-Key",
            remedy="make a new key for every new thing, and keep it for sending that again",
        )
    return row.answer


def note_answer(session: Session, key: str, answer: Answer) -> None:
    """Write down what was answered, for whoever sends the same again.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    key : str
        That the device sent.
    answer : Answer
    """
    session.get_one(DeviceRequest, key).answer = answer
