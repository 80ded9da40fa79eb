"""What a dry run shows of a file: what each column became, and the words that nobody explained."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from resale.errors import ReadingError
from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.money import Money
from resale.storage.imports.cells.item_cells import closest, folded, kind_names, read_option
from resale.storage.imports.cells.past_cells import OurTable
from resale.storage.imports.items.item_columns import Problem
from resale.storage.imports.matching.column_matcher import EXAMPLES
from resale.storage.imports.matching.match_cells import Match
from resale.storage.imports.past.sale_files import AMOUNTS, SaleFile
from resale.storage.imports.tables.table_files import Table


@dataclass(frozen=True)
class ColumnTried:
    """A column with examples of what its cells became.

    Attributes
    ----------
    became : tuple of (str, str)
        A cell as it stands in the file, and what it is read as.
    """

    match: Match
    became: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class UnknownWord:
    """A word in a column of signs or kinds that is none of ours.

    Attributes
    ----------
    column : str
        Our column.
    count : int
        Rows that hold it.
    nearest : str
        Option or kind most like it; empty where none is.
    options : tuple of str
        All that it can be said to mean.
    """

    column: str
    word: str
    count: int
    nearest: str
    options: tuple[str, ...]


def tried_columns(
    table: Table, matches: tuple[Match, ...], ours: OurTable, sales: SaleFile, words: Words
) -> tuple[ColumnTried, ...]:
    """Give examples of what each column became, from rows that could be read.

    Parameters
    ----------
    table : Table
        The file as it came.
    matches : tuple of Match
        What each of its columns was taken for.
    ours : OurTable
        The same with our headings.
    sales : SaleFile
        What was read from it.
    words : Words
        By which answers are named.

    Returns
    -------
    tuple of ColumnTried
        In the order of the file's columns.
    """
    return tuple(
        ColumnTried(match, _became(place, match.column, table, ours, sales, words))
        for place, match in enumerate(matches)
    )


def _became(
    place: int, column: str, table: Table, ours: OurTable, sales: SaleFile, words: Words
) -> tuple[tuple[str, str], ...]:
    if column not in ours.table.heading:
        return ()
    found: dict[str, str] = {}
    for row, good in enumerate(sales.items.good):
        cell = table.rows[ours.whole[good]][place].strip()[:60]
        if cell and cell not in found:
            text = ours.table.rows[good][ours.table.heading.index(column)]
            found[cell] = words.read_as(column, text, sales, row)
        if len(found) == EXAMPLES:
            break
    return tuple(found.items())


@dataclass(frozen=True)
class Words:
    """Says what was read in the words of the rule book and the shop's money."""

    book: RuleBook
    money: Money

    def read_as(self, column: str, text: str, sales: SaleFile, row: int) -> str:
        """A cell of a good row as it was read.

        Parameters
        ----------
        column : str
            Our heading.
        text : str
            The cell under it.
        sales : SaleFile
        row : int
            Place among the good rows.

        Returns
        -------
        str
        """
        if column in AMOUNTS and text:
            return self.money.show(round(float(text) * 10**self.money.decimals))
        kind = tuple(self.book.kinds.values())[sales.items.readings.kinds[row]]
        if column == "kind":
            return kind.text.name
        if column not in kind.by_id:
            return text
        code = sales.items.readings.codes[row, self.book.signal_ids.index(column)]
        return kind.by_id[column].options[code].name if code >= 0 else "Not looked at"


def guessed_words(
    table: Table, matches: tuple[Match, ...], ours: OurTable, book: RuleBook
) -> tuple[UnknownWord, ...]:
    """List the words that were taken for a kind by what they usually mean, frequent ones first.

    Parameters
    ----------
    table : Table
        The file as it came.
    matches : tuple of Match
        What each of its columns was taken for.
    ours : OurTable
        The same with our headings.
    book : RuleBook

    Returns
    -------
    tuple of UnknownWord
        With how often each stands in the file.
    """
    place = next((at for at, match in enumerate(matches) if match.column == "kind"), None)
    if place is None or "kind" not in ours.table.heading:
        return ()
    column, names = ours.table.heading.index("kind"), kind_names(book)
    counts: Counter[tuple[str, str]] = Counter()
    for row, at in zip(ours.table.rows, ours.whole, strict=True):
        word = folded(table.rows[at][place])
        if row[column] and word not in names:
            counts[word, row[column]] += 1
    return tuple(
        UnknownWord("kind", word, count, kind, tuple(book.kinds))
        for (word, kind), count in counts.most_common()
    )


def unknown_words(
    table: Table, matches: tuple[Match, ...], problems: tuple[Problem, ...], book: RuleBook
) -> tuple[UnknownWord, ...]:
    """List the words that stand for no option and no kind, the most frequent first.

    Parameters
    ----------
    table : Table
        The file as it came.
    matches : tuple of Match
        What each of its columns was taken for.
    problems : tuple of Problem
        What could not be read.
    book : RuleBook

    Returns
    -------
    tuple of UnknownWord
        With how often each stands in the file.
    """
    place = {match.heading: (at, match.column) for at, match in enumerate(matches)}
    counts: Counter[tuple[str, str]] = Counter()
    for problem in problems:
        at, column = place.get(problem.column, (0, ""))
        row = table.rows[problem.place]
        word = folded(row[at]) if column and at < len(row) and not problem.told else ""
        if word and (column == "kind" or column in book.signal_ids):
            counts[column, word] += 1
    found = (_unknown(column, word, count, book) for (column, word), count in counts.most_common())
    return tuple(one for one in found if one is not None)


def _unknown(column: str, word: str, count: int, book: RuleBook) -> UnknownWord | None:
    if column == "kind":
        names = {folded(name): place for name, place in kind_names(book).items()}
        near = closest(word, tuple(names))
        kinds = tuple(book.kinds)
        if word in names:
            return None
        return UnknownWord(column, word, count, kinds[names[near]] if near else "", kinds)
    kinds_with = [kind for kind in book.kinds.values() if column in kind.by_id]
    # A word of the book that this kind does not have is no riddle; its row says so.
    if any(_reads(word, kind, column) for kind in kinds_with):
        return None
    options = kinds_with[0].by_id[column].options
    by_name = {folded(option.name): option.id for option in options}
    by_name |= {option.id.replace("_", " "): option.id for option in options}
    near = closest(word, tuple(by_name))
    listed = tuple(option.id for option in options)
    return UnknownWord(column, word, count, by_name.get(near, ""), listed)


def _reads(word: str, kind: Kind, column: str) -> bool:
    try:
        read_option(word, kind, column)
    except ReadingError:
        return False
    return True
