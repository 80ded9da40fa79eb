"""Letting a device in, and shutting one out."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy import Engine

from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.people.devices import Device
from resale.storage.people.devices import add_device as write_device
from resale.storage.people.devices import revoke_device as write_revoked


def add_device(
    records: Engine, actor: Actor, name: str, scopes: Iterable[str], at: datetime
) -> tuple[Device, str]:
    """Let a device in.

    Parameters
    ----------
    records : Engine
    actor : Actor
        Whoever lets it in.
    name : str
        By which it is told from the others.
    scopes : iterable of str
        What it may; some of `resale.storage.people.devices.SCOPES`.
    at : datetime
        Now.

    Returns
    -------
    (Device, str)
        The device, and its secret: this is the only time that anybody sees it.

    Raises
    ------
    DeviceError
        If the name is no name or another device bears it, or it may do nothing.
    """
    with transaction(records, actor, at) as work:
        device, secret = write_device(work.session, name, scopes, at, actor.name)
        work.log("let a device in", device.name, may=list(device.may))
    return device, secret


def revoke_device(records: Engine, actor: Actor, device_id: int, at: datetime) -> Device:
    """Shut a device out for good; done twice, the first time holds.

    Parameters
    ----------
    records : Engine
    actor : Actor
        Whoever shuts it out.
    device_id : int
        Its number in the list.
    at : datetime
        Now.

    Raises
    ------
    DeviceError
        If there is no such device.
    """
    with transaction(records, actor, at) as work:
        device = write_revoked(work.session, device_id, at)
        work.log("shut a device out", device.name)
    return device
