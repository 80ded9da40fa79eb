"""Which columns a rule book deserves: its inputs, and what each group does otherwise.

The inputs, their options and how common those are come from the book; each group (kind) departs
from what the groups share. Further categories that the sales bring (labels, seasons) are added.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from resale.pricing.model.columns.encoding import Column, Encoder, found_levels
from resale.pricing.model.columns.terms import (
    Anchors,
    Array,
    Departure,
    Levels,
    Since,
    Slopes,
    Steps,
    Term,
)
from resale.pricing.model.hyperparameters import Pull
from resale.pricing.model.priors import Opinions, Priors

# What a shop's own labels may do to a price before any sale, and how firmly that is held.
LABEL_DOUBT = 0.25
SEASON_DOUBT = 0.08
# A sale of which no sign was read is all label: there the name also stands for cloth, make and
# condition, and differs in that from kind to kind. Opinions, no source: so much wider (log).
BARE_LABEL_DOUBT, BARE_BY_KIND_DOUBT = 0.6, 0.3
# What a kind brings is then read off the till, and the book's anchor hardly counts (log).
BARE_ANCHOR_DOUBT = 1.0
# Labels times kinds that sold: above, columns of a label in each kind cost more than they teach.
# Without them a plain mean by both soon comes nearer: 23 kinds of 40 labels were left out by 800.
MOST_BY_KIND = 2500
# Opinions, no source: how far a shop of a chain lies from the others (log), and a label in it.
SHOP, LABEL_HERE = "shop", "label in this shop"
SHOP_DOUBT, LABEL_HERE_DOUBT = 0.2, 0.1
EXTRAS = {
    "season": ("seasons", SEASON_DOUBT),
    SHOP: ("shops", SHOP_DOUBT),
    LABEL_HERE: ("labels by shop", LABEL_HERE_DOUBT),
}
# Opinions, no source: how far the level of all prices moves from one quarter to the next.
QUARTER, QUARTER_DOUBT = "quarter", 0.03
MAKE = "make"
FIRM, MILD = 12.0, 6.0


def plan_from_priors(
    priors: Priors, group_column: str, frame: pd.DataFrame, weight: Array, bare: float = 0.0
) -> Encoder:
    """Columns of a rule book, and of any further category that the table brings (labels).

    Parameters
    ----------
    priors : Priors
        What is believed of each input.
    group_column : str
        Name of the column of kinds.
    frame : DataFrame, shape (n, inputs)
        The sales; a missing cell was not looked at.
    weight : ndarray, shape (n,)
        As how many sales each counts.
    bare : float, from 0 to 1
        Share of the sales of which no sign was read.

    Returns
    -------
    Encoder
    """
    groups = tuple(priors.anchor)
    names = tuple(dict.fromkeys(name for _, name in priors.inputs))
    extra = tuple(c for c in frame.columns if c not in names and c != group_column)
    levels = [_book_levels(priors, name) for name in names]
    blocks = [_anchor_block(priors, groups, group_column, bare)]
    for place, name in enumerate(names):
        blocks += _book_blocks(priors, groups, name, place, levels[place])
    for place, name in enumerate(extra, start=len(names)):
        known = found_levels(frame[name])
        levels.append(known)
        if name == QUARTER:
            blocks += _time_block(name, place, len(known))
        elif known and name in EXTRAS:
            family, doubt = EXTRAS[str(name)]
            blocks.append(_named_block(name, place, (len(groups), len(known)), family, doubt))
        elif known:
            blocks += _label_blocks(name, place, (len(groups), len(known)), bare)
    numeric: tuple[str, ...] = ()
    if priors.make:
        numeric = (MAKE,)
        blocks.append(_make_block(priors, groups))
    pulls = {
        "anchors": Pull(1.0, np.inf),
        "rules": Pull(1.0, FIRM),
        "departures": Pull(1.0, FIRM),
        "labels": Pull(1.0, MILD),
        "labels by kind": Pull(1.0, MILD),
        "seasons": Pull(1.0, MILD),
        "shops": Pull(1.0, MILD),
        "labels by shop": Pull(1.0, MILD),
        "time": Pull(1.0, MILD),
        "make": Pull(1.0, np.inf),
    }
    given = names + extra
    return Encoder(group_column, groups, given, tuple(levels), numeric, tuple(blocks), pulls)


def _named_block(
    name: str, place: int, shape: tuple[int, int], family: str, doubt: float
) -> Column:
    """One column for each word (groups, words). Not centred: shrinkage towards zero centres them,
    and an item without a word must stay what the words are measured against.
    """  # noqa: D205
    term = Levels(name, place, np.zeros(shape), family=family)
    return Column(term, np.zeros(term.width), np.full(term.width, doubt))


def _label_blocks(name: str, place: int, shape: tuple[int, int], bare: float) -> list[Column]:
    """What a label does in all kinds, and where sales are bare what it does in each."""
    shared = _named_block(name, place, shape, "labels", _wider(LABEL_DOUBT, bare, BARE_LABEL_DOUBT))
    if not bare or shape[0] < 2 or shape[0] * shape[1] > MOST_BY_KIND:
        return [shared]
    doubt = np.full(shape[1], bare**0.5 * BARE_BY_KIND_DOUBT)
    return [
        shared,
        *(
            Column(Departure(shared.term, g, "labels by kind"), np.zeros(shape[1]), doubt)
            for g in range(shape[0])
        ),
    ]


def _wider(doubt: float, bare: float, more: float) -> float:
    """A doubt with so much more of it where no sign was read; variances add up."""
    return float(np.sqrt(doubt**2 + bare * more**2))


def _time_block(name: str, place: int, periods: int) -> list[Column]:
    """Steps of the level of all prices from one quarter to the next, each expected to be none."""
    if periods < 2:
        return []
    term = Since(name, place, periods)
    return [Column(term, np.zeros(term.width), np.full(term.width, QUARTER_DOUBT))]


def _make_block(priors: Priors, groups: Sequence[str]) -> Column:
    """One slope a group: what a standard deviation of make does to log price."""
    term = Slopes(MAKE, 0, len(groups), family="make")
    slope = np.array([priors.make.get(group, 0.0) for group in groups])
    # A group without tells has make 0 in every item; its slope must only not be certain.
    doubt = np.array([priors.make_doubt.get(group, 0.1) for group in groups])
    return Column(term, slope, doubt)


def _book_levels(priors: Priors, name: str) -> tuple[str, ...]:
    return next(
        tuple(opinions.effect) for (_, owner), opinions in priors.inputs.items() if owner == name
    )


def _anchor_block(priors: Priors, groups: Sequence[str], owner: str, bare: float) -> Column:
    doubts = [priors.anchor_doubt[group] for group in groups]
    return Column(
        Anchors(owner, len(groups)),
        np.array([0.0, *(priors.anchor[group] for group in groups)]),
        np.array([priors.level_doubt, *(_wider(d, bare, BARE_ANCHOR_DOUBT) for d in doubts)]),
    )


def _book_blocks(
    priors: Priors, groups: Sequence[str], name: str, place: int, levels: Sequence[str]
) -> list[Column]:
    """Build the shared block of one input, and a departure for each of several groups."""
    using = {
        g: priors.inputs[group, name]
        for g, group in enumerate(groups)
        if (group, name) in priors.inputs
    }
    ladder = name in priors.order
    effect, doubt, centre = _stacked(using, levels, len(groups), ladder=ladder)
    term: Term = (Steps if ladder else Levels)(name, place, centre, family="rules")
    rows = list(using)
    shared = Column(term, effect[rows].mean(axis=0), doubt[rows].mean(axis=0))
    if len(using) == 1 and name not in priors.pooled:
        return [shared]
    departures = [
        Column(Departure(term, g), effect[g] - shared.prior, doubt[g] * priors.departure)
        for g in using
    ]
    return [shared, *departures]


def _stacked(
    using: Mapping[int, Opinions], levels: Sequence[str], groups: int, *, ladder: bool
) -> tuple[Array, Array, Array]:
    """Effects, doubts and shares by group, as levels or as the steps between them."""
    effect, doubt, share = (np.zeros((groups, len(levels))) for _ in range(3))
    for group, opinions in using.items():
        effect[group] = [opinions.effect[level] for level in levels]
        doubt[group] = [opinions.doubt[level] for level in levels]
        share[group] = [opinions.share[level] for level in levels]
    if not ladder:
        return effect, doubt, share
    above = np.cumsum(share[:, ::-1], axis=1)[:, ::-1]
    return np.diff(effect, axis=1), doubt[:, 1:], above[:, 1:]
