"""Codes for the day on which app and passkey are lost: each good once, only its digest kept.

A code holds 120 random bits, so that a plain digest is enough (OWASP ASVS 5.0, 6.5.2: 112).
"""

from __future__ import annotations

import base64
import hashlib
import secrets
from datetime import datetime

from sqlalchemy import delete, func, select, update

from resale.storage.db.second_step_tables import RecoveryCodeRow
from resale.storage.db.utc import stored
from resale.storage.db.writing import Records, reading, writing
from resale.storage.people.people import Person

BYTES, GROUP, HOW_MANY = 15, 4, 8


def new_codes(records: Records, person: Person, at: datetime) -> tuple[str, ...]:
    """Make codes for a person; those of before are good no longer.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person : Person
    at : datetime
        Now, with its zone.

    Returns
    -------
    tuple of str
        To be shown once.
    """
    plain = [base64.b32encode(secrets.token_bytes(BYTES)).decode() for _ in range(HOW_MANY)]
    now = stored(at)
    with writing(records) as session:
        session.execute(delete(RecoveryCodeRow).where(RecoveryCodeRow.person_id == person.id))
        session.add_all(
            RecoveryCodeRow(person_id=person.id, digest=_digest(one), used_at=None, made_at=now)
            for one in plain
        )
    return tuple("-".join(one[i : i + GROUP] for i in range(0, len(one), GROUP)) for one in plain)


def codes_left(records: Records, person: Person) -> int:
    """Count the codes that are still good.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person : Person

    Returns
    -------
    int
    """
    left = select(func.count()).where(
        RecoveryCodeRow.person_id == person.id, RecoveryCodeRow.used_at.is_(None)
    )
    with reading(records) as session:
        return session.scalar(left) or 0


def take_recovery_code(records: Records, person: Person, code: str, at: datetime) -> bool:
    """Whether a code is good, and used now; capitals, blanks and dashes count for nothing.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person : Person
    code : str
        As it was typed.
    at : datetime
        Now, with its zone.

    Returns
    -------
    bool
    """
    good = update(RecoveryCodeRow).where(
        RecoveryCodeRow.person_id == person.id,
        RecoveryCodeRow.digest == _digest(code),
        RecoveryCodeRow.used_at.is_(None),
    )
    with writing(records) as session:
        taken = session.execute(good.values(used_at=stored(at)).returning(RecoveryCodeRow.id))
        return taken.first() is not None


def _digest(code: str) -> str:
    plain = "".join(sign for sign in code.upper() if sign.isalnum())
    return hashlib.sha256(plain.encode("utf-8", "replace")).hexdigest()
