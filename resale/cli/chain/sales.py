"""The commands of a chain: its sales in one folder, learned from and valued; its desk beside."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

import click
import numpy as np

from resale.cli.chain.desk import move, shops
from resale.cli.chain.together import gather, hand_over_prices
from resale.cli.console import FOLDER, PATH
from resale.cli.reading_notes import CAME_BACK
from resale.config.settings import read_settings
from resale.errors import ItemFileError
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer
from resale.services.chain.bring_sales import bring_sales
from resale.services.chain.fit_chain import fit_chain
from resale.services.chain.folders import folder_of, shop_of
from resale.services.chain.value_chain import PieceValuer, value_chain
from resale.storage.models.book_in_use import book_of_shop
from resale.storage.models.model_files import load_model, save_model
from resale.storage.warehouse.workers import local_workers, workers_at

WORKERS = click.option(
    "--workers",
    default="",
    help="How many workers of this machine, or the address of workers elsewhere; none where empty.",
)
SALES_FOLDER = click.argument("sales", type=PATH)


@click.group(short_help="Bring, learn from and value the sales of many shops.")
def chain() -> None:
    """Work on a folder of Parquet files with the sales of many shops.

    Memory does not grow with the sales; with --workers several processes or machines share the
    work, and come to the same prices.
    """


for command in (shops, move, gather, hand_over_prices):
    chain.add_command(command)


@contextmanager
def _asked(workers: str) -> Iterator[Any]:
    if not workers:
        yield None
    elif workers.isdigit() and int(workers):
        with local_workers(int(workers)) as client:
            yield client
    else:
        with workers_at(workers) as client:
            yield client


@chain.command(short_help="Bring a shop's file of sales into the folder.")
@click.argument("file", type=PATH)
@click.option("--shop", required=True, help="Whose sales they are.")
@click.option("--to", "to", type=PATH, required=True, help="Folder of the chain's sales.")
@FOLDER
def bring(file: Path, shop: str, to: Path, folder: Path | None) -> None:
    """Bring FILE, a CSV file of sales with our headings and of any length, into the folder.

    The same sales never come in twice, and a file never takes the place of another of its name.
    Rows that cannot be read come back in FILE-came-back.csv.
    """
    book = book_of_shop(read_settings(folder))
    back = file.with_name(f"{file.stem}-came-back.csv")
    came, refused = bring_sales(file, shop.strip(), to, book, back)
    click.echo(f"{came:,} sales of {shop} brought into {to}.")
    if refused:
        click.echo(f"{refused:,} rows came back in {back}.", err=True)
        raise click.exceptions.Exit(CAME_BACK)


@chain.command(short_help="Learn prices from all shops at once.")
@SALES_FOLDER
@click.option("--out", type=PATH, required=True, help="Folder for the prices, one inside a shop.")
@click.option("--note", default="", help="A line to keep with the prices.")
@FOLDER
@WORKERS
def fit(sales: Path, out: Path, note: str, folder: Path | None, workers: str) -> None:
    """Learn from all SALES: what shops share is learned together, their own ways by each.

    Each shop's prices are a folder of OUT, to be used by its own screens as any learned prices.
    """
    settings = read_settings(folder)
    book, today = book_of_shop(settings), datetime.now().astimezone().date()
    with _asked(workers) as client:
        found = fit_chain(
            sales,
            book,
            np.datetime64(today),
            settings.half_life_days,
            client,
            old_wear_counts=settings.old_wear_counts,
        )
    for shop, model in found.models().items():
        save_model(model, out / folder_of(shop), note=note or f"Chain: {shop}", created=today)
    click.echo(
        f"Learned from {found.sales:,} sales of {len(found.words.shops):,} shops; with every sign "
        f"looked at, about {found.fitted.noise:.0%} would be left. Prices are in {out}."
    )


@chain.command(short_help="Value everything in a folder of sales.")
@SALES_FOLDER
@click.option("--prices", type=PATH, required=True, help="Folder that 'chain fit' wrote.")
@click.option("--out", type=PATH, required=True, help="Folder for the values, as Parquet.")
@FOLDER
@WORKERS
def value(sales: Path, prices: Path, out: Path, folder: Path | None, workers: str) -> None:
    """Value every thing in SALES by its own shop's prices."""
    settings = read_settings(folder)
    book, terms = book_of_shop(settings), ShopTerms.of(settings)
    if out.resolve() == sales.resolve():
        raise ItemFileError(
            "values would be written among the sales", where=str(out), remedy="name another folder"
        )
    names = sorted(path.parent.name for path in prices.glob("*/manifest.json"))
    models = {shop_of(name): load_model(prices / name, book) for name in names}
    valuers = {shop: Valuer(book, model, terms) for shop, model in models.items()}
    with _asked(workers) as client:
        count = value_chain(sales, PieceValuer(book, valuers, out), client)
    click.echo(f"{count:,} things valued in {out}.")
