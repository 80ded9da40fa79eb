"""Why an item is valued as it is, in a form that a screen, a ticket or a file can show."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import Kind
from resale.pricing.valuation.shown_contributions import factor_of, shown_contributions
from resale.pricing.valuation.tiers import ROUTES
from resale.pricing.valuation.valuation import Contribution, GateMet, TierChance, Valuation
from resale.pricing.valuation.valuations import Valuations
from resale.pricing.valuation.valuer import Valuer

# To so many decimals are chances and standard deviations kept.
DECIMALS = 4


def explain(valuer: Valuer, readings: Readings, valuations: Valuations | None = None) -> Valuation:
    """Explain the price of one item, in the words of the shop whose terms the valuer follows.

    Parameters
    ----------
    valuer : Valuer
    readings : Readings
        A batch of one.
    valuations : Valuations, optional
        What the valuer says of it; valued here where omitted.

    Returns
    -------
    Valuation
    """
    now = valuer.value(readings) if valuations is None else valuations
    kind = tuple(valuer.book.kinds.values())[readings.kinds[0]]
    level_money, contributions = shown_contributions(valuer, readings, now, kind)
    return Valuation(
        currency=valuer.terms.currency,
        decimals=now.decimals,
        kind=kind.id,
        kind_name=kind.text.name,
        kind_plural=kind.text.plural,
        label=readings.labels[0],
        level_factor=factor_of(now.level[0] - valuer.model.drift),
        level_money=level_money,
        contributions=contributions,
        coverage=valuer.terms.coverage,
        standing=float(np.exp(now.standing[0])),
        route=ROUTES[now.route[0]],
        gates=gates_met(kind, readings.choices(valuer.book, 0)),
        below_least_ticket=bool(now.route[0] > now.gate_route[0]),
        looked=int(now.looked[0]),
        **_amounts(valuer, now),
        **_tier(valuer, now),
        **_support(valuer, int(readings.kinds[0])),
        **_make(kind, contributions, now),
    )


def _amounts(valuer: Valuer, now: Valuations) -> dict[str, Any]:
    """All amounts in minor units; a band without an end stays endless as -1."""
    amounts = {
        "anchor": now.anchor[0],
        "estimate": now.estimate[0],
        "low": now.low[0],
        "high": now.high[0],
        "mean": now.mean[0],
        "ticket": now.ticket[0],
        "least_ticket": valuer.terms.least_ticket,
    }
    unit = 10**now.decimals
    return {
        name: round(amount * unit) if np.isfinite(amount) else -1
        for name, amount in amounts.items()
    }


def _tier(valuer: Valuer, now: Valuations) -> dict[str, Any]:
    """The tier by the name that the shop gives it, with the chance of each."""
    tiers, names = valuer.book.book.tiers, valuer.terms.tier_names
    place = int(now.tier[0])
    chances = zip(tiers, now.chances[0].tolist(), strict=True)
    return {
        "tier": tiers[place].id,
        "tier_name": names.get(tiers[place].id, tiers[place].name),
        "tier_meaning": tiers[place].meaning,
        "tier_place": place,
        "chances": tuple(
            TierChance(id=one.id, name=names.get(one.id, one.name), chance=round(chance, DECIMALS))
            for one, chance in chances
        ),
    }


def _support(valuer: Valuer, place: int) -> dict[str, Any]:
    """What the band rests on."""
    scores = valuer.model.scores
    return {
        "sold": scores.counts.get(place, 0),
        "own_band": scores.rests_on_group(place),
        "all_sold": int(valuer.model.sales),
    }


def _make(kind: Kind, rows: tuple[Contribution, ...], now: Valuations) -> dict[str, Any]:
    """How well the whole thing is made, as far as its tells say."""
    tells = [one for one in rows if one.speaks_of == "make"]
    every = sum(signal.counts == "tell" for signal in kind.signals)
    return {
        "make": round(float(now.make[0]), DECIMALS),
        "make_doubt": round(float(now.precision[0] ** -0.5), DECIMALS),
        "make_looked": len(tells),
        "make_tells": every if kind.text.make else 0,
        "make_factor": round(float(np.prod([one.factor for one in tells])), DECIMALS),
    }


def gates_met(kind: Kind, choices: Mapping[str, str]) -> tuple[GateMet, ...]:
    """Give the gates of the options that were chosen.

    Parameters
    ----------
    kind : Kind
    choices : mapping of signal id to option id
        As the kind has them.
    """
    met = []
    for signal_id, option_id in choices.items():
        signal = kind.by_id[signal_id]
        option = signal.option(option_id)
        if option.gate:
            met.append(
                GateMet(
                    signal=signal.id,
                    name=signal.name,
                    option=option.name,
                    reason=option.gate.reason,
                    tier_cap=option.gate.tier_cap,
                    route=option.gate.route,
                    caution=signal.caution,
                )
            )
    return tuple(met)
