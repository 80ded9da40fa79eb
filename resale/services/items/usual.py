"""What is usual for a kind: answers that most of its things share, accepted without a look.

An answer that is accepted as usual is kept as just that. It is no reading: the price takes the
average for such a sign, as for any that nobody looked at, and the band is no narrower for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.signals import Option, Signal
from resale.safety.required_looks import HOLDING

LEAST_SHARE = 0.5
"""An answer is usual where at least this share of the kind has it (the rule book's shares)."""


@dataclass(frozen=True)
class Usual:
    """One sign with its usual answer."""

    signal: Signal
    option: Option


def usual_answers(kind: Kind, choices: Mapping[str, str]) -> tuple[Usual, ...]:
    """Give the usual answer of each sign of make that nobody looked at, in the book's order.

    Wear, labels and whatever can hold an item are never usual: they are looked at.

    Parameters
    ----------
    kind : Kind
    choices : mapping of signal id to option id
        What was looked at.
    """
    found: list[Usual] = []
    known = dict(choices)
    for signal in kind.signals:
        if signal.id in choices or signal.about != "build" or signal.shape == "finding":
            continue
        if signal.id in HOLDING or signal.id in kind.holding:
            continue
        option = max(signal.options, key=lambda one: one.share)
        asked = signal.only_if is None or signal.only_if.met(known)
        if asked and option.share >= LEAST_SHARE and option.gate is None:
            found.append(Usual(signal, option))
            known[signal.id] = option.id
    return tuple(found)
