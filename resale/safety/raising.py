"""Which holds an item as it was saved raises: by its answers, its fibre label, or its route."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from resale.errors import ReadingError
from resale.garments.fibres.reader import FibreLabel, read_fibre_label
from resale.safety.holds import Ask, Hold, Source, answers_that_raise, shipped_holds

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
    {'unknown_fur': ('label:fur',)}
    """
    labels = [label for text in inputs.get("typed", {}).values() if (label := _label(str(text)))]
    found = answers_that_raise(inputs.get("choices", {}), labels)
    if route == "hold" and not found:
        return {BY_THE_BOOK.id: ("route:hold",)}
    return found


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
