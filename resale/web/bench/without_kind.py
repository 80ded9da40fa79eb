"""What the bench's form says of a thing without a kind: what it is, its price, and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.unsorted import UNSORTED
from resale.money import Money
from resale.services.items.by_hand import by_hand_typed, faults_of
from resale.services.items.entry import Entry
from resale.web.item_form.form import entry_from_form

FIELDS = {"what": "what", "price": "hand-price", "why": "hand-why"}
"""Fields of the form by the part that they say."""


def bench_entry(kind: Kind, form: Mapping[str, str], money: Money) -> Entry:
    """Read a bench form, with what stands in the place of a kind where there is none.

    Parameters
    ----------
    kind : Kind
    form : mapping of str
        Fields as sent.
    money : Money
        The shop's, in which a price is typed.
    """
    entry = entry_from_form(kind, form)
    if kind.id != UNSORTED:
        return entry
    what, price, why = (form.get(name, "") for name in FIELDS.values())
    return replace(entry, by_hand=by_hand_typed(what, price, why, money))


def unfit(entry: Entry) -> dict[str, str]:
    """Say what keeps a thing without a kind from being saved, by the field of the form."""
    if entry.by_hand is None:
        return {}
    return {FIELDS[part]: sentence for part, sentence in faults_of(entry.by_hand).items()}
