"""Codes of six figures that an app makes from a seed and the time: RFC 6238, by pyotp.

A code is good in its own half minute and the one after, for slow hands and slow clocks (RFC 6238,
5.2), and only once: the step of time whose code was taken is kept, and no earlier one counts.
"""

from __future__ import annotations

import hmac
from datetime import datetime

import pyotp
from sqlalchemy import ColumnElement, delete, select, update

from resale.errors import ResaleError
from resale.storage.db.second_step_tables import SecondStepRow
from resale.storage.db.utc import stored
from resale.storage.db.writing import Records, reading, writing
from resale.storage.people.people import Person

APP = "app"
FIGURES, LATE_STEPS = 6, 1


class WrongCodeError(ResaleError):
    """The code is wrong, too old, or was used already."""

    def __init__(self) -> None:
        super().__init__(
            "this code is wrong, too old, or was used already",
            where="Code",
            remedy="write the one that the app shows now",
        )


def step_of(seed: str, code: str, at: datetime) -> int | None:
    """Find the step of time that a code belongs to.

    Parameters
    ----------
    seed : str
        In base 32.
    code : str
        Six figures; blanks between them count for nothing.
    at : datetime
        Now.

    Returns
    -------
    int or None
        Half minutes since 1970; None where it is the code of none that counts.

    References
    ----------
    RFC 6238, TOTP: Time-Based One-Time Password Algorithm, 4.2 and 5.2.
    """
    plain, app = "".join(code.split()), pyotp.TOTP(seed, digits=FIGURES)
    for late in range(LATE_STEPS + 1):
        made = app.at(at, counter_offset=-late)
        if hmac.compare_digest(made.encode(), plain.encode("utf-8", "replace")):
            return app.timecode(at) - late
    return None


def begin_app(records: Records, person: Person, at: datetime) -> str:
    """Make a seed for a person's app; it counts once a code has shown that the app has it.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person : Person
    at : datetime
        Now, with its zone.

    Returns
    -------
    str
        The seed, in base 32.
    """
    seed = pyotp.random_base32()
    with writing(records) as session:
        session.execute(delete(SecondStepRow).where(_app_of(person, proved=False)))
        session.add(
            SecondStepRow(person_id=person.id, how=APP, name="app", secret=seed, made_at=stored(at))
        )
    return seed


def unproved_seed(records: Records, person: Person) -> str | None:
    """Give the seed that waits for its first code; None where none does.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person : Person

    Returns
    -------
    str or None
        In base 32.
    """
    with reading(records) as session:
        return session.scalar(select(SecondStepRow.secret).where(_app_of(person, proved=False)))


def prove_app(records: Records, person: Person, code: str, at: datetime) -> None:
    """Take the first code of an app; from now on it counts, and an app of before no longer.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person : Person
    code : str
        As it was typed.
    at : datetime
        Now, with its zone.

    Raises
    ------
    WrongCodeError
    """
    with writing(records) as session:
        row = session.scalar(select(SecondStepRow).where(_app_of(person, proved=False)))
        step = step_of(row.secret, code, at) if row else None
        if row is None or step is None:
            raise WrongCodeError
        session.execute(delete(SecondStepRow).where(_app_of(person)))
        row.proved_at, row.counter = stored(at), step


def take_code(records: Records, person: Person, code: str, at: datetime) -> bool:
    """Whether a code is right, and used now for the first time; of two that send it, one is in.

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
    with writing(records) as session:
        row = session.scalar(select(SecondStepRow).where(_app_of(person)))
        step = step_of(row.secret, code, at) if row else None
        if row is None or step is None:
            return False
        newer = update(SecondStepRow).where(
            SecondStepRow.id == row.id, SecondStepRow.counter < step
        )
        taken = session.execute(
            newer.values(counter=step, used_at=stored(at)).returning(SecondStepRow.id)
        )
        return taken.first() is not None


def address_for_app(seed: str, person: str, shop: str) -> str:
    """Give what an app reads from the drawn code: seed, name and shop.

    Parameters
    ----------
    person, shop : str
        Names, as the app will list them.
    """
    return pyotp.TOTP(seed, digits=FIGURES).provisioning_uri(name=person, issuer_name=shop)


def _app_of(person: Person, *, proved: bool = True) -> ColumnElement[bool]:
    state = SecondStepRow.proved_at.is_not(None) if proved else SecondStepRow.proved_at.is_(None)
    return (SecondStepRow.person_id == person.id) & (SecondStepRow.how == APP) & state
