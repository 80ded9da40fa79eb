"""Second steps: codes by RFC 6238, each good once; codes for a bad day, hashed and good once."""

from __future__ import annotations

import base64
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

import pyotp
import pytest
from servers import Place
from sqlalchemy import Engine

from resale.storage.people.one_time_codes import (
    WrongCodeError,
    address_for_app,
    begin_app,
    prove_app,
    step_of,
    take_code,
    unproved_seed,
)
from resale.storage.people.people import Person, add_person
from resale.storage.people.recovery_codes import (
    BYTES,
    HOW_MANY,
    codes_left,
    new_codes,
    take_recovery_code,
)
from resale.storage.people.second_steps import (
    has_second_step,
    second_steps,
    take_all_off,
    take_off,
)
from resale.storage.people.sessions import person_of_half_session, person_of_session, start_session

NOW = datetime(2026, 6, 30, 12, 0, 10, tzinfo=UTC)
HALF_MINUTE = timedelta(seconds=30)


@pytest.fixture
def lead(records: Engine) -> Person:
    return add_person(records, "Leopold", "lead", NOW)


# RFC 6238, appendix B, the rows for SHA-1: seconds since 1970, step, code of eight figures. The
# seed there is the ASCII text below. Ours has six figures: the same number modulo 10^6 (RFC 4226,
# 5.3), so the last six of the eight.
SEED = base64.b32encode(b"12345678901234567890").decode()
VECTORS = [
    (59, 0x1, "94287082"),
    (1111111109, 0x23523EC, "07081804"),
    (1111111111, 0x23523ED, "14050471"),
    (1234567890, 0x273EF07, "89005924"),
    (2000000000, 0x3F940AA, "69279037"),
    (20000000000, 0x27BC86AA, "65353130"),
]


@pytest.mark.parametrize(("seconds", "step", "eight"), VECTORS)
def test_codes_are_those_of_rfc_6238(seconds: int, step: int, eight: str) -> None:
    at = datetime.fromtimestamp(seconds, UTC)
    assert step_of(SEED, eight[-6:], at) == step
    assert step_of(SEED, f"{eight[-6:-3]} {eight[-3:]}", at + HALF_MINUTE) == step
    assert step_of(SEED, eight[-6:], at + 2 * HALF_MINUTE) is None
    if step > 1:
        assert step_of(SEED, eight[-6:], at - HALF_MINUTE) is None


def with_app(records: Engine, lead: Person) -> pyotp.TOTP:
    app = pyotp.TOTP(begin_app(records, lead, NOW))
    prove_app(records, lead, app.at(NOW), NOW)
    return app


def test_an_app_counts_once_it_has_shown_a_code(records: Engine, lead: Person) -> None:
    seed = begin_app(records, lead, NOW)
    assert unproved_seed(records, lead) == seed and not has_second_step(records, lead)
    with pytest.raises(WrongCodeError):
        prove_app(records, lead, "000000 ", NOW + HALF_MINUTE * 900)
    assert not take_code(records, lead, pyotp.TOTP(seed).at(NOW), NOW)
    prove_app(records, lead, pyotp.TOTP(seed).at(NOW), NOW)
    assert has_second_step(records, lead) and unproved_seed(records, lead) is None
    (step,) = second_steps(records, lead)
    assert (step.how, step.secret) == ("app", "")


def test_a_code_is_good_once_and_so_is_none_before_it(records: Engine, lead: Person) -> None:
    """OWASP ASVS 5.0, 6.5.1: one-time codes are successfully usable once."""
    app = with_app(records, lead)
    assert not take_code(records, lead, app.at(NOW), NOW), "it proved the app already"
    later = NOW + 4 * HALF_MINUTE
    assert take_code(records, lead, app.at(later), later)
    assert not take_code(records, lead, app.at(later), later)
    assert not take_code(records, lead, app.at(later - HALF_MINUTE), later)
    assert not take_code(records, lead, "", later)
    assert not take_code(records, lead, "１２３４５６", later)


def test_of_desks_that_send_one_code_at_once_one_is_in(place: Place) -> None:
    records = place.open()
    lead = add_person(records, "Leopold", "lead", NOW)
    app, later = with_app(records, lead), NOW + 4 * HALF_MINUTE
    code = app.at(later)
    with ThreadPoolExecutor(4) as desks:
        took = list(desks.map(lambda _: take_code(records, lead, code, later), range(8)))
    assert took.count(True) == 1


def test_codes_for_a_bad_day_are_good_once_and_never_kept_as_they_are(place: Place) -> None:
    """OWASP ASVS 5.0, 6.5.2: below 112 bits they would need a slow hash; these have 120."""
    assert BYTES * 8 >= 112
    records = place.open()
    lead = add_person(records, "Leopold", "lead", NOW)
    other = add_person(records, "Ottoline", "owner", NOW)
    codes = new_codes(records, lead, NOW)
    assert len(set(codes)) == HOW_MANY == codes_left(records, lead)
    kept = place.kept()
    for code in codes:
        assert code.encode() not in kept and code.replace("-", "").encode() not in kept
    assert not take_recovery_code(records, other, codes[0], NOW)
    assert take_recovery_code(records, lead, codes[0].lower().replace("-", " "), NOW)
    assert not take_recovery_code(records, lead, codes[0], NOW)
    assert not take_recovery_code(records, lead, "", NOW)
    assert codes_left(records, lead) == HOW_MANY - 1
    new_codes(records, lead, NOW)
    assert not take_recovery_code(records, lead, codes[1], NOW)


def test_with_the_last_step_the_codes_go_too(records: Engine, lead: Person) -> None:
    with_app(records, lead)
    new_codes(records, lead, NOW)
    take_off(records, lead, second_steps(records, lead)[0].id)
    assert (codes_left(records, lead), has_second_step(records, lead)) == (0, False)
    with_app(records, lead)
    assert take_all_off(records, lead) and not take_all_off(records, lead)


def test_a_half_sitting_opens_nothing_and_waits_ten_minutes(records: Engine, lead: Person) -> None:
    token = start_session(records, lead.id, "a test", NOW, half=True)
    assert person_of_session(records, token, NOW) is None
    assert person_of_half_session(records, token, NOW) == lead
    assert person_of_half_session(records, token, NOW + timedelta(minutes=11)) is None
    whole = start_session(records, lead.id, "a test", NOW)
    assert person_of_half_session(records, whole, NOW) is None


def test_an_app_is_told_seed_name_and_shop() -> None:
    """The form of the address that such apps read: from memory."""
    address = address_for_app(SEED, "Ann Invented", "Our shop")
    assert address.startswith("otpauth://totp/Our%20shop:Ann%20Invented?secret=" + SEED)
