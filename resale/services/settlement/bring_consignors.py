"""Consignors come in by file: a number, a name, a share; all of them or none."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal, InvalidOperation

from sqlalchemy.orm import Session

from resale.errors import ItemFileError, ReadingError
from resale.services.actor import Actor
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.imports.items.item_columns import Problem, problem_at
from resale.storage.imports.tables.table_files import Table, table_from_bytes
from resale.storage.imports.words.word_lists import word_key
from resale.storage.ledger.consignor_files import (
    NewConsignor,
    refused_consignors,
    write_consignors,
)
from resale.storage.ledger.consignors import LONGEST

# Words that anyone would use, in the languages of the label reader, from memory.
WORDS = {
    "number": ("number", "no", "id", "code", "nummer", "nr", "numéro", "numero", "número", "numer"),
    "name": ("name", "consignor", "nachname", "nom", "nome", "nombre", "naam", "namn", "nazwisko"),
    "share": (
        "share",
        "percent",
        "anteil",
        "prozent",
        "part",
        "quota",
        "parte",
        "aandeel",
        "andel",
        "udział",
    ),
}
_NUMBER = re.compile(r"[A-Z0-9-]*")


@dataclass(frozen=True)
class ConsignorFile:
    """A file of consignors as read.

    Attributes
    ----------
    people : tuple of NewConsignor
        Of the good rows.
    problems : tuple of Problem
        Why the others come back.
    """

    table: Table
    people: tuple[NewConsignor, ...]
    problems: tuple[Problem, ...]


def try_consignors(shop: Shop, content: bytes, name: str) -> ConsignorFile:
    """Read a CSV or Excel file with a row for each consignor, beside those who are known.

    Parameters
    ----------
    shop : Shop
    content : bytes
        The file as it was brought.
    name : str
        Its name, for the sentence that says what is wrong; its ending tells CSV from Excel.

    Returns
    -------
    ConsignorFile
        Rows that can come in, and those that cannot, each with its reason. Nothing is written.

    Raises
    ------
    ItemFileError
        If the file cannot be read, or has neither a number nor a name.
    """
    known = [word for words in WORDS.values() for word in words]
    table = table_from_bytes(content, name, known)
    column = _columns(table)
    people: dict[int, NewConsignor] = {}
    problems = []
    for place, row in enumerate(table.rows):
        cells = {name: row[at].strip() if at < len(row) else "" for name, at in column.items()}
        try:
            people[place] = _consignor(cells)
        except ReadingError as fault:
            problems.append(problem_at(table, place, "", fault))
    with Session(shop.records) as session:
        refused = refused_consignors(session, people)
    problems += [problem_at(table, place, "", fault) for place, fault in refused.items()]
    good = tuple(one for place, one in people.items() if place not in refused)
    return ConsignorFile(table, good, tuple(sorted(problems, key=lambda one: one.place)))


def _columns(table: Table) -> dict[str, int]:
    keys = {word_key(word): column for column, words in WORDS.items() for word in words}
    column: dict[str, int] = {}
    for place, heading in enumerate(table.heading):
        if word_key(heading) in keys:
            column.setdefault(keys[word_key(heading)], place)
    if not {"number", "name"} & set(column):
        raise ItemFileError(
            "no column is taken for the number or the name",
            where=table.name,
            remedy="head them number and name",
        )
    return column


def bring_consignors(
    shop: Shop, actor: Actor, file: ConsignorFile, at: datetime
) -> tuple[int, int]:
    """Write the consignors of a file: new ones, and names of known ones who had none.

    Parameters
    ----------
    actor : Actor
        Whoever brings them in.
    at : datetime
        Now, in the shop's zone.

    Returns
    -------
    tuple of int
        How many are new, and how many were known.
    """
    with transaction(shop.records, actor, at) as work:
        new, known = write_consignors(work.session, file.people, at)
        work.log("brought consignors in", file.table.name[:60], new=new, known=known)
    return new, known


def _consignor(cells: Mapping[str, str]) -> NewConsignor:
    number, name = cells.get("number", "").upper(), " ".join(cells.get("name", "").split())
    if not number and not name:
        raise ReadingError("neither a number nor a name is given", remedy="give one of them")
    for what, text in (("number", number), ("name", name)):
        if len(text) > LONGEST[what]:
            raise ReadingError(
                f"the {what} has {len(text)} characters", remedy=f"shorten it to {LONGEST[what]}"
            )
    if not _NUMBER.fullmatch(number):
        raise ReadingError(
            f"{number!r} is no consignor's number", remedy="use letters, figures and dashes"
        )
    return NewConsignor(number, name, _share(cells.get("share", "")))


def _share(text: str) -> Decimal | None:
    """Read a share: ``50 %`` and ``0.5`` are the same."""
    plain = text.replace("%", "").replace(",", ".").strip()
    if not plain:
        return None
    try:
        value = Decimal(plain)
    except InvalidOperation:
        value = Decimal(-1)
    share = value / 100 if "%" in text or value > 1 else value
    if not 0 <= share <= 1:
        raise ReadingError(f"{text[:20]!r} is no share", remedy="write it like 50 %")
    return share
