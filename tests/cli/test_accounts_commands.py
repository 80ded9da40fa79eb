"""The commands of the accounts: a month closed, printed again, paid."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from consigned_shop import ConsignedShop

from resale.cli import main as cli


@pytest.fixture
def run(tmp_path: Path, empty_records: Path, monkeypatch: pytest.MonkeyPatch):
    """Commands of a shop in which one thing of 40.00 sold for a consignor yesterday."""
    folder = tmp_path / "shop"
    folder.mkdir()
    shutil.copy(empty_records, folder)
    shop, day = ConsignedShop(folder), datetime.now(UTC).date() - timedelta(1)
    shop.consignor("C-1")
    shop.sells(shop.brings("C-1"), day, 4000)
    shop.shop.records.dispose()
    monkeypatch.setenv("RESALE_DATA_FOLDER", str(folder))
    monkeypatch.chdir(tmp_path)

    def command(*words: str) -> Result:
        return CliRunner().invoke(cli.commands, ["accounts", *words])

    command.day = day.isoformat()
    return command


def test_a_month_is_closed_printed_and_paid(run, tmp_path: Path) -> None:
    assert "C-1        €20.00 owed, €0.00 to pay" in run("owed").stdout
    closed = run("close", run.day)
    assert closed.exit_code == 0 and "C-1/1: €20.00 owed." in closed.stdout, closed.output
    for name in ("one.pdf", "two.pdf", "one.csv"):
        assert run("statement", "C-1/1", "--to", name).exit_code == 0
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()
    assert b"20.00" in (tmp_path / "one.csv").read_bytes()
    noted = run("note", "payout", "C-1", "20,00", "--payment", "cash")
    assert "Noted: payout of €20.00, C-1" in noted.stdout, noted.output
    said = run("owed").stdout
    assert "€0.00 owed, €0.00 to pay" in said and "All accounts together: €0.00." in said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("note", "payout", "C-1", "30"), "only €20.00 is owed"),
        (("note", "deduction", "C-1", "3"), "says what it is for"),
        (("note", "payout", "C-9", "3"), "no consignor 'C-9'"),
        (("close", "2999-01-01"), "is still to come"),
        (("statement", "C-1/9", "--to", "x.pdf"), "has no statement 9"),
        (("statement", "C-1", "--to", "x.pdf"), "no statement to print"),
        (("statement", "C-1/1", "--to", "x.doc"), "no statement to print"),
    ],
)
def test_what_cannot_be_is_one_sentence_and_exit_code_two(run, words, said) -> None:
    ran = run(*words)
    assert ran.exit_code == 2 and said in ran.stderr and ran.stderr.count("\n") == 1
