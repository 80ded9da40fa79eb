"""What the bench asks next, for the list and for one look at a time alike."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from resale.pricing.valuation.next_check import Check
from resale.pricing.valuation.striking import Striking
from resale.safety.required_looks import STANDING
from resale.services.items.entry import Entry
from resale.web.item_form.looks import AT_ONCE, STRIKING

MISSED = 0.15
"""How often what strikes is there and nobody picked it: an opinion, no source."""


@dataclass(frozen=True)
class Asked:
    """What to look at now.

    Attributes
    ----------
    id : str
        Of a look, a sign, `AT_ONCE` or `STRIKING`; empty where enough was looked at.
    required : bool
        Whether there is no ticket before it.
    check : Check or None
        The best check that is worth the time and was not passed over.
    """

    id: str
    required: bool
    check: Check | None

    @property
    def sign_id(self) -> str:
        """The sign that comes next in the list, which shows no card of what strikes."""
        return self.check.signal.id if self.id == STRIKING and self.check else self.id


def asked_now(
    entry: Entry,
    checks: Iterable[Check],
    striking: tuple[Striking, ...],
    at_once: Collection[str],
) -> Asked:
    """Choose what to look at now: what is required, what strikes, what the model finds worth most.

    Parameters
    ----------
    entry : Entry
        With what was passed over, as nobody could tell or it waits, and what is unlooked.
    checks : iterable of Check
        Signs not looked at yet.
    striking : tuple of Striking
        The card of what strikes in this kind.
    at_once : collection of str
        Ids of what one tap answers together.
    """
    passed = {*entry.untold, *entry.later}
    check = _best_check(entry, checks, striking, passed)
    if AT_ONCE not in passed and any(one in entry.unlooked for one in at_once):
        return Asked(AT_ONCE, True, check)
    required = next((one for one in entry.unlooked if one not in passed), "")
    if required:
        return Asked(required, True, check)
    # What is missed on the card must not be what further required looks hang on.
    is_standing = check is not None and check.signal.id == STANDING
    # What was saved before, or read like another, has had its turn on the card.
    is_new = not entry.number and not entry.like
    if check and not is_standing and striking and is_new and STRIKING not in passed:
        return Asked(STRIKING, False, check)
    return Asked(check.signal.id if check else "", False, check)


def _best_check(
    entry: Entry, checks: Iterable[Check], striking: tuple[Striking, ...], passed: set[str]
) -> Check | None:
    """Find the best check that is worth the time, not passed over and not accepted as usual.

    Once the card was gone through, what it would have told of a sign is there only where it was
    missed; the rest of what the sign may say weighs little, or it would not be on the card.
    """
    on_card = {one.signal.id for one in striking} if STRIKING in passed else set()
    # What was accepted as usual may still be looked at from the list; it is not asked.
    done = passed | set(entry.usual)

    def part(check: Check) -> float:
        return MISSED if check.signal.id in on_card else 1.0

    open_checks = [
        one for one in checks if one.signal.id not in done and part(one) * one.gain > one.cost
    ]
    return max(open_checks, key=lambda one: part(one) * one.rate, default=None)
