"""What a person has for the second step at the door: listed, added, taken off."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, delete, select, update

from resale.errors import ResaleError
from resale.storage.db.second_step_tables import RecoveryCodeRow, SecondStepRow
from resale.storage.db.utc import stored, told
from resale.storage.db.writing import Records, reading, writing
from resale.storage.items.store import NotSavedError
from resale.storage.people.people import Person

PASSKEY = "passkey"
MOST_PASSKEYS = 20


@dataclass(frozen=True, slots=True)
class SecondStep:
    """An app or a passkey of a person.

    Attributes
    ----------
    how : str
        ``app`` or ``passkey``.
    secret : str
        The public key of a passkey; empty for an app, whose seed nobody needs to see again.
    credential : str
        How a browser names the passkey.
    counter : int
        What the passkey counted last.
    """

    id: int
    how: str
    name: str
    secret: str
    credential: str
    counter: int
    made_at: datetime
    used_at: datetime | None


@dataclass(frozen=True, slots=True)
class NewPasskey:
    """A passkey that a browser made.

    Attributes
    ----------
    name : str
        What its owner calls it.
    credential : str
        How a browser names it, in base 64 for addresses.
    key : str
        Its public key, in base 64 for addresses.
    counter : int
        What it counted at first.
    """

    name: str
    credential: str
    key: str
    counter: int


def second_steps(records: Records, person: Person) -> tuple[SecondStep, ...]:
    """List what a person has, the oldest first; what was begun and not proved is not among it.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person : Person

    Returns
    -------
    tuple of SecondStep
    """
    with reading(records) as session:
        mine = select(SecondStepRow).where(_good(person)).order_by(SecondStepRow.id)
        return tuple(_step(row) for row in session.scalars(mine))


def has_second_step(records: Records, person: Person) -> bool:
    """Whether a person has one, so that the password alone lets nobody in under their name.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person : Person

    Returns
    -------
    bool
    """
    with reading(records) as session:
        return session.scalar(select(SecondStepRow.id).where(_good(person)).limit(1)) is not None


def add_passkey(records: Records, person: Person, made: NewPasskey, at: datetime) -> None:
    """Keep a passkey of a person.

    Parameters
    ----------
    records : Engine or Session
    person : Person
    made : NewPasskey
    at : datetime
        Now.

    Raises
    ------
    ResaleError
        If it is kept already, or there are too many.
    """
    plain = " ".join(made.name.split())[:60] or "a passkey"
    with writing(records) as session:
        known = list(
            session.scalars(
                select(SecondStepRow.credential).where(
                    SecondStepRow.person_id == person.id, SecondStepRow.how == PASSKEY
                )
            )
        )
        if made.credential in known or len(known) >= MOST_PASSKEYS:
            is_known = made.credential in known
            what = "is kept already" if is_known else f"is more than {MOST_PASSKEYS}"
            raise ResaleError(
                f"this passkey {what}", where="Passkeys", remedy="use another, or take one off"
            )
        session.add(
            SecondStepRow(
                person_id=person.id,
                how=PASSKEY,
                name=plain,
                secret=made.key,
                credential=made.credential,
                counter=made.counter,
                proved_at=stored(at),
                made_at=stored(at),
            )
        )


def passkey_used(records: Records, step: SecondStep, counter: int, at: datetime) -> bool:
    """Write down that a passkey answered; of two that send the same answer, one is in.

    Parameters
    ----------
    counter : int
        What it counted; passkeys that count nothing say 0.
    """
    meant = update(SecondStepRow).where(
        SecondStepRow.id == step.id, SecondStepRow.counter == step.counter
    )
    with writing(records) as session:
        done = session.execute(
            meant.values(counter=counter, used_at=stored(at)).returning(SecondStepRow.id)
        )
        return done.first() is not None


def take_off(records: Records, person: Person, step_id: int) -> None:
    """Take an app or a passkey off a person; with the last one their codes go too.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person : Person
    step_id : int

    Raises
    ------
    NotSavedError
        If they have no such one.
    """
    with writing(records) as session:
        gone = session.execute(
            delete(SecondStepRow)
            .where(_good(person), SecondStepRow.id == step_id)
            .returning(SecondStepRow.id)
        )
        if gone.first() is None:
            raise NotSavedError("this is not kept any more", remedy="load the page again")
        if session.scalar(select(SecondStepRow.id).where(_good(person)).limit(1)) is None:
            session.execute(delete(RecoveryCodeRow).where(RecoveryCodeRow.person_id == person.id))


def take_all_off(records: Records, person: Person) -> bool:
    """Take every second step off a person who lost them all; say whether there was one.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person : Person

    Returns
    -------
    bool
    """
    with writing(records) as session:
        session.execute(delete(RecoveryCodeRow).where(RecoveryCodeRow.person_id == person.id))
        gone = session.execute(
            delete(SecondStepRow)
            .where(SecondStepRow.person_id == person.id)
            .returning(SecondStepRow.id)
        )
        return gone.first() is not None


def _good(person: Person) -> ColumnElement[bool]:
    return (SecondStepRow.person_id == person.id) & SecondStepRow.proved_at.is_not(None)


def _step(row: SecondStepRow) -> SecondStep:
    secret = row.secret if row.how == PASSKEY else ""
    used = told(row.used_at) if row.used_at else None
    return SecondStep(
        row.id, row.how, row.name, secret, row.credential, row.counter, told(row.made_at), used
    )
