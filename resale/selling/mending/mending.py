"""Mend or not: the set of remedies with the highest expected net, by exact enumeration.

Every remedy that fits what was seen may be done or left. A set of them leads to one of several
outcomes, each with its chance; the item is valued in every outcome, in one call. The set is
chosen beforehand: nobody stops half way because the first stitch went wrong.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import prod

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import Kind
from resale.pricing.valuation.valuer import Valuer
from resale.selling.markdown.terms import SellingTerms
from resale.selling.mending.enumerate import Case, Choice, best_choice
from resale.selling.mending.outcomes import (
    MOST_OUTCOMES,
    Few,
    States,
    Worth,
    states_of,
    worths,
)
from resale.selling.mending.plan_words import MINUTES_AN_HOUR, Totals, nothing_pays, route_after
from resale.selling.mending.remedies import Remedies, Remedy, load_remedies


@dataclass(frozen=True)
class Offer:
    """One remedy that fits the item. Money is in the shop's currency.

    Attributes
    ----------
    steps : tuple of (signal id, option now, option when it works)
    chosen : bool
        Whether it belongs to the best set.
    chance : float
        Chance that all it is meant for works.
    gain : float
        Expected rise of the mean price (times the share that counts): of a chosen remedy, what
        the best set would lose without it; of another, what it would bring alone. The chosen
        gains need not sum to the plan's, since each repair is worth more on a better piece.
    cost : float
        Wage and material, or the trade's bill.
    """

    remedy: Remedy
    steps: tuple[tuple[str, str, str], ...]
    chosen: bool
    chance: float
    gain: float
    cost: float

    @property
    def net(self) -> float:
        """Gain less cost."""
        return self.gain - self.cost


@dataclass(frozen=True)
class MendingPlan:
    """What to mend on one item, if anything. Money is in the shop's currency.

    Attributes
    ----------
    offers : tuple of Offer
        Every remedy that fits, the chosen first, then by falling net.
    waiting : tuple of Remedy
        What would fit once a lead has cleared the hold.
    before, after : float
        Mean price as the item is, and expected after the chosen remedies; the pass-on value
        where the item would be passed on.
    gain, wage, material, net : float
        Of the chosen set; gain is after less before, times the share that counts.
    route : str
        'mend_first' where mending pays, and there alone: what a gate would have mended and no
        mending pays for goes out as it is seen.
    read_first : tuple of str
        Remedies that wait for a sign to be read, one sentence each.
    left_out : tuple of Remedy
        Remedies not tried, because the outcomes would have been too many to value.
    """

    offers: tuple[Offer, ...]
    waiting: tuple[Remedy, ...]
    before: float
    after: float
    gain: float
    minutes: float
    wage: float
    material: float
    net: float
    route: str
    text: str
    left_out: tuple[Remedy, ...]
    read_first: tuple[str, ...] = ()

    @property
    def chosen(self) -> tuple[Offer, ...]:
        """The best set; empty where no mending is worth its cost."""
        return tuple(offer for offer in self.offers if offer.chosen)

    @property
    def trades(self) -> tuple[str, ...]:
        """What a trade has to do, one sentence each."""
        lines = [offer.remedy.trade_only for offer in self.chosen]
        return tuple(dict.fromkeys(line for line in lines if line))

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to mind while mending, one sentence each."""
        lines = [offer.remedy.caution for offer in self.chosen]
        return tuple(dict.fromkeys(line for line in lines if line))


def best_mending(
    valuer: Valuer,
    readings: Readings,
    terms: SellingTerms,
    *,
    remedies: Remedies | None = None,
    hold_cleared: bool = False,
    most_outcomes: int = MOST_OUTCOMES,
) -> MendingPlan:
    """Choose the set of remedies with the highest expected net for one item.

    Parameters
    ----------
    readings : Readings
        A batch of one.
    remedies : Remedies, optional
        The shipped ones unless told otherwise.
    hold_cleared : bool
        Whether a lead has cleared the hold, so that what waits for it may be done.
    most_outcomes : int
        Outcomes that are valued at most; beyond, the remedies that bring least alone are left
        out and named.

    Notes
    -----
    Treatments succeed independently of one another. Mean prices are used, since money adds up.
    """
    plans = best_mendings(
        valuer,
        readings,
        terms,
        remedies=remedies,
        hold_cleared=hold_cleared,
        most_outcomes=most_outcomes,
    )
    return plans[0]


