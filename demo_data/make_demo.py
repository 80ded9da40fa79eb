"""Make the invented shop anew: `python demo_data/make_demo.py`, with the project installed.

Writes sales.csv, items.csv, shop.toml, truth.json and README.md beside itself, or into the folder
named on the command line. The same rule book always gives the same bytes.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np
from asked_folder import asked_folder
from ledger import Sales, sell
from makers import NAMES
from page import SHOP_TEXT, readme
from shop_book import SOLD, shop_book
from stock import NO_LABEL, Stock, draw_stock
from streams import stream
from truth import Truth, make_truth, written
from wording import SIZES, count_text, fibre_text, size_mark

from resale.garments.rulebook.gradings import Fibres, Stitches
from resale.garments.rulebook.rule_book import RuleBook
from resale.garments.rulebook.signals import Signal

ON_HAND = {"bag": 28, "jacket": 32, "shirt": 60, "shoes": 32, "trousers": 48}
HEAD = ("item", "kind", "label", "size")
SALE_TAIL = ("taken_in_on", "put_out_on", "first_ticket", "sold_on", "price")
COUNTS_WRITTEN, LABELS_WRITTEN = 1 / 3, 1 / 2

Row = dict[str, str]


def sold_rows(book: RuleBook, truth: Truth) -> list[Row]:
    """Make a row for every sale, oldest first, numbered in the order of intake."""
    rows: list[Row] = []
    for kind_id, count in SOLD.items():
        stock = draw_stock(book.kinds[kind_id], count, truth.makers, sold=True)
        sales = sell(truth, stock)
        rows += [
            {**_seen(stock, place), **_sale(sales, place), "size": size}
            for place, size in enumerate(_sizes(stock, "sold"))
        ]
    rows.sort(key=lambda row: row["taken_in_on"])
    _number(rows, 1)
    return sorted(rows, key=lambda row: (row["sold_on"], row["item"]))


def rows_on_hand(book: RuleBook, truth: Truth) -> list[Row]:
    """Make a row for every item in the back room, kinds mixed as they come in."""
    rows: list[Row] = []
    for kind_id, count in ON_HAND.items():
        stock = draw_stock(book.kinds[kind_id], count, truth.makers, sold=False)
        sizes = _sizes(stock, "on hand")
        seen = [{**_seen(stock, place), "size": size} for place, size in enumerate(sizes)]
        chances = stream("wording", kind_id).random((count, 4))
        for place, row in enumerate(seen):
            _write_words(stock, place, row, chances[place])
        rows += seen
    order = np.argsort(stream("order on hand").random(len(rows)), kind="stable")
    rows = [rows[place] for place in order]
    _number(rows, sum(SOLD.values()) + 1)
    return rows


def _number(rows: Iterable[Row], first: int) -> None:
    for number, row in enumerate(rows, start=first):
        row["item"] = f"Q-{number:05d}"


def _seen(stock: Stock, place: int) -> Row:
    """Write down what the sorter looked at."""
    maker = stock.maker[place]
    row = {"kind": stock.kind.id, "label": "" if maker == NO_LABEL else NAMES[maker]}
    for signal_id, looked in stock.looked.items():
        if looked[place]:
            row[signal_id] = _option(stock, signal_id, place)
    return row


def _option(stock: Stock, signal_id: str, place: int) -> str:
    """Give the true option, '' where the kind has no such signal or it does not apply."""
    signal = stock.kind.by_id.get(signal_id)
    if signal is None or stock.codes[signal_id][place] < 0:
        return ""
    return signal.option_ids[int(stock.codes[signal_id][place])]


def _sizes(stock: Stock, name: str) -> list[str]:
    kind_id = stock.kind.id
    signal_id = SIZES[kind_id][0] if kind_id in SIZES else ""
    chances = stream(name, kind_id, "size mark").random(len(stock.maker))
    return [
        size_mark(kind_id, _option(stock, signal_id, place), chance)
        for place, chance in enumerate(chances.tolist())
    ]


def _write_words(stock: Stock, place: int, row: Row, chance: Sequence[float]) -> None:
    """Put counts and label words where a sorter would rather write than choose."""
    kind = stock.kind
    for signal in (kind.by_id[signal_id] for signal_id in row if signal_id in kind.by_id):
        text = ""
        if isinstance(signal.measure, Stitches) and chance[0] < COUNTS_WRITTEN:
            text = count_text(signal.measure, _code(signal, row), chance[1])
        elif _is_shell(signal) and chance[2] < LABELS_WRITTEN:
            text = fibre_text(row[signal.id], _option(stock, "fibre_lining", place), chance[3])
        row[signal.id] = text or row[signal.id]


def _code(signal: Signal, row: Row) -> int:
    return signal.option_ids.index(row[signal.id])


def _is_shell(signal: Signal) -> bool:
    return isinstance(signal.measure, Fibres) and signal.measure.part == "shell"


def _sale(sales: Sales, place: int) -> Row:
    return {
        "taken_in_on": str(sales.taken_in[place]),
        "put_out_on": str(sales.put_out[place]),
        "first_ticket": f"{sales.first_ticket[place]:.2f}",
        "sold_on": str(sales.sold[place]),
        "price": f"{sales.price[place]:.2f}",
    }


def write_table(path: Path, columns: Sequence[str], rows: Iterable[Row]) -> None:
    """Write rows with the same line ends on every system."""
    with path.open("w", encoding="utf-8", newline="") as file:
        table = csv.DictWriter(file, columns, restval="", lineterminator="\n")
        table.writeheader()
        table.writerows(rows)


def _write_text(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")


def make(folder: Path) -> None:
    """Write the whole shop into a folder."""
    book = shop_book()
    truth = make_truth(book)
    columns = [*HEAD, *book.signal_ids]
    write_table(folder / "sales.csv", [*columns, *SALE_TAIL], sold_rows(book, truth))
    write_table(folder / "items.csv", columns, rows_on_hand(book, truth))
    _write_text(folder / "shop.toml", SHOP_TEXT)
    _write_text(folder / "truth.json", json.dumps(written(truth, book), indent=1) + "\n")
    _write_text(folder / "README.md", readme(book, sum(SOLD.values()), sum(ON_HAND.values())))


if __name__ == "__main__":
    make(asked_folder("Make the invented shop again."))
