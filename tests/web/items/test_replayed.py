"""A saved valuation worked out again, on the item's page and as a command."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from bench_forms import Send, words_of
from click.testing import CliRunner, Result
from flask import Flask
from flask.testing import FlaskClient
from signed_in import signed_in
from sqlalchemy import Engine, text

from resale.cli.main import commands

LIVE = {"HX-Request": "true"}


@pytest.fixture
def saved(send: Send) -> str:
    send("save", s__cuff_buttons="working", s__wear="good")
    return "Q-00001"


def altered(records: Engine) -> None:
    """Write another ticket and another share into the stored valuation, as no door allows."""
    with records.begin() as one:
        for name in one.scalars(
            text("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        ).all():
            one.execute(text(f'DROP TRIGGER "{name}"'))
        order = "json_set(result, '$.ticket', 100, '$.contributions', json('[]'))"
        one.execute(text(f"UPDATE valuation SET result = {order}"))  # noqa: S608


def command(app: Flask, *words: str) -> Result:
    folder: Path = app.extensions["resale"].settings.data_folder
    return CliRunner().invoke(commands, ["replay", *words, "--folder", str(folder)])


def test_a_lead_sees_that_a_saved_price_comes_out_the_same(
    app: Flask, saved: str, client: FlaskClient
) -> None:
    lead = signed_in(app, "lead")
    assert f'hx-get="/items/{saved}/again"' in lead.get(f"/items/{saved}").text
    part = words_of(lead.get(f"/items/{saved}/again", headers=LIVE))
    assert "Worked out again: the same to the cent." in part
    assert "Cuff buttons: Working" in part
    ticket = app.extensions["resale"].money.plain(_ticket(app, saved))
    assert part.count(ticket) >= 2
    assert words_of(lead.get(f"/items/{saved}/again")).count("the same to the cent") == 1


def _ticket(app: Flask, number: str) -> int:
    with app.extensions["resale"].records.connect() as one:
        return int(one.scalar(text("SELECT ticket FROM valuation")) or 0)


def test_a_sorter_is_not_asked_to_check_the_sums(app: Flask, saved: str) -> None:
    sorter = signed_in(app, "sorter")
    assert "/again" not in sorter.get(f"/items/{saved}").text
    assert sorter.get(f"/items/{saved}/again").status_code == 403


def test_an_altered_valuation_is_shown_beside_what_it_should_say(app: Flask, saved: str) -> None:
    altered(app.extensions["resale"].records)
    part = words_of(signed_in(app, "lead").get(f"/items/{saved}/again"))
    assert "Worked out again: it differs. The stored valuation was altered" in part
    assert "Ticket 1.00" in part


def test_the_command_says_the_same_and_ends_with_one_where_it_differs(
    app: Flask, saved: str
) -> None:
    ran = command(app, saved.lower())
    assert ran.exit_code == 0
    assert ran.stdout.endswith("Worked out again: the same to the cent.\n")
    assert "Cuff buttons: Working" in ran.stdout
    altered(app.extensions["resale"].records)
    ran = command(app, saved)
    assert ran.exit_code == 1
    assert "The stored valuation was altered" in ran.stderr
    for words in (("Q-00099",), (saved, "--back", "1")):
        ran = command(app, *words)
        assert ran.exit_code == 2
        assert "has no such valuation" in ran.stderr


def set_to(app: Flask, value: str) -> None:
    folder: Path = app.extensions["resale"].settings.data_folder
    words = ["settings", "old_wear_counts", value, "--folder", str(folder)]
    ran = CliRunner().invoke(commands, words)
    assert ran.exit_code == 0, ran.output


WORN = {"s__label_era": "older_label", "s__stain": "seen_3"}


def test_what_wear_counted_on_an_old_thing_that_day_is_kept_with_it(app: Flask, send: Send) -> None:
    send("save", **WORN)
    assert "Wear, for its age" in command(app, "Q-00001").stdout
    set_to(app, "1")
    ran = command(app, "Q-00001")
    assert ran.exit_code == 0 and "Wear, for its age" in ran.stdout


def test_what_was_saved_before_age_excused_anything_is_worked_out_as_then(
    app: Flask, send: Send
) -> None:
    """Its terms say nothing of age: then all wear counted, whatever the shop says by now."""
    shop = app.extensions["resale"]
    alike = replace(shop.valuer, terms=replace(shop.valuer.terms, old_wear_counts=1.0))
    app.extensions["resale"] = replace(shop, valuer=alike)
    send("save", **WORN)
    with shop.records.begin() as one:
        for name in one.scalars(
            text("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        ).all():
            one.execute(text(f'DROP TRIGGER "{name}"'))
        one.execute(text("UPDATE event SET data = json_remove(data, '$.terms.old_wear_counts')"))
    ran = command(app, "Q-00001")
    assert ran.exit_code == 0 and "Wear, for its age" not in ran.stdout
