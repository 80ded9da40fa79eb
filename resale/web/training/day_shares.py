"""A day's second looks as the page shows them: person by person, and what each thing came to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from resale.services.training.read_twice import first_readings
from resale.services.training.sampled import TOGETHER, Share, shares_kept
from resale.storage.items.readers import has_read, readers
from resale.storage.people.second_looks import SavedLook, SavedSample, looks
from resale.training.oversight.read_again import ReadAgain
from resale.web.core.shop import Shop

NOBODY = "Nobody signed in"


@dataclass(frozen=True, slots=True)
class Row:
    """A drawn item, and what second and third looks say of it.

    Attributes
    ----------
    again : ReadAgain or None
        None while it is to be read.
    own : bool
        Whether the one who asks has read it: then somebody else has to look.
    """

    number: str
    again: ReadAgain | None
    own: bool

    @property
    def word(self) -> str:
        """What it came to, in a word or two."""
        one = self.again
        if one is None:
            return "to be read again"
        if one.waits:
            return "the two part: a third look settles it"
        if one.misread:
            return "passed over" if one.skipped_alone else "misread"
        return "holds"

    @property
    def others(self) -> tuple[str, ...]:
        """Who read it again."""
        one = self.again
        return tuple(who for who in one.settled.by if who != one.reader) if one else ()

    @property
    def can_look(self) -> bool:
        """Whether whoever asks may read it now: not read again yet, or waiting for a third."""
        return not self.own and (self.again is None or self.again.waits)


@dataclass(frozen=True, slots=True)
class ShareShown:
    """One person's part of the day."""

    share: Share
    rows: tuple[Row, ...]

    @property
    def name(self) -> str:
        """Whose part it is."""
        return self.share.reader or NOBODY

    @property
    def together(self) -> bool:
        """Whether this person does not work alone with these things yet."""
        return self.share.how == TOGETHER

    @property
    def plan_sentence(self) -> str:
        """What is read again, and by which rule."""
        one = self.share
        if one.plan is None:
            return f"Reading together: {one.sample} of {one.of} items are read again."
        note = "" if one.how == "normal" else f" The {one.how} plan holds."
        return one.plan.sentence + note

    @property
    def verdict(self) -> str:
        """Where this part stands: open, passed, or to be looked through."""
        misread = sum(one.again is not None and one.again.misread for one in self.rows)
        still = sum(one.again is None for one in self.rows)
        plan, all_of = self.share.plan, len(self.rows)
        if plan and misread >= plan.reject:
            return f"{misread} misread: look through the rest of the day too."
        if still:
            return f"{all_of - still} of {all_of} read again, {misread} misread so far."
        end = ": the day passes." if plan else "."
        return f"All {all_of} read again, {misread} misread{end}"


def shown(shop: Shop, sample: SavedSample, me: str) -> tuple[ShareShown, ...]:
    """Lay out a day's sample for whoever asks.

    Parameters
    ----------
    shop : Shop
    sample : SavedSample
    me : str
        Name of whoever asks.
    """
    by, again = readers(shop.records, sample.numbers), first_readings(shop, sample.day)
    mine = {one.number for one in looks(shop.records, sample.day) if one.person == me}

    def row(number: str) -> Row:
        return Row(number, again.get(number), number in mine or has_read(by, number, me))

    return tuple(
        ShareShown(share, tuple(row(number) for number in share.picked))
        for share in shares_kept(sample)
    )


def look_key(day: str, number: str, before: Iterable[SavedLook]) -> str:
    """Key of the next look at an item: one second look, and one that settles it.

    Parameters
    ----------
    day : str
        Of the sample.
    number : str
    before : iterable of SavedLook
        Looks at this item of this sample.
    """
    count = sum(1 for _ in before)
    return f"{day}/{number}" if not count else f"{day}/{number}/{count + 1}"
