"""One cell of an item file: which kind, option or text it stands for, or why it is none."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from types import MappingProxyType

from rapidfuzz import fuzz, process

from resale.errors import ReadingError
from resale.garments.measures.grading import measure
from resale.garments.rulebook.gradings import Fibres
from resale.garments.rulebook.readings import NOT_LOOKED_AT
from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.garments.rulebook.signals import Signal
from resale.garments.rulebook.unsorted import UNSORTED, unsorted_kind
from resale.safety.looks import Look
from resale.safety.words.scan import words_that_raise
from resale.storage.imports.tables.table_files import unguarded

NOT_LOOKED = frozenset({"", "?", "not looked at"})
LONGEST_TEXT = 200
_LIKE_ENOUGH = 75.0
_CONTROL = {chr(code) for code in range(32)} - {"\t", "\n", "\r"}


def folded(text: str) -> str:
    """Text without case and surplus blanks."""
    return " ".join(text.split()).casefold()


def closest(word: str, known: Sequence[str]) -> str:
    """Give the known word most like this one, or '' if none is like it.

    Parameters
    ----------
    word : str
    known : sequence of str
        Folded already.

    Returns
    -------
    str
    """
    found = process.extractOne(folded(word), known, scorer=fuzz.ratio)
    return found[0] if found and found[1] >= _LIKE_ENOUGH else ""


def kind_names(book: RuleBook) -> Mapping[str, int]:
    """Place of each kind by its id, its name and its plural."""
    return {
        folded(name): place
        for place, kind in enumerate(book.kinds.values())
        for name in (kind.text.plural, kind.text.name, kind.id)
    }


def read_kind(text: str, book: RuleBook) -> int:
    """Place of a kind in the book.

    Parameters
    ----------
    text : str
        One cell: id, name or plural of a kind.
    book : RuleBook

    Returns
    -------
    int
        From 0.

    Raises
    ------
    ReadingError
        If the book has no such kind.
    """
    names = kind_names(book)
    if folded(text) in names:
        return names[folded(text)]
    if is_unsorted(text):
        raise ReadingError(
            "no price is worked out for a thing without a kind",
            remedy="bring it in with the price that its ticket says, or save it on the bench",
        )
    near = closest(text, tuple(names))
    raise ReadingError(
        f"{text[:40]!r} is not a kind" if text.strip() else "no kind is given",
        remedy=f"write {near}" if near else f"use one of {', '.join(book.kinds)}",
    )


def is_unsorted(text: str) -> bool:
    """Whether a cell says that no kind fits."""
    return folded(text) in {UNSORTED, folded(unsorted_kind().text.name)}


def read_option(
    text: str, kind: Kind, signal_id: str, answers: Mapping[str, str] = MappingProxyType({})
) -> int:
    """Place of the option that a cell names or measures; not for cells that say nothing.

    A label that cannot be graded, but names what holds an item, is *not looked at*: its words are
    kept as they were typed.

    Parameters
    ----------
    text : str
        Id or name of an option, or a measure of a measured signal.
    answers : mapping of signal id to option id, optional
        What else was looked at, where a measure hangs on it.

    Raises
    ------
    ReadingError
        If the kind has no such signal, the signal no such option, or the measure cannot be.
    """
    signal = kind.by_id.get(signal_id)
    if signal is None:
        raise ReadingError(
            f"{kind.text.plural.lower()} have no {signal_id}", remedy="empty the cell"
        )
    place = named_option(text, signal)
    if place is not None:
        return place
    # A word without figures was meant for an option; the list of options helps more than a
    # lesson on how to write a measure.
    if signal.measure is None or (
        not isinstance(signal.measure, Fibres) and not any(sign.isdigit() for sign in text)
    ):
        raise _no_option(text, signal)
    found = measure(signal, text, answers)
    if found.option_id is None:
        if words_that_raise(text, is_label=True):
            # Sent back, it would be left out; the words themselves hold the item.
            return NOT_LOOKED_AT
        raise ReadingError(
            " ".join(found.questions).rstrip("."),
            remedy="then write the label again, an option, or ? to leave it open",
        )
    return signal.option_ids.index(found.option_id)


def read_look(look: Look, text: str) -> str:
    """Answer to a look that a cell gives by its id or its name; '' for not looked at.

    Parameters
    ----------
    look : Look
    text : str
        One cell.

    Returns
    -------
    str
        Id of the answer.

    Raises
    ------
    ReadingError
        If it is no answer to this look.
    """
    if folded(text) in NOT_LOOKED:
        return ""
    for answer in look.answers:
        if folded(text) in {answer.id, answer.id.replace("_", " "), folded(answer.name)}:
            return answer.id
    raise ReadingError(
        f"{text[:40]!r} is no answer to {look.id}",
        remedy=f"use one of {', '.join(look.answer_ids)}, or leave it empty for not looked at",
    )


def named_option(text: str, signal: Signal) -> int | None:
    """Place of the option that a cell names by id or name; None for a measure, or for neither.

    Parameters
    ----------
    text : str
        One cell.
    signal : Signal

    Returns
    -------
    int or None
        From 0.
    """
    return _option_names(signal).get(folded(text))


def read_text(text: str, longest: int = LONGEST_TEXT) -> str:
    """Text of the shop's own: a number, label, size or note.

    Parameters
    ----------
    text : str
    longest : int
        Characters at most.

    Raises
    ------
    ReadingError
        If it is too long for a ticket, or holds signs that no keyboard types.
    """
    plain = " ".join(unguarded(text).split())
    if len(plain) > longest:
        raise ReadingError(
            f"the text has {len(plain)} characters, more than {longest}", remedy="shorten it"
        )
    if _CONTROL & set(plain):
        raise ReadingError("the text holds control characters", remedy="type it again")
    return plain


@lru_cache(maxsize=2048)
def _option_names(signal: Signal) -> Mapping[str, int]:
    names: dict[str, int] = {}
    for place, option in enumerate(signal.options):
        names.setdefault(folded(option.name), place)
    for place, option in enumerate(signal.options):
        names[option.id] = place
        names.setdefault(option.id.replace("_", " "), place)
    return names


def _no_option(text: str, signal: Signal) -> ReadingError:
    names = _option_names(signal)
    near = closest(text, tuple(names))
    if signal.shape == "finding":
        remedy = "write none, or hidden or seen with an extent from 1 to 5 such as seen_3"
    elif near:
        remedy = f"write {signal.option_ids[names[near]]}"
    else:
        remedy = f"use one of {', '.join(signal.option_ids)}"
    return ReadingError(
        f"{text[:40]!r} is not an option", remedy=f"{remedy}, or leave it empty for not looked at"
    )
