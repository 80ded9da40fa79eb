"""A pile of like things on the bench's form: how many, and whether each was looked over."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from resale.services.items.like import MOST_IN_A_PILE

PILE, EACH = "pile", "pile-each"


@dataclass(frozen=True)
class Pile:
    """What the form says of a pile; one thing is no pile.

    Attributes
    ----------
    count : int
    each_looked_over : bool
    typed : str
    fault : str
        A sentence where the number cannot be taken; else empty.
    """

    count: int
    each_looked_over: bool
    typed: str
    fault: str = ""

    @property
    def faults(self) -> dict[str, str]:
        """The fault by the name of its field."""
        return {PILE: self.fault} if self.fault else {}


def pile_in(form: Mapping[str, str]) -> Pile:
    """Read the pile of a form."""
    typed, each = form.get(PILE, "").strip()[:12], form.get(EACH) == "1"
    if not typed:
        return Pile(1, each, "")
    # A number of an item on the bench again: that is one thing.
    if form.get("number", "").strip():
        return Pile(1, each, typed, "A pile is saved of new things only; leave it empty here.")
    if not typed.isdecimal() or not 1 <= int(typed) <= MOST_IN_A_PILE:
        return Pile(1, each, typed, f"How many in the pile: a number from 1 to {MOST_IN_A_PILE}.")
    return Pile(int(typed), each, typed)
