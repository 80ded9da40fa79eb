"""Copies of every rule book that prices were ever given by, so that old prices can be redone.

What is kept is the book as it was checked, with the shop's own changes in it: no later change of
a file, or of how files are put together, reaches it.
"""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from sqlalchemy import Engine

from resale.errors import RuleBookError
from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.garments.rulebook.schema import Book, KindText
from resale.garments.rulebook.signals import Signal
from resale.storage.db.shared_files import fetch
from resale.whole_file import whole_file

BOOKS = "books"


def book_name(fingerprint: str) -> str:
    """Where the copy of a rule book lies within the data folder."""
    return f"{BOOKS}/{fingerprint}.json"


def book_path(fingerprint: str, data_folder: Path) -> Path:
    """Where the copy of a rule book lies.

    Parameters
    ----------
    fingerprint : str
        Of the rule book.
    data_folder : Path

    Returns
    -------
    Path
    """
    return data_folder / book_name(fingerprint)


def book_at_hand(
    records: Engine, fingerprint: str, data_folder: Path, present: RuleBook
) -> RuleBook:
    """Open the rule book with this fingerprint, whichever machine of the shop kept it.

    Parameters
    ----------
    records : Engine
    fingerprint : str
        Of the rule book.
    data_folder : Path
        Of this machine.
    present : RuleBook
        Given back where it is the one.

    Returns
    -------
    RuleBook

    Raises
    ------
    RuleBookError
        If no copy was kept, or it was altered since.
    """
    if present.fingerprint != fingerprint:
        fetch(records, data_folder, book_name(fingerprint))
    return stored_book(fingerprint, data_folder, present)


def store_book(book: RuleBook, data_folder: Path) -> None:
    """Keep a rule book, once for each fingerprint.

    Parameters
    ----------
    book : RuleBook
    data_folder : Path

    Raises
    ------
    RuleBookError
        If the copy cannot be written.
    """
    path = book_path(book.fingerprint, data_folder)
    if path.is_file():
        return
    content = _content(book)
    digest = hashlib.sha256(content.encode()).hexdigest()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with whole_file(path) as draft:
            draft.write_text(f"{digest}\n{content}\n", encoding="utf-8", newline="\n")
    except OSError as fault:
        raise RuleBookError(
            f"a copy of the rule book cannot be kept ({fault.strerror})",
            where=str(path.parent),
            remedy="make room there, or choose a data folder that you may write to",
        ) from None


def stored_book(fingerprint: str, data_folder: Path, present: RuleBook) -> RuleBook:
    """Open the rule book with this fingerprint.

    Parameters
    ----------
    fingerprint : str
        Of the rule book.
    data_folder : Path
    present : RuleBook
        Given back where it is the one.

    Returns
    -------
    RuleBook

    Raises
    ------
    RuleBookError
        If no copy was kept, or it was altered since.
    """
    if present.fingerprint == fingerprint:
        return present
    path = book_path(fingerprint, data_folder)
    try:
        digest, _, content = path.read_text(encoding="utf-8").partition("\n")
    except FileNotFoundError:
        raise RuleBookError(
            "no copy of the rule book of that time was kept", remedy="value the item again"
        ) from None
    except (OSError, UnicodeDecodeError):
        digest, content = "", ""
    if hashlib.sha256(content.rstrip("\n").encode()).hexdigest() != digest:
        raise RuleBookError(
            "the copy of the rule book of that time was altered",
            where=str(path),
            remedy="put it back from a backup",
        )
    try:
        return _from_plain(json.loads(content), fingerprint)
    except (ValidationError, KeyError) as fault:
        raise RuleBookError(
            "the rule book of that time says things that this version of the program cannot read",
            where=str(path),
            remedy="value the item again",
        ) from fault


def _content(book: RuleBook) -> str:
    return _as_text(_plain(book))


def _plain(book: RuleBook) -> dict[str, Any]:
    return {
        "book": book.book.model_dump(mode="json"),
        "kinds": [
            {
                "text": kind.text.model_dump(mode="json"),
                "signals": [signal.model_dump(mode="json") for signal in kind.signals],
            }
            for kind in book.kinds.values()
        ],
    }


def _from_plain(plain: dict[str, Any], fingerprint: str) -> RuleBook:
    kinds = [
        Kind(
            KindText.model_validate(kind["text"]),
            tuple(Signal.model_validate(signal) for signal in kind["signals"]),
        )
        for kind in plain["kinds"]
    ]
    book = Book.model_validate(plain["book"])
    return RuleBook(book, {kind.id: kind for kind in kinds}, fingerprint)


def _as_text(plain: dict[str, Any]) -> str:
    return json.dumps(plain, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
