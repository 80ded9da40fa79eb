"""One's own second steps: an app begun and proved, a passkey kept, codes made, one taken off."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Engine

from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.people.one_time_codes import begin_app as write_begun
from resale.storage.people.one_time_codes import prove_app as write_proved
from resale.storage.people.people import Person
from resale.storage.people.recovery_codes import codes_left
from resale.storage.people.recovery_codes import new_codes as write_codes
from resale.storage.people.second_steps import NewPasskey
from resale.storage.people.second_steps import add_passkey as write_passkey
from resale.storage.people.second_steps import take_off as write_off


def begin_app(records: Engine, actor: Actor, person: Person, at: datetime) -> None:
    """Make a seed for a person's app, which counts once a code has shown that the app has it.

    Parameters
    ----------
    records : Engine
    actor : Actor
    person : Person
        Whose app it is.
    at : datetime
        Now.
    """
    with transaction(records, actor, at) as work:
        write_begun(work.session, person, at)
        work.log("began to set an app up as second step", person.name)


def prove_app(
    records: Engine, actor: Actor, person: Person, code: str, at: datetime
) -> tuple[str, ...]:
    """Take the first code of an app; with the first second step come codes for a bad day.

    Parameters
    ----------
    records : Engine
    actor : Actor
    person : Person
        Whose app it is.
    code : str
        Six figures.
    at : datetime
        Now, by which the code is judged.

    Returns
    -------
    tuple of str
        Codes to be shown once; empty where the person has some.

    Raises
    ------
    WrongCodeError
        If the code is not the app's.
    """
    with transaction(records, actor, at) as work:
        write_proved(work.session, person, code, at)
        work.log("set an app up as second step", person.name)
        left = codes_left(work.session, person)
        return () if left else write_codes(work.session, person, at)


def add_passkey(
    records: Engine, actor: Actor, person: Person, made: NewPasskey, at: datetime
) -> tuple[str, ...]:
    """Keep a passkey; with the first second step come codes for a bad day.

    Parameters
    ----------
    records : Engine
    actor : Actor
    person : Person
        Whose passkey it is.
    made : NewPasskey
    at : datetime
        Now.

    Returns
    -------
    tuple of str
        Codes to be shown once; empty where the person has some.

    Raises
    ------
    ResaleError
        If it is kept already, or there are too many.
    """
    with transaction(records, actor, at) as work:
        write_passkey(work.session, person, made, at)
        work.log("set a passkey up as second step", person.name)
        left = codes_left(work.session, person)
        return () if left else write_codes(work.session, person, at)


def new_codes(records: Engine, actor: Actor, person: Person, at: datetime) -> tuple[str, ...]:
    """Make codes for a bad day; those of before are good no longer.

    Parameters
    ----------
    records : Engine
    actor : Actor
    person : Person
        Whose codes they are.
    at : datetime
        Now.

    Returns
    -------
    tuple of str
        To be shown once.
    """
    with transaction(records, actor, at) as work:
        work.log("made new codes for a bad day", person.name)
        return write_codes(work.session, person, at)


def take_off(records: Engine, actor: Actor, person: Person, step_id: int, at: datetime) -> None:
    """Take an app or a passkey off; with the last one the codes go too.

    Parameters
    ----------
    records : Engine
    actor : Actor
    person : Person
        Whose it is.
    step_id : int
        Which.
    at : datetime
        Now.

    Raises
    ------
    NotSavedError
        If they have no such one.
    """
    with transaction(records, actor, at) as work:
        write_off(work.session, person, step_id)
        work.log("took a second step off", person.name)
