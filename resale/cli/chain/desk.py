"""The commands of a chain's desk: its shops side by side, and things moved between them."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path

import click

from resale.cli.console import FOLDER, PATH, written
from resale.cli.reading_notes import CAME_BACK
from resale.config.settings import read_settings
from resale.errors import ResaleError, SettingError
from resale.money import Money
from resale.services.actor import at_the_machine
from resale.services.chain.desk import ChainDesk, Member, shop_named
from resale.services.chain.move_item import move_item
from resale.services.chain.parcel import on_the_way
from resale.services.chain.side_by_side import DAYS, WITHIN, ShopFigures, common_labels, figures_of
from resale.services.shop import open_shop

HEADINGS = (
    "shop",
    "on_hand",
    "on_rail",
    "sold",
    "brought",
    "currency",
    f"sells_in_{WITHIN}_days",
    "off_percent",
    "in_band",
)


@contextmanager
def chain_members(folder: Path | None) -> Iterator[tuple[Member, ...]]:
    """Open the shops of the chain that is seen from a shop, that one first, and close them again.

    Raises
    ------
    SettingError
        If it knows of no others.
    """
    settings = read_settings(folder)
    if not settings.other_shops:
        raise SettingError(
            "this shop knows of no others",
            where="other_shops",
            remedy="name their folders there, in shop.toml",
        )
    with closing(ChainDesk()) as desk:
        own = open_shop(settings)
        try:
            yield desk.members(own)
        finally:
            own.records.dispose()


@click.command(short_help="Show the shops of the chain side by side.")
@click.option("--days", type=click.IntRange(1, 3650), default=DAYS, show_default=True)
@click.option("--out", type=PATH, help="Write the figures as CSV as well.")
@FOLDER
def shops(days: int, out: Path | None, folder: Path | None) -> None:
    """Show each shop's figures, and what its prices make of the labels that sell most.

    The others are named in the setting other_shops. One that cannot be opened is said so, and the
    exit code is 1.
    """
    today = datetime.now().astimezone().date()
    with chain_members(folder) as members:
        rows: list[tuple[str, ShopFigures]] = []
        for one in members:
            if one.shop is None:
                click.echo(one.trouble, err=True)
                continue
            rows.append((one.name, figures_of(one.shop, today, days)))
            click.echo(_line(one, rows[-1][1]))
        for name, there in common_labels(rows):
            told = ", ".join(
                f"{shop} x{it.factor:.2f} ({it.sales} sold)"
                for (shop, _), it in zip(rows, there, strict=True)
                if it.factor is not None
            )
            if told:
                click.echo(f"{name}: {told}")
        opened = [one.shop for one in members if one.shop is not None]
        for way in on_the_way(opened, today):
            click.echo(
                f"{way.number} was sent from {way.source} to {way.target} and did not arrive: "
                "move it once more.",
                err=True,
            )
        if out is not None:
            _write(out, members, rows)
        if len(rows) < len(members):
            raise click.exceptions.Exit(CAME_BACK)


def _line(member: Member, it: ShopFigures) -> str:
    settings = member.shop.settings if member.shop else None
    brought = settings.money.show(it.brought) if settings else str(it.brought)
    parts = [
        f"{it.on_hand:,} on hand, {it.on_rail:,} on the rail",
        f"{it.sold:,} sold for {brought}",
    ]
    if it.sold_within is not None:
        parts.append(f"{it.sold_within:.0%} sell in {WITHIN} days")
    if it.off is not None and it.in_band is not None:
        parts.append(f"prices {it.off:.0f} % off, {it.in_band:.0%} in their bands")
    return f"{member.name}: {'; '.join(parts)}"


def _write(out: Path, members: tuple[Member, ...], rows: list[tuple[str, ShopFigures]]) -> None:
    currency = {one.name: one.shop.settings.currency for one in members if one.shop}
    with written(out) as stream:
        writer = csv.writer(stream)
        writer.writerow(HEADINGS)
        for name, it in rows:
            code = currency[name]
            brought = it.brought / 10 ** Money(code, "en").decimals
            shares = (it.sold_within, it.off, it.in_band)
            told = ["" if one is None else round(one, 4) for one in shares]
            writer.writerow([name, it.on_hand, it.on_rail, it.sold, brought, code, *told])


@click.command(short_help="Move things from one shop of the chain to another.")
@click.argument("numbers", nargs=-1, required=True)
@click.option("--from", "source", required=True, help="Name of the shop that has them.")
@click.option("--to", "target", required=True, help="Name of the shop that they go to.")
@FOLDER
def move(numbers: tuple[str, ...], source: str, target: str, folder: Path | None) -> None:
    """Move the things of these NUMBERS, with their readings, tickets, photos and lives.

    Each gets a number of the other shop. What is held, or a consignor's, stays, and the exit code
    is 1. What was broken off is finished by the same words.
    """
    at, failed = datetime.now().astimezone(), False
    with chain_members(folder) as members:
        one, other = shop_named(members, source), shop_named(members, target)
        for number in numbers:
            try:
                moved = move_item(one, other, at_the_machine(), number, at)
            except ResaleError as fault:
                click.echo(fault.sentence, err=True)
                failed = True
                continue
            held = ", held there until a lead looked" if moved.held else ""
            there = f"{moved.number_there} at {other.settings.name}{held}"
            click.echo(f"{moved.number} is {there}.")
    if failed:
        raise click.exceptions.Exit(CAME_BACK)
