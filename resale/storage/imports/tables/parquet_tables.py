"""A Parquet file of any length as tables of text, and rows of text as a Parquet file.

What reads the cells of CSV reads these as well, so a thing costs the same by either file. Memory
holds some thousand rows at a time.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from math import isnan
from pathlib import Path
from typing import Any

from resale.errors import ItemFileError
from resale.storage.imports.tables.table_files import Table
from resale.storage.warehouse.libraries import of_the_chain

# Apache Parquet, 'File Format': the first four bytes.
MAGIC = b"PAR1"
ENDING = ".parquet"
ROWS = 20_000
WHAT = "A Parquet file"


def is_parquet(path: Path) -> bool:
    """Whether a file says that it is one."""
    try:
        with path.open("rb") as file:
            return file.read(len(MAGIC)) == MAGIC
    except OSError:
        return False


def tables_of_parquet(path: Path) -> Iterator[Table]:
    """Read a file, some thousand rows at a time.

    Yields
    ------
    Table
        Rows are numbered as if the names of the columns stood in the first.

    Raises
    ------
    ItemFileError
        If the file cannot be read, has no rows, or a column holds anything but single values.
    """
    parquet, arrow = of_the_chain("pyarrow.parquet", WHAT), of_the_chain("pyarrow", WHAT)
    try:
        with parquet.ParquetFile(path) as file:
            names = tuple(name.strip().casefold() for name in file.schema_arrow.names)
            nested = [one.name for one in file.schema_arrow if one.type.num_fields]
            if nested:
                raise ItemFileError(
                    f"column {nested[0][:40]!r} holds lists, not single values",
                    where=path.name,
                    remedy="leave it out, or write it as text",
                )
            if not file.metadata.num_rows:
                raise ItemFileError("the file has no rows", where=path.name, remedy="add rows")
            before = 2
            for batch in file.iter_batches(batch_size=ROWS):
                rows = [list(row) for row in zip(*map(_as_text, batch.columns), strict=True)]
                said = [place for place, row in enumerate(rows) if any(row)]
                numbers = [before + place for place in said]
                yield Table(path.name, names, [rows[place] for place in said], numbers)
                before += len(rows)
    except (arrow.ArrowInvalid, arrow.ArrowNotImplementedError, OSError) as fault:
        raise ItemFileError(
            f"it cannot be read as Parquet ({str(fault).splitlines()[0][:80]})",
            where=path.name,
            remedy="write it again, or save it as CSV",
        ) from None


def _as_text(column: Any) -> list[str]:
    """Cells as somebody would type them."""
    return [_cell(value) for value in column.to_pylist()]


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        if isnan(value):
            return ""
        return str(int(value)) if value.is_integer() else repr(value)
    if isinstance(value, bytes):
        return value.decode("utf-8", "replace")
    return str(value).strip()


class ParquetRows:
    """Writes rows of text as a Parquet file, piece by piece.

    Parameters
    ----------
    path : Path
    heading : sequence of str
        Names of the columns.
    numbers : collection of str
        Columns written as numbers; an empty cell is none.
    """

    def __init__(self, path: Path, heading: Sequence[str], numbers: Collection[str]) -> None:
        self._arrow = of_the_chain("pyarrow", WHAT)
        number, text = self._arrow.float64(), self._arrow.string()
        kinds = [(name, number if name in numbers else text) for name in heading]
        self._schema = self._arrow.schema(kinds)
        self._file = of_the_chain("pyarrow.parquet", WHAT).ParquetWriter(path, self._schema)

    def write(self, rows: Iterable[Sequence[str]]) -> None:
        """Write some rows."""
        columns = list(zip(*rows, strict=True))
        if not columns:
            return
        arrays = [
            self._arrow.array(
                [float(cell) if cell else None for cell in cells]
                if field.type == self._arrow.float64()
                else cells,
                field.type,
            )
            for cells, field in zip(columns, self._schema, strict=True)
        ]
        self._file.write_table(self._arrow.table(arrays, schema=self._schema))

    def close(self) -> None:
        """Write the end of the file, without which it is none."""
        self._file.close()
