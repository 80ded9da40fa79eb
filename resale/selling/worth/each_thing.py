"""What each thing was worth, given what was seen of it: worths that a price model can learn from.

A price model wants one number a thing. Of a thing that hung only so much is known: it sold at
this ticket after so many days, or did not sell at that one. With a gamma factor of its own on the
rate, what is known of that factor afterwards is a gamma again; one draw from it for each thing
has the right mean *and* the right spread over many things, where its middle alone would make all
bands too narrow (plausible values; Mislevy 1991, Psychometrika 56, 177-196, from memory).
"""

from __future__ import annotations

import numpy as np
from scipy.special import digamma, gammaincinv

from resale.pricing.model.columns.terms import Array
from resale.selling.markdown.ageing import outlived
from resale.selling.markdown.demand import LEAST_ELASTICITY
from resale.selling.markdown.frailty import STEEPEST
from resale.selling.worth.regression import Hung, SoldOnly, WorthModel

# No draw beyond these chances: one thing in a thousand must not be worth a fortune or nothing.
_ENDS = (0.001, 0.999)


def hazards(model: WorthModel, hung: Hung) -> Array:
    """Rate times days that a middling thing would have outlived in each one's place.

    Parameters
    ----------
    model : WorthModel
    hung : Hung

    Returns
    -------
    ndarray, shape (things,)
    """
    above = np.log(hung.ticket) - model.log_worth(hung.columns)[hung.thing]
    rate = np.exp(np.minimum(model.level - model.elasticity * above, STEEPEST))
    days = outlived(model.ageing, hung.age + hung.days) - outlived(model.ageing, hung.age)
    return np.asarray(np.bincount(hung.thing, rate * days, len(hung.weight)))


def worth_of_hung(model: WorthModel, hung: Hung, chance: Array) -> Array:
    """Log worth of each thing that hung, drawn from what is known of it.

    Parameters
    ----------
    model : WorthModel
    hung : Hung
    chance : ndarray, shape (things,)
        Where in its distribution each is drawn, 0 to 1; a half gives the middles.

    Returns
    -------
    ndarray, shape (things,)
        On average over many things it is what the columns say.
    """
    v = model.unevenness
    sold = np.bincount(hung.thing, hung.sold.astype(float), len(hung.weight))
    shape, rate = 1 / v + sold, 1 / v + hazards(model, hung)
    own = gammaincinv(shape, np.clip(chance, *_ENDS)) / rate
    mean = digamma(1 / v) + np.log(v)
    own_log = np.log(np.maximum(own, 1e-12)) - mean
    return np.asarray(
        model.log_worth(hung.columns) + own_log / max(model.elasticity, LEAST_ELASTICITY)
    )


def worth_of_sold(model: WorthModel, sold: SoldOnly) -> Array:
    """Log worth of things of which only the sale is known: its price and the usual shortfall.

    Parameters
    ----------
    model : WorthModel
    sold : SoldOnly

    Returns
    -------
    ndarray, shape (sales,)
    """
    return np.asarray(np.log(sold.price) + model.shortfall)
