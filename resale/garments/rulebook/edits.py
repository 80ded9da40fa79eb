"""A rule book with some opinions changed: of options, of anchors, and of what keeps an order.

The result depends on what was changed to what, not on the order of unlike changes or on detours:
a change and its taking back give the book itself again, fingerprint and all.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from typing import Annotated, Any, Literal

from pydantic import Field

from resale.errors import RuleBookError
from resale.garments.rulebook.checks import check_across
from resale.garments.rulebook.field_types import Ident, Strict
from resale.garments.rulebook.rule_book import Kind, RuleBook, checked
from resale.garments.rulebook.shares import with_fixed
from resale.garments.rulebook.signals import Signal

EVERY_KIND = "*"
FIELDS = ("effect", "doubt", "share")
What = Literal["effect", "doubt", "share", "anchor", "order"]
# An anchor belongs to a kind and to none of its signals: this stands in their place.
ANCHOR: Literal["anchor"] = "anchor"
# An order belongs to a whole ladder or finding, and to none of its options: as with anchors.
ORDER: Literal["order"] = "order"

Wanted = dict[tuple[str, str], dict[tuple[What, str], float]]


class Edit(Strict):
    """One opinion changed.

    Attributes
    ----------
    kind : str
        Id of a kind, or ``*`` for every kind that has the signal.
    field : {'effect', 'doubt', 'share', 'anchor', 'order'}
        The doubt of a finding belongs to the whole finding, whichever option is named. An anchor
        is what an average thing of one kind brings, in the shop's money; signal and option then
        say ``anchor`` too. An order is kept (1) or free (0); option then says ``order``.
    value : float
        As in the rule book: a factor, a standard deviation of log price, or a part of 1. Where
        shares are set, the other options of the signal share out the rest as before.
    """

    kind: Literal["*"] | Ident
    signal: Ident
    option: Ident
    field: What
    value: Annotated[float, Field(allow_inf_nan=False)]

    @property
    def place(self) -> str:
        """What it changes, in words of the book."""
        who = "every kind" if self.kind == EVERY_KIND else f"kind {self.kind}"
        return f"{who}, signal {self.signal}, option {self.option}"


def with_edits(book: RuleBook, edits: Iterable[Edit]) -> RuleBook:
    """Change several opinions; of two on the same place the later holds.

    Parameters
    ----------
    book : RuleBook
    edits : iterable of Edit
        In the order in which they were made.

    Returns
    -------
    RuleBook
        With a fingerprint of its own, unless it reads as before.

    Raises
    ------
    RuleBookError
        Where the book has no such option, or the changes would make it say what it cannot mean;
        it is checked once all are made.
    """
    wanted: Wanted = {}
    anchors: dict[str, float] = {}
    for edit in edits:
        if edit.field == ANCHOR:
            anchors[_anchored(book, edit)] = edit.value
            continue
        for kind in _kinds_of(book, edit):
            place = wanted.setdefault((kind.id, edit.signal), {})
            for option in _options_of(kind.by_id[edit.signal], edit):
                # Said again, it holds from here on, also against the other kinds' wildcard.
                place[edit.field, option] = edit.value
    if not wanted and not anchors:
        return book
    kinds = {
        kind.id: _with_anchor(_changed_kind(kind, wanted), anchors) for kind in book.kinds.values()
    }
    changed = RuleBook(book.book, kinds, _fingerprint(book, kinds))
    check_across(changed)
    return changed


def value_of(signal: Signal, edit: Edit) -> float:
    """What a signal says now in the place of an edit.

    Parameters
    ----------
    signal : Signal
    edit : Edit
        Of that signal; no anchor.

    Returns
    -------
    float
    """
    if edit.field == ORDER:
        return float(signal.ordered)
    return float(getattr(signal.option(edit.option), edit.field))


def _anchored(book: RuleBook, edit: Edit) -> str:
    """Kind whose anchor an edit sets."""
    if edit.kind not in book.kinds or edit.value <= 0:
        raise RuleBookError(
            "an anchor is an amount above 0 for one kind of the book",
            where=edit.place,
            remedy=f"name one of {', '.join(book.kinds)}",
        )
    return edit.kind


def _with_anchor(kind: Kind, anchors: Mapping[str, float]) -> Kind:
    if kind.id not in anchors:
        return kind
    return Kind(kind.text.model_copy(update={ANCHOR: anchors[kind.id]}), kind.signals)


def _kinds_of(book: RuleBook, edit: Edit) -> list[Kind]:
    """Kinds that an edit is about, once it is sure that each has the option."""
    if edit.kind not in {EVERY_KIND, *book.kinds}:
        raise RuleBookError(
            f"the book has no kind {edit.kind}",
            where=edit.place,
            remedy=f"use one of {', '.join(book.kinds)}, or * for all",
        )
    named = book.kinds.values() if edit.kind == EVERY_KIND else [book.kinds[edit.kind]]
    having = [kind for kind in named if edit.signal in kind.by_id]
    if not having:
        raise RuleBookError(
            "there is no such signal", where=edit.place, remedy="take the change out, or mend it"
        )
    if edit.field == ORDER:
        _check_order(having[0].by_id[edit.signal], edit)
        return having
    known = having[0].by_id[edit.signal].option_ids
    if edit.option not in known:
        raise RuleBookError(
            "there is no such option", where=edit.place, remedy=f"use one of {', '.join(known)}"
        )
    return having


def _check_order(signal: Signal, edit: Edit) -> None:
    if signal.shape == "choice":
        raise RuleBookError(
            "its answers have no order that could be freed",
            where=edit.place,
            remedy="free a ladder or a finding",
        )
    if edit.option != ORDER or edit.value not in (0.0, 1.0):
        raise RuleBookError(
            "an order is kept, 1, or free, 0", where=edit.place, remedy="set field and option order"
        )


def _options_of(signal: Signal, edit: Edit) -> tuple[str, ...]:
    whole = signal.shape == "finding" and edit.field == "doubt"
    return signal.option_ids if whole else (edit.option,)


def _changed_kind(kind: Kind, wanted: Wanted) -> Kind:
    if not any(owner == kind.id for owner, _ in wanted):
        return kind
    signals = tuple(
        _changed_signal(signal, wanted[kind.id, signal.id], f"kind {kind.id}, signal {signal.id}")
        if (kind.id, signal.id) in wanted
        else signal
        for signal in kind.signals
    )
    return Kind(kind.text, signals)


def _changed_signal(
    signal: Signal, changes: Mapping[tuple[What, str], float], where: str
) -> Signal:
    options: dict[str, dict[str, Any]] = {option.id: dict(option) for option in signal.options}
    ordered = signal.ordered
    for (field, option), value in changes.items():
        if field == ORDER:
            ordered = bool(value)
        else:
            options[option][field] = value
    held = {option for field, option in changes if field == "share"}
    if held:
        shares = {name: option["share"] for name, option in options.items()}
        for name, share in with_fixed(shares, held, where).items():
            options[name]["share"] = share
    said = {name: getattr(signal, name) for name in Signal.model_fields}
    said |= {"ordered": ordered, "options": list(options.values())}
    return checked(Signal, said, where)


def _fingerprint(book: RuleBook, kinds: Mapping[str, Kind]) -> str:
    """That of the book with all that reads otherwise now; the book's own where nothing does."""
    apart: list[list[object]] = [
        [kind.id, signal.id, now.id, field, getattr(now, field)]
        for kind in kinds.values()
        for signal in kind.signals
        for was, now in zip(
            book.kinds[kind.id].by_id[signal.id].options, signal.options, strict=True
        )
        for field in FIELDS
        if getattr(was, field) != getattr(now, field)
    ]
    apart += [
        [kind.id, ANCHOR, kind.text.anchor]
        for kind in kinds.values()
        if kind.text.anchor != book.kinds[kind.id].text.anchor
    ]
    apart += [
        [kind.id, signal.id, ORDER, signal.ordered]
        for kind in kinds.values()
        for signal in kind.signals
        if signal.ordered != book.kinds[kind.id].by_id[signal.id].ordered
    ]
    if not apart:
        return book.fingerprint
    return hashlib.sha256(json.dumps([book.fingerprint, apart]).encode()).hexdigest()
