"""On what is wanted for its age, wear takes less off: whoever buys an old thing expects some.

The rule: where the answer on age says collectable, each fault that age excuses counts a part of
itself (the shop's `old_wear_counts`), and that before the faults are ranked, so that a worse fault
still never raises a price. Good order counts as on anything else, and so do gates: a hole where it
shows caps the tier of an old thing too. How large the part is, is an opinion: common practice, no
source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.garments.dating.collectable import AGE_SIGN, collectable_codes, excused_by_age
from resale.garments.rulebook.rule_book import Kind
from resale.pricing.make.factor_score import Array
from resale.pricing.make.wear import fault_shares


@dataclass(frozen=True)
class OldWear:
    """How age changes what wear does to things of one kind.

    Attributes
    ----------
    place : int
        Of the sign of age among the signs of the kind; -1 where nothing is wanted for its age, or
        wear counts there as anywhere.
    answers : ndarray of int
        Codes of the answers that say so.
    kept : ndarray, shape (signs of wear,)
        What of each sort of fault counts on an old thing, 0 to 1.
    """

    place: int
    answers: npt.NDArray[np.intp]
    kept: Array

    @classmethod
    def of(cls, kind: Kind, counts: float) -> OldWear:
        """Read it off the book.

        Parameters
        ----------
        kind : Kind
        counts : float
            What of a fault counts where age excuses it, 0 to 1; 1 changes nothing.

        Returns
        -------
        OldWear
        """
        answers = collectable_codes(kind) if counts != 1 else ()
        worn = [signal.id for signal in kind.signals if signal.about == "wear"]
        return cls(
            list(kind.by_id).index(AGE_SIGN) if answers else -1,
            np.array(answers, dtype=np.intp),
            np.array([counts if excused_by_age(one) else 1.0 for one in worn]),
        )

    def met(self, codes: npt.NDArray[np.int16]) -> npt.NDArray[np.bool_]:
        """Say which things of the kind are wanted for their age.

        Parameters
        ----------
        codes : ndarray of int16, shape (n, signs of the kind or more)

        Returns
        -------
        ndarray of bool, shape (n,)
        """
        if self.place < 0:
            return np.zeros(len(codes), dtype=bool)
        return np.isin(codes[:, self.place], self.answers)

    def excused(self, effect: Array) -> Array:
        """Log effect of faults on an old thing, shape (n, signs of wear) as it came."""
        return np.where(effect < 0, effect * self.kept, effect)

    def counted(
        self, effect: Array, old: npt.NDArray[np.bool_], further: float
    ) -> tuple[Array, Array]:
        """Say how each sign of wear counts, on new things and on old ones.

        Parameters
        ----------
        effect : ndarray, shape (n, signs of wear)
            Log effect of each alone.
        old : ndarray of bool, shape (n,)
            Which things are wanted for their age.
        further : float
            What a further fault counts of the worse one before it.

        Returns
        -------
        alone : ndarray, shape (n, signs of wear)
            Log effect of each alone, at that age.
        share : ndarray, shape (n, signs of wear)
            What of `effect` counts: the part that age leaves, less beside worse faults.
        """
        alone = np.where(old[:, None], self.excused(effect), effect)
        left = np.where(old[:, None] & (effect < 0), self.kept, 1.0)
        return alone, left * fault_shares(alone, further)
