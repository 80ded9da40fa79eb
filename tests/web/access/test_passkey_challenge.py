"""A passkey's answer counts for what this session was asked last, and once (WebAuthn 13.4.3).

The passkey of these tests counts nothing, so the challenge alone guards: were it not looked at,
every answer below but the forged ones would be right.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from flask import Flask
from soft_passkey import SoftPasskey

from resale.storage.people.people import Person, add_person
from resale.storage.people.second_steps import add_passkey
from resale.storage.people.sessions import start_session
from resale.web.access import passkeys
from resale.web.core.shop import Shop

ORIGIN = "http://localhost"


@dataclass(frozen=True)
class Door:
    """A shop's door, with one person who has a passkey."""

    shop: Shop
    person: Person
    key: SoftPasskey

    def session(self) -> str:
        """Give a password, somewhere."""
        return start_session(
            self.shop.records, self.person.id, "a test", self.shop.now(), half=True
        )

    def asked(self, token: str) -> str:
        options = passkeys.to_answer(self.shop.records, token, self.person)
        assert options is not None
        return options

    def lets_in(self, token: str, answer: str) -> bool:
        shop = self.shop
        return passkeys.is_right(shop.records, token, self.person, answer, shop.now())


@pytest.fixture
def door(app: Flask) -> Iterator[Door]:
    shop = app.extensions["resale"]
    person = add_person(shop.records, "Ottoline", "owner", shop.now())
    key = SoftPasskey("localhost", ORIGIN)
    with app.test_request_context(base_url=ORIGIN):
        token = start_session(shop.records, person.id, "a test", shop.now())
        made = key.make(passkeys.to_register(shop.records, token, person, "Invented"))
        new = passkeys.made_by_browser(shop.records, token, made, "Tablet")
        add_passkey(shop.records, person, new, shop.now())
        yield Door(shop, person, key)


def test_an_answer_is_right_once(door: Door) -> None:
    token = door.session()
    answer = door.key.answer(door.asked(token))
    assert door.lets_in(token, answer)
    assert not door.lets_in(token, answer), "the same answer again, with nothing asked"
    door.asked(token)
    assert not door.lets_in(token, answer), "the same answer again, to another question"


def test_an_answer_to_what_another_session_was_asked_is_wrong(door: Door) -> None:
    mine, other = door.session(), door.session()
    foreign = door.key.answer(door.asked(other))
    door.asked(mine)
    assert not door.lets_in(mine, foreign)
    assert door.lets_in(other, foreign), "where it was asked it is right"


@pytest.mark.parametrize("challenge", ["", "AAAA", "bWFkZSB1cA"])
def test_an_answer_to_a_challenge_that_nobody_gave_is_wrong(door: Door, challenge: str) -> None:
    token = door.session()
    assert not door.lets_in(token, door.key.answer_to(challenge)), "nothing was asked"
    door.asked(token)
    assert not door.lets_in(token, door.key.answer_to(challenge))


def test_a_wrong_answer_uses_the_question_up(door: Door) -> None:
    token = door.session()
    asked = door.asked(token)
    assert not door.lets_in(token, door.key.answer_to("AAAA"))
    assert not door.lets_in(token, door.key.answer(asked))


@pytest.mark.parametrize("origin", ["http://localhost.invented.example", "https://localhost"])
def test_an_answer_given_at_another_address_is_wrong(door: Door, origin: str) -> None:
    token = door.session()
    door.key._origin = origin
    assert not door.lets_in(token, door.key.answer(door.asked(token)))


def test_a_new_passkey_answers_what_was_asked_once(door: Door) -> None:
    records = door.shop.records
    token, other = (
        start_session(records, door.person.id, "a test", door.shop.now()) for _ in range(2)
    )
    key = SoftPasskey("localhost", ORIGIN)
    made = key.make(passkeys.to_register(records, token, door.person, "Invented"))
    passkeys.to_register(records, other, door.person, "Invented")
    nobody_asked = key.make('{"challenge": ""}')
    for session, answer in ((other, made), (other, nobody_asked)):
        with pytest.raises(passkeys.PasskeyError):
            passkeys.made_by_browser(records, session, answer, "Tablet")
    assert passkeys.made_by_browser(records, token, made, "Tablet").counter == 0
    with pytest.raises(passkeys.PasskeyError):
        passkeys.made_by_browser(records, token, made, "Tablet")
