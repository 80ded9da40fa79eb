"""One item as it was entered: options picked, measures as typed and graded, and its label line."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any
from uuid import uuid4

from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.unsorted import UNSORTED
from resale.safety.required_looks import HOLDING, missing_looks, signed
from resale.services.items.beside_signs import tape_fault
from resale.services.items.by_hand import ByHand, by_hand_stored
from resale.services.items.line_lengths import LONGEST, too_long
from resale.services.items.measured import Measurement, measured_as

# Names of the parts of an entry, as faults name them: option of a signal, its measure as typed.
OPTION, TYPED = "s-", "m-"
LONGEST_TYPED = 1500
_KEY = re.compile(r"[0-9a-f-]{16,64}")


@dataclass(frozen=True)
class Entry:
    """One item as entered.

    Attributes
    ----------
    picked : dict of signal id to option id
        Options chosen by hand.
    typed, gauges : dict of signal id to str
        Measures as typed, and the gauge that a count was made over.
    flats : dict of str to str
        Flat measures as typed, by the signal that they stand beside.
    measured : dict of signal id to Measurement
        What came of the measures.
    tape : str
        Girth or length of what its size speaks of, as laid flat and typed (`sizes.taped`).
    care : str
        What the care label says, as typed.
    key : str
        Makes saving twice save once.
    number : str
        The saved item that is on the bench again; empty for a new one.
    looks, looks_by : dict of str to str
        Answers to what is asked before a ticket, and who gave each answer there.
    unlooked : dict of str to str
        What is still to be looked at before it gets a ticket: names by id.
    usual : dict of signal id to option id
        Answers accepted as usual for the kind: kept, and priced as not looked at.
    untold : tuple of str
        Looks and signs that were looked at, and nobody could tell.
    later : tuple of str
        Those that were skipped while it was on the bench.
    like : str
        The saved item that it was read like; empty for most.
    hold, hold_note : str
        Id of a hold raised by hand, and what was written beside it.
    by_hand : ByHand or None
        Of a thing without a kind: what it is, and its price with the reason.
    faults : dict of str to str
        Sentences on parts that cannot be saved as they are, by the name of the part.
    """

    kind: str
    picked: dict[str, str] = field(default_factory=dict)
    typed: dict[str, str] = field(default_factory=dict)
    gauges: dict[str, str] = field(default_factory=dict)
    flats: dict[str, str] = field(default_factory=dict)
    measured: dict[str, Measurement] = field(default_factory=dict)
    label: str = ""
    size: str = ""
    tape: str = ""
    care: str = ""
    note: str = ""
    key: str = ""
    number: str = ""
    hold: str = ""
    hold_note: str = ""
    left_out: tuple[str, ...] = ()
    looks: dict[str, str] = field(default_factory=dict)
    looks_by: dict[str, str] = field(default_factory=dict)
    unlooked: dict[str, str] = field(default_factory=dict)
    usual: dict[str, str] = field(default_factory=dict)
    untold: tuple[str, ...] = ()
    later: tuple[str, ...] = ()
    like: str = ""
    by_hand: ByHand | None = None
    faults: dict[str, str] = field(default_factory=dict)

    @property
    def choices(self) -> dict[str, str]:
        """Signals looked at: a measure that was graded goes before a pick by hand."""
        graded = {
            signal: one.option_id
            for signal, one in self.measured.items()
            if one.option_id is not None
        }
        chosen = {**self.picked, **graded}
        return {signal: option for signal, option in chosen.items() if signal not in self.left_out}

    def inputs(self) -> dict[str, Any]:
        """Keep what was entered, for the records: enough to open it on the bench again."""
        return {
            "kind": self.kind,
            "choices": self.choices,
            "picked": self.picked,
            "typed": self.typed,
            "gauges": self.gauges,
            "flats": self.flats,
            "label": self.label,
            "size": self.size,
            "note": self.note,
            "looks": self.looks,
            "looks_by": self.looks_by,
            "unlooked": self.unlooked,
            # Written only where there is any, as in items of before.
            **({"tape": self.tape} if self.tape else {}),
            **({"care": self.care} if self.care else {}),
            **({"usual": self.usual} if self.usual else {}),
            **({"untold": list(self.untold)} if self.untold else {}),
            **({"like": self.like} if self.like else {}),
            **({"by_hand": self.by_hand.stored} if self.by_hand else {}),
        }

    def signed(self, by: str, before: Mapping[str, Any]) -> Entry:
        """Write beside each look who gave its answer: who gave it first, until it changes.

        Parameters
        ----------
        by : str
            Who saves now.
        before : mapping
            Inputs of the valuation before; empty for a new item.
        """
        stored = {**before.get("choices", {}), **before.get("looks", {})}
        answers = {**self.choices, **self.looks}
        now = {name: answers[name] for name in answers if name in self.looks or name in HOLDING}
        return replace(self, looks_by=signed(now, stored, before.get("looks_by", {}), by))


def new_key() -> str:
    """Make a key for one item on the bench."""
    return str(uuid4())


def own_or_new_key(key: str) -> str:
    """Take the key that a page made, where it is one; else make one."""
    return key if _KEY.fullmatch(key) else new_key()


def entry_of(
    kind: Kind,
    picked: Mapping[str, str],
    typed: Mapping[str, str],
    *,
    key: str = "",
    number: str = "",
    label: str = "",
    size: str = "",
    tape: str = "",
    care: str = "",
    note: str = "",
    looks: Mapping[str, str] | None = None,
    by_hand: ByHand | None = None,
) -> Entry:
    """Make an entry of readings that came by another way than the bench's form.

    Parameters
    ----------
    picked : mapping of signal id to option id
    typed : mapping of signal id to str
        Measures as a sorter writes them.
    key : str
        Makes saving twice save once.
    number : str
        A saved item to value again; empty for a new one.
    label, size, tape, care, note : str
        Lines beside the signs, as in `Entry`.
    looks : mapping of look id to answer id, optional
        What was looked at before a ticket.
    by_hand : ByHand, optional
        Of a thing without a kind.
    """
    line = {"label": label, "size": size, "tape": tape, "care": care, "note": note}
    line = {name: " ".join(text.split()) for name, text in line.items()}
    measured = {
        signal: text.strip()[:LONGEST_TYPED]
        for signal, text in typed.items()
        if text.strip() and kind.by_id[signal].measure
    }
    faults = too_long(line)
    own = own_or_new_key(key)
    entry = Entry(
        kind.id,
        dict(picked),
        measured,
        key=own,
        number=number,
        faults=faults,
        label=line["label"],
        size=line["size"],
        tape=line["tape"],
        care=line["care"],
        note=line["note"],
        looks=dict(looks or {}),
        by_hand=by_hand,
    )
    return finished(kind, entry)


def entry_from_inputs(kind: Kind, inputs: Mapping[str, Any], number: str) -> Entry:
    """Open a saved item on the bench again; answers the book no longer knows are left open.

    Parameters
    ----------
    kind : Kind
        As the rule book has it now.
    inputs : mapping
        As they were stored with its newest valuation.
    number : str
        Of the item.
    """
    known = {
        signal: option
        for signal, option in {**inputs["choices"], **inputs.get("picked", {})}.items()
        if signal in kind.by_id and option in kind.by_id[signal].option_ids
    }

    def texts(name: str) -> dict[str, str]:
        return {s: str(text) for s, text in inputs.get(name, {}).items() if s in kind.by_id}

    entry = Entry(
        kind.id,
        known,
        texts("typed"),
        texts("gauges"),
        texts("flats"),
        label=str(inputs.get("label", "")),
        size=str(inputs.get("size", "")),
        tape=str(inputs.get("tape", "")),
        care=str(inputs.get("care", "")),
        note=_note(kind, inputs),
        key=new_key(),
        number=number,
        looks={name: str(answer) for name, answer in inputs.get("looks", {}).items()},
        looks_by={name: str(who) for name, who in inputs.get("looks_by", {}).items()},
        usual={
            signal: option
            for signal, option in inputs.get("usual", {}).items()
            if signal in kind.by_id and option in kind.by_id[signal].option_ids
        },
        untold=tuple(str(one) for one in inputs.get("untold", ())),
        like=str(inputs.get("like", "")),
        by_hand=by_hand_stored(inputs) if kind.id == UNSORTED else None,
    )
    return finished(kind, entry)


def _note(kind: Kind, inputs: Mapping[str, Any]) -> str:
    """The note; what a thing was called before it had a kind is not lost when it gets one."""
    note, what = str(inputs.get("note", "")), by_hand_stored(inputs).what
    if kind.id == UNSORTED or not what or what in note:
        return note
    return f"{what}. {note}".removesuffix(". ")[: LONGEST["note"]]


def finished(kind: Kind, entry: Entry) -> Entry:
    """Grade what was typed, and leave out what the item's other answers rule out.

    Parameters
    ----------
    kind : Kind
    entry : Entry
        As it was read from a form.
    """
    measured = {
        signal: measured_as(kind.by_id[signal], text, entry.gauges.get(signal, ""), entry.picked)
        for signal, text in entry.typed.items()
    }
    faults = {TYPED + signal: one.trouble for signal, one in measured.items() if one.trouble}
    graded = replace(entry, measured=measured, faults={**entry.faults, **faults})
    chosen = graded.choices
    left_out = tuple(
        signal.id
        for signal in kind.signals
        if signal.id in chosen and signal.only_if and not signal.only_if.met(chosen)
    )
    if wrong := tape_fault(entry.inputs()):
        graded = replace(graded, faults={**graded.faults, "tape": wrong})
    usual = {name: option for name, option in entry.usual.items() if name not in chosen}
    untold = tuple(n for n in entry.untold if n not in chosen and not entry.looks.get(n))
    whole = replace(graded, left_out=left_out, usual=usual, untold=untold)
    unlooked = {one.id: one.name for one in missing_looks(kind, whole.inputs())}
    return replace(whole, unlooked=unlooked)
