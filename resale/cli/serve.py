"""Commands of the doors: open the shop's screens, and make a link that lets somebody in."""

from __future__ import annotations

import socket
import sys
import webbrowser
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from threading import Timer

import click

from resale.cli.console import FOLDER, PATH, folder_that_is_there
from resale.cli.sales import open_ledger
from resale.config.loopback import in_an_address, is_loopback
from resale.config.settings import Settings, read_settings
from resale.errors import ResaleError
from resale.services.actor import at_the_machine
from resale.services.people.entry_link import make_entry_link, take_second_steps_off
from resale.storage.people.invitations import GOOD_FOR
from resale.storage.people.people import has_owner, people, person_named

HOST = "127.0.0.1"
PORT = 8765
# The browser asks before the server answers unless it is given a moment.
SECONDS_TO_START = 0.8


@click.command("open", short_help="Open the shop's screens.")
@click.option("--demo", is_flag=True, help="Open the invented shop, to try things out.")
@click.option("--port", type=click.IntRange(0, 65535), default=PORT, show_default=True)
@click.option("--folder", type=PATH, help="Where the shop's records are kept.")
@click.option(
    "--host", default=HOST, show_default=True, help="Address to answer at; 0.0.0.0 for the network."
)
@click.option("--no-browser", is_flag=True, help="Only print the address.")
def open_shop(demo: bool, port: int, folder: Path | None, host: str, no_browser: bool) -> None:
    """Open the shop's screens in the browser, on this machine only unless told otherwise."""
    if demo and not is_loopback(host):
        raise ResaleError(
            "the invented shop opens on this machine only",
            where=f"--host {host}",
            remedy="leave --host away: nobody there has a password",
        )
    if not demo:
        folder_that_is_there(folder)
    with _listening(host, port) as door:
        # The screens take a second to load, for which the other commands need not wait.
        from resale.web import create_app  # noqa: PLC0415
        from resale.web.admin.daily_copies import daily_copies  # noqa: PLC0415
        from resale.web.core import logs  # noqa: PLC0415
        from resale.web.core.shop import EXTENSION  # noqa: PLC0415
        from resale.web.core.trusted_hosts import NAMES  # noqa: PLC0415
        from resale.web.http_server import http_server  # noqa: PLC0415

        app = create_app(folder, demo=demo)
        if is_loopback(host):
            app.config[NAMES].add(in_an_address(host))
        shop = app.extensions[EXTENSION]
        logs.begin(shop.settings)
        server = http_server(app, door, shop.settings)
        click.echo(f"Records and shop.toml are in {shop.settings.data_folder}")
        if not is_loopback(host):
            click.echo(_in_the_network(host, shop.settings), err=True)
        address = _address(shop.settings, host, door.getsockname()[1])
        click.echo(f"The shop is open at {address} - press Ctrl+C here to close it.")
        if not has_owner(shop.records):
            address += f"enter/{make_entry_link(shop.records, at_the_machine(), None, shop.now())}"
            click.echo(f"It has no owner yet. Whoever opens this link becomes it: {address}")
        if not no_browser:
            Timer(SECONDS_TO_START, webbrowser.open, [address]).start()
        with daily_copies(app):
            server.run()


def _address(settings: Settings, host: str, port: int) -> str:
    """Where a browser finds the shop: by its proxy's name where it has one in front."""
    if settings.proxies:
        if not settings.hosts:
            raise ResaleError(
                "a proxy is said to stand in front, and no name that the shop is opened by",
                where="hosts",
                remedy="set hosts to the names that the proxy answers to",
            )
        return f"http{'s' if settings.https else ''}://{settings.hosts[0]}/"
    here = {"0.0.0.0": HOST, "::": "::1"}.get(host, host)  # noqa: S104 - it is taken off here
    return f"http://{in_an_address(here)}:{port}/"


def _in_the_network(host: str, settings: Settings) -> str:
    """Warn of what an open network means, as far as the settings leave something to warn of."""
    if settings.proxies:
        return (
            f"The shop listens in the network at {host}, and answers to the proxy at "
            f"{settings.proxy_address} alone."
        )
    caution = f"CAUTION: the shop answers to everybody in the network at {host}."
    if not settings.https:
        caution += (
            " Passwords go over it as they are typed: put a proxy with https in front, and set "
            "https = true."
        )
    if not settings.hosts:
        caution += " It answers to no name yet: set hosts to the names it is opened by."
    return caution


@contextmanager
def _listening(host: str, port: int) -> Iterator[socket.socket]:
    """Take the port before anything else is done, so that a port in use is told at once."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family) as door:
        try:
            if sys.platform != "win32":
                # Else a shop closed a moment ago keeps its port busy for a minute.
                door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            door.bind((host, port))
            door.listen()
        except OSError as fault:
            raise ResaleError(
                f"port {port} cannot be used ({fault.strerror})",
                where=host,
                remedy="close what uses it, or name another with --port",
            ) from None
        yield door


@click.command("let-in", short_help="Print a link that lets an owner in.")
@click.argument("name", required=False)
@click.option("--port", type=click.IntRange(1, 65535), default=PORT, show_default=True)
@click.option("--without-second-step", is_flag=True, help="Their app and passkeys are lost too.")
@FOLDER
def let_in(name: str | None, port: int, without_second_step: bool, folder: Path | None) -> None:
    """Print a link by which NAME sets a new password; without NAME, for the owner.

    Whoever can run this on the shop's machine can read the records anyway: it opens no new door.
    """
    settings = read_settings(folder)
    with open_ledger(settings) as records:
        everybody = people(records)
        first = next((one for one in everybody if one.role == "owner"), None)
        person = person_named(records, name) if name else first
        if name and person is None:
            known = ", ".join(one.name for one in everybody) or "nobody yet"
            raise ResaleError(
                f"nobody called {name[:60]!r} works here", remedy=f"name one of: {known}"
            )
        now, actor = datetime.now(UTC), at_the_machine()
        if person and without_second_step:
            token = take_second_steps_off(records, actor, person, now)
        else:
            token = make_entry_link(records, actor, person, now)
    whom = f"for {person.name}" if person else "for the first owner"
    click.echo(f"Open this once within {GOOD_FOR.days} days, {whom}:")
    click.echo(f"{_address(settings, HOST, port)}enter/{token}")
