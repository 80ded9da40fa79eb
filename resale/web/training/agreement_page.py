"""What the agreement page says: the whole in plain sentences, then by sign and by sorter."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from resale.services.training.read_twice import leads_of, looked_back_to
from resale.storage.items.readers import Readers, reader_then, readers
from resale.storage.people.second_looks import SavedLook, looks, looks_count
from resale.training.agreement.by_signal import PairAgreement, SignalAgreement, agreement_by_signal
from resale.training.agreement.doubt_feedback import DoubtSuggestion, suggest_doubt
from resale.training.agreement.speed import RankCorrelation, speed_against_accuracy
from resale.web.core.shop import Shop
from resale.web.training.readings_twice import answers_from

FEWEST, DRAWS, SEED = 12, 400, 20260101
GOOD, FAIR = 0.8, 0.67
ALONE = 0.2
"""Gap in the share of same answers from which one sorter stands alone."""

WORTH_A_WORD = 0.25
"""Steps below which a steady difference is too small to talk about first."""

_reports: dict[tuple[str, str, int], Report] = {}


@dataclass(frozen=True, slots=True)
class SignLine:
    """One sign: how far people agree, and what to do with it."""

    agreement: SignalAgreement
    doubt: DoubtSuggestion | None
    steady: tuple[PairAgreement, ...]
    furthest: PairAgreement | None

    @property
    def name(self) -> str:
        """Name of the sign."""
        return self.agreement.signal.name

    @property
    def biases(self) -> tuple[str, ...]:
        """Who reads steadily higher or lower than the lead, in sentences."""
        return tuple(one.bias.sentence(one.first, one.second) for one in self.steady if one.bias)

    def place(self, value: float) -> float:
        """Place of a value on a scale from 0 to 1, in percent."""
        return round(100 * min(max(value, 0.0), 1.0), 1)


@dataclass(frozen=True, slots=True)
class SorterLine:
    """One sorter against the lead."""

    name: str
    items: int
    seconds: float
    right: float
    haste: RankCorrelation
    quick: float
    slow: float


@dataclass(frozen=True, slots=True)
class Report:
    """The whole page."""

    leads: tuple[str, ...]
    days: int
    items: int
    people: int
    first: tuple[str, ...]
    lines: tuple[SignLine, ...]
    too_few: tuple[str, ...]
    sorters: tuple[SorterLine, ...]

    @property
    def lead(self) -> str:
        """The leads who read, as the end of 'the same as'."""
        return " and ".join(self.leads)


def report_of(shop: Shop) -> Report:
    """Work the page out; it holds until another item is looked at twice, or the day is over."""
    leads, start = leads_of(shop), looked_back_to(shop)
    state = f"{shop.book.fingerprint}/{sorted(leads)}/{start.date()}"
    key = (str(shop.records.url), state, looks_count(shop.records))
    if key not in _reports:
        _reports.clear()
        many = looks(shop.records, since=start)
        _reports[key] = _report(shop, many, readers(shop.records), leads)
    return _reports[key]


def _report(shop: Shop, many: tuple[SavedLook, ...], by: Readers, leads: frozenset[str]) -> Report:
    answers = answers_from(shop.book, many, by)
    found = agreement_by_signal(
        shop.book, answers, random=np.random.default_rng(SEED), leads=leads, draws=DRAWS
    )
    enough = [one for one in found if one.alpha.items >= FEWEST]
    lines = tuple(_line(one, leads) for one in enough)
    sorters = _sorters(many, by, leads)
    return Report(
        tuple(sorted(leads & {one.sorter for one in answers})),
        shop.settings.looked_back,
        len({one.item for one in answers}),
        len({one.sorter for one in answers}),
        tuple(_sentences(lines, sorters)),
        lines,
        tuple(one.signal.name for one in found if one.alpha.items < FEWEST),
        sorters,
    )


def _line(one: SignalAgreement, leads: frozenset[str]) -> SignLine:
    with_lead = [pair for pair in one.pairs if pair.second in leads and pair.first not in leads]
    options = len(one.signal.options)
    table = sum((pair.table.T for pair in with_lead), np.zeros((options, options)))
    sentences = [pair.kappa for pair in with_lead]
    far = [pair for pair in with_lead if pair.kappa.can_be_said]
    return SignLine(
        one,
        suggest_doubt(one.signal, table) if with_lead else None,
        tuple(pair for pair in with_lead if _is_steady(pair)),
        min(far, key=lambda pair: pair.kappa.value) if len(sentences) > 1 and far else None,
    )


def _is_steady(pair: PairAgreement) -> bool:
    """Whether one reads higher beyond chance; with few items that may be a few slips."""
    bias = pair.bias
    return bias is not None and bias.pairs >= FEWEST and bias.is_systematic


def _sorters(
    many: tuple[SavedLook, ...], by: Readers, leads: frozenset[str]
) -> tuple[SorterLine, ...]:
    truth = {
        one.number: one.first for one in many if reader_then(by, one.number, one.made_at) in leads
    }
    truth |= {one.number: one.choices for one in many if one.person in leads}
    rows: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for one in many:
        if one.person in leads or one.number not in truth:
            continue
        both = one.choices.keys() & truth[one.number].keys()
        if both:
            same = sum(one.choices[sign] == truth[one.number][sign] for sign in both)
            rows[one.person].append((one.seconds, same / len(both)))
    return tuple(_sorter(name, pairs) for name, pairs in sorted(rows.items()))


def _sorter(name: str, pairs: list[tuple[float, float]]) -> SorterLine:
    seconds, right = (np.array(column) for column in zip(*pairs, strict=True))
    quick = seconds <= np.median(seconds)
    return SorterLine(
        name,
        len(pairs),
        float(seconds.mean()),
        float(right.mean()),
        speed_against_accuracy(seconds, right),
        float(right[quick].mean()),
        float(right[~quick].mean()) if (~quick).any() else float("nan"),
    )


def _sentences(lines: tuple[SignLine, ...], sorters: tuple[SorterLine, ...]) -> list[str]:
    """Say the whole in a few plain sentences, the most useful first."""
    if not lines:
        return ["Too few items were looked at twice to say where people agree."]
    sentences = [_overall(lines)]
    sentences += [*_steady(lines)[:2], *_apart(lines)[:2]]
    sentences += [
        f"{one.name} is right on {one.quick:.0%} of signs in the quicker half of items and on "
        f"{one.slow:.0%} in the slower half. Haste may be why: look at a few quick ones together."
        for one in sorters
        if one.haste.low > 0
    ]
    return sentences


def _overall(lines: tuple[SignLine, ...]) -> str:
    well = [line for line in lines if line.agreement.alpha.value >= GOOD]
    weak = [line for line in lines if line.agreement.alpha.value < FAIR]
    best = max(well, key=lambda line: line.agreement.alpha.value, default=None)
    first = f"Of {len(lines)} signs, {len(well)} are read alike"
    if best:
        first += f", {best.name.lower()} most of all"
    if not weak:
        return f"{first}."
    names = " and ".join(line.name.lower() for line in weak[:2])
    return f"{first}; talk about {names} first."


def _apart(lines: tuple[SignLine, ...]) -> list[str]:
    """Signs on which one sorter alone differs from the lead, the widest gap first."""
    found = []
    for line in lines:
        lead = line.furthest.second if line.furthest else ""
        pairs = sorted(
            (pair for pair in line.agreement.pairs if pair.second == lead), key=lambda one: one.same
        )
        if len(pairs) > 1 and not line.steady and pairs[1].same - pairs[0].same >= ALONE:
            one = pairs[0]
            found.append(
                (
                    pairs[1].same - one.same,
                    f"{line.name}: {one.first} gives the same answer as {lead} on "
                    f"{one.same:.0%} of items, each of the others on at least {pairs[1].same:.0%}.",
                )
            )
    return [sentence for _, sentence in sorted(found, reverse=True)]


def _steady(lines: tuple[SignLine, ...]) -> list[str]:
    """Steady differences worth a word, the largest first."""
    found = [
        (abs(pair.bias.steps), f"{line.name}: {pair.bias.sentence(pair.first, pair.second)}")
        for line in lines
        for pair in line.steady
        if pair.bias and abs(pair.bias.steps) >= WORTH_A_WORD
    ]
    return [sentence for _, sentence in sorted(found, reverse=True)]
