"""What a sorter entered, as codes: one row an item, one column a signal of the book."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from resale.errors import ReadingError
from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.garments.rulebook.signals import OnlyIf

NOT_LOOKED_AT = -1


@dataclass(frozen=True)
class Readings:
    """Items as the sorter saw them.

    Attributes
    ----------
    kinds : ndarray of int, shape (n,)
        Place of each item's kind among the kinds of the book.
    codes : ndarray of int16, shape (n, signals)
        Place of the chosen option among the options of each signal of the book, in the order of
        `RuleBook.signal_ids`; -1 is *not looked at*.
    labels : tuple of str
        The maker's name as the shop lists it; empty where unknown.
    seasons : tuple of str
        Warmth class and quarter of the sale (see `resale.garments.measures.warmth`); empty where
        unknown, and altogether where nobody asked.
    """

    kinds: npt.NDArray[np.intp]
    codes: npt.NDArray[np.int16]
    labels: tuple[str, ...]
    seasons: tuple[str, ...] = ()

    def __len__(self) -> int:
        return len(self.kinds)

    def row(self, place: int) -> Readings:
        """Return one item alone."""
        chosen = slice(place, place + 1)
        return Readings(
            self.kinds[chosen], self.codes[chosen], self.labels[chosen], self.seasons[chosen]
        )

    def rows(self, chosen: npt.NDArray[np.intp]) -> Readings:
        """Return some of the items, in the order asked for."""
        return Readings(
            self.kinds[chosen],
            self.codes[chosen],
            tuple(np.array(self.labels, dtype=object)[chosen]),
            tuple(np.array(self.seasons, dtype=object)[chosen]) if self.seasons else (),
        )

    def choices(self, book: RuleBook, row: int) -> dict[str, str]:
        """Signals of one item that were looked at, with the option chosen.

        Parameters
        ----------
        book : RuleBook
            By which the readings were coded.
        row : int
            Place of the item, from 0.

        Returns
        -------
        dict of signal id to option id
        """
        kind = book.kinds[tuple(book.kinds)[self.kinds[row]]]
        chosen = {}
        for signal_id, code in zip(book.signal_ids, self.codes[row].tolist(), strict=True):
            if code != NOT_LOOKED_AT:
                chosen[signal_id] = kind.by_id[signal_id].options[code].id
        return chosen


def one_reading(
    book: RuleBook, kind_id: str, choices: Mapping[str, str], label: str = ""
) -> Readings:
    """Readings of a single item: a batch of one.

    Parameters
    ----------
    choices : mapping of signal id to option id
        Signals that were looked at; the rest is not.

    Raises
    ------
    ReadingError
        For a kind, signal or option that the book does not have.
    """
    return many_readings(book, [kind_id], [choices], [label])


def many_readings(
    book: RuleBook,
    kinds: Sequence[str],
    choices: Sequence[Mapping[str, str]],
    labels: Sequence[str],
) -> Readings:
    """Readings of several items, each given as a mapping.

    Parameters
    ----------
    book : RuleBook
    kinds : sequence of str
        Id of the kind of each of n items.
    choices : sequence of mapping of signal id to option id
        Of each; a signal that is absent was not looked at.
    labels : sequence of str
        Of each; empty for none.

    Returns
    -------
    Readings
        A batch of n.

    Raises
    ------
    ReadingError
        If the book has no such kind, signal or option.
    """
    place = {signal_id: column for column, signal_id in enumerate(book.signal_ids)}
    names = tuple(book.kinds)
    codes = np.full((len(kinds), len(place)), NOT_LOOKED_AT, dtype=np.int16)
    for row, (kind_id, chosen) in enumerate(zip(kinds, choices, strict=True)):
        kind = kind_called(book, kind_id)
        for signal_id, option_id in chosen.items():
            codes[row, place.get(signal_id, 0)] = option_code(kind, signal_id, option_id)
    order = np.array([names.index(kind_id) for kind_id in kinds], dtype=np.intp)
    return Readings(order, codes, tuple(labels))


def asked_only(book: RuleBook, readings: Readings) -> Readings:
    """Leave out what an item's other answers rule out, as the bench does.

    Parameters
    ----------
    book : RuleBook
    readings : Readings

    Returns
    -------
    Readings
        Signals asked only where another has some answer are *not looked at* elsewhere.
    """
    column = {signal_id: place for place, signal_id in enumerate(book.signal_ids)}
    codes = readings.codes.copy()
    for number, kind in enumerate(book.kinds.values()):
        rows = np.flatnonzero(readings.kinds == number)
        for signal in kind.signals:
            if signal.only_if is not None:
                given = readings.codes[rows, column[signal.only_if.signal]]
                ruled_out = rows[~np.isin(given, codes_that_ask(kind, signal.only_if))]
                codes[ruled_out, column[signal.id]] = NOT_LOOKED_AT
    return replace(readings, codes=codes)


def codes_that_ask(kind: Kind, only_if: OnlyIf) -> list[int]:
    """Codes of the other signal that let a signal be asked, *not looked at* among them or not.

    Parameters
    ----------
    kind : Kind
    only_if : OnlyIf
        The condition of the signal that is asked for.

    Returns
    -------
    list of int
    """
    options = kind.by_id[only_if.signal].option_ids
    open_too = [NOT_LOOKED_AT] if only_if.while_open else []
    return open_too + [options.index(option) for option in only_if.options]


def kind_called(book: RuleBook, kind_id: str) -> Kind:
    """Return the kind with this id, or say which there are.

    Parameters
    ----------
    book : RuleBook
    kind_id : str

    Returns
    -------
    Kind

    Raises
    ------
    ReadingError
        If there is no such kind.
    """
    if kind_id not in book.kinds:
        raise ReadingError(
            f"kind {kind_id!r} is not in the rule book",
            remedy=f"use one of {', '.join(book.kinds)}",
        )
    return book.kinds[kind_id]


def option_code(kind: Kind, signal_id: str, option_id: str) -> int:
    """Place of an option among the options of a signal of this kind.

    Parameters
    ----------
    kind : Kind
    signal_id, option_id : str

    Returns
    -------
    int
        From 0.

    Raises
    ------
    ReadingError
        If the kind has no such signal, or the signal no such option.
    """
    codes = _codes(kind, signal_id)
    if option_id not in codes:
        raise ReadingError(
            f"{option_id!r} is not an option of {signal_id}",
            where=kind.id,
            remedy=f"use one of {', '.join(codes)}, or leave it out for not looked at",
        )
    return codes[option_id]


def _codes(kind: Kind, signal_id: str) -> dict[str, int]:
    signal = kind.by_id.get(signal_id)
    if signal is None:
        raise ReadingError(
            f"{kind.id} has no signal {signal_id!r}",
            remedy="print the catalogue to see its signals",
        )
    return signal.codes
