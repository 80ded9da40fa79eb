"""The gauge of make: how well a thing is made for its kind, how sure that is, what says so."""

from __future__ import annotations

from dataclasses import dataclass

from resale.pricing.valuation.valuation import Valuation

# Standard deviations of make at either end of the gauge; three things in a thousand lie beyond.
END = 3.0
# From so many standard deviations on (lower bounds), and what is said then.
STEPS = (
    (1.2, "Finely made for its kind"),
    (0.4, "Better made than most of its kind"),
    (-0.4, "Made as most of its kind are"),
    (-1.2, "Plainer made than most of its kind"),
)
PLAINEST = "Very plainly made for its kind"
# Above such a doubt (standard deviations) the looks so far hardly say.
HARDLY_KNOWN = 0.95
# Signs that are named as what it rests on.
NAMED = 3


@dataclass(frozen=True)
class MakeGauge:
    """A gauge from plain to fine; places in percent from the left.

    Attributes
    ----------
    place, low, high : float
        Where it stands, and what lies within its doubt.
    words : str
        The same in words.
    rests_on : str
        The signs that say most, in words; empty where none was looked at.
    money : int
        What all signs of make together did to the price, in minor units.
    factor : float
    looked, tells : int
        Signs of make looked at, and how many the kind has.
    """

    place: float
    low: float
    high: float
    words: str
    rests_on: str
    money: int
    factor: float
    looked: int
    tells: int


def make_gauge(valued: Valuation) -> MakeGauge | None:
    """Lay out the gauge of one valuation; None where its kind has no signs of make."""
    if not valued.make_tells:
        return None
    signs = [row for row in valued.contributions if row.speaks_of == "make"]
    leading = sorted(signs, key=lambda row: -abs(row.money))[:NAMED]
    # What lies beyond an end stands at it, and its doubt is still seen.
    standing = max(-END, min(END, valued.make))
    return MakeGauge(
        _place(standing),
        _place(standing - valued.make_doubt),
        _place(standing + valued.make_doubt),
        _words(valued),
        _listed([f"{row.name.lower()} ({row.option.lower()})" for row in leading]),
        sum(row.money for row in signs),
        valued.make_factor,
        valued.make_looked,
        valued.make_tells,
    )


def _place(standing: float) -> float:
    return round(50 + 50 * max(-END, min(END, standing)) / END, 2)


def _words(valued: Valuation) -> str:
    if not valued.make_looked:
        return "Nothing yet says how well it is made"
    said = next((words for least, words in STEPS if valued.make >= least), PLAINEST)
    return f"{said}, as far as one can tell" if valued.make_doubt > HARDLY_KNOWN else said


def _listed(names: list[str]) -> str:
    before, last = names[:-1], names[-1:]
    return " and ".join(([", ".join(before)] if before else []) + last)
