"""How our people are coming on: who practises, what is weak, and what real work says of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import sqrt
from secrets import randbits

from flask import Blueprint, redirect, render_template, request
from flask import url_for as address_of
from flask.typing import ResponseReturnValue

from resale.garments.rulebook.rule_book import RuleBook
from resale.services.training.alone import let_alone, read_together, standings
from resale.services.training.helped import helped, state_order
from resale.storage.items.store import NotSavedError
from resale.storage.people.drill_store import SavedAnswer, answers_of, progress_of
from resale.storage.people.people import Person, people
from resale.training.agreement.by_signal import PairAgreement
from resale.web.access.current_user import here, me
from resale.web.core.shop import Shop, current_shop, shop_now
from resale.web.training.agreement_page import FEWEST, GOOD, Report, report_of
from resale.web.training.alone_words import costs_of, desk_line, kinds_shown, rule_sentence
from resale.web.training.cards import all_drills, signal_name
from resale.web.training.progress import (
    COMING,
    Line,
    ago_words,
    by_signal,
    by_zone,
    due_count,
    met_count,
)

screen = Blueprint("team_progress", __name__, url_prefix="/drill/people")

AT_EACH_END = 30
"""Answers at the start and at the end that are set against each other."""

LATELY = timedelta(days=7)
WEAK_SHOWN = 3
FEWEST_PEOPLE = 2
REMEMBERED = 20
Z = 1.2816
"""Normal quantile of 0.9."""


@dataclass(frozen=True, slots=True)
class Standing:
    """One person as a lead sees them.

    Attributes
    ----------
    last : datetime or None
        Of the last answer.
    right, first_right, last_right : float
        Share of right answers of all, at the start, and now.
    weak : tuple of Line
        Signs failed more often than chance explains, the surest of them first.
    """

    person: Person
    answers: int
    last: datetime | None
    ago: str
    due: int
    right: float
    first_right: float
    last_right: float
    weak: tuple[Line, ...]

    @property
    def story(self) -> str:
        """Say how it goes, in a sentence."""
        if not self.answers:
            return "Has not practised yet."
        if self.answers < 2 * AT_EACH_END:
            return f"{self.right:.0%} right of {self.answers} answers so far."
        return (
            f"{self.first_right:.0%} right of the first {AT_EACH_END} answers, "
            f"{self.last_right:.0%} of the last {AT_EACH_END}."
        )


@screen.get("")
def listed() -> ResponseReturnValue:
    """List who practises and what is weak."""
    shop = current_shop()
    now = shop.now()
    everybody = [_standing(shop, one, now) for one in people(shop.records)]
    at_desk = {name: desk_line(one) for name, one in standings(shop).items()}
    shown = [one for one in everybody if one.answers or one.person.role == "sorter"]
    return render_template(
        "training/people.html", first=_first_sentences(shown, now), shown=shown, at_desk=at_desk
    )


@screen.get("/<int:person>")
def one(person: int) -> ResponseReturnValue:
    """Show one person's progress, and what their second looks say."""
    shop = current_shop()
    return _person_page(shop, _numbered(shop, person), own=False)


@screen.get("/me")
def own() -> ResponseReturnValue:
    """Show whoever asks the same page of their own."""
    return _person_page(current_shop(), here(), own=True)


@screen.post("/<int:person>/alone/<kind>")
def alone(person: int, kind: str) -> ResponseReturnValue:
    """Let somebody work alone with a kind, where the rule lets a lead say so."""
    shop = current_shop()
    let_alone(shop, me(), _numbered(shop, person), kind, shop.now())
    return redirect(address_of("team_progress.one", person=person) + "#alone", 303)


@screen.post("/<int:person>/together/<kind>")
def together(person: int, kind: str) -> ResponseReturnValue:
    """Go back to reading together; a lead may always say so."""
    shop = current_shop()
    who, why = _numbered(shop, person), request.form.get("why", "")
    read_together(shop, me(), who, kind, why, shop.now())
    return redirect(address_of("team_progress.one", person=person) + "#alone", 303)


@screen.post("/<int:person>/order")
def order(person: int) -> ResponseReturnValue:
    """Draw and write down in which order somebody's signs begin to be drilled."""
    shop, now = shop_now()
    drills = {sign for drill in all_drills(shop.book) for sign in drill.signal_ids}
    state_order(shop, me(), _numbered(shop, person), drills, randbits(31), now)
    return redirect(address_of("team_progress.one", person=person) + "#helped", 303)


def _numbered(shop: Shop, person: int) -> Person:
    found = next((each for each in people(shop.records) if each.id == person), None)
    if found is None:
        raise NotSavedError("nobody of this number works here", remedy="pick a name of the list")
    return found


