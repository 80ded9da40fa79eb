"""Passwords: kept as Argon2id, checked in the same time whether or not the name is known.

The hashing is argon2-cffi's, with its defaults (RFC 9106, the profile for little memory). How
easily a password is guessed is zxcvbn's opinion (Wheeler 2016), which knows common passwords,
names and keyboard rows. No rule asks for capitals or signs (NIST SP 800-63B, 5.1.1.2).
"""

from __future__ import annotations

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from sqlalchemy import func, select, update
from zxcvbn import zxcvbn  # type: ignore[import-untyped]

from resale.errors import ResaleError
from resale.storage.db.people_tables import PersonRow
from resale.storage.db.writing import Records, reading, writing
from resale.storage.people.people import Person, person_of

SHORTEST, LONGEST = 8, 128
SAFE_ENOUGH = 2
"""zxcvbn's grade from which a password withstands guessing at the pace of a sign-in page."""

_READ_BY_ZXCVBN = 72
_HASHER = PasswordHasher()
# What is checked for a name that nobody has, so that the answer takes as long.
_NOBODY = _HASHER.hash("nobody has this password")


class WeakPasswordError(ResaleError):
    """The password is too short, too long or too easily guessed."""


def set_password(records: Records, person: Person, password: str) -> None:
    """Keep a new password for a person.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person : Person
    password : str
        As it was typed; only its digest is kept.

    Raises
    ------
    WeakPasswordError
    """
    check_strength(password, person.name)
    secret = _HASHER.hash(password)
    with writing(records) as session:
        session.execute(update(PersonRow).where(PersonRow.id == person.id).values(secret=secret))


def check_strength(password: str, name: str) -> None:
    """Refuse a password that others would guess.

    Parameters
    ----------
    password : str
    name : str
        Of the person, which others try first.

    Raises
    ------
    WeakPasswordError
    """
    if not SHORTEST <= len(password) <= LONGEST:
        raise WeakPasswordError(
            f"a password needs {SHORTEST} to {LONGEST} characters",
            where="Password",
            remedy="a few words in a row are easy to remember",
        )
    known = [name, *name.split(), "resale", "thrift", "consignment"]
    found = zxcvbn(password[:_READ_BY_ZXCVBN], user_inputs=known)
    if found["score"] < SAFE_ENOUGH:
        raise WeakPasswordError(
            "this password is guessed too easily",
            where="Password",
            remedy="add another word or two that do not belong together",
        )


def person_with(records: Records, name: str, password: str) -> Person | None:
    """Find who has this name and password; None where nobody has.

    It takes as long for a name that is not known.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    name : str
    password : str
        As it was typed.

    Returns
    -------
    Person or None
    """
    plain = " ".join(name.split()).lower()
    with reading(records) as session:
        row = session.scalar(
            select(PersonRow).where(
                func.lower(PersonRow.name) == plain, PersonRow.left_at.is_(None)
            )
        )
        secret = row.secret if row and row.secret else _NOBODY
        fits = _fits(secret, password)
        if row is None or not row.secret or not fits:
            return None
        person = person_of(row)
    if _HASHER.check_needs_rehash(secret):
        with writing(records) as session:
            session.get_one(PersonRow, person.id).secret = _HASHER.hash(password)
    return person


def _fits(secret: str, password: str) -> bool:
    if len(password) > LONGEST:
        # Longer than any that was kept, and cut nowhere: a password counts exactly as it was sent.
        secret, password = _NOBODY, "x"
    try:
        return _HASHER.verify(secret, password)
    except (VerificationError, InvalidHashError):
        return False
