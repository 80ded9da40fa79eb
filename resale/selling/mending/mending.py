"""Mend or not: the set of remedies with the highest expected net, by exact enumeration.

Every remedy that fits what was seen may be done or left. A set of them leads to one of several
outcomes, each with its chance; the item is valued in every outcome, in one call. The set is
chosen beforehand: nobody stops half way because the first stitch went wrong.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import prod

import numpy as np

from resale.garments.rulebook.readings import Readings, option_code
from resale.garments.rulebook.rule_book import Kind
from resale.pricing.model.terms import Array
from resale.pricing.valuation.tiers import ROUTES
from resale.pricing.valuation.valuer import Valuer
from resale.selling.markdown.terms import SellingTerms
from resale.selling.mending.enumerate import Case, Choice, best_choice
from resale.selling.mending.remedies import Remedies, Remedy, load_remedies

MOST_OUTCOMES = 4096
MOST_SETS = 2**18
MINUTES_AN_HOUR = 60.0


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
    book = valuer.book
    kind = tuple(book.kinds)[readings.kinds[0]]
    chosen = readings.choices(book, 0)
    all_remedies = load_remedies(book) if remedies is None else remedies
    fitting = [
        Case.of(remedy, treatments, chosen, valuer.terms.wage / MINUTES_AN_HOUR)
        for remedy in all_remedies
        if (treatments := remedy.treatments_for(kind, chosen))
    ]
    waiting = [case for case in fitting if case.remedy.after_hold and not hold_cleared]
    cases = [case for case in fitting if case not in waiting]
    desk = _Desk(valuer, readings, terms)
    tried = desk.within(cases, most_outcomes)
    choice, gate = desk.choose(tried, terms.least_mending_net)
    left_out = tuple(case.remedy for case in cases if case not in tried)
    totals = _Totals.of(choice, valuer)
    return MendingPlan(
        _offers(tried, choice),
        tuple(case.remedy for case in waiting),
        choice.before,
        choice.after,
        choice.gain,
        totals.minutes,
        totals.wage,
        totals.material,
        choice.net,
        _route(choice, gate),
        totals.text(choice) if choice.chosen else _nothing_pays(gate, bool(tried)),
        left_out,
        _read_first(all_remedies, book.kinds[kind], chosen),
    )


def _read_first(remedies: Remedies, kind: Kind, chosen: Mapping[str, str]) -> tuple[str, ...]:
    """Say what has to be read before a remedy that could spoil the thing."""
    lines = []
    for remedy in remedies:
        names = [kind.by_id[one].name for one in remedy.asks_first(kind.id, chosen)]
        if names:
            lines.append(f"{remedy.name}: read first: {', '.join(names).lower()}.")
    return tuple(dict.fromkeys(lines))


@dataclass(frozen=True)
class _Desk:
    """One item, ready to be valued in any state that mending may leave it in."""

    valuer: Valuer
    readings: Readings
    terms: SellingTerms

    def within(self, cases: list[Case], most: int) -> list[Case]:
        """Leave out those that bring least alone until the outcomes are few enough."""
        if _outcomes(cases) <= most and _sets(cases) <= MOST_SETS:
            return cases
        alone = {case.remedy.id: self.choose([case])[0].gains[0] - case.cost for case in cases}
        considered = sorted(cases, key=lambda case: -alone[case.remedy.id])
        while considered and (_outcomes(considered) > most or _sets(considered) > MOST_SETS):
            considered.pop()
        return [case for case in cases if case in considered]

    def choose(self, cases: list[Case], least_net: float = 0.0) -> tuple[Choice, str]:
        """Best set of these, and the route of the item as it is."""
        states = _states(cases)
        worth, route = self._worth(states)
        return best_choice(cases, states, worth, self.terms.gain_share, least_net), route

    def _worth(self, states: dict[str, list[str]]) -> tuple[Array, str]:
        """Worth of the item in each outcome: one axis a signal, its present option first."""
        book = self.valuer.book
        kind = tuple(book.kinds.values())[self.readings.kinds[0]]
        shape = tuple(len(options) for options in states.values())
        codes = np.repeat(self.readings.codes, prod(shape), axis=0)
        place = np.indices(shape).reshape(len(shape), len(codes))
        for axis, (signal, options) in enumerate(states.items()):
            column = book.signal_ids.index(signal)
            known = np.array([option_code(kind, signal, option) for option in options])
            codes[:, column] = known[place[axis]]
        count = len(codes)
        valued = self.valuer.value(
            Readings(np.repeat(self.readings.kinds, count), codes, self.readings.labels * count)
        )
        gone = valued.route == ROUTES.index("pass_on")
        worth = np.where(gone, self.terms.pass_on_value, valued.mean)
        return worth.reshape(shape), ROUTES[valued.route[0]]


def _states(cases: Sequence[Case]) -> dict[str, list[str]]:
    """Options that each signal may end in, the present one first."""
    states: dict[str, list[str]] = {}
    for case in cases:
        for signal, step in case.steps.items():
            options = states.setdefault(signal, [step.now])
            options += [left for left in (step.works, step.fails) if left not in options]
    return states


def _outcomes(cases: Sequence[Case]) -> int:
    return prod(len(options) for options in _states(cases).values())


def _sets(cases: Sequence[Case]) -> int:
    return prod(1 + sum(signal in case.steps for case in cases) for signal in _states(cases))


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


@dataclass(frozen=True)
class _Totals:
    """What the chosen set takes, and how it is said."""

    minutes: float
    wage: float
    material: float
    bills: bool
    decimals: int

    @classmethod
    def of(cls, choice: Choice, valuer: Valuer) -> _Totals:
        remedies = [case.remedy for case in choice.chosen]
        minutes = sum(remedy.minutes for remedy in remedies)
        return cls(
            minutes,
            minutes * valuer.terms.wage / MINUTES_AN_HOUR,
            sum(remedy.material for remedy in remedies),
            any(remedy.trade_only for remedy in remedies),
            valuer.terms.decimals,
        )

    def text(self, choice: Choice) -> str:
        """One line that a reader can redo: gain, less minutes at the wage, less what is bought."""
        bought = (
            f" and {self.material:.{self.decimals}f} of {'bills' if self.bills else 'material'}"
        )
        return (
            f"mend: {choice.gain:+.{self.decimals}f} for {self.minutes:g} minutes"
            f"{bought if self.material else ''}, net {choice.net:+.{self.decimals}f}"
        )


def _route(choice: Choice, gate: str) -> str:
    if gate == "hold":
        return gate
    if choice.chosen:
        return "mend_first"
    return "put_out" if gate == "mend_first" else gate


def _nothing_pays(gate: str, offered: bool) -> str:
    if gate == "mend_first":
        return "no mending pays, so it goes out as it is seen"
    return "no mending pays" if offered else "nothing to mend"
