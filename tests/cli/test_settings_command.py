"""The command of settings: shown, explained, tried, written."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from resale.cli import main as cli
from resale.cli.sales import open_ledger
from resale.config.reference import settings_table
from resale.config.settings import read_settings
from resale.services.actor import at_the_machine
from resale.storage.people.audit_log import audit_entries


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("RESALE_DATA_FOLDER", str(tmp_path))

    def command(*words: str) -> Result:
        return CliRunner().invoke(cli.commands, ["settings", *words])

    return command


def test_all_are_shown_with_what_was_set(run, tmp_path: Path, monkeypatch) -> None:
    (tmp_path / "shop.toml").write_text("wage = 20\n")
    monkeypatch.setenv("RESALE_PERIODS", "6")
    shown = run().stdout
    for row in settings_table():
        assert f"  {row.name} = " in shown
    assert "wage = 20 currency an hour (where nobody set it: 24)" in shown
    assert "periods = 6 periods (by RESALE_PERIODS)" in shown


def test_one_is_explained(run) -> None:
    said = run("wage").stdout
    assert "What an hour at the desk costs" in said and "RESALE_WAGE" in said
    wrong = run("wgae")
    assert wrong.exit_code == 2 and "wgae is not a setting; use one of" in wrong.stderr


def test_a_value_is_tried_and_then_written_with_a_name(run, tmp_path: Path) -> None:
    assert run("wage", "26", "--try").stdout == "wage would be 26; it was 24.\n"
    assert not (tmp_path / "shop.toml").exists()
    assert run("wage", "26").stdout == "wage is now 26; it was 24.\n"
    assert run("habit", "[0, 0.3]").stdout == "habit is now 0; 0.3; it was 0; 0.25; 0.5.\n"
    assert run("wage", "26").stdout == "That is what it is already.\n"
    settings = read_settings(tmp_path, environment={})
    assert (settings.wage, settings.habit) == (26, (0, 0.3))
    with open_ledger(settings) as records:
        (_, first) = audit_entries(records)
    assert first.by_whom == at_the_machine().name and first.role == "command"
    assert (first.about, first.data) == ("wage", {"before": "24", "after": "26"})


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("wage", "plenty"), "wage: 'plenty' is not a number; write one such as 12.5."),
        (("wage", "-1"), "wage = -1.0 should be greater than or equal to 0"),
        (("hosts", '["a"]'), "hosts is set in shop.toml or in the environment alone"),
        (("periods", "5"), "periods is set by RESALE_PERIODS in the environment"),
    ],
)
def test_what_cannot_be_is_one_sentence_and_exit_code_2(run, monkeypatch, words, sentence) -> None:
    monkeypatch.setenv("RESALE_PERIODS", "6")
    ran = run("--", *words)
    assert ran.exit_code == 2 and sentence in ran.stderr
