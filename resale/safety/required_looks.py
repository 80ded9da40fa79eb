"""What must have been looked at before a thing is called ready, and what of it is still open.

Whatever can raise a hold is asked of every thing of a kind that can have it, regardless of its
price: the looks of `looks.toml`, and every sign of the rule book that a hold or a gate names. An
answer is given by somebody or it is missing; none is presumed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.signals import Signal
from resale.safety.child import ChildGuess, child_guess, is_of_children
from resale.safety.holds import shipped_holds
from resale.safety.looks import Look, shipped_looks

CHILD = "look_child"
# More is asked under a label that is worth the copying.
STANDING = "label_standing"
# Signs of the rule book that a hold names.
HOLDING = frozenset(rule.signal for hold in shipped_holds().values() for rule in hold.raised_by)
# Asked with the maker, and only where there is a name to doubt.
_MAKER_SIGNALS = frozenset({"maker_doubt", "bag_date"})
NOTHING = "none"


@dataclass(frozen=True, slots=True)
class Required:
    """One thing that has to be looked at for this item.

    Attributes
    ----------
    id : str
        Of a look, or of a sign of the rule book.
    answers : tuple of (id, name)
    harmless : str
        The answer that the one tap gives; empty where it must be answered by itself.
    answer, by : str
        What was answered and by whom; empty where it is still open.
    """

    id: str
    name: str
    ask: str
    answers: tuple[tuple[str, str], ...]
    harmless: str
    answer: str = ""
    by: str = ""
    is_signal: bool = False


def required_looks(kind: Kind, inputs: Mapping[str, Any]) -> tuple[Required, ...]:
    """Give what has to be looked at for an item, answered or not, in the order of asking.

    Parameters
    ----------
    kind : Kind
    inputs : mapping
        As kept with a valuation: ``choices``, ``looks``, ``looks_by``, ``label``, ``size``,
        ``note``.

    Returns
    -------
    tuple of Required
    """
    signals = (_of_signal(one, inputs) for one in signals_that_hold(kind, inputs))
    looks = (_of_look(one, inputs) for one in looks_asked(kind, inputs))
    return (*signals, *looks)


def missing_looks(kind: Kind, inputs: Mapping[str, Any]) -> tuple[Required, ...]:
    """Give what is still to be looked at; nothing gets a ticket while there is any.

    Parameters
    ----------
    kind : Kind
        Kind of the rule book, with the signs that may hold the item.
    inputs : mapping of str to Any
        What was entered so far, by field.

    Returns
    -------
    tuple of Required
        Empty when all were answered.
    """
    return tuple(one for one in required_looks(kind, inputs) if not one.answer)


def nothing_found(kind: Kind, inputs: Mapping[str, Any]) -> dict[str, str]:
    """Give the answers that one tap on 'nothing found' stores: those still open in its reach.

    Parameters
    ----------
    kind : Kind
        Kind of the rule book.
    inputs : mapping of str to Any
        What was entered so far, by field.

    Returns
    -------
    dict of str to str
        The answer that holds nothing, by field. What was answered already is never changed.
    """
    return {one.id: one.harmless for one in missing_looks(kind, inputs) if one.harmless}


def glance_answers(kind: Kind, inputs: Mapping[str, Any]) -> dict[str, str]:
    """Give all that one tap on 'nothing found' is about, answered already or not.

    Parameters
    ----------
    kind : Kind
        Kind of the rule book.
    inputs : mapping of str to Any
        What was entered so far, by field: it decides which looks apply.

    Returns
    -------
    dict of str to str
        The answer that holds nothing, by field.
    """
    return {one.id: one.harmless for one in required_looks(kind, inputs) if one.harmless}


def signals_that_hold(kind: Kind, inputs: Mapping[str, Any]) -> Iterator[Signal]:
    """Signs of this kind with an answer that holds, as far as they apply to the item.

    Parameters
    ----------
    kind : Kind
        Kind of the rule book.
    inputs : mapping of str to Any
        What was entered so far, by field: a sign for adults' wear is not asked of children's.
    """
    choices = inputs.get("choices", {})
    for signal in kind.signals:
        if not (signal.id in kind.holding or signal.id in HOLDING):
            continue
        if signal.id in shipped_looks().covered:
            continue
        if signal.id in _MAKER_SIGNALS and not _standing_in(inputs, shipped_looks().costly):
            continue
        if signal.only_if is None or signal.only_if.met(choices):
            yield signal


def looks_asked(kind: Kind, inputs: Mapping[str, Any]) -> Iterator[Look]:
    """Looks that apply to the item.

    Parameters
    ----------
    kind : Kind
        Kind of the rule book.
    inputs : mapping of str to Any
        What was entered so far, by field, among it for whom the item is made.
    """
    looks = shipped_looks()
    wanted = {
        "always": True,
        "child": is_for_child(inputs),
        "costly": _standing_in(inputs, looks.costly),
        "dearest": _standing_in(inputs, looks.dearest),
    }
    for look in looks.look:
        if look.id == CHILD and is_of_children(kind.id):
            continue
        if wanted[look.when] and not (look.signal and look.signal in kind.by_id):
            yield look


def guess_of(inputs: Mapping[str, Any]) -> ChildGuess:
    """Guess whether it is a child's, from what was entered."""
    said = {name: str(inputs.get(name, "")) for name in ("size", "label", "note")}
    said["note"] = f"{inputs.get('by_hand', {}).get('what', '')} {said['note']}".strip()
    return child_guess(str(inputs.get("kind", "")), **said)


