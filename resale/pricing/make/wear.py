"""Two disqualifying stains are not twice disqualifying: the worst counts in full, the others less.

The rule: faults in order of what each would cost alone; the worst counts in full, the next a part
of itself (the book's `further_wear`), the third that part of this part, and so on. Signs in better
order than the average speak of one thing too, that the item was cared for: among themselves the
best counts in full, the others less, by the same rule.
"""

from __future__ import annotations

import numpy as np

from resale.pricing.make.factor_score import Array


def fault_shares(effect: Array, further: float) -> Array:
    """How much each sign of wear counts.

    Weights that fall with the rank make the sum fall with every single sign that gets worse,
    however the ranks change places: a worse fault never raises a price.

    Parameters
    ----------
    effect : ndarray, shape (n, signs)
        Log effect of each sign of wear alone; below 0 is a fault, above it is in good order.
    further : float
        What the next fault counts of what the one before counts, 0 to 1.

    Returns
    -------
    ndarray, shape (n, signs)
        From 0 to 1.

    Examples
    --------
    >>> fault_shares(np.array([[-0.2, 0.05, -0.9, -0.1]]), 0.5)
    array([[0.5 , 1.  , 1.  , 0.25]])
    """
    if further == 1 or effect.size == 0:
        return np.ones(effect.shape)
    share = np.ones(effect.shape)
    for side in (np.minimum(effect, 0.0), np.minimum(-effect, 0.0)):
        order = np.argsort(side, axis=1, kind="stable")
        rank = np.empty_like(order)
        np.put_along_axis(rank, order, np.arange(side.shape[1])[None, :], axis=1)
        share = np.where(side < 0, float(further) ** rank, share)
    return share


def moved_by_fault(faults: Array, more: Array, further: float) -> Array:
    """How far one more sign of wear moves the log price, beside those that were seen.

    With the faults seen in order, worst first, a new one takes its place among them: those before
    it count as before, those after it count one rank less. Likewise for signs in good order.

    Parameters
    ----------
    faults : ndarray, shape (n, signs)
        Log effect alone of each sign of wear seen; 0 where not looked at.
    more : ndarray, shape (m,)
        Log effect alone of the sign that might be seen besides.
    further : float
        As for `fault_shares`.

    Returns
    -------
    ndarray, shape (n, m)
    """
    worse = _moved_down(faults, np.minimum(more, 0.0), further)
    return worse - _moved_down(-faults, np.minimum(-more, 0.0), further)


def _moved_down(faults: Array, more: Array, further: float) -> Array:
    ordered = np.minimum(np.sort(faults, axis=1), 0.0)
    before = np.cumsum(ordered * float(further) ** np.arange(ordered.shape[1]), axis=1)
    before = np.hstack([np.zeros((len(ordered), 1)), before])
    moved = np.zeros((len(faults), len(more)))
    new = np.flatnonzero(more < 0)
    rank = (ordered[:, :, None] < more[new]).sum(axis=1)
    after = before[:, -1:] - np.take_along_axis(before, rank, axis=1)
    moved[:, new] = float(further) ** rank * more[new] - (1 - further) * after
    return moved
