"""Commands of the accounts: who is owed what, statements closed and printed, money noted."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from uuid import uuid4

import click

from resale.cli.console import FOLDER, PATH, whole
from resale.config.settings import read_settings
from resale.errors import ReadingError
from resale.selling.consignment.double_entry import PAYMENTS, Payment
from resale.selling.tickets.lost_letters import lost_letters
from resale.services.actor import at_the_machine
from resale.services.settlement.entered import catch_up_accounts
from resale.services.settlement.owed import accounts_now, dues_now
from resale.services.settlement.papers import statement_closed, statement_file, statement_paper
from resale.services.settlement.payouts import NewMove, note_move
from resale.services.settlement.statements import close_all, close_statement
from resale.services.shop import Shop, open_shop
from resale.storage.imports.cells.amounts import minor_units

DAY = click.DateTime(["%Y-%m-%d"])


@click.group(short_help="Settle with consignors: owed, close, statement, note.")
def accounts() -> None:
    """Settle with consignors: who is owed what, statements, payouts and deductions."""


@accounts.command()
@FOLDER
def owed(folder: Path | None) -> None:
    """Say who is owed what today, what is to be paid, and that all accounts sum to nought."""
    with _shop(folder) as shop:
        for one in dues_now(shop):
            due = f"{shop.money.show(one.owed)} owed, {shop.money.show(one.to_pay)} to pay"
            click.echo(f"{one.number:<10} {due}  {one.name}".rstrip())
        together = sum(accounts_now(shop).values())
        click.echo(f"All accounts together: {shop.money.show(together)}.")


@accounts.command()
@click.argument("end", type=DAY, metavar="DAY")
@click.option("--consignor", default="", help="Only this one, by number; else everybody.")
@FOLDER
def close(end: datetime, consignor: str, folder: Path | None) -> None:
    """Close statements up to DAY, such as 2026-10-31. A closed statement is never changed."""
    with _shop(folder) as shop:
        actor, at, last = at_the_machine(), shop.here(), end.date()
        if consignor:
            closed = [close_statement(shop, actor, consignor, last, at)]
        else:
            closed = close_all(shop, actor, last, at)
        for one in closed:
            click.echo(f"{one.name}: {shop.money.show(one.closing)} owed.")
        click.echo(f"{len(closed)} statements closed up to {last}.")


@accounts.command()
@click.argument("name", metavar="STATEMENT")
@click.option("--to", "place", type=PATH, required=True, help="File to write: .pdf or .csv.")
@FOLDER
def statement(name: str, place: Path, folder: Path | None) -> None:
    """Print STATEMENT, such as C-0007/3, again: the same bytes as ever."""
    number, slash, serial = name.rpartition("/")
    if not slash or not serial.isdecimal() or place.suffix not in (".pdf", ".csv"):
        raise ReadingError(
            f"{name[:30]!r} into {place.name[:30]!r} is no statement to print",
            where="statement",
            remedy="name it like C-0007/3, and a file that ends with .pdf or .csv",
        )
    with _shop(folder) as shop:
        found = statement_closed(shop, number, int(serial))
        if place.suffix == ".pdf" and (lost := lost_letters(found)):
            click.echo(lost, err=True)
        content = statement_paper(found) if place.suffix == ".pdf" else statement_file(found)
    with whole(place) as draft:
        draft.write_bytes(content)
    click.echo(f"Written to {place}.")


@accounts.command()
@click.argument("what", type=click.Choice(["payout", "deduction", "deposit"]))
@click.argument("consignor")
@click.argument("amount")
@click.option("--day", type=DAY, help="Today if left out.")
@click.option("--payment", type=click.Choice(PAYMENTS), default="transfer", help="How.")
@click.option("--note", default="", help="For what; a deduction needs it.")
@click.option("--in-advance", is_flag=True, help="A payout of more than is owed.")
@FOLDER
def note(
    what: str,
    consignor: str,
    amount: str,
    day: datetime | None,
    payment: Payment,
    note: str,
    in_advance: bool,
    folder: Path | None,
) -> None:
    """Note money: a payout to CONSIGNOR, a deduction from what is owed, or a deposit by them."""
    with _shop(folder) as shop:
        on: date = day.date() if day else shop.here().date()
        minor = minor_units(amount, shop.money)
        new = NewMove(
            consignor.strip().upper(), what, minor, on, uuid4().hex, payment, note, in_advance
        )
        note_move(shop, at_the_machine(), new, shop.here())
        click.echo(f"Noted: {what} of {shop.money.show(minor)}, {new.consignor}, {on}.")


@contextmanager
def _shop(folder: Path | None) -> Iterator[Shop]:
    """Open the shop for as long as a command needs it, its accounts up to date."""
    shop = open_shop(read_settings(folder))
    try:
        catch_up_accounts(shop, shop.here())
        yield shop
    finally:
        shop.records.dispose()
