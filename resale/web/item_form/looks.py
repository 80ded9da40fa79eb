"""What the bench asks before a ticket: the looks as the page shows them, and the one tap."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from resale.garments.rulebook.rule_book import Kind
from resale.safety.child import is_of_children
from resale.safety.cords import cord_words
from resale.safety.looks import Look, shipped_looks
from resale.safety.required_looks import (
    CHILD,
    glance_answers,
    guess_of,
    is_for_child,
    nothing_found,
)
from resale.services.items.entry import Entry, finished

LOOK = "k-"
"""Name of the field of a look, before its id."""
AT_ONCE = "nothing-found"
"""Id of the one tap that answers several looks together."""
STRIKING = "striking"
"""Id of the card of what strikes at a glance."""


@dataclass(frozen=True)
class LookView:
    """One look as it stands on the page."""

    look: Look
    chosen: str
    by: str
    missing: bool


@dataclass(frozen=True)
class LooksView:
    """All looks of a kind.

    Attributes
    ----------
    glance, child, maker : tuple of LookView
        Those that one tap answers; those of a child's thing; those of a costly label.
    child_question : LookView or None
        None where the kind says that it is a child's.
    guess : str
        Why it may be a child's; empty where nothing says so.
    answers : mapping of id to answer
        What the one tap stores, for the page's own script.
    names : tuple of str
        What the one tap is about.
    cords : tuple of str
        What the rules say of a cord that was found.
    """

    glance: tuple[LookView, ...]
    child_question: LookView | None
    child: tuple[LookView, ...]
    maker: tuple[LookView, ...]
    guess: str
    is_child: bool
    answers: Mapping[str, str]
    names: tuple[str, ...]
    cords: tuple[str, ...]

    @property
    def whose(self) -> str:
        """What was typed, or the kind, says of whose it is."""
        if self.child_question is None:
            return "It is a child’s: what may hurt one is asked below."
        guess = self.guess and f"It may be a child’s: {self.guess}."
        return f"{guess or 'Nothing typed says that it is a child’s.'} Answer all the same."


def looks_view(kind: Kind, entry: Entry) -> LooksView:
    """Lay out the looks for an entry.

    Parameters
    ----------
    kind : Kind
        Which signs stand in for a look.
    entry : Entry
        What was answered so far.
    """
    inputs = entry.inputs()
    views = {look.id: _view(look, entry) for look in shipped_looks().look}
    asked = [one for one in views.values() if one.look.signal not in kind.by_id]
    answers = glance_answers(kind, inputs)
    return LooksView(
        tuple(one for one in asked if one.look.glance),
        None if is_of_children(kind.id) else views[CHILD],
        tuple(one for one in asked if one.look.when == "child"),
        tuple(one for one in asked if one.look.when in {"costly", "dearest"}),
        guess_of(inputs).why,
        is_for_child(inputs),
        answers,
        tuple(_name(kind, one) for one in answers),
        cord_words(entry.size, entry.looks.get("look_cords", "")),
    )


def looks_in(form: Mapping[str, str]) -> dict[str, str]:
    """Read the looks of a form; answers that are none are left open."""
    said = {one.id: form.get(LOOK + one.id, "") for one in shipped_looks().look}
    return {
        name: answer
        for name, answer in said.items()
        if answer in shipped_looks().by_id[name].answer_ids
    }


def with_nothing_found(kind: Kind, entry: Entry) -> Entry:
    """Answer what one tap answers, where nothing was answered yet.

    Parameters
    ----------
    kind : Kind
        Which signs may hold the item.
    entry : Entry
        What was answered so far; none of it is changed.
    """
    given = nothing_found(kind, entry.inputs())
    signals = {name: answer for name, answer in given.items() if name in kind.by_id}
    looks = {name: answer for name, answer in given.items() if name not in signals}
    picked = {**entry.picked, **signals}
    return finished(kind, replace(entry, picked=picked, looks={**entry.looks, **looks}))


def _view(look: Look, entry: Entry) -> LookView:
    return LookView(
        look,
        entry.looks.get(look.id, ""),
        entry.looks_by.get(look.id, ""),
        look.id in entry.unlooked,
    )


def _name(kind: Kind, name: str) -> str:
    return kind.by_id[name].name if name in kind.by_id else shipped_looks().by_id[name].name
