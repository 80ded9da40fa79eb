"""Devices and what they send once: the same in a file and on a server."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import Engine
from writing import done_once

from resale.errors import ReadingError
from resale.storage.people.devices import (
    DeviceError,
    add_device,
    device_with,
    devices,
    note_use,
    revoke_device,
)
from resale.storage.people.idempotency_keys import KeyTakenError

AT = datetime(2026, 3, 1, 12, 30, tzinfo=UTC)


def test_a_device_is_found_by_its_secret_until_it_is_shut_out(records: Engine) -> None:
    till, secret = add_device(records, "  Till   at the door ", ["sell", "read"], AT, "Ottoline")
    assert (till.name, till.may, till.made_by) == ("Till at the door", ("read", "sell"), "Ottoline")
    assert device_with(records, secret) == till
    assert device_with(records, secret[:-1]) is None
    assert device_with(records, till.name) is None
    gone = revoke_device(records, till.id, AT)
    assert revoke_device(records, till.id, AT + timedelta(1)) == gone
    assert device_with(records, secret) is None


def test_no_two_devices_have_one_name_and_no_two_one_secret(records: Engine) -> None:
    till, secret = add_device(records, "Kasse Tür", ["read"], AT)
    with pytest.raises(DeviceError, match="let in already"):
        add_device(records, "KASSE TÜR", ["read"], AT)
    revoke_device(records, till.id, AT)
    again, other = add_device(records, "Kasse Tür", ["read"], AT)
    assert secret != other
    assert [one.id for one in devices(records)] == [again.id, till.id]


@pytest.mark.parametrize("name", ["", "  ", "x" * 61, "a\0b", "a\ud800", "tab\x1bs"])
def test_what_is_no_name_is_refused(records: Engine, name: str) -> None:
    with pytest.raises(DeviceError, match="no name for a device"):
        add_device(records, name, ["read"], AT)


def test_use_is_noted_to_the_minute(records: Engine) -> None:
    _, secret = add_device(records, "Till", ["read"], AT)
    for seconds, noted in ((0, 0), (59, 0), (60, 60)):
        note_use(records, device_with(records, secret), AT + timedelta(seconds=seconds))
        assert device_with(records, secret).last_used_at == AT + timedelta(seconds=noted)


def test_what_is_sent_twice_is_done_once(records: Engine) -> None:
    done = []

    def do() -> dict[str, int]:
        done.append(1)
        return {"number": len(done)}

    first = done_once(records, "k", {"kind": "bag"}, AT, do)
    assert done_once(records, "k", {"kind": "bag"}, AT, do) == first == {"number": 1}
    with pytest.raises(KeyTakenError, match="sent with something else"):
        done_once(records, "k", {"kind": "shirt"}, AT, do)
    assert done_once(records, "another", {"kind": "bag"}, AT, do) == {"number": 2}


def test_a_key_is_free_again_after_a_fault_that_the_sender_can_mend(records: Engine) -> None:
    def refuse() -> dict[str, int]:
        raise ReadingError("no such kind")

    with pytest.raises(ReadingError):
        done_once(records, "k", {"kind": "boat"}, AT, refuse)
    assert done_once(records, "k", {"kind": "bag"}, AT, lambda: {"number": 1}) == {"number": 1}


def test_what_was_cut_off_is_done_again_when_it_is_sent_again(records: Engine) -> None:
    def pulled() -> dict[str, int]:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        done_once(records, "k", {"kind": "bag"}, AT, pulled)
    assert done_once(records, "k", {"kind": "bag"}, AT, lambda: {"number": 1}) == {"number": 1}
