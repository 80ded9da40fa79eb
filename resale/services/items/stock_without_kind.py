"""Rows of a file of stock whose things have no kind: their ticket is their price, set by hand."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from resale.errors import ReadingError
from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.unsorted import UNSORTED, unsorted_kind
from resale.money import Money
from resale.safety.looks import shipped_looks
from resale.services.items.by_hand import ByHand, by_hand_typed, faults_of
from resale.services.items.entry import Entry, entry_of
from resale.storage.imports.cells.item_cells import (
    NOT_LOOKED,
    folded,
    is_unsorted,
    read_look,
    read_option,
)
from resale.storage.imports.items.item_columns import Problem
from resale.storage.imports.items.own_items import OwnItems

AS_ITS_TICKET = "as its ticket said when it was brought in"

Words = Mapping[tuple[str, str], str]
Cells = Mapping[str, str]


@dataclass(frozen=True)
class RowWithoutKind:
    """A row that says that no kind fits.

    Attributes
    ----------
    row, place : int
        Of the table in our columns, and of the file.
    cells : mapping of our column to str
    what : str
        The word that was explained as no kind, else what the note says.
    """

    row: int
    place: int
    cells: Cells
    what: str


def rows_without_kind(own: OwnItems, words: Words) -> list[RowWithoutKind]:
    """Find the rows that say that no kind fits, and have nothing else against them.

    Parameters
    ----------
    own : OwnItems
    words : mapping of (column, word) to str
        What the user said that words mean.
    """
    heading = next((one.heading for one in own.matches if one.column == "kind"), "")
    if not heading:
        return []
    column = list(own.table.heading).index(heading)
    other = {one.place for one in own.problems if one.column != heading}
    ours = own.ours.table
    found = []
    for row, place in enumerate(map(int, own.ours.whole)):
        word = own.table.rows[place][column]
        told = words.get(("kind", folded(word)), "") == UNSORTED
        if place in other or not (told or is_unsorted(word)):
            continue
        cells = dict(zip(ours.heading, ours.rows[row], strict=True))
        found.append(RowWithoutKind(row, place, cells, word if told else cells.get("note", "")))
    return found


def problems_left(own: OwnItems, taken: Collection[RowWithoutKind]) -> list[Problem]:
    """Leave out what was said of the kinds of these rows.

    Parameters
    ----------
    own : OwnItems
    taken : collection of RowWithoutKind
    """
    places = {one.place for one in taken}
    return [one for one in own.problems if one.place not in places]


def entry_without_kind(one: RowWithoutKind, key: str, money: Money) -> Entry:
    """Make the entry of such a row.

    Parameters
    ----------
    one : RowWithoutKind
    key : str
        Makes bringing it twice bring it once.
    money : Money
        The shop's, in which the ticket stands.

    Raises
    ------
    ReadingError
        If a cell cannot be read, or it says neither what it is nor what its ticket says.
    """
    kind, cells = unsorted_kind(), one.cells
    ticket = cells.get("ticket", "")
    said = by_hand_typed(one.what, ticket, AS_ITS_TICKET if ticket else "", money)
    _refuse(said)
    return entry_of(
        kind,
        dict(_picked(kind, cells)),
        {},
        key=key,
        looks=dict(_looks(cells)),
        by_hand=said,
        label=cells.get("label", ""),
        size=cells.get("size", ""),
        tape=cells.get("tape", ""),
        care=cells.get("care", ""),
        note=cells.get("note", ""),
    )


def _refuse(said: ByHand) -> None:
    faults = faults_of(said)
    if "what" in faults:
        raise ReadingError(
            "it has no kind, and nothing says what it is", remedy="write that into its note"
        )
    if faults:
        raise ReadingError(next(iter(faults.values())).rstrip("."), remedy="mend that cell")


def _picked(kind: Kind, cells: Cells) -> Iterator[tuple[str, str]]:
    for signal in kind.signals:
        text = cells.get(signal.id, "")
        if folded(text) not in NOT_LOOKED:
            place = read_option(text, kind, signal.id)
            if place >= 0:
                yield signal.id, signal.option_ids[place]


def _looks(cells: Cells) -> Iterator[tuple[str, str]]:
    for name, look in shipped_looks().by_id.items():
        answer = read_look(look, cells.get(name, ""))
        if answer:
            yield name, answer
