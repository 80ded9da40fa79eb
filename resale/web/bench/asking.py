"""What the bench asks next, for the list and for one look at a time alike."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from resale.garments.rulebook.rule_book import Kind
from resale.pricing.valuation.next_check import Check
from resale.safety.required_looks import missing_looks
from resale.services.items.entry import Entry
from resale.web.item_form.looks import AT_ONCE


@dataclass(frozen=True)
class Asked:
    """What to look at now.

    Attributes
    ----------
    id : str
        Of a look, a sign, or `AT_ONCE`; empty where enough was looked at.
    required : bool
        Whether there is no ticket before it.
    check : Check or None
        The best check that is worth the time and was not passed over.
    """

    id: str
    required: bool
    check: Check | None


def asked_now(kind: Kind, entry: Entry, checks: Iterable[Check]) -> Asked:
    """Choose what to look at now: what is required first, then what the model finds worth most.

    Parameters
    ----------
    kind : Kind
    entry : Entry
        With what was passed over: nobody could tell, or it waits.
    checks : iterable of Check
        Signs not looked at yet, the best first.
    """
    passed = {*entry.untold, *entry.later}
    open_checks = (one for one in checks if one.worth_it)
    # What was accepted as usual may still be looked at from the list; it is not asked.
    check = next((c for c in open_checks if c.signal.id not in passed | set(entry.usual)), None)
    missing = missing_looks(kind, entry.inputs())
    if AT_ONCE not in passed and any(one.harmless for one in missing):
        return Asked(AT_ONCE, True, check)
    required = next((one.id for one in missing if one.id not in passed), "")
    if required:
        return Asked(required, True, check)
    return Asked(check.signal.id if check else "", False, check)
