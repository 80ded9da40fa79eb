"""Clients that are signed in, as a browser is after the doors."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from flask import Flask
from flask.testing import FlaskClient

from resale.storage.people.people import Role, add_person, people
from resale.storage.people.sessions import start_session

Lay = Callable[[Path], Path]
"""What the fixture `copy_of_demo` gives."""

NAMES: dict[Role, str] = {"sorter": "Sunniva", "lead": "Leopold", "owner": "Ottoline"}


def token_for(app: Flask, role: Role) -> str:
    """Sign somebody of a role in; the invented shop's own where there is one."""
    shop = app.extensions["resale"]
    person = next((one for one in people(shop.records) if one.role == role), None)
    person = person or add_person(shop.records, NAMES[role], role, shop.now())
    return start_session(shop.records, person.id, "a test", shop.now())


def signed_in(app: Flask, role: Role) -> FlaskClient:
    """A client with a session of that role."""
    client = FlaskClient(app, app.response_class, use_cookies=True)
    return _sit(client, app, role)


def stranger(app: Flask) -> FlaskClient:
    """A client that nobody knows."""
    return FlaskClient(app, app.response_class, use_cookies=True)


class OwnerClient(FlaskClient):
    """What `Flask.test_client` gives in tests that are not about the doors."""

    def __init__(self, app: Flask, *args: Any, **more: Any) -> None:
        super().__init__(app, *args, **more)
        _sit(self, app, "owner")


def session_cookie(app: Flask, role: Role) -> str:
    """Value of the session cookie of somebody signed in, for a real browser."""
    cookie = signed_in(app, role).get_cookie("resale")
    assert cookie is not None
    return str(cookie.value)


def _sit(client: FlaskClient, app: Flask, role: Role) -> FlaskClient:
    with client.session_transaction() as session:
        session["_user_id"] = token_for(app, role)
        session["_fresh"] = True
    return client
