"""From a choice in pieces to one of whole items, at once; then better, for as long as there is.

Cutting items in pieces (the relaxation) takes hundredths of a second and says what no choice can
beat. Only a handful of items are cut, hardly more than there are wishes at their limit: leaving
those, and filling the room with what adds most, comes within some tenths of a percent. The exact
programme then improves on that, over the few items that still matter: one whose reduced gain
loses more than all that is left to win is settled (variable fixing, Nemhauser and Wolsey 1988,
Integer and Combinatorial Optimization, proposition II.1.2.1; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from time import monotonic

import numpy as np
import numpy.typing as npt

from resale.pricing.model.columns.terms import Array
from resale.selling.rail.programme import Programme, Relaxation

# The relaxation's share of the time; it needs some hundredths of a second.
RELAXING = 0.25
# Items nearest to being cut, among which a rounding that keeps hard sides is looked for.
NEAREST = 80


@dataclass(frozen=True)
class Choice:
    """What was found.

    Attributes
    ----------
    chosen : ndarray of 0 and 1, shape (items,)
    worth : float
        No choice brings more (minor units); minus infinity where it is proven that none keeps
        the hard sides.
    """

    chosen: Array
    worth: float


def best_choice(programme: Programme, gap: float, seconds: float) -> Choice:
    """Choose whole items: always with an answer, proven where the time allows.

    Parameters
    ----------
    programme : Programme
    gap : float
        Good enough: proven to lie within this share of the best.
    seconds : float
        For all of it; a fixed share of a second is taken in any case.

    Returns
    -------
    Choice
        Where time runs out before any choice keeps the hard sides, one that misses some.
    """
    until = monotonic() + seconds
    relaxed = programme.relaxed(max(RELAXING * seconds, RELAXING))
    if relaxed is None:
        return _by_rate(programme)
    if not np.isfinite(relaxed.worth):
        return Choice(relaxed.part, relaxed.worth)
    found = Choice(rounded(programme, relaxed), relaxed.worth)
    if _good_enough(programme, found, gap) or monotonic() >= until:
        return found
    if not programme.allows(found.chosen):
        found = _among_the_nearest(programme, relaxed, found, until)
    return _improved(programme, relaxed, found, gap, until)


def rounded(programme: Programme, relaxed: Relaxation) -> Array:
    """Leave what is cut, then fill the room with what adds most.

    Parameters
    ----------
    programme : Programme
    relaxed : Relaxation
        Its optimum where things may be cut.
    """
    whole = np.where(relaxed.part > 1 - 1e-7, 1.0, 0.0)
    return filled(programme, whole, np.argsort(-relaxed.reduced, kind="stable"))


def filled(programme: Programme, chosen: Array, order: npt.NDArray[np.intp]) -> Array:
    """Take one more item at a time while it fits and adds something.

    Parameters
    ----------
    programme : Programme
    chosen : ndarray of 0 and 1, shape (items,)
    order : ndarray of int, shape (items,)
        Items in the order in which they are tried.

    Returns
    -------
    ndarray of 0 and 1, shape (items,)
    """
    more = chosen.copy()
    room = programme.free - float(programme.widths @ more)
    amounts = programme.weights @ more
    missed = programme.beyond(amounts)
    for place in order:
        if more[place] or programme.widths[place] > room:
            continue
        after = amounts + programme.weights[:, place]
        off = programme.beyond(after)
        worse = off - missed
        helps = bool((worse < 0)[programme.hard].any())
        breaks = bool((worse > 0)[programme.hard].any())
        adds = programme.gains[place] > programme.penalty @ worse
        if not breaks and (adds or helps):
            more[place] = 1.0
            room -= float(programme.widths[place])
            amounts, missed = after, off
    return more


def _good_enough(programme: Programme, found: Choice, gap: float) -> bool:
    net = programme.net(found.chosen)
    return programme.allows(found.chosen) and found.worth - net <= gap * abs(net)


def _by_rate(programme: Programme) -> Choice:
    """Choose by gain a centimetre: for a machine too busy for anything else.

    The bound is Dantzig's (1957, Operations Research 5, 266-277): the rail filled by rate, the
    last item cut; penalties can only lower it.
    """
    order = np.argsort(-programme.gains / programme.widths, kind="stable")
    gains, widths = np.maximum(programme.gains[order], 0.0), programme.widths[order]
    room = np.clip(programme.free - (np.cumsum(widths) - widths), 0.0, widths)
    chosen = filled(programme, np.zeros(len(order)), order)
    return Choice(chosen, float(gains @ (room / widths)))


def _among_the_nearest(
    programme: Programme, relaxed: Relaxation, found: Choice, until: float
) -> Choice:
    """Round so that hard sides are kept: exactly, over the items nearest to being cut."""
    settled = np.argsort(np.abs(relaxed.reduced), kind="stable")[NEAREST:]
    low, high = np.zeros(len(relaxed.part)), np.ones(len(relaxed.part))
    low[settled] = high[settled] = np.round(relaxed.part[settled])
    chosen, _, _ = programme.exact(low, high, 0.0, max(until - monotonic(), 0.0))
    return found if chosen is None else Choice(chosen, found.worth)


def _improved(
    programme: Programme, relaxed: Relaxation, found: Choice, gap: float, until: float
) -> Choice:
    """Let the exact programme better the choice, over the items that still matter."""
    low, high = np.zeros(len(relaxed.part)), np.ones(len(relaxed.part))
    known = programme.net(found.chosen) if programme.allows(found.chosen) else -np.inf
    to_win = relaxed.worth - known + 1e-6 * max(abs(relaxed.worth), 1.0)
    low[(relaxed.part == 1) & (relaxed.reduced > to_win)] = 1.0
    high[(relaxed.part == 0) & (relaxed.reduced < -to_win)] = 0.0
    left = max(until - monotonic(), 0.0)
    chosen, worth, possible = programme.exact(low, high, gap, left)
    if not possible and not np.isfinite(known):
        return Choice(found.chosen, -np.inf)
    # What was settled is no better than what is known; so the bound holds for every choice.
    worth = min(relaxed.worth, max(worth, known))
    if chosen is None:
        return Choice(found.chosen, worth)
    chosen = filled(programme, chosen, np.argsort(-relaxed.reduced, kind="stable"))
    better = programme.allows(chosen) and programme.net(chosen) >= known
    return Choice(chosen if better else found.chosen, worth)
