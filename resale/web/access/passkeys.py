"""Passkeys as the second step: what a browser is asked, and whether its answer is right.

The protocol is the W3C's Web Authentication, checked by py_webauthn. Nothing leaves the shop: no
maker is asked to vouch for a key (attestation is 'none').
"""

from __future__ import annotations

import ipaddress
from datetime import datetime

from flask import request
from sqlalchemy import Engine
from webauthn import (
    generate_authentication_options,
    generate_registration_options,
    options_to_json,
    verify_authentication_response,
    verify_registration_response,
)
from webauthn.helpers import (
    base64url_to_bytes,
    bytes_to_base64url,
    parse_authentication_credential_json,
)
from webauthn.helpers.exceptions import WebAuthnException
from webauthn.helpers.structs import PublicKeyCredentialDescriptor

from resale.errors import ResaleError
from resale.storage.people.people import Person
from resale.storage.people.second_steps import (
    PASSKEY,
    NewPasskey,
    SecondStep,
    passkey_used,
    second_steps,
)
from resale.storage.people.sessions import set_challenge, take_challenge

LONGEST_ANSWER = 20_000
LOCAL = "localhost"


class PasskeyError(ResaleError):
    """The browser's answer is not the one that was asked for."""

    def __init__(self) -> None:
        super().__init__(
            "the passkey did not answer what it was asked",
            where="Passkey",
            remedy="try it once more, or take another way",
        )


def can_be_used() -> bool:
    """Whether a browser offers passkeys at this address: a name, and nobody listening."""
    name = _name()
    try:
        ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        return request.is_secure or name == LOCAL
    return False


def to_register(engine: Engine, token: str, person: Person, shop: str) -> str:
    """Ask a browser to make a passkey.

    Parameters
    ----------
    token : str
        Of the session that asks: the answer counts there alone, and once.
    shop : str
        Name of the shop, as the browser shows it.

    Returns
    -------
    str
        JSON for the page's script.
    """
    options = generate_registration_options(
        rp_id=_name(),
        rp_name=shop,
        user_id=str(person.id).encode(),
        user_name=person.name,
        exclude_credentials=_known(engine, person),
    )
    set_challenge(engine, token, bytes_to_base64url(options.challenge))
    return options_to_json(options)


def made_by_browser(engine: Engine, token: str, answer: str, name: str) -> NewPasskey:
    """Check the passkey that a browser made against what it was asked.

    Parameters
    ----------
    token : str
        Of the session that asked.
    answer : str
        JSON from the page's script.
    name : str
        What its owner calls it.

    Raises
    ------
    PasskeyError
        If it does not answer what was asked.
    """
    challenge = take_challenge(engine, token)
    if not challenge:
        raise PasskeyError
    try:
        made = verify_registration_response(
            credential=_short(answer),
            expected_challenge=base64url_to_bytes(challenge),
            expected_rp_id=_name(),
            expected_origin=_origin(),
        )
    except (WebAuthnException, ValueError, TypeError, KeyError):
        raise PasskeyError from None
    return NewPasskey(
        name,
        bytes_to_base64url(made.credential_id),
        bytes_to_base64url(made.credential_public_key),
        made.sign_count,
    )


def to_answer(engine: Engine, token: str, person: Person) -> str | None:
    """Ask for one of a person's passkeys; None where they have none that can be used here.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    token : str
        Of the session that is asked: the challenge is stored with it.
    person : Person
        Whose passkeys may answer.

    Returns
    -------
    str or None
        JSON for the browser's call.
    """
    known = _known(engine, person)
    if not known or not can_be_used():
        return None
    options = generate_authentication_options(rp_id=_name(), allow_credentials=known)
    set_challenge(engine, token, bytes_to_base64url(options.challenge))
    return options_to_json(options)


def is_right(engine: Engine, token: str, person: Person, answer: str, at: datetime) -> bool:
    """Whether one of a person's passkeys answered what this session was asked last.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    token : str
        Of the session that was asked; its challenge is used up, right or wrong.
    person : Person
        Whose passkeys may answer.
    answer : str
        JSON as the browser gave it.
    at : datetime
        Moment of the answer.

    Returns
    -------
    bool
        False for whatever cannot be read, too.
    """
    challenge = take_challenge(engine, token)
    try:
        credential = parse_authentication_credential_json(_short(answer))
        step = _of(engine, person, bytes_to_base64url(credential.raw_id))
        if step is None or not challenge:
            return False
        checked = verify_authentication_response(
            credential=credential,
            expected_challenge=base64url_to_bytes(challenge),
            expected_rp_id=_name(),
            expected_origin=_origin(),
            credential_public_key=base64url_to_bytes(step.secret),
            credential_current_sign_count=step.counter,
        )
    except (WebAuthnException, ValueError, TypeError, KeyError):
        return False
    return passkey_used(engine, step, checked.new_sign_count, at)


def _of(engine: Engine, person: Person, credential: str) -> SecondStep | None:
    steps = second_steps(engine, person)
    return next((one for one in steps if one.how == PASSKEY and one.credential == credential), None)


def _known(engine: Engine, person: Person) -> list[PublicKeyCredentialDescriptor]:
    return [
        PublicKeyCredentialDescriptor(id=base64url_to_bytes(one.credential))
        for one in second_steps(engine, person)
        if one.how == PASSKEY
    ]


def _short(answer: str) -> str:
    if len(answer) > LONGEST_ANSWER:
        raise ValueError
    return answer


def _name() -> str:
    """The name that passkeys of this shop belong to: that of the address, which the guard knows."""
    host = request.host
    return host if host.endswith("]") else host.rsplit(":", 1)[0] if ":" in host else host


def _origin() -> str:
    return request.host_url.rstrip("/")
