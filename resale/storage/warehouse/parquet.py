"""Sales of a chain as Parquet in a folder: written in pieces, read piece by piece.

A row is a sale; a column a sign, whose cells are ids of options (empty is *not looked at*), beside
`shop`, `kind`, `label`, `sold_on`, `price` and how many signs were `looked` at. One file may hold
many row groups, and one of those is read at a time: so memory does not grow with the chain.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from resale.errors import ItemFileError
from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.model.columns.terms import Array
from resale.pricing.model.recency import Days
from resale.storage.warehouse.libraries import of_the_chain

WHAT = "a file in Parquet"
# A lot: large enough for arrays to pay, small enough for many columns of it to fit in memory.
ROWS = 50_000


@dataclass(frozen=True)
class Piece:
    """A row group of a file.

    Attributes
    ----------
    path : str
    group : int
    """

    path: str
    group: int


@dataclass(frozen=True)
class Sold:
    """Sales of a piece; arrays follow the readings.

    Attributes
    ----------
    readings : Readings
    shops : tuple of str
    price : ndarray, shape (n,)
    sold_on : ndarray of datetime64[D], shape (n,)
    """

    readings: Readings
    shops: tuple[str, ...]
    price: Array
    sold_on: Days


def pieces_of(folder: Path) -> list[Piece]:
    """List the pieces of a warehouse, in order of the files' names.

    Raises
    ------
    ItemFileError
        If it holds none.
    """
    parquet = of_the_chain("pyarrow.parquet", WHAT)
    found = [
        Piece(str(path), group)
        for path in sorted(folder.glob("*.parquet"))
        for group in range(parquet.read_metadata(path).num_row_groups)
    ]
    if not found:
        raise ItemFileError(
            "there is no sale in this folder",
            where=str(folder),
            remedy="bring some in with 'resale chain bring'",
        )
    return found


def table_of(piece: Piece, columns: Sequence[str] | None = None) -> Any:
    """Read a piece as a table of Arrow.

    Parameters
    ----------
    piece : Piece
    columns : sequence of str, optional
        Only these.
    """
    parquet = of_the_chain("pyarrow.parquet", WHAT)
    with parquet.ParquetFile(piece.path, read_dictionary=_words(piece.path)) as file:
        return file.read_row_group(piece.group, columns=columns, use_threads=False)


@lru_cache(maxsize=256)
def _words(path: str) -> list[str]:
    """Columns of words, to be read as places in a list of the different ones."""
    schema = of_the_chain("pyarrow.parquet", WHAT).read_schema(path)
    return [name for name in schema.names if name not in {"price", "sold_on", "looked"}]


def coded_words(column: Any) -> tuple[npt.NDArray[np.intp], list[str]]:
    """Place of each cell of a column among its different words; one past the end where empty.

    Parameters
    ----------
    column : pyarrow.ChunkedArray
        Of words.

    Returns
    -------
    places : ndarray of int, shape (n,)
    words : list of str
    """
    whole = column.combine_chunks()
    if not hasattr(whole, "dictionary"):
        whole = whole.dictionary_encode()
    words = whole.dictionary.to_pylist()
    places = whole.indices.fill_null(len(words)).to_numpy(zero_copy_only=False)
    return places.astype(np.intp), words


def words_of(column: Any) -> tuple[str, ...]:
    """Write a column of words out; empty cells are empty texts."""
    places, words = coded_words(column)
    return tuple(np.array([*words, ""], dtype=object)[places])


def read_piece(piece: Piece, book: RuleBook) -> Sold:
    """Read the sales of a piece.

    Parameters
    ----------
    piece : Piece
    book : RuleBook
        By which they were brought in; a word that it does not know was not looked at.

    Returns
    -------
    Sold

    Raises
    ------
    ItemFileError
        If it holds a kind that the book has not.
    """
    table = table_of(piece)
    place, words = coded_words(table.column("kind"))
    known = {kind: number for number, kind in enumerate(book.kinds)}
    strange = [word for word in words if word not in known]
    if strange:
        raise ItemFileError(
            f"kind {strange[0]!r} is not in the rule book",
            where=piece.path,
            remedy="bring these sales in again with the book of today",
        )
    kinds = np.array([known[word] for word in words], dtype=np.intp)[place]
    codes = np.full((len(kinds), len(book.signal_ids)), NOT_LOOKED_AT, dtype=np.int16)
    have = set(table.column_names)
    for at, signal in enumerate(book.signal_ids):
        if signal in have and table.column(signal).null_count < len(kinds):
            codes[:, at] = _codes(table.column(signal), signal, kinds, book)
    readings = Readings(kinds, codes, words_of(table.column("label")))
    days = table.column("sold_on").to_numpy().astype("datetime64[D]")
    price = table.column("price").to_numpy().astype(float)
    return Sold(readings, words_of(table.column("shop")), price, days)


def _codes(
    column: Any, signal: str, kinds: npt.NDArray[np.intp], book: RuleBook
) -> npt.NDArray[np.int16]:
    """Option codes of a sign; which code a word has may hang on the kind."""
    places, words = coded_words(column)
    code = np.full((len(book.kinds), len(words) + 1), NOT_LOOKED_AT, dtype=np.int16)
    for number, kind in enumerate(book.kinds.values()):
        if signal in kind.by_id:
            options = {option: at for at, option in enumerate(kind.by_id[signal].option_ids)}
            code[number, :-1] = [options.get(word, NOT_LOOKED_AT) for word in words]
    return code[kinds, places]


def as_table(sold: Sold, book: RuleBook) -> Any:
    """Lay sales out as a table of Arrow.

    Parameters
    ----------
    sold : Sold
    book : RuleBook

    Returns
    -------
    pyarrow.Table
    """
    arrow = of_the_chain("pyarrow", WHAT)
    readings = sold.readings
    columns: dict[str, Any] = {
        "shop": _dictionary(arrow, sold.shops),
        "kind": arrow.DictionaryArray.from_arrays(
            arrow.array(readings.kinds.astype(np.int32)), arrow.array(list(book.kinds))
        ),
        "label": _dictionary(arrow, readings.labels),
        "sold_on": arrow.array(sold.sold_on.astype("datetime64[D]")),
        "price": arrow.array(sold.price),
        "looked": arrow.array((readings.codes != NOT_LOOKED_AT).sum(axis=1).astype(np.int16)),
    }
    for at, signal in enumerate(book.signal_ids):
        columns[signal] = _options(arrow, readings, at, signal, book)
    return arrow.table(columns)


def _dictionary(arrow: Any, words: Sequence[str]) -> Any:
    return arrow.array([word or None for word in words], arrow.string()).dictionary_encode()


def _options(arrow: Any, readings: Readings, at: int, signal: str, book: RuleBook) -> Any:
    """A sign's column: words of all kinds that have it, and which of them each row says."""
    words: dict[str, int] = {}
    lists = []
    for kind in book.kinds.values():
        ids = kind.by_id[signal].option_ids if signal in kind.by_id else ()
        lists.append([words.setdefault(word, len(words)) for word in ids])
    width = max(map(len, lists))
    code = np.zeros((len(lists), width + 1), dtype=np.int32)
    for number, own in enumerate(lists):
        code[number, : len(own)] = own
    said = readings.codes[:, at]
    places = code[readings.kinds, said]
    return arrow.DictionaryArray.from_arrays(
        arrow.array(places, mask=said == NOT_LOOKED_AT), arrow.array(list(words))
    )


def write_pieces(path: Path, parts: Iterator[Sold], book: RuleBook) -> int:
    """Write sales into a new file, a row group a part; it gets its name once it is whole.

    Parameters
    ----------
    path : Path
    parts : iterator of Sold
    book : RuleBook

    Returns
    -------
    int
        How many.
    """
    parquet = of_the_chain("pyarrow.parquet", WHAT)
    draft, writer, count = path.with_name(f".{path.name}.part"), None, 0
    try:
        for part in parts:
            table = as_table(part, book)
            if writer is None:
                writer = parquet.ParquetWriter(draft, table.schema)
            writer.write_table(table, row_group_size=len(part.price))
            count += len(part.price)
        if writer is not None:
            writer.close()
            draft.replace(path)
    finally:
        draft.unlink(missing_ok=True)
    return count
