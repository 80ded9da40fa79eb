"""A device is told what is still to be looked at, and gets no ticket before it was."""

from __future__ import annotations

import pytest
from api_shop import Ask
from looked_over import answers


def sent(kind: str, **more: object) -> dict[str, object]:
    signs, looks = answers(kind, {})
    return {"kind": kind, "readings": signs, "looks": looks, **more}


def test_a_value_names_what_is_still_to_be_looked_at(ask: Ask) -> None:
    said = ask("POST", "/value", json={"kind": "jacket"}).json
    assert {"look_pockets", "look_child", "pests"} <= {one["id"] for one in said["look_first"]}
    assert ask("POST", "/value", json=sent("jacket")).json["look_first"] == []


def test_a_device_gets_no_ticket_for_what_nobody_looked_over(ask: Ask) -> None:
    number = ask("POST", "/items", json={"kind": "shirt"}, key="bare").json["number"]
    for what, more in (("ticketed", {"amount_minor": 900}), ("put_out", {})):
        refused = ask(
            "POST", f"/items/{number}/events", json={"what": what, **more}, key=f"no-{what}"
        )
        assert refused.status_code == 422 and "looked" in refused.json["detail"]


def test_words_hold_over_the_api_as_they_do_on_the_bench(ask: Ask) -> None:
    said = ask("POST", "/value", json=sent("jacket", note="racoon collar")).json
    assert [one["id"] for one in said["holds"]] == ["unknown_fur"]


@pytest.mark.parametrize(
    ("looks", "said"),
    [({"look_moon": "no"}, "no look 'look_moon'"), ({"look_child": "maybe"}, "use one of no, yes")],
)
def test_a_look_that_is_none_is_named(ask: Ask, looks: dict[str, str], said: str) -> None:
    refused = ask("POST", "/value", json={"kind": "jacket", "looks": looks})
    assert refused.status_code == 422 and said in refused.text
