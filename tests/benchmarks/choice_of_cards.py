"""What ten sessions leave misread: cards chosen by stake against cards chosen by the schedule.

`python tests/benchmarks/choice_of_cards.py` writes the table of choice_of_cards.md.

Trainees are simulated, and nothing of them comes from the scheduler that the Drill uses. How far
somebody misreads a sign falls by a constant share with each card of it (exponential learning:
Heathcote, Brown and Mewhort 2000, Psychonomic Bulletin & Review 7, 185) and drifts back between
days by a power of time (Wixted and Ebbesen 1991, Psychological Science 2, 409), the less the
oftener it was practised. Rates are this file's own and stated below. Each trainee has mix-ups of
her own,
drawn at random: which signs she misreads, how far, and which two answers she takes for each other.
What the Drill knows of her are her answers and a few things a day that a lead read too.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from random import Random

import numpy as np

from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer
from resale.safety.holds import answers_that_raise
from resale.training.drawings.families import FAMILIES
from resale.training.practice.by_stake import CARDS, choose_by_stake
from resale.training.practice.cards import card_drills, make_card
from resale.training.practice.contrasts import Given, after_answer, with_contrasts
from resale.training.practice.drawn_drills import drawn_drills, is_drawn
from resale.training.practice.schedule import Progress
from resale.training.practice.session import Planned, choose_session
from resale.training.stake.misread import Reading, misread_by_sign
from resale.training.stake.moves import Moves, moves_of
from resale.training.stake.stakes import Stake, stakes_of

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
sys.path.insert(0, str(Path(__file__).parents[2] / "demo_data"))
from demo_shop import shop_book
from drill_answers import PRACTISED

START = datetime(2026, 3, 2, 9, tzinfo=UTC)
KINDS = {"shirt": 60.0, "trousers": 48.0, "jacket": 32.0, "shoes": 32.0, "bag": 28.0}
SESSIONS, RUNS = 10, 10
LEARNS, WORDS_TEACH, SLIPS = 0.22, 0.3, 0.03
"""What one picture takes off a misreading; what a card in words does of that; slips of a hand."""

FORGETS = 0.3
"""Power of time by which a sign practised once drifts back; divided by the times practised."""

OWN_PAIR = 0.7
"""Share of her misreadings of a sign that are her own mix-up."""

READ_TWICE = 3
"""Things a day that a lead reads too."""


@dataclass
class Trainee:
    """Somebody with mix-ups of her own.

    Attributes
    ----------
    far, first : dict of sign to float
        How far she misreads it now, and at first: 0 reads as the lead does, 1 guesses.
    pairs : dict of sign to (true, read)
        Her own mix-up.
    practised : dict of sign to float
        How often.
    """

    random: Random
    far: dict[str, float]
    pairs: dict[str, tuple[str, str]]
    first: dict[str, float] = field(default_factory=dict)
    practised: dict[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.first = dict(self.far)

    def answers(self, planned: Planned, truth: str, offered: Sequence[str]) -> str:
        """What she says to a card."""
        signs = planned.drill.signal_ids
        far = max((self.far.get(sign, 0.0) for sign in signs), default=0.0)
        if self.random.random() >= far * (1 - 1 / max(len(offered), 2)) + SLIPS:
            return truth
        wrong = [one for one in offered if one != truth] or ["another"]
        own = {one for sign in signs for one in self.pairs.get(sign, ()) if one in wrong}
        return self.random.choice(sorted(own) or wrong)

    def learns(self, signs: Sequence[str], much: float) -> None:
        """What the truth of a card teaches."""
        for sign in signs:
            if sign in self.far:
                self.far[sign] *= 1 - LEARNS * much
                self.practised[sign] = self.practised.get(sign, 0.0) + much

    def forgets(self, days: float) -> None:
        """Drift back towards what she was."""
        for sign, times in self.practised.items():
            kept = (1 + days) ** (-FORGETS / (1 + times))
            self.far[sign] = self.first[sign] - (self.first[sign] - self.far[sign]) * kept


@cache
def book() -> RuleBook:
    return shop_book()


@cache
def moves() -> Mapping[str, Mapping[str, Moves]]:
    """What misreading moves, by the rules of the book alone."""
    valuer = Valuer(book(), rules_alone(book()), ShopTerms())
    return {
        kind.id: moves_of(
            valuer,
            kind,
            {
                one.id: frozenset(o for o in one.option_ids if answers_that_raise({one.id: o}))
                for one in kind.signals
            },
        )
        for kind in book().kinds.values()
    }


CONFUSED, DIFFUSE = 24, 10**6
"""Signs that a trainee misreads badly, of some 150; or every sign, more or less."""


def trainee(seed: int, confused: int = CONFUSED) -> Trainee:
    """Draw a trainee who mixes up so many signs and reads the rest nearly as the lead does.

    Where she misreads all of them, a third are misread badly, a third somewhat, a third hardly.
    """
    random = Random(f"trainee/{seed}")  # noqa: S311
    signs = book().signal_ids
    hers = set(random.sample(signs, min(confused, len(signs))))
    bad = (0.8,) if confused < len(signs) else (0.75, 0.4, 0.1)
    far, pairs = {}, {}
    for sign in signs:
        far[sign] = random.choice(bad) * random.uniform(0.8, 1.2) if sign in hers else 0.06
        options = next(k.by_id[sign].option_ids for k in book().kinds.values() if sign in k.by_id)
        at = random.randrange(len(options) - 1)
        pairs[sign] = (options[at], options[at + 1])
    return Trainee(random, far, pairs)


def mean_cost(one: Trainee, sign: str, move: Moves, cost: np.ndarray) -> float:
    """What one misreading of a sign costs, her own mix-up more often than the others."""
    mean = float((move.mistaken * cost).sum())
    true, read = one.pairs[sign]
    if true not in move.options or read not in move.options:
        return mean
    a, b = move.options.index(true), move.options.index(read)
    return OWN_PAIR * float(cost[a, b]) + (1 - OWN_PAIR) * mean


def misread(one: Trainee, *, weighed: bool = False) -> float:
    """Money that a hundred things are misread by; weighed, with what holds are counted as."""
    total = 0.0
    things = sum(KINDS.values())
    for kind, count in KINDS.items():
        for sign, move in moves()[kind].items():
            times = 100 * count / things * move.met * move.variety * one.far[sign]
            cost = move.money + (10 * move.price * move.holds if weighed else 0)
            mean = mean_cost(one, sign, move, cost)
            total += times * mean
    return total


def read_twice(one: Trainee, days: float, random: Random) -> list[Reading]:
    """A few things of a day, as she read them and as the lead did."""
    found = []
    for _ in range(READ_TWICE):
        kind = random.choices(list(KINDS), list(KINDS.values()))[0]
        for signal in book().kinds[kind].signals:
            if random.random() > 0.6 * moves()[kind][signal.id].met:
                continue
            options = signal.option_ids
            true = random.choices(options, [o.share for o in signal.options])[0]
            variety = moves()[kind][signal.id].variety
            if random.random() >= one.far[signal.id] * variety:
                found.append(Reading(signal.id, true, true, days=days))
                continue
            pair = one.pairs[signal.id]
            if random.random() < OWN_PAIR and set(pair) <= set(options):
                found.append(Reading(signal.id, pair[1], pair[0], days=days))
            else:
                wrong = random.choice([o for o in options if o != true])
                found.append(Reading(signal.id, wrong, true, days=days))
    return found


Choose = Callable[[Progress, datetime, Random, Mapping[str, Stake]], tuple[Planned, ...]]


def by_stake(
    progress: Progress, now: datetime, random: Random, stakes: Mapping[str, Stake]
) -> tuple[Planned, ...]:
    """As it is chosen now: so many cards as fill three minutes."""
    drills = (*drawn_drills(), *card_drills(book()))
    return choose_by_stake(drills, progress, now, random, stakes)


def by_schedule(*, new_drawings: bool) -> Choose:
    """As it was chosen before: three minutes, and two of the signs that are misread often."""

    def choose(
        progress: Progress, now: datetime, random: Random, stakes: Mapping[str, Stake]
    ) -> tuple[Planned, ...]:
        drawn = [d for d in drawn_drills() if new_drawings or d.family in PRACTISED]
        rates = {
            sign: one.known.own_wrong / one.known.own_of
            for sign, one in stakes.items()
            if one.known.own_of >= 5
        }
        often = sorted(sign for sign, rate in rates.items() if rate >= 0.12)
        weak = {sign: rates[sign] for sign in random.sample(often, min(2, len(often)))}
        weak = weak if len(progress.drills) >= 9 else {}
        drills = (*drawn, *card_drills(book()))
        return choose_session(drills, progress, now, random, weak=weak)[:12]

    return choose


def card_of(planned: Planned) -> tuple[str, tuple[str, ...], tuple[str, ...]]:
    """Truth, answers that are offered, and signs that this very exercise trains."""
    drill = planned.drill
    if is_drawn(drill):
        made = FAMILIES[drill.family].look(drill.level, planned.seed)
        return str(made.truth), tuple(one.id for one in made.answers), made.signal_ids
    card = make_card(book(), drill.family, drill.level, planned.seed, about=drill.about)
    return card.truth, tuple(one.id for one in card.answers), card.signal_ids


def played(
    seed: int, choose: Choose, *, confused: int = CONFUSED, words_teach: float = WORDS_TEACH
) -> Trainee:
    """Let one trainee do her sessions, one each working day."""
    one, random = trainee(seed, confused), Random(f"days/{seed}")  # noqa: S311
    progress, answers, bench = Progress(), [], []
    for number in range(SESSIONS):
        day = number + 2 * (number // 5)
        now = START + timedelta(days=day)
        bench += [(day, each) for each in read_twice(one, 0.0, random)]
        known = [Reading(r.sign, r.read, r.true, days=day - then) for then, r in bench]
        known += [Reading(s, a, t, days=day - then, drilled=True) for then, s, a, t in answers]
        stakes = stakes_of(moves(), KINDS, misread_by_sign(known))
        plan = choose(progress, now, random, stakes)
        given: list[Given] = []
        for place in range(1, len(plan) + 1):
            planned = (with_contrasts(plan, given) if choose is by_stake else plan)[place - 1]
            truth, offered, signs = card_of(planned)
            said = one.answers(planned, truth, offered)
            given.append(Given(place, said, truth, said == truth))
            progress = (
                after_answer(progress, planned, given[-1], 12.0, now)
                if choose is by_stake
                else progress.answered(planned.drill, said == truth, 12.0, now)
            )
            answers += [(day, sign, said, truth) for sign in signs]
            one.learns(signs, 1.0 if is_drawn(planned.drill) else words_teach)
        one.forgets(3.0 if number % 5 == 4 else 1.0)
    return one


def left(choose: Choose, runs: int, **how: float) -> np.ndarray:
    """Money that a hundred things are misread by after ten sessions, by trainee."""
    return np.array([misread(played(seed, choose, **how)) for seed in range(runs)])  # type: ignore[arg-type]


def costs(one: Trainee) -> dict[str, float]:
    """Money that each sign would move in a hundred things if it were misread all the time."""
    found: dict[str, float] = {}
    for kind, count in KINDS.items():
        for sign, move in moves()[kind].items():
            times = 100 * count / sum(KINDS.values()) * move.met * move.variety
            found[sign] = found.get(sign, 0.0) + times * mean_cost(one, sign, move, move.money)
    return found


def bound(seed: int, *, confused: int = CONFUSED, words_teach: float = WORDS_TEACH) -> Trainee:
    """Let somebody choose who sees how far each sign is misread: always the dearest of all.

    Every sign has a picture here, also those that have none in the Drill.
    """
    one = trainee(seed, confused)
    dear = costs(one)
    for number in range(SESSIONS):
        for _ in range(CARDS):
            one.learns([max(dear, key=lambda sign: dear[sign] * one.far[sign])], 1.0)
        one.forgets(3.0 if number % 5 == 4 else 1.0)
    return one


CASES: Mapping[str, Mapping[str, float]] = {
    "24 signs mixed up": {},
    "the same, words teach as pictures do": {"words_teach": 1.0},
    "every sign misread, more or less": {"confused": DIFFUSE},
}


def main() -> None:
    """Write the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--runs", type=int, default=RUNS, help="trainees")
    runs = parser.parse_args().runs
    print("| trainees | at first | by schedule, drawings of before | by schedule, drawings of now ")
    print(
        "| by stake | best there is | at most half of before | the best, too |\n" + "|---" * 8 + "|"
    )
    for name, how in CASES.items():
        confused = int(how.get("confused", CONFUSED))
        first = np.mean([misread(trainee(seed, confused)) for seed in range(runs)])
        ours = left(by_stake, runs, **how)
        best = np.array([misread(bound(seed, **how)) for seed in range(runs)])  # type: ignore[arg-type]
        before, now = (left(by_schedule(new_drawings=new), runs, **how) for new in (False, True))
        halved = [f"{int((one <= 0.5 * before).sum())} of {runs}" for one in (ours, best)]
        figures = [first, *(one.mean() for one in (before, now, ours, best))]
        print("|", " | ".join([name, *(f"{one:.0f}" for one in figures), *halved]), "|", flush=True)


if __name__ == "__main__":
    main()