def best_mendings(
    valuer: Valuer,
    readings: Readings,
    terms: SellingTerms,
    *,
    remedies: Remedies | None = None,
    hold_cleared: bool = False,
    most_outcomes: int = MOST_OUTCOMES,
    gain_shares: Sequence[float] | None = None,
) -> list[MendingPlan]:
    """Choose for every item of a batch, as `best_mending` does for one.

    Parameters
    ----------
    readings : Readings
        n items: all outcomes of all of them are valued together.
    remedies, hold_cleared, most_outcomes
        As for `best_mending`.
    gain_shares : sequence of n float, optional
        What counts of a gain, item by item; that of the terms where omitted.

    Returns
    -------
    list of n MendingPlan
    """
    known = load_remedies(valuer.book) if remedies is None else remedies
    found = [
        _Open.of(valuer, readings.row(row), terms, known, hold_cleared, most_outcomes)
        for row in range(len(readings))
    ]
    states = [states_of(one.tried) for one in found]
    valued = worths(valuer, readings, terms, states)
    counts = gain_shares if gain_shares is not None else [terms.gain_share] * len(found)
    each = [replace(terms, gain_share=share) for share in counts]
    return [
        one.plan(valuer, own, state, worth)
        for one, own, state, worth in zip(found, each, states, valued, strict=True)
    ]


@dataclass(frozen=True)
class _Open:
    """What could be done to one item, before it is known what it would bring."""

    tried: list[Case]
    waiting: tuple[Remedy, ...]
    left_out: tuple[Remedy, ...]
    read_first: tuple[str, ...]

    @classmethod
    def of(
        cls,
        valuer: Valuer,
        readings: Readings,
        terms: SellingTerms,
        remedies: Remedies,
        hold_cleared: bool,
        most: int,
    ) -> _Open:
        book = valuer.book
        kind = tuple(book.kinds)[readings.kinds[0]]
        chosen = readings.choices(book, 0)
        fitting = [
            Case.of(remedy, treatments, chosen, valuer.terms.wage / MINUTES_AN_HOUR)
            for remedy in remedies
            if (treatments := remedy.treatments_for(kind, chosen))
        ]
        waiting = [case for case in fitting if case.remedy.after_hold and not hold_cleared]
        cases = [case for case in fitting if case not in waiting]
        tried = Few(valuer, readings, terms, most).of(cases)
        return cls(
            tried,
            tuple(case.remedy for case in waiting),
            tuple(case.remedy for case in cases if case not in tried),
            _read_first(remedies, book.kinds[kind], chosen),
        )

    def plan(
        self, valuer: Valuer, terms: SellingTerms, states: States, worth: Worth
    ) -> MendingPlan:
        choice = best_choice(
            self.tried, states, worth.money, terms.gain_share, terms.least_mending_net
        )
        totals = Totals.of(choice, valuer, terms.money)
        return MendingPlan(
            _offers(self.tried, choice),
            self.waiting,
            choice.before,
            choice.after,
            choice.gain,
            totals.minutes,
            totals.wage,
            totals.material,
            choice.net,
            route_after(choice, worth.route),
            totals.text(choice) if choice.chosen else nothing_pays(worth.route, bool(self.tried)),
            self.left_out,
            self.read_first,
        )


def _read_first(remedies: Remedies, kind: Kind, chosen: Mapping[str, str]) -> tuple[str, ...]:
    """Say what has to be read before a remedy that could spoil the thing.

    What asks for a sign that the kind does not have (the fibre of leather) is never for it.
    """
    lines = []
    for remedy in remedies:
        wanted = remedy.asks_first(kind.id, chosen)
        names = [kind.by_id[one].name for one in wanted if one in kind.by_id]
        if names and len(names) == len(wanted):
            lines.append(f"{remedy.name}: read first: {', '.join(names).lower()}.")
    return tuple(dict.fromkeys(lines))


def _offers(cases: Sequence[Case], choice: Choice) -> tuple[Offer, ...]:
    offers = [
        Offer(
            case.remedy,
            tuple((signal, step.now, step.works) for signal, step in case.steps.items()),
            case in choice.chosen,
            prod(step.chance for step in case.steps.values()),
            gain,
            case.cost,
        )
        for case, gain in zip(cases, choice.gains, strict=True)
    ]
    return tuple(sorted(offers, key=lambda offer: (not offer.chosen, -offer.net)))
