"""What is taken for right where several people read one thing, none seeing the others' answers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

ENOUGH_WITHOUT_LEAD = 3
"""Readers from which a thing is settled by more than one word against another."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One person's reading of one thing.

    Attributes
    ----------
    lead : bool
        Whether a lead's: then it is taken for what is there, where no other lead says otherwise.
    """

    person: str
    lead: bool
    choices: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Settled:
    """What the readings of one thing come to.

    Attributes
    ----------
    choices : mapping of signal id to option id
    open : frozenset of str
        Signs that nobody has settled: two people part, and no third has looked.
    by : tuple of str
        Who read, leads first.
    """

    choices: Mapping[str, str]
    open: frozenset[str]
    by: tuple[str, ...]


def settle(readings: Sequence[Reading]) -> Settled:
    """Take sign by sign what a lead said, else what most said.

    Parameters
    ----------
    readings : sequence of Reading
        Of one thing, the oldest first; each person once.

    Returns
    -------
    Settled

    Notes
    -----
    Where leads part, what most of all who looked said stands; with as many on each side the
    newest lead's stands, and the sign is open. Without a lead, two against one settle it; of two
    who part, the later one's stands for the time being, and the sign is open.

    Examples
    --------
    >>> ay, by = Reading("Ay", False, {"stain": "a"}), Reading("By", False, {"stain": "b"})
    >>> sorted(settle([ay, by]).open)
    ['stain']
    >>> settle([ay, by, Reading("Cy", False, {"stain": "a"})])
    Settled(choices={'stain': 'a'}, open=frozenset(), by=('Ay', 'By', 'Cy'))
    """
    signs = dict.fromkeys(sign for one in readings for sign in one.choices)
    found, still = {}, set()
    for sign in signs:
        looked = [one for one in readings if sign in one.choices]
        leads = [one.choices[sign] for one in looked if one.lead]
        said, sure = _one_sign(leads, [one.choices[sign] for one in looked])
        found[sign] = said
        if not sure:
            still.add(sign)
    by = sorted(readings, key=lambda one: not one.lead)
    return Settled(found, frozenset(still), tuple(one.person for one in by))


def settled_for(readings: Sequence[Reading], place: int) -> Settled | None:
    """Say what one reading of a thing is judged by; None where nobody can judge it.

    Parameters
    ----------
    readings : sequence of Reading
        Of one thing, the oldest first; each person once.
    place : int
        Of the reading that is judged.

    Returns
    -------
    Settled or None
        A lead is no judge of their own reading. A lead's reading is not judged at all, nor one
        of nobody's; without a lead the later of two is not, until a third has looked.

    Notes
    -----
    The one answer to who was right: what somebody costs, whether they may work alone and what
    they are given to practise all ask it.
    """
    one = readings[place]
    others = [*readings[:place], *readings[place + 1 :]]
    later = len(readings) - place - 1
    judges = any(each.lead for each in others) or later > 0 or len(readings) >= ENOUGH_WITHOUT_LEAD
    if not one.person or one.lead or not others or not judges:
        return None
    return settle(readings)


def _one_sign(leads: Sequence[str], everybody: Sequence[str]) -> tuple[str, bool]:
    """What stands for a sign, and whether it is settled."""
    if leads and len(set(leads)) == 1:
        return leads[-1], True
    most = Counter(everybody).most_common(2)
    if len(most) == 1 or most[0][1] > most[1][1]:
        return most[0][0], True
    return (leads or everybody)[-1], False
