"""Commands for the shop's devices: let one in, list them, shut one out."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from resale.cli.console import FOLDER
from resale.cli.sales import open_ledger
from resale.config.settings import read_settings
from resale.services.actor import at_the_machine
from resale.services.people.devices import add_device, revoke_device
from resale.storage.people.devices import SCOPES, devices


@click.group("device", short_help="Let tills and scanners ask over the wire.")
def device() -> None:
    """Tokens for the shop's own devices; each may read, save or sell."""


@device.command("add", short_help="Let a device in and print its token.")
@click.argument("name")
@click.option(
    "--may", "scopes", multiple=True, type=click.Choice(SCOPES), help="What; may be repeated."
)
@FOLDER
def add(name: str, scopes: tuple[str, ...], folder: Path | None) -> None:
    """Let the device NAME in and print its token, this once.

    Without --may it may read.
    """
    with open_ledger(read_settings(folder)) as records:
        new, secret = add_device(
            records, at_the_machine(), name, scopes or ("read",), datetime.now(UTC)
        )
    click.echo(secret)
    click.echo(
        f"{new.name} is device {new.id} and may {', '.join(new.may)}. "
        "Its token is shown this once and kept nowhere.",
        err=True,
    )


@device.command("list", short_help="List the devices.")
@FOLDER
def listed(folder: Path | None) -> None:
    """List every device with its number, what it may, and when it last asked."""
    with open_ledger(read_settings(folder)) as records:
        for one in devices(records):
            last_used = f"{one.last_used_at:%Y-%m-%d %H:%M}" if one.last_used_at else "never"
            state = f"revoked {one.revoked_at:%Y-%m-%d}" if one.revoked_at else f"asked {last_used}"
            click.echo(f"{one.id}\t{one.name}\t{' '.join(one.may)}\t{state}")


@device.command("revoke", short_help="Shut a device out.")
@click.argument("number", type=int)
@FOLDER
def revoke(number: int, folder: Path | None) -> None:
    """Shut the device NUMBER out for good."""
    with open_ledger(read_settings(folder)) as records:
        gone = revoke_device(records, at_the_machine(), number, datetime.now(UTC))
    click.echo(f"{gone.name} is shut out.")
