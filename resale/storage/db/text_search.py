"""Finding text whatever its capitals, the same on either database."""

from __future__ import annotations

from typing import Any

from sqlalchemy import ColumnElement, String, func, literal
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.orm import InstrumentedAttribute
from sqlalchemy.sql.functions import FunctionElement

SQLITE_NAME = "lowered"


class Lowered(FunctionElement[str]):
    """Text in small letters, those beyond ASCII too."""

    name = SQLITE_NAME
    type = String()
    inherit_cache = True


@compiles(Lowered)
def _on_sqlite(element: Lowered, compiler: Any, **more: Any) -> str:
    return f"{SQLITE_NAME}({compiler.process(element.clauses, **more)})"


@compiles(Lowered, "postgresql")
def _on_postgresql(element: Lowered, compiler: Any, **more: Any) -> str:
    # Databases are often made with letters of ASCII alone; this knows them all.
    return f'lower(({compiler.process(element.clauses, **more)}) COLLATE "und-x-icu")'


def contains(column: InstrumentedAttribute[str], word: str) -> ColumnElement[bool]:
    """Whether a column contains a word; signs of the database in it are plain text.

    Parameters
    ----------
    column : column of a table
        Text.
    word : str
        Searched for as it is, in capitals or not.

    Returns
    -------
    condition
    """
    if word.isascii():
        return column.icontains(word, autoescape=True)
    return Lowered(column).like(Lowered(literal(f"%{_plain(word)}%", String())), escape="/")


def is_word(column: InstrumentedAttribute[str], word: str) -> ColumnElement[bool]:
    """Whether a column is a word, in capitals or not.

    Parameters
    ----------
    column : column of a table
        Text.
    word : str

    Returns
    -------
    condition
    """
    if word.isascii():
        return func.lower(column) == word.lower()
    return Lowered(column) == Lowered(literal(word, String()))


def _plain(word: str) -> str:
    return word.replace("/", "//").replace("%", "/%").replace("_", "/_")
