"""What each sign that was looked at did to the price, in the order of the hand.

Factors are rounded to four decimals, as they are shown, and money is in minor units: anchor times
all factors is the estimate, and anchor plus all money is, too.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

import numpy as np

from resale.garments.dating.collectable import AGE_SIGN
from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.signals import Signal
from resale.pricing.valuation.read_off import FACTOR_DECIMALS
from resale.pricing.valuation.valuation import Contribution
from resale.pricing.valuation.valuations import Valuations
from resale.pricing.valuation.valuer import Valuer

NAMES = ("Label", "Season")
REASONS = (
    "What this maker's things brought in this shop.",
    "What such things brought in these months here.",
)
FOR_ITS_AGE, WHY_FOR_ITS_AGE = (
    "Wear, for its age",
    "Who buys a thing for its age expects some wear, so part of what it takes off is given back.",
)
SINCE, WHY_SINCE = (
    "Prices since a year ago",
    "What all things together brought more or less by now.",
)


def shown_contributions(
    valuer: Valuer, readings: Readings, now: Valuations, kind: Kind
) -> tuple[int, tuple[Contribution, ...]]:
    """Say what the kind's own level, the signs looked at, age, label, season and drift did.

    Parameters
    ----------
    valuer : Valuer
    readings : Readings
        A batch of one.
    now : Valuations
        What `valuer` says of it.
    kind : Kind
        Of that item.

    Returns
    -------
    int
        Money of the level of the kind, in minor units.
    tuple of Contribution
        The signs in the order of the hand, what age gives back of the wear beside its sign, then
        label, season and the drift of all prices.
    """
    level = now.in_minor_units[0]
    drift = valuer.model.drift
    kind_level, since = _level_in_two(int(level[0]), float(now.level[0]), drift)
    rows = [*_of_signals(valuer, readings, now, kind), *_of_words(valuer, readings, now)]
    if drift:
        rows.append(
            Contribution(
                signal="",
                name=SINCE,
                option="",
                reason=WHY_SINCE,
                rule_factor=1.0,
                sales_factor=factor_of(drift),
                rule_money=0,
                sales_money=since,
            )
        )
    return kind_level, tuple(rows)


def factor_of(log: float) -> float:
    """Factor of a log effect, to the decimals that are shown."""
    return round(float(np.exp(log)), FACTOR_DECIMALS)


def speaks_of(signal: Signal) -> str:
    """What several signs may speak of together: make or wear; empty for a worth of its own."""
    if signal.counts == "tell":
        return "make"
    return "wear" if signal.about == "wear" else ""


def _of_signals(
    valuer: Valuer, readings: Readings, now: Valuations, kind: Kind
) -> list[Contribution]:
    """Signals of the kind that were looked at."""
    table, columns = valuer.model.tables[kind.id], valuer.columns[kind.id][: len(kind.signals)]
    codes = readings.codes[0, columns].tolist()
    seen = [at for at, code in enumerate(codes) if code != NOT_LOOKED_AT]
    speaking = Counter(speaks_of(kind.signals[at]) for at in seen)
    rows = []
    for at in seen:
        signal, option = kind.signals[at], kind.signals[at].options[codes[at]]
        shares, of = _shares(now, columns[at]), speaks_of(signal)
        if of:
            picked = table.starts[at] + codes[at]
            alone = float(table.alone[0][picked] + table.alone[1][picked])
            shares |= {"speaks_of": of, "beside": speaking[of] - 1, **_alone(shares, alone)}
        said = {"name": signal.name, "option": option.name, "reason": option.reason}
        rows.append(Contribution(signal=signal.id, **said, **shares))
        if signal.id == AGE_SIGN and now.rules[0, -1] + now.sales[0, -1]:
            told = {"name": FOR_ITS_AGE, "option": "", "reason": WHY_FOR_ITS_AGE}
            rows.append(Contribution(signal="", **told, **_shares(now, -1)))
    return rows


def _of_words(valuer: Valuer, readings: Readings, now: Valuations) -> list[Contribution]:
    """Label and season, where the sales know them."""
    first = len(valuer.book.signal_ids)
    words = (readings.labels, readings.seasons)
    return [
        Contribution(
            signal="", name=name, option=said[0], reason=reason, **_shares(now, first + column)
        )
        for column, (name, said, reason) in enumerate(zip(NAMES, words, REASONS, strict=True))
        if said and said[0] in valuer.model.extras[column]
    ]


def _shares(now: Valuations, column: int) -> dict[str, Any]:
    """Both parts of what one column did, as factors and in minor units."""
    _, rules, sales = now.in_minor_units
    return {
        "rule_factor": factor_of(now.rules[0, column]),
        "sales_factor": factor_of(now.sales[0, column]),
        "rule_money": int(rules[0, column]),
        "sales_money": int(sales[0, column]),
    }


def _alone(shares: dict[str, Any], alone: float) -> dict[str, Any]:
    """What the sign would say alone (log), in money at the price that the item has."""
    log = float(np.log(shares["rule_factor"] * shares["sales_factor"]))
    money = shares["rule_money"] + shares["sales_money"]
    at_this_price = round(money * alone / log) if abs(log) > 1e-4 else money
    return {"alone_factor": factor_of(alone), "alone_money": at_this_price}


def _level_in_two(money: int, level: float, drift: float) -> tuple[int, int]:
    """Minor units of the kind's own level, and of what all prices did since a year ago."""
    since = round(money * drift / level) if drift and level else 0
    return money - since, since
