"""Files of items and sales as they come in over a form: bytes and a name."""

from __future__ import annotations

from pathlib import Path

from resale.garments.rulebook.rule_book import RuleBook
from resale.storage.imports.items.item_files import ItemFile, items_of, known_columns
from resale.storage.imports.past.sale_files import SaleFile, sales_of
from resale.storage.imports.tables.table_files import read_bytes, table_from_bytes


def items_from_bytes(content: bytes, name: str, book: RuleBook) -> ItemFile:
    return items_of(table_from_bytes(content, name, known_columns(book)), book)


def read_items(path: Path, book: RuleBook) -> ItemFile:
    """Read a file that has our own columns."""
    return items_of(table_from_bytes(read_bytes(path), path.name, known_columns(book)), book)


def sales_from_bytes(content: bytes, name: str, book: RuleBook) -> SaleFile:
    return sales_of(table_from_bytes(content, name, known_columns(book)), book)


def read_sales(path: Path, book: RuleBook) -> SaleFile:
    """A file of sales with our headings."""
    return sales_of(table_from_bytes(read_bytes(path), path.name, known_columns(book)), book)
