"""What misreading each sign costs this shop when one person reads it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from functools import cache

from resale.garments.rulebook.rule_book import Kind
from resale.safety.holds import answers_that_raise
from resale.services.shop import Shop
from resale.services.standing.unpriced import unpriced
from resale.services.training.set_right import readings_for, signs_read
from resale.storage.items.store import kind_counts
from resale.storage.people.drill_store import answers_of
from resale.storage.people.people import Person
from resale.training.stake.misread import Misread, misread_by_sign
from resale.training.stake.moves import Moves, moves_of
from resale.training.stake.stakes import Stake, stakes_of

A_HOLD_SAID = 0.05
"""Things let past a hold in a hundred from which that is what is said of a sign."""

_MOVES = "what misreading moves"


def stakes_for(
    shop: Shop, person: Person | None, now: datetime, kinds: tuple[str, ...] = ()
) -> dict[str, Stake]:
    """Work out what is at stake on each sign for one person, the dearest first.

    Parameters
    ----------
    shop : Shop
    person : Person or None
        None for somebody of whom nothing is known.
    now : datetime
    kinds : tuple of str, optional
        Only these; all that the shop meets where empty.

    Returns
    -------
    dict of sign to Stake
    """
    met = kinds_met(shop)
    if kinds:
        met = {kind: met.get(kind) or 1.0 for kind in kinds if kind in shop.book.kinds}
    known = {}
    if person is not None:
        read, answers = signs_read(shop, now), answers_of(shop.records, person.id)
        known = dict(misread_by_sign(readings_for(person.name, read, answers, now)))
    return stakes_of(_moves(shop), met, known)


def kinds_met(shop: Shop) -> dict[str, float]:
    """How many things of each kind the shop has had; what a mixed shop has, where it had none."""
    kinds = shop.book.kinds
    had = {kind: float(n) for kind, n in kind_counts(shop.records).items() if kind in kinds}
    return had or {kind.id: kind.text.of_hundred for kind in kinds.values()}


def because(shop: Shop, stake: Stake, *, of_somebody: bool = True) -> str:
    """Say why a sign is worth practising, in words and in the shop's money.

    Parameters
    ----------
    shop : Shop
    stake : Stake
        Of the person who is told.
    of_somebody : bool
        Whether to say how this person reads it.
    """
    name = shop.book.kinds[stake.kind].by_id[stake.sign].name
    asked = f"{name} is asked on {_of_hundred(stake.met)} here"
    said = f"{asked}; {_how_read(stake.known)}." if of_somebody else f"{asked}."
    return f"{said} {_cost(shop, stake)}"


def _how_read(known: Misread) -> str:
    if known.own_of:
        return (
            f"on real things you read it otherwise than a lead {known.own_wrong} of "
            f"{known.own_of} times"
        )
    if known.drill_of:
        return f"in the Drill you missed it {known.drill_wrong} of {known.drill_of} times"
    return "nothing is known yet of how you read it"


def _cost(shop: Shop, stake: Stake) -> str:
    if stake.holds >= A_HOLD_SAID:
        return "A mistake can let a thing past that should wait for a lead."
    if unpriced(shop.valuer, shop.settings, stake.kind):
        return "A mistake puts the price and the tier wrong."
    unit = 10**shop.money.decimals
    each, all_of = (shop.money.show(round(one * unit)) for one in (stake.each, stake.money))
    return f"A mistake moves the price by about {each}: some {all_of} in a hundred things."


def _of_hundred(met: float) -> str:
    return "every thing" if met >= 99.5 else f"about {max(round(met), 1)} of 100 things"


def _moves(shop: Shop) -> Mapping[str, Mapping[str, Moves]]:
    if _MOVES not in shop.memory:
        shop.memory[_MOVES] = {
            kind.id: moves_of(shop.valuer, kind, _holding(kind))
            for kind in shop.book.kinds.values()
        }
    found: Mapping[str, Mapping[str, Moves]] = shop.memory[_MOVES]
    return found


def _holding(kind: Kind) -> dict[str, frozenset[str]]:
    return {
        one.id: frozenset(option for option in one.option_ids if _raises(one.id, option))
        for one in kind.signals
    }


@cache
def _raises(sign: str, option: str) -> bool:
    """Whether an answer holds an item: asked once, as most signs are those of many kinds."""
    return bool(answers_that_raise({sign: option}))
