"""What a bench form says, checked: options, texts as typed, and the label line."""

from __future__ import annotations

from collections.abc import Mapping

from resale.garments.measures.stitch_gauge import GAUGES
from resale.garments.rulebook.rule_book import Kind
from resale.safety.holds import hand_holds
from resale.safety.looks import shipped_looks
from resale.services.items.entry import (
    LONGEST_TYPED,
    OPTION,
    TYPED,
    Entry,
    finished,
    own_or_new_key,
)
from resale.services.items.from_label import asked_of, main_label
from resale.services.items.line_lengths import LONGEST, too_long
from resale.web.item_form.looks import AT_ONCE, STRIKING, looks_in

# Names of further fields: gauge of a count, a flat measure, a hold raised by hand.
GAUGE, FLAT = "g-", "f-"
HOLD, HOLD_NOTE = "hold", "hold-note"
# Accepted as usual; could not be told, and skipped: ids with blanks between them, or one to add.
USUAL, UNTOLD, LATER, PASS = "a-", "untold", "later", "pass"
# A sign and its answer, from a button of what strikes.
STRUCK = "struck"
# A sign that takes the words of the label too, from a button beside them.
SAME_LABEL = "same-label"
LONGEST_HOLD_NOTE = 400


def entry_from_form(kind: Kind, form: Mapping[str, str]) -> Entry:
    """Read a bench form; nothing typed is thrown away, whatever is wrong with it.

    Parameters
    ----------
    form : mapping of str
        Fields as sent. Fields of signals that the kind does not have are ignored: a page may be
        older than the rule book.
    """
    # Most of some two hundred names are not there, and a MultiDict raises and catches for each.
    form = dict(form.items())
    picked, typed, gauges, flats, usual = {}, {}, {}, {}, {}
    faults: dict[str, str] = {}
    for signal in kind.signals:
        option = form.get(OPTION + signal.id, "")
        if option in signal.option_ids:
            picked[signal.id] = option
        elif option:
            faults[OPTION + signal.id] = (
                f"{signal.name}: the page offered an answer that the rule book no longer has; "
                "choose again."
            )
        text = form.get(TYPED + signal.id, "").strip()[:LONGEST_TYPED]
        if text and signal.measure:
            typed[signal.id] = text
        if form.get(GAUGE + signal.id, "") in GAUGES:
            gauges[signal.id] = form[GAUGE + signal.id]
        if form.get(USUAL + signal.id, "") in signal.option_ids:
            usual[signal.id] = form[USUAL + signal.id]
        flat = form.get(FLAT + signal.id, "").strip()[:40]
        if flat:
            flats[signal.id] = flat
    picked |= _struck(kind, form)
    typed |= _same_label(kind, form, typed)
    lines = {name: " ".join(form.get(name, "").split()) for name in LONGEST}
    faults |= too_long(lines)
    hold, hold_note = form.get(HOLD, ""), " ".join(form.get(HOLD_NOTE, "").split())
    faults |= _hold_faults(hold, hold_note)
    return finished(
        kind,
        Entry(
            kind.id,
            picked,
            typed,
            gauges,
            flats,
            label=lines["label"],
            size=lines["size"],
            tape=lines["tape"],
            care=lines["care"],
            note=lines["note"],
            key=own_or_new_key(form.get("key", "")),
            number=form.get("number", "").strip()[:20],
            looks=looks_in(form),
            usual=usual,
            untold=_passed(kind, form, UNTOLD),
            later=_passed(kind, form, LATER),
            like=form.get("like", "").strip()[:20],
            hold=hold[:40],
            hold_note=hold_note,
            faults=faults,
        ),
    )


def _same_label(kind: Kind, form: Mapping[str, str], typed: Mapping[str, str]) -> dict[str, str]:
    """Read which other question takes the words of the label: the way without JavaScript."""
    other, text = form.get(SAME_LABEL, ""), main_label(kind, typed)
    return {other: text} if text and other in {one.id for one in asked_of(kind, text)} else {}


def _struck(kind: Kind, form: Mapping[str, str]) -> dict[str, str]:
    """Read the answer that a button of what strikes gave: the way without JavaScript."""
    signal, _, option = form.get(STRUCK, "").partition(" ")
    known = signal in kind.by_id and option in kind.by_id[signal].option_ids
    return {signal: option} if known else {}


def _passed(kind: Kind, form: Mapping[str, str], how: str) -> tuple[str, ...]:
    """Ids of what was passed over so, with the one that a button adds; others are left out."""
    added = form.get(PASS, "").split()
    ids = form.get(how, "").split() + (added[1:] if added[:1] == [how] else [])
    known = {*kind.by_id, *shipped_looks().by_id, AT_ONCE, *([STRIKING] if how == LATER else [])}
    return tuple(one for one in dict.fromkeys(ids) if one in known)


def _hold_faults(hold: str, note: str) -> dict[str, str]:
    """Say what is wrong with a hold raised by hand; a note alone is a hold that nobody named."""
    if hold and hold not in {one.id for one in hand_holds()}:
        return {HOLD: "Hold this: the page offered a reason that is none; choose again."}
    if note and not hold:
        return {HOLD: "Hold this: a note stands there without a reason; choose one."}
    if len(note) > LONGEST_HOLD_NOTE:
        had = len(note)
        return {HOLD_NOTE: f"The note has {had} characters; shorten it to {LONGEST_HOLD_NOTE}."}
    return {}
