"""What the next check asks of a kind, by option: it stands ready for as long as the model does.

A live valuation asks for the next check after every tap. What depends on the rule book and the
model alone is worked out once for both, and only what depends on the item is worked out anew.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.garments.rulebook.readings import codes_that_ask
from resale.garments.rulebook.rule_book import Kind
from resale.pricing.make.age import OldWear
from resale.pricing.make.tells import tells_of
from resale.pricing.model.columns.terms import Array
from resale.pricing.valuation.price_tables import KindTable

Places = npt.NDArray[np.intp]


@dataclass(frozen=True)
class TellOptions:
    """The options of all tells of a kind, one after the other.

    Attributes
    ----------
    at : ndarray of int, shape (tell options,)
        Their places among the options of the kind.
    starts : ndarray of int, shape (tells,)
        Where each tell begins among them.
    score, loading : ndarray, shape (tell options,)
        Standardised score of each, and the loading of its tell.
    """

    at: Places
    starts: Places
    score: Array
    loading: Array


@dataclass(frozen=True)
class OptionTable:
    """One kind, by option of its signals; label and season are never looked for.

    Attributes
    ----------
    starts : ndarray of int, shape (signals,)
        Where each signal's options begin.
    seconds : ndarray, shape (signals,)
        Of looking at each signal.
    effect : ndarray, shape (options,)
        Log effect of each option by itself.
    points, weight : ndarray, shape (options,)
        What each option of a tell adds to the make, and to its precision.
    share : ndarray, shape (options,)
        How common each is; a signal's shares sum to 1.
    worn : ndarray of int
        Places of the options of signs of wear.
    tells : TellOptions
    asked_after : tuple of (int, int, list of int)
        A signal that hangs on another: its place, the other's, and the other's codes that ask.
    rules_out : tuple of (int, int, list of int)
        A signal with one of its codes that rules others out, and the places of those.
    old_wear : OldWear
        What wear counts on things that are wanted for their age.
    old : ndarray of int
        Places of the options that say so.
    worn_when_old : ndarray, shape (worn,)
        Log effect of each option of wear by itself there.
    """

    starts: Places
    seconds: Array
    effect: Array
    points: Array
    weight: Array
    share: Array
    worn: Places
    tells: TellOptions
    asked_after: tuple[tuple[int, int, list[int]], ...]
    rules_out: tuple[tuple[int, int, list[int]], ...]
    old_wear: OldWear
    old: Places
    worn_when_old: Array

    @classmethod
    def of(
        cls, kind: Kind, table: KindTable, wear: npt.NDArray[np.bool_], old_wear: OldWear
    ) -> OptionTable:
        """Lay out a kind.

        Parameters
        ----------
        kind : Kind
        table : KindTable
            What the model says of it.
        wear : ndarray of bool, shape (signals,)
            Which signals are about wear; more may follow.
        old_wear : OldWear
            Of the kind, by the shop's terms.
        """
        count = len(kind.signals)
        width = int(table.starts[count])
        signal = table.signal_of[:width]
        weight = table.tell_weight[1]
        share = np.array([one.share for each in kind.signals for one in each.options])
        starts, effect = table.starts[:count], (table.rules + table.sales)[:width]
        worn = np.flatnonzero(wear[signal])
        return cls(
            starts,
            np.array([one.seconds for one in kind.signals]),
            effect,
            table.points[1][:width],
            weight[signal],
            share / np.add.reduceat(share, starts)[signal],
            worn,
            _tell_options(kind, table),
            _asked_after(kind),
            _rules_out(kind),
            old_wear,
            starts[old_wear.place] + old_wear.answers,
            _when_old(effect[worn], old_wear.kept[(np.cumsum(wear) - 1)[signal[worn]]]),
        )


def _when_old(effect: Array, kept: Array) -> Array:
    """Log effect of options of wear on a thing that is wanted for its age."""
    return np.where(effect < 0, effect * kept, effect)


def _tell_options(kind: Kind, table: KindTable) -> TellOptions:
    tells, places = tells_of(kind), list(kind.by_id)
    at = [places.index(one.id) for one in tells.signals]
    counts = [len(score) for score in tells.scores]
    weight = table.tell_weight[1][at]
    none: list[Array] = [np.empty(0)]
    options = [np.arange(table.starts[place], table.starts[place + 1]) for place in at]
    return TellOptions(
        np.concatenate([*none, *options]).astype(np.intp),
        np.cumsum([0, *counts[:-1]], dtype=np.intp)[: len(counts)],
        np.concatenate([*none, *tells.scores]),
        np.repeat(np.sqrt(weight / (1 + weight)), counts),
    )


def _asked_after(kind: Kind) -> tuple[tuple[int, int, list[int]], ...]:
    places = list(kind.by_id)
    return tuple(
        (place, places.index(signal.only_if.signal), codes_that_ask(kind, signal.only_if))
        for place, signal in enumerate(kind.signals)
        if signal.only_if is not None
    )


def _rules_out(kind: Kind) -> tuple[tuple[int, int, list[int]], ...]:
    found = []
    for place, given in enumerate(kind.signals):
        waiting = [
            (at, one.only_if)
            for at, one in enumerate(kind.signals)
            if one.only_if and one.only_if.signal == given.id
        ]
        for code, option in enumerate(given.option_ids):
            out = [at for at, asked in waiting if not asked.met({given.id: option})]
            if out:
                found.append((place, code, out))
    return tuple(found)
