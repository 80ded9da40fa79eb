"""What got better in a session: each sign as it stood before it, and as it stands now."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from resale.garments.rulebook.rule_book import RuleBook
from resale.storage.people.drill_store import SavedAnswer
from resale.training.courses.course import COUNTED
from resale.web.training.cards import signal_name


@dataclass(frozen=True, slots=True)
class Change:
    """One sign before and after a session; shares in percent, of the last few answers.

    Attributes
    ----------
    before : float or None
        None where it was met for the first time.
    """

    name: str
    before: float | None
    now: float
    words: str

    @property
    def gain(self) -> float:
        """How far it went up; nothing for what is new."""
        return 0.0 if self.before is None else self.now - self.before


def changes(book: RuleBook, answers: Sequence[SavedAnswer], session: str) -> list[Change]:
    """Compare each sign of a session with what it was before, the largest gain first.

    Parameters
    ----------
    book : RuleBook
        For the names of signs.
    answers : sequence of SavedAnswer
        Of one person, the oldest first.
    session : str
        Key of the session.
    """
    start = f"{session}/"
    found = []
    for sign in _signs(one for one in answers if one.key.startswith(start)):
        every = [one for one in answers if sign in one.signal_ids]
        # What was answered after the session says nothing of it.
        last = max(at for at, one in enumerate(every) if one.key.startswith(start))
        then = every[: last + 1]
        found.append(_change(signal_name(book, sign), then, start))
    return sorted(found, key=lambda one: (-one.gain, one.before is None, one.name))


def told(found: Sequence[Change]) -> str:
    """Say the whole in one sentence."""
    better = [one for one in found if one.gain > 0]
    worse = [one for one in found if one.gain < 0]
    new = [one for one in found if one.before is None]
    said = []
    if better:
        said.append(f"better than before: {_named(better)}")
    if worse:
        said.append(f"to look at again: {_named(worse[::-1])}")
    if new:
        said.append(f"met for the first time: {_named(new)}")
    if not said:
        return "All signs stand where they stood before."
    text = "; ".join(said)
    return f"{text[:1].upper()}{text[1:]}."


def _change(name: str, then: Sequence[SavedAnswer], start: str) -> Change:
    before = [one for one in then if not one.key.startswith(start)][-COUNTED:]
    now = then[-COUNTED:]
    right = sum(one.right for one in now)
    words = f"now {right} of {len(now)}"
    if not before:
        return Change(name, None, _share(now), f"new; {words}")
    was = sum(one.right for one in before)
    return Change(name, _share(before), _share(now), f"{was} of {len(before)} before, {words}")


def _share(answers: Sequence[SavedAnswer]) -> float:
    return round(100 * sum(one.right for one in answers) / len(answers), 1)


def _signs(answers: Iterable[SavedAnswer]) -> list[str]:
    return list(dict.fromkeys(sign for one in answers for sign in one.signal_ids))


def _named(found: Sequence[Change]) -> str:
    names = [one.name.lower() for one in found]
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")