def is_for_child(inputs: Mapping[str, Any]) -> bool:
    """Whether the looks of a child's thing are asked: somebody said so, or the size does.

    A plain 'no' stands against a guess that is only a number, never against 'age 5'.
    """
    if inputs.get("looks", {}).get(CHILD) == "yes":
        return True
    return guess_of(inputs).sure == "yes"


def _standing_in(inputs: Mapping[str, Any], standings: tuple[str, ...]) -> bool:
    """Whether the label stands so high; a name whose standing nobody gave counts as worth it."""
    standing = inputs.get("choices", {}).get(STANDING, "")
    if not standing and str(inputs.get("label", "")).strip():
        return standings == shipped_looks().costly
    return standing in standings


def _of_signal(signal: Signal, inputs: Mapping[str, Any]) -> Required:
    found_none = shipped_looks().nothing.get(signal.id, NOTHING)
    harmless = found_none if found_none in signal.option_ids else ""
    harmless = "" if signal.id in _MAKER_SIGNALS else harmless
    answer = inputs.get("choices", {}).get(signal.id, "")
    by = inputs.get("looks_by", {}).get(signal.id, "")
    return Required(
        signal.id,
        signal.name,
        signal.hands,
        signal.named_options,
        harmless,
        answer,
        by,
        is_signal=True,
    )


def _of_look(look: Look, inputs: Mapping[str, Any]) -> Required:
    said = inputs.get("looks", {}).get(look.id, "")
    answer = said if said in look.answer_ids else ""
    by = inputs.get("looks_by", {}).get(look.id, "")
    harmless = look.answers[0].id if look.glance else ""
    return Required(look.id, look.name, look.ask, look.named_answers, harmless, answer, by)


def signed(
    now: Mapping[str, str], before: Mapping[str, str], before_by: Mapping[str, str], by: str
) -> dict[str, str]:
    """Say who gave each answer: whoever gave it first, until it changes.

    Parameters
    ----------
    now, before : mapping of look or signal id to answer
        As they are saved now, and as they stood.
    before_by : mapping of id to str
        Who had given those.
    by : str
        Who saves now.
    """
    return {
        name: before_by.get(name) or by if before.get(name) == answer else by
        for name, answer in now.items()
    }
