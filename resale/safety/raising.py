"""Which holds an item as it was saved raises: by answers, looks, words, its label, or its route."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from resale.errors import ReadingError
from resale.garments.fibres.reader import FibreLabel, read_fibre_label
from resale.safety.holds import Ask, Hold, Source, answers_that_raise, shipped_holds
from resale.safety.looks import shipped_looks
from resale.safety.required_looks import guess_of, is_for_child
from resale.safety.words.scan import words_that_raise

BY_THE_BOOK = Hold(
    id="by_the_book",
    name="The rule book sends it to a lead",
    why="One of its answers allows no ticket before a lead has looked; the reason stands with its "
    "price.",
    raised_by=(),
    by_hand=True,
    do_now=("Put it with what waits, its number on it, and tell the lead which answer it was.",),
    never=("Never leave the answer out so that it gets a ticket.",),
    ask=(Ask(who="lead", about="Whether what the reason asks for was done."),),
    clear=("What the reason on its price asks for was done, or it does not apply to this item.",),
    sources=(Source(text="The shop's own rule book", status="practice"),),
    standing="This is a caution for the desk, not legal advice: the law where the shop stands "
    "decides.",
)
"""Where a rule of the book holds an item and no hold of ours says why, as with an odd shoe."""

_FUR = "label:fur"


def holds_found(inputs: Mapping[str, Any], route: str = "") -> dict[str, tuple[str, ...]]:
    """Find the holds that an item raises as it was entered.

    Parameters
    ----------
    inputs : mapping
        As kept with a valuation: ``choices`` by signal, and ``typed`` measures, among them the
        words of fibre labels.
    route : str
        Where the rule book sends it.

    Returns
    -------
    dict of hold id to tuple of str
        Each with the answers that raise it.

    Examples
    --------
    >>> holds_found({"choices": {}, "typed": {"fibre_shell": "100% fur"}})
    {'unknown_fur': ('label:fur', 'word:fur')}
    """
    texts = [str(text) for text in inputs.get("typed", {}).values()]
    labels = [label for text in texts if (label := _label(text))]
    found = dict(answers_that_raise(inputs.get("choices", {}), labels))
    words = list(_by_words(inputs, texts))
    _leave_false_fur(found, words)
    for hold, answer in (*_by_looks(inputs), *words):
        if answer not in found.get(hold, ()):
            found[hold] = (*found.get(hold, ()), answer)
    if route == "hold" and not found:
        return {BY_THE_BOOK.id: ("route:hold",)}
    return {hold: found[hold] for hold in shipped_holds() if hold in found}


def _leave_false_fur(found: dict[str, tuple[str, ...]], words: list[tuple[str, str]]) -> None:
    """Leave fur out where the words around it say that it is none: 'faux fox fur'.

    The fibre table reads names alone; every name of fur that it has is among the words too.
    """
    for hold, answers in list(found.items()):
        if _FUR in answers and hold not in {one for one, _ in words}:
            rest = tuple(answer for answer in answers if answer != _FUR)
            found.pop(hold)
            found |= {hold: rest} if rest else {}


def _by_looks(inputs: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Holds that answers to the looks raise."""
    looks = shipped_looks().by_id
    for look_id, answer in inputs.get("looks", {}).items():
        hold = looks[look_id].hold_of(str(answer)) if look_id in looks else None
        if hold:
            yield hold, f"{look_id}:{answer}"


def _by_words(inputs: Mapping[str, Any], texts: list[str]) -> Iterator[tuple[str, str]]:
    """Holds that words of the note, the size or a label raise.

    The maker's name is no text about the thing: a house may be called after a fox.
    """
    notes = [(str(inputs.get(name, "")), False) for name in ("note", "size")]
    # What a thing without a kind is called is a text about it too.
    notes.append((str(inputs.get("by_hand", {}).get("what", "")), False))
    for text, is_label in (*notes, *((text, True) for text in texts)):
        for word in words_that_raise(text, is_label=is_label):
            if not word.child or _may_be_child(inputs):
                yield word.hold, f"word:{word.shown}"


def _may_be_child(inputs: Mapping[str, Any]) -> bool:
    """Whether words about children's things count: also where only a number says so."""
    return is_for_child(inputs) or (
        guess_of(inputs).sure == "perhaps" and inputs.get("looks", {}).get("look_child") != "no"
    )


def hold_of(hold_id: str) -> Hold:
    """Give the hold of this id; one that the program no longer has is spoken of in general."""
    if hold_id in shipped_holds():
        return shipped_holds()[hold_id]
    return BY_THE_BOOK


def _label(text: str) -> FibreLabel | None:
    """Read a measure as a fibre label: a count or a length names no fibre that holds anything."""
    try:
        return read_fibre_label(text)
    except ReadingError:
        return None
