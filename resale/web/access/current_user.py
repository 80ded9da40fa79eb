"""Who is signed in."""

from __future__ import annotations

from typing import cast

from flask import session
from flask_login import UserMixin, current_user, login_user

from resale.services.actor import Actor
from resale.storage.people.people import Person
from resale.storage.people.sessions import start_session
from resale.web.core.shop import Shop

BROWSER_UNKNOWN = "another program"


class SignedIn(UserMixin):  # type: ignore[misc]
    """A person with the token of their session; the token is what the cookie holds."""

    def __init__(self, person: Person, token: str) -> None:
        self.person, self.token = person, token

    def get_id(self) -> str:
        """What the cookie holds."""
        return self.token


def signed_in() -> Person | None:
    """Find who is signed in; None for a stranger."""
    return current_user.person if current_user.is_authenticated else None


def here() -> Person:
    """Whoever is signed in, where the guard let nobody else through."""
    return cast("Person", current_user.person)


def my_token() -> str:
    """Token of the session that asks."""
    return cast("str", current_user.get_id())


def my_name() -> str:
    """Name of whoever is signed in, to stand beside what they do; empty for a stranger."""
    person = signed_in()
    return person.name if person else ""


def me() -> Actor:
    """Whoever is signed in, as the use cases ask for it: with a name and a role."""
    person = here()
    return Actor(person.name, person.role)


def sign_in(shop: Shop, person: Person, browser: str) -> None:
    """Sign a person in on this browser, with nothing left of whoever was there before.

    Parameters
    ----------
    shop : Shop
    person : Person
        Whoever proved who they are.
    browser : str
        What the browser calls itself, for the list of open sessions.
    """
    session.clear()
    token = start_session(shop.records, person.id, browser or BROWSER_UNKNOWN, shop.now())
    login_user(SignedIn(person, token))
