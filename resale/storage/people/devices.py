"""Devices that may ask over the wire: each with a secret of its own, shown once, never kept."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Select, select, update

from resale.errors import ResaleError
from resale.storage.db.device_tables import DeviceToken
from resale.storage.db.text_search import is_word
from resale.storage.db.utc import stored, told
from resale.storage.db.writing import Records, reading, writing

# What a device may be let do: look and value; save items; write down what happened to them.
SCOPES = ("read", "save", "sell", "clear")
LONGEST_NAME = 60
SECRET_BYTES = 32
"""256 bits, which nobody guesses: the digest alone then needs no salt and no slow hash."""

# The day is what an owner wants to know; a write to the disk for every question would slow a till.
_NOTED_EVERY = timedelta(minutes=1)


class DeviceError(ResaleError):
    """A device that cannot be added or is not there."""


@dataclass(frozen=True)
class Device:
    """A device of the shop.

    Attributes
    ----------
    scopes : frozenset of str
        Some of `SCOPES`.
    made_by : str
        Whoever let it in.
    """

    id: int
    name: str
    scopes: frozenset[str]
    made_by: str
    made_at: datetime
    last_used_at: datetime | None
    revoked_at: datetime | None

    @property
    def may(self) -> tuple[str, ...]:
        """Its scopes in the order in which they are always named."""
        return tuple(scope for scope in SCOPES if scope in self.scopes)


def add_device(
    records: Records, name: str, scopes: Iterable[str], at: datetime, by: str = ""
) -> tuple[Device, str]:
    """Let a device in.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    name : str
    scopes : iterable of str
        What it may do.
    at : datetime
        Now, with its zone.
    by : str
        Name of whoever lets it in.

    Returns
    -------
    tuple of Device and str
        The device, and its secret: this is the only time that anybody sees it.

    Raises
    ------
    DeviceError
        If the name is no name or another device bears it, or it may do nothing.
    """
    name, wanted = _tidy(name), set(scopes)
    if not wanted or not wanted <= set(SCOPES):
        raise DeviceError(
            "a device has to be let do something that there is",
            where=name,
            remedy=f"give it one or more of {', '.join(SCOPES)}",
        )
    secret = secrets.token_urlsafe(SECRET_BYTES)
    with writing(records) as session:
        # Two devices of one name could not be told apart on the day that one is lost.
        if session.scalar(_live().where(is_word(DeviceToken.name, name))):
            raise DeviceError(
                "a device of this name is let in already",
                where=name,
                remedy="revoke that one first, or choose another name",
            )
        row = DeviceToken(
            name=name,
            digest=digest_of(secret),
            scopes=" ".join(scope for scope in SCOPES if scope in wanted),
            made_by=by[:LONGEST_NAME],
            made_at=stored(at),
        )
        session.add(row)
        session.flush()
        return _device(row), secret


def devices(records: Records) -> tuple[Device, ...]:
    """List every device, those still let in first and of them the newest first."""
    order = (DeviceToken.revoked_at.is_not(None), DeviceToken.id.desc())
    with reading(records) as session:
        return tuple(_device(row) for row in session.scalars(select(DeviceToken).order_by(*order)))


def revoke_device(records: Records, device_id: int, at: datetime) -> Device:
    """Shut a device out for good; done twice, the first time holds.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    device_id : int
    at : datetime
        Now, with its zone.

    Returns
    -------
    Device

    Raises
    ------
    DeviceError
        If there is no such device.
    """
    with writing(records) as session:
        row = session.get(DeviceToken, device_id)
        if row is None:
            raise DeviceError(
                f"there is no device {device_id}", remedy="look for it in the list of devices"
            )
        row.revoked_at = row.revoked_at or stored(at)
        session.flush()
        return _device(row)


def device_with(records: Records, secret: str) -> Device | None:
    """Find the device that holds a secret; None where nobody does, or it is shut out.

    The secret is looked up by its digest, so that the time it takes tells nothing of it.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    secret : str
        As the device sent it.

    Returns
    -------
    Device or None
    """
    with reading(records) as session:
        row = session.scalar(_live().where(DeviceToken.digest == digest_of(secret)))
        return None if row is None else _device(row)


def note_use(records: Records, device: Device, at: datetime) -> None:
    """Note that a device asked, to the minute.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    device : Device
    at : datetime
        Now, with its zone.
    """
    if device.last_used_at is not None and at - device.last_used_at < _NOTED_EVERY:
        return
    with writing(records) as session:
        changed = update(DeviceToken).where(DeviceToken.id == device.id)
        session.execute(changed.values(last_used_at=stored(at)))


def digest_of(secret: str) -> str:
    """Give what is kept of a secret."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()


def _live() -> Select[DeviceToken]:
    return select(DeviceToken).where(DeviceToken.revoked_at.is_(None))


def _tidy(name: str) -> str:
    plain = " ".join(name.split())
    if not 0 < len(plain) <= LONGEST_NAME or not plain.isprintable():
        raise DeviceError(
            f"{plain[:LONGEST_NAME]!r} is no name for a device",
            remedy=f"use 1 to {LONGEST_NAME} characters that can be printed, such as Till at door",
        )
    return plain


def _device(row: DeviceToken) -> Device:
    return Device(
        row.id,
        row.name,
        frozenset(row.scopes.split()),
        row.made_by,
        told(row.made_at),
        row.last_used_at and told(row.last_used_at),
        row.revoked_at and told(row.revoked_at),
    )
