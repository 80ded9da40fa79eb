"""A whole item read by a trainee, set against the lead's reading and the model's prices.

Both readings are valued by the same model, so that whatever they differ by comes from what was
seen, missed, or seen otherwise; the difference in price is shared out to the signals without
remainder.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from resale.garments.rulebook.readings import kind_called, many_readings
from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.signals import Signal
from resale.pricing.model.columns.terms import Array
from resale.pricing.valuation.lmdi import Minor, money_shares, whole_units
from resale.pricing.valuation.read_off import FACTOR_DECIMALS
from resale.pricing.valuation.tiers import ROUTES
from resale.pricing.valuation.valuations import Valuations
from resale.pricing.valuation.valuer import Valuer
from resale.training.agreement.comparison import Comparison, Difference, Told, Valued, What

# Rows of the one batch: both readings, then the trainee's with one signal mended at a time.
TRAINEE, LEAD, FIRST_MENDED = 0, 1, 2


def compare(
    valuer: Valuer, kind_id: str, trainee: Told, lead: Told, *, label: str = ""
) -> Comparison:
    """Compare a trainee's reading of an item with the lead's.

    Parameters
    ----------
    valuer : Valuer
    kind_id : str
    trainee, lead : Told
    label : str
        The maker's name, as the shop lists it.

    Returns
    -------
    Comparison
        The money of its differences sums to the difference of the two estimates.

    Raises
    ------
    ReadingError
        For a kind, signal or option that the book does not have.
    """
    kind = kind_called(valuer.book, kind_id)
    mended = _mended(kind, trainee, lead)
    choices = [trainee.choices, lead.choices, *mended.values()]
    found = valuer.value(
        many_readings(valuer.book, [kind_id] * len(choices), choices, [label] * len(choices))
    )
    logs = found.rules[:FIRST_MENDED] + found.sales[:FIRST_MENDED]
    place = {signal_id: column for column, signal_id in enumerate(valuer.book.signal_ids)}
    differ = np.array([place[signal_id] for signal_id in mended], dtype=np.intp)
    money = _shared_out(found, _onto(logs[TRAINEE] - logs[LEAD], differ))
    by_row = [_valued(valuer, found, row) for row in range(len(choices))]
    parts = [
        _difference(
            kind.by_id[signal_id],
            (trainee, lead),
            np.exp(logs[:, place[signal_id]]),
            int(money[place[signal_id]]),
            (by_row[TRAINEE], valued),
        )
        for signal_id, valued in zip(mended, by_row[FIRST_MENDED:], strict=True)
    ]
    # What lets through a thing that should be held is worse than any sum of money.
    parts.sort(
        key=lambda one: (not (one.moves_route and one.mended.route == "hold"), -abs(one.money))
    )
    alike = tuple(one for one in kind.signals if one.id in trainee.choices and one.id not in mended)
    return Comparison(trainee, lead, tuple(parts), alike, by_row[TRAINEE], by_row[LEAD])


def _mended(kind: Kind, trainee: Told, lead: Told) -> dict[str, dict[str, str]]:
    """For each signal on which they differ, the trainee's choices with that one as the lead's.

    Names that the kind does not have stay in the two readings, where they are refused.
    """
    mended = {}
    for signal in kind.signals:
        answer, right = trainee.choices.get(signal.id), lead.choices.get(signal.id)
        if answer == right:
            continue
        choices = {key: value for key, value in trainee.choices.items() if key != signal.id}
        mended[signal.id] = choices if right is None else {**choices, signal.id: right}
    return mended


def _onto(logs: Array, differ: npt.NDArray[np.intp]) -> Array:
    """Put what alike signs say less or more on those that differ, for they are the cause.

    A sign of make says less beside more others, and a fault beside a worse one.
    """
    moved = np.zeros_like(logs)
    if len(differ):
        size = np.abs(logs[differ])
        part = size / size.sum() if size.sum() > 0 else np.full(len(differ), 1 / len(differ))
        moved[differ] = logs[differ] + part * (logs.sum() - logs[differ].sum())
    return moved


def _shared_out(found: Valuations, logs: Array) -> Minor:
    """Share the difference of the two estimates out over signals, in whole minor units."""
    unit = 10**found.decimals
    level = found.level[LEAD] + found.standing[LEAD]
    start = np.array([found.anchor[LEAD] * np.exp(level) * unit])
    ends = np.rint(found.estimate[:FIRST_MENDED] * unit)
    total = np.array([ends[TRAINEE] - ends[LEAD]]).astype(np.int64)
    shares = money_shares(start, logs[None, :])
    # The two estimates were rounded, so the exact shares miss their difference by a unit at most.
    size = np.abs(logs)
    weight = size / max(float(size.sum()), 1e-300)
    return np.asarray(whole_units(shares + weight * (total - shares.sum()), total)[0])


def _valued(valuer: Valuer, found: Valuations, row: int) -> Valued:
    unit = 10**found.decimals
    ends = [float(end[row]) for end in (found.estimate, found.low, found.high)]
    estimate, low, high = (round(end * unit) if np.isfinite(end) else -1 for end in ends)
    tiers = valuer.book.book.tiers
    return Valued(estimate, low, high, tiers[found.tier[row]], ROUTES[found.route[row]])


def _difference(
    signal: Signal,
    told: tuple[Told, Told],
    factors: Array,
    money: int,
    valued: tuple[Valued, Valued],
) -> Difference:
    answer, right = (
        signal.option(one.choices[signal.id]).name if signal.id in one.choices else ""
        for one in told
    )
    what: What = "otherwise" if answer and right else "missed" if right else "extra"
    factor, lead_factor = (round(float(one), FACTOR_DECIMALS) for one in factors)
    return Difference(signal, what, answer, right, factor, lead_factor, money, *valued, told[1].who)
