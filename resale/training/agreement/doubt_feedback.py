"""From misreadings found in cross-checks to an extra doubt for the signal.

A reading is a noisy sign of what is there. If people often say *A* where *B* is there, then the
items read as *A* are a mixture, and the reading says less about the price than the rule book
believes: its effect shrinks towards the others, and each such item scatters more.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.garments.rulebook.signals import Signal
from resale.training.agreement.kappa import Array

WORTH = 4.0
"""How many checked items the overall rate counts for, against the counts of one option."""

FEWEST = 20
"""Checked items below which nothing is suggested."""


@dataclass(frozen=True, slots=True)
class DoubtSuggestion:
    """What misreadings of one signal do to its worth.

    Attributes
    ----------
    checked, misread : int
        Items looked at twice, and those read otherwise.
    rate : float
        Share expected to be misread, drawn a little towards a half while little is known.
    attenuation : float
        Part of the signal's effect on price that a reading keeps: 1 is all of it.
    extra : float
        Standard deviation (log price) that a misreading adds to an item, over all options.
    extra_by_option : tuple of float
        The same for each option read.
    effect_by_option : tuple of float
        Expected factor on the price of an item that is read so.
    """

    signal: Signal
    checked: int
    misread: int
    rate: float
    attenuation: float
    extra: float
    extra_by_option: tuple[float, ...]
    effect_by_option: tuple[float, ...]

    @property
    def enough(self) -> bool:
        """Whether enough items were looked at twice to suggest anything."""
        return self.checked >= FEWEST

    def doubt(self, option_id: str) -> float:
        """Suggested doubt for an option: the rule book's and the extra, as independent.

        On a ladder the book's doubt is that of the step up into the option.

        Returns
        -------
        float
            Standard deviation in log price; the rule book's own while too little is known.
        """
        place = self.signal.option_ids.index(option_id)
        own = self.signal.options[place].doubt
        return float(np.hypot(own, self.extra_by_option[place])) if self.enough else own

    @property
    def sentence(self) -> str:
        """Say it in words."""
        seen = f"{self.signal.name}: {self.misread} of {self.checked} second looks differed"
        if not self.enough:
            return f"{seen}; too few to change a doubt (at least {FEWEST} are needed)."
        return (
            f"{seen}. A reading keeps about {100 * self.attenuation:.0f} % of its effect and adds "
            f"about {100 * np.expm1(self.extra):.0f} % of scatter to a price; a lead decides "
            "whether to train on it or to raise its doubt."
        )


def suggest_doubt(signal: Signal, table: npt.ArrayLike) -> DoubtSuggestion:
    """Turn second looks at one signal into a suggested extra doubt.

    With ``P(t, r)`` the chance that *t* is there and *r* is read, and ``e`` the log effects:

    - effect of a reading: ``m(r) = sum_t P(t | r) e(t)``
    - extra variance of a reading: ``s(r)^2 = sum_t P(t | r) (e(t) - m(r))^2``
    - attenuation: ``cov(e(r), e(t)) / var(e(r))`` under ``P(t, r)``

    Parameters
    ----------
    signal : Signal
        As one kind has it; shares and effects of its options are used.
    table : array-like, shape (options, options)
        Counts of second looks: rows by what is there (the lead's reading), columns by what the
        sorter read, as `resale.training.agreement.kappa.cross_table` gives.

    Returns
    -------
    DoubtSuggestion

    Raises
    ------
    ValueError
        If the table is not as wide as the signal has options.

    Notes
    -----
    Options are seldom checked often enough one by one, so each row is drawn towards what the
    overall rate of misreading implies, with the weight of `WORTH` items; there a slip lands on
    the next option of a ladder, or on any option by its share. Assumes that the lead is right and
    that misreading depends on nothing else; the signal's effect itself is taken as the book's.
    For two options the attenuation is ``1 - (share wrong among those read as A) - (share wrong
    among those read as B)``.

    References
    ----------
    Aigner 1973, Journal of Econometrics 1, 49 (two options). Carroll, Ruppert, Stefanski and
    Crainiceanu 2006, Measurement Error in Nonlinear Models, ch. 2 and 4 (regression calibration).
    Both from memory.

    Examples
    --------
    >>> from resale.garments.rulebook.rule_book import load_rule_book
    >>> odour = load_rule_book().kinds["shirt"].by_id["odour"]
    >>> found = suggest_doubt(odour, [[5, 0, 0, 0], [1, 6, 3, 0], [0, 2, 15, 8], [0, 0, 5, 55]])
    >>> found.misread, round(found.attenuation, 2), round(found.extra, 2)
    (19, 0.78, 0.05)
    """
    counts = np.asarray(table, dtype=float)
    options = len(signal.options)
    if counts.shape != (options, options):
        raise ValueError(f"{signal.id} has {options} options, so the table must be as wide")
    checked, same = counts.sum(), np.trace(counts)
    # Half an item either way: no slip among few items is no proof that there are none.
    rate = float((checked - same + 0.5) / (checked + 1))
    slips = slip_chances(signal, rate)
    given = (counts + WORTH * slips) / (counts.sum(axis=1, keepdims=True) + WORTH)
    return _suggest(signal, int(checked), round(checked - same), rate, given)


def slip_chances(signal: Signal, rate: float) -> Array:
    """Chance of each reading of each option if only the overall rate of slips is known.

    Parameters
    ----------
    rate : float, 0 to 1

    Returns
    -------
    ndarray, shape (options, options)
        Rows sum to 1: what is there, to what is read. On a ladder a slip is one step, either way
        alike; elsewhere it lands on the other options by how common they are.
    """
    options = len(signal.options)
    if signal.shape == "ladder":
        place = np.arange(options)
        away = (np.abs(place[:, None] - place[None, :]) == 1).astype(float)
    else:
        away = np.tile(_shares(signal), (options, 1))
        np.fill_diagonal(away, 0.0)
    away /= away.sum(axis=1, keepdims=True)
    return np.asarray((1 - rate) * np.eye(options) + rate * away)


def _suggest(
    signal: Signal, checked: int, misread: int, rate: float, given: Array
) -> DoubtSuggestion:
    """Work out effect, scatter and attenuation from the chances of each reading."""
    effect = np.log([option.effect for option in signal.options])
    both = _shares(signal)[:, None] * given
    read = both.sum(axis=0)
    there = both / np.maximum(read, 1e-300)
    mean = effect @ there
    scatter = np.sqrt(np.maximum((effect[:, None] - mean[None, :]) ** 2 * there, 0.0).sum(axis=0))
    return DoubtSuggestion(
        signal,
        checked,
        misread,
        rate,
        _attenuation(effect, both),
        float(np.sqrt(read @ scatter**2)),
        tuple(scatter.tolist()),
        tuple(np.exp(mean).tolist()),
    )


def _attenuation(effect: Array, both: Array) -> float:
    """Slope of what is there on what is read, both in log price."""
    there, read = both.sum(axis=1), both.sum(axis=0)
    middle_there, middle_read = float(there @ effect), float(read @ effect)
    variance = float(read @ (effect - middle_read) ** 2)
    if variance < 1e-12:
        return 1.0
    together = float((effect - middle_there) @ both @ (effect - middle_read))
    return together / variance


def _shares(signal: Signal) -> Array:
    share = np.array([option.share for option in signal.options])
    return np.asarray(share / share.sum())
