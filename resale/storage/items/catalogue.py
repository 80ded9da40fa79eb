"""The rule book as plain values: what a file of items may hold, and how to look."""

from __future__ import annotations

from typing import Any

from resale.garments.rulebook.readings import kind_called
from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.garments.rulebook.signals import Option, Signal
from resale.safety.looks import shipped_looks


def catalogue_of(book: RuleBook, kind_id: str | None = None) -> dict[str, Any]:
    """Kinds with their signals, options and how-to.

    Parameters
    ----------
    kind_id : str, optional
        Only this kind.

    Raises
    ------
    ReadingError
        If the book has no such kind.
    """
    kinds = book.kinds.values() if kind_id is None else [kind_called(book, kind_id)]
    return {
        "rule_book": book.version,
        "columns": [
            "item",
            "kind",
            "label",
            "size",
            "tape",
            "care",
            "note",
            "one for each signal and look, by its id",
        ],
        "looks": [look.model_dump(mode="json") for look in shipped_looks().look],
        "not_looked_at": ["", "?", "not looked at"],
        "kinds": [_kind(book, kind) for kind in kinds],
    }


def _kind(book: RuleBook, kind: Kind) -> dict[str, Any]:
    return {
        "id": kind.id,
        "name": kind.text.name,
        "includes": list(kind.text.includes),
        "anchor": kind.text.anchor,
        "signals": [_signal(book, signal) for signal in kind.signals],
    }


def _signal(book: RuleBook, signal: Signal) -> dict[str, Any]:
    """Give a signal in the order in which one would read it out."""
    more = {
        "caution": signal.caution,
        "only_if": signal.only_if and signal.only_if.model_dump(mode="json"),
        "measure": signal.measure and signal.measure.model_dump(mode="json"),
    }
    return {
        "id": signal.id,
        "name": signal.name,
        "zone": book.zone_names[signal.zone],
        "shape": signal.shape,
        "about": signal.about,
        "seconds": signal.seconds,
        "hands": signal.hands,
        "see": signal.see,
        "fools": signal.fools,
        "source": signal.source,
        **{name: value for name, value in more.items() if value},
        "options": [_option(option) for option in signal.options],
    }


def _option(option: Option) -> dict[str, Any]:
    plain = option.model_dump(mode="json", exclude_none=True)
    return {name: plain[name] for name in ("id", "name", "effect", "doubt", "share", "reason")} | (
        {"gate": plain["gate"]} if "gate" in plain else {}
    )