def _person_page(shop: Shop, found: Person, *, own: bool) -> str:
    now, progress = shop.now(), progress_of(shop.records, found.id)
    at_desk = standings(shop).get(found.name)
    return render_template(
        "training/person.html",
        own=own,
        desk=at_desk,
        kinds=kinds_shown(at_desk) if at_desk else (),
        costs=costs_of(at_desk) if at_desk else None,
        rule=rule_sentence(at_desk.rule) if at_desk else "",
        helped=helped(shop, found) if at_desk else None,
        looked_back=shop.settings.looked_back,
        names={one.id: one.name for kind in shop.book.kinds.values() for one in kind.signals},
        standing=_standing(shop, found, now),
        zones=by_zone(shop.book, progress, now),
        signals=by_signal(shop.book, answers_of(shop.records, found.id)),
        met=met_count(progress),
        real=on_real_items(report_of(shop), found.name),
    )


def _standing(shop: Shop, person: Person, now: datetime) -> Standing:
    answers = answers_of(shop.records, person.id)
    progress = progress_of(shop.records, person.id)
    last = answers[-1].made_at if answers else None
    return Standing(
        person,
        len(answers),
        last,
        ago_words(now - last) if last else "",
        due_count(progress, now),
        _share_right(answers),
        _share_right(answers[:AT_EACH_END]),
        _share_right(answers[-AT_EACH_END:]),
        tuple(weak_signs(shop.book, answers)[:WEAK_SHOWN]),
    )


def weak_signs(book: RuleBook, answers: Sequence[SavedAnswer]) -> list[Line]:
    """Signs on which somebody is below 'coming' beyond chance, the surest case first.

    Parameters
    ----------
    book : RuleBook
        For the names of signs.
    answers : sequence of SavedAnswer
        Of one person, the oldest first.

    Notes
    -----
    Over the last `REMEMBERED` answers of each sign. What counts is the upper end of Wilson's
    interval (Wilson 1927, Journal of the American Statistical Association 22, 209; one side,
    90 %), so that a slip or two makes nobody weak.
    """
    by_sign: dict[str, list[bool]] = defaultdict(list)
    for one in answers:
        for sign in one.signal_ids:
            by_sign[sign].append(one.right)
    found = []
    for sign, every in by_sign.items():
        last = every[-REMEMBERED:]
        best = upper_share(sum(last), len(last))
        if best < COMING:
            share = round(100 * sum(last) / len(last), 1)
            name = signal_name(book, sign)
            found.append((best, name, Line(sign, name, share, share, len(last), len(last))))
    return [line for *_, line in sorted(found, key=lambda row: row[:2])]


def upper_share(right: int, of: int) -> float:
    """Upper end of Wilson's interval for a share.

    Parameters
    ----------
    right : int
        Right answers.
    of : int
        All answers, at least one.

    Returns
    -------
    float
        Between 0 and 1; one side, 90 %.

    Examples
    --------
    >>> round(upper_share(1, 3), 2), round(upper_share(5, 15), 2)
    (0.68, 0.5)
    """
    share, z2 = right / of, Z * Z
    middle = share + z2 / (2 * of)
    reach = Z * sqrt(share * (1 - share) / of + z2 / (4 * of * of))
    return (middle + reach) / (1 + z2 / of)


def _share_right(answers: Sequence[SavedAnswer]) -> float:
    return sum(one.right for one in answers) / len(answers) if answers else float("nan")


def _first_sentences(shown: Sequence[Standing], now: datetime) -> list[str]:
    """Say who practised lately, and what several people find hard."""
    if not any(one.answers for one in shown):
        return ["Nobody has practised yet."]
    lately = [one for one in shown if one.last and now - one.last <= LATELY]
    sentences = [f"{len(lately)} of {len(shown)} practised in the last {LATELY.days} days."]
    names: dict[str, list[str]] = defaultdict(list)
    for one in shown:
        for line in one.weak:
            names[line.name].append(one.person.name)
    shared = [
        f"{sign} is hard for {' and '.join(who)}"
        for sign, who in names.items()
        if len(who) >= FEWEST_PEOPLE
    ]
    return sentences + [f"{one}." for one in shared[:2]]


def _is_weak(pair: PairAgreement) -> bool:
    """Whether two agree less than well, beyond chance: the upper end of the interval says so."""
    return pair.kappa.can_be_said and pair.kappa.items >= FEWEST and pair.kappa.high < GOOD


def on_real_items(report: Report, name: str) -> list[str]:
    """Say what second looks at real items tell of one person.

    Parameters
    ----------
    report : Report
        What second looks found, of everybody.
    name : str
        Of the person.
    """
    sentences = [
        f"{line.name}: {pair.bias.sentence(pair.first, pair.second)}"
        for line in report.lines
        for pair in line.steady
        if pair.first == name and pair.bias
    ]
    told = {sentence.partition(":")[0] for sentence in sentences}
    sentences += [
        f"{line.name}: the same answer as {pair.second} on {pair.same:.0%} of {pair.kappa.items} "
        f"items; agreement beyond chance is {pair.kappa.strength}."
        for line in report.lines
        for pair in line.agreement.pairs
        if pair.first == name and pair.second in report.leads and _is_weak(pair)
        if line.name not in told
    ]
    return sentences + [
        f"Same as {report.lead} on {one.right:.0%} of signs over {one.items} items. "
        f"{one.haste.sentence}"
        for one in report.sorters
        if one.name == name
    ]
