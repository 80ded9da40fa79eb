"""What a bench form says, checked: options, texts as typed, and the label line."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any
from uuid import uuid4

from resale.errors import ReadingError
from resale.garments.measures.grading import Measured, measure
from resale.garments.measures.stitch_gauge import GAUGES
from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.signals import Signal, Stitches
from resale.safety.holds import hand_holds

# Names of the fields: option of a signal, its measure as typed, its gauge, a flat measure.
OPTION, TYPED, GAUGE, FLAT = "s-", "m-", "g-", "f-"
HOLD, HOLD_NOTE = "hold", "hold-note"
LONGEST = {"label": 80, "size": 30, "note": 400}
LONGEST_HOLD_NOTE = 400
LONGEST_TYPED = 1500
_KEY = re.compile(r"[0-9a-f-]{16,64}")


@dataclass(frozen=True)
class Said:
    """What came of one measure as typed: a grade with its words, or the trouble with it."""

    measured: Measured | None
    trouble: str = ""

    @property
    def option_id(self) -> str | None:
        """The option it comes to, if it comes to one."""
        return self.measured.option_id if self.measured else None


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
    said : dict of signal id to Said
        What came of the measures.
    key : str
        Makes saving twice save once.
    number : str
        The saved item that is on the bench again; empty for a new one.
    hold, hold_note : str
        Id of a hold raised by hand, and what was written beside it.
    faults : dict of field name to str
        Sentences on fields that cannot be saved as they are.
    """

    kind: str
    picked: dict[str, str] = field(default_factory=dict)
    typed: dict[str, str] = field(default_factory=dict)
    gauges: dict[str, str] = field(default_factory=dict)
    flats: dict[str, str] = field(default_factory=dict)
    said: dict[str, Said] = field(default_factory=dict)
    label: str = ""
    size: str = ""
    note: str = ""
    key: str = ""
    number: str = ""
    hold: str = ""
    hold_note: str = ""
    left_out: tuple[str, ...] = ()
    faults: dict[str, str] = field(default_factory=dict)

    @property
    def choices(self) -> dict[str, str]:
        """Signals looked at: a measure that was graded goes before a pick by hand."""
        graded = {
            signal: one.option_id for signal, one in self.said.items() if one.option_id is not None
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
        }


def new_key() -> str:
    """Make a key for one item on the bench."""
    return str(uuid4())


def entry_from_form(kind: Kind, form: Mapping[str, str]) -> Entry:
    """Read a bench form; nothing typed is thrown away, whatever is wrong with it.

    Parameters
    ----------
    form : mapping of str
        Fields as sent. Fields of signals that the kind does not have are ignored: a page may be
        older than the rule book.
    """
    picked, typed, gauges, flats = {}, {}, {}, {}
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
        flat = form.get(FLAT + signal.id, "").strip()[:40]
        if flat:
            flats[signal.id] = flat
    lines = {name: " ".join(form.get(name, "").split()) for name in LONGEST}
    faults |= _too_long(lines)
    hold, hold_note = form.get(HOLD, ""), " ".join(form.get(HOLD_NOTE, "").split())
    faults |= _hold_faults(hold, hold_note)
    key = form.get("key", "")
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
            note=lines["note"],
            key=key if _KEY.fullmatch(key) else new_key(),
            number=form.get("number", "").strip()[:20],
            hold=hold[:40],
            hold_note=hold_note,
            faults=faults,
        ),
    )


def entry_from_inputs(kind: Kind, inputs: Mapping[str, Any], number: str) -> Entry:
    """Open a saved item on the bench again; answers the book no longer knows are left open."""
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
        note=str(inputs.get("note", "")),
        key=new_key(),
        number=number,
    )
    return finished(kind, entry)


def finished(kind: Kind, entry: Entry) -> Entry:
    """Grade what was typed, and leave out what the item's other answers rule out."""
    said = {
        signal: _said(kind.by_id[signal], text, entry.gauges.get(signal, ""))
        for signal, text in entry.typed.items()
    }
    faults = {TYPED + signal: one.trouble for signal, one in said.items() if one.trouble}
    graded = replace(entry, said=said, faults={**entry.faults, **faults})
    chosen = graded.choices
    left_out = tuple(
        signal.id
        for signal in kind.signals
        if signal.id in chosen
        and signal.only_if
        and chosen.get(signal.only_if.signal) not in signal.only_if.options
    )
    return replace(graded, left_out=left_out)


def _too_long(lines: Mapping[str, str]) -> dict[str, str]:
    return {
        name: f"The {name} has {len(text)} characters; shorten it to {LONGEST[name]}."
        for name, text in lines.items()
        if len(text) > LONGEST[name]
    }


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


def _said(signal: Signal, text: str, gauge: str) -> Said:
    try:
        return Said(measure(signal, _with_gauge(signal, text, gauge)))
    except ReadingError as fault:
        return Said(None, fault.sentence)


def _with_gauge(signal: Signal, text: str, gauge: str) -> str:
    """Join a bare count to the gauge picked beside it."""
    if isinstance(signal.measure, Stitches) and gauge in GAUGES and re.fullmatch(r"[\d.,]+", text):
        return f"{text} in {GAUGES[gauge].length_mm:g} mm"
    return text
