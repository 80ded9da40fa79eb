"""Makers that do not exist, how common their labels are here and what these add to a price.

The names were put together from syllables and kept only where a large word list of thirty-odd
languages holds neither the word nor one within two letters of it. Any likeness is chance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from streams import stream

Array = npt.NDArray[np.float64]

_LIST = """
Slodwombo Wisserump Vembobix Jospitrup Fedwunock Chunotrup
Plorambo Kroranock Snuviddle Wiffufane Twigubix Chukiquin
Glukirump Tudwequin Tupinock Threroska Rudruzel Fembonock
Hoffinock Snumetrup Slodwaska Joffugath Nidwanock Glunibix
Kronulber Patedrith Effedrith Snulalber Nilopock Hogudrith
Quorunth Wissifane Femberump Niffiwold Yanatting Skegalber
Glupuzel Plotimpet Gludrombo Quogaquin Skekagath Feffanth
Snutigath Krolafane Twivovorn Ombodrith Drospursk Drolelber
Gluvifane Tumbuvorn Yadwozel Chumbursk Grisponth Twigempet
Skevibix Chuvawold Mudragath Zedwoddle Quoloddle Vekidrith
"""
NAMES = tuple(_LIST.split())
EFFECT_SPREAD = 0.40
# A label's share falls with its place in the list by this power: a few labels are everywhere.
SKEW = 0.8


@dataclass(frozen=True)
class Makers:
    """The shop's own list of labels.

    Attributes
    ----------
    share : ndarray, shape (makers,)
        How common each label is among items whose label is known; sums to 1.
    effect : ndarray, shape (makers,)
        What the name adds to log price; the share-weighted mean is 0.
    place : ndarray, shape (makers,)
        Where the maker stands, from cheap (below 0) to dear: goes with the label's standing.
    """

    share: Array
    effect: Array
    place: Array

    def drawn_for(self, standing: Array, chance: Array) -> npt.NDArray[np.intp]:
        """Choose a maker for each item, dearer makers more often where the label stands high.

        Parameters
        ----------
        standing, chance : ndarray, shape (n,)
            Standing of the item's label (standard normal), and a uniform number.
        """
        weight = self.share * np.exp(0.6 * standing[:, None] * self.place)
        total = np.cumsum(weight, axis=1)
        return np.asarray((chance[:, None] * total[:, -1:] > total).sum(axis=1), dtype=np.intp)


def invented_makers() -> Makers:
    """Return the list with its effects, always the same."""
    rarer: Array = np.arange(1.0, len(NAMES) + 1) ** SKEW
    share = 1.0 / rarer / (1.0 / rarer).sum()
    effect = EFFECT_SPREAD * stream("maker", "effect").standard_normal(len(NAMES))
    place = stream("maker", "place").standard_normal(len(NAMES))
    centred: Array = np.round(effect - float(share @ effect), 4)
    return Makers(share, centred, place)
