"""Where the lines of the seam, the band and the tier stitches go, in percent of their width."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from itertools import accumulate
from math import floor, log10, prod

from resale.pricing.valuation.valuation import Contribution, Valuation

PADDING = 7.0
# A seam of little money is drawn on no finer a scale than this part of the anchor.
LEAST_SPAN = 0.2
# A sign that moves the price by less than this part of it is gathered with its like.
SMALL = 0.01
# So many make a line of their own; fewer stay as they are.
LEAST_GATHERED = {"nothing": 2, "small": 3}
COUNTED = ("Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten", "Eleven")


@dataclass(frozen=True)
class SeamRow:
    """One row of the seam; positions in percent from the left.

    Attributes
    ----------
    start, turn, end : float
        Where the thread comes in, where the rule book's run ends, where the sales' run ends.
    gathered : tuple of Contribution
        Rows that this one stands for; its money is their sum.
    """

    row: Contribution
    start: float
    turn: float
    end: float
    gathered: tuple[Contribution, ...] = ()

    @property
    def has_rule(self) -> bool:
        """Whether the rule book moved the price."""
        return self.row.rule_money != 0

    @property
    def has_sales(self) -> bool:
        """Whether the sales moved the price."""
        return self.row.sales_money != 0


@dataclass(frozen=True)
class Seam:
    """The running line from anchor to estimate."""

    anchor: float
    estimate: float
    rows: tuple[SeamRow, ...]


@dataclass(frozen=True)
class Tick:
    """A mark on a measured bar."""

    place: float
    minor: int
    long: bool


@dataclass(frozen=True)
class BandBar:
    """The price band as a measured bar; positions in percent."""

    low: float
    high: float
    estimate: float
    ticks: tuple[Tick, ...]
    endless: bool


@dataclass(frozen=True)
class Run:
    """A stretch of a line for one tier."""

    start: float
    end: float
    place: int
    name: str
    chance: float


def seam_of(valued: Valuation, nothing: Collection[tuple[str, str]] = ()) -> Seam:
    """Lay the seam: every row takes up where the one before left off.

    Parameters
    ----------
    valued : Valuation
    nothing : collection of (signal id, name of option)
        Answers that found nothing: they stand gathered, as do those of little weight.
    """
    groups = gathered_rows(seam_money(valued), nothing, round(SMALL * valued.estimate))
    rows = tuple(row for row, _ in groups)
    stops = list(
        accumulate(
            (money for row in rows for money in (row.rule_money, row.sales_money)),
            initial=valued.anchor,
        )
    )
    width = max(stops) - min(stops)
    missing = max(LEAST_SPAN * valued.anchor - width, 0)
    low, span = min(stops) - missing / 2, width + missing

    def place(minor: float) -> float:
        return round(PADDING + (100 - 2 * PADDING) * (minor - low) / (span or 1), 2)

    return Seam(
        place(valued.anchor),
        place(stops[-1]),
        tuple(
            SeamRow(
                row, place(stops[2 * i]), place(stops[2 * i + 1]), place(stops[2 * i + 2]), within
            )
            for i, (row, within) in enumerate(groups)
        ),
    )


def gathered_rows(
    rows: tuple[Contribution, ...], nothing: Collection[tuple[str, str]], small: int
) -> tuple[tuple[Contribution, tuple[Contribution, ...]], ...]:
    """Gather looks that found nothing, and signs of little weight, each into one row.

    Parameters
    ----------
    rows : tuple of Contribution
    nothing : collection of (signal id, name of option)
    small : int
        Money (minor units) below which a sign is of little weight.

    Returns
    -------
    tuple of (Contribution, tuple of Contribution)
        What is shown, each with the rows that it stands for, if it does; money sums as before.
    """
    if not nothing:
        return tuple((row, ()) for row in rows)
    is_found = [(row.signal, row.option) in nothing for row in rows]
    is_light = [
        not found and bool(row.signal) and abs(row.money) < small
        for row, found in zip(rows, is_found, strict=True)
    ]
    found = _enough(rows, is_found, LEAST_GATHERED["nothing"])
    light = _enough(rows, is_light, LEAST_GATHERED["small"])
    shown = [
        (row, ())
        for row, nought, little in zip(rows, is_found, is_light, strict=True)
        if not (nought and found) and not (little and light)
    ]
    said = ((found, "looks found nothing"), (light, "signs of little weight"))
    return (*shown, *((_together(group, words), group) for group, words in said if group))


def _enough(
    rows: tuple[Contribution, ...], which: list[bool], least: int
) -> tuple[Contribution, ...]:
    """Give the rows that are meant, where they are enough for a line of their own."""
    some = tuple(row for row, meant in zip(rows, which, strict=True) if meant)
    return some if len(some) >= least else ()


def _together(rows: tuple[Contribution, ...], words: str) -> Contribution:
    count = len(rows)
    said = COUNTED[count - 2] if count - 2 < len(COUNTED) else str(count)
    return Contribution(
        signal="",
        name=f"{said} {words}",
        option="",
        reason="",
        rule_factor=prod(row.rule_factor for row in rows),
        sales_factor=prod(row.sales_factor for row in rows),
        rule_money=sum(row.rule_money for row in rows),
        sales_money=sum(row.sales_money for row in rows),
    )


def seam_money(valued: Valuation) -> tuple[Contribution, ...]:
    """Rows of the seam: what the sales did to the kind as a whole, then each signal."""
    if valued.level_money == 0 and valued.level_factor == 1.0:
        return valued.contributions
    level = Contribution(
        signal="",
        name=f"Your sales of {valued.kind_plural.lower()}",
        option="",
        reason="What things of this kind brought in this shop, against the rule book's opinion.",
        rule_factor=1.0,
        sales_factor=valued.level_factor,
        rule_money=0,
        sales_money=valued.level_money,
    )
    return (level, *valued.contributions)


def band_bar(valued: Valuation) -> BandBar:
    """Draw the band on a tape that begins at nought."""
    endless = valued.high < 0
    top = valued.estimate * 3 if endless else valued.high
    reach = max(top, valued.estimate, 1) * 1.08
    step = _round_step(reach / 5)

    def place(minor: float) -> float:
        return round(100 * minor / reach, 2)

    half = max(step // 2, 1)
    ticks = tuple(Tick(place(at), at, at % step == 0) for at in range(0, int(reach) + 1, half))
    high = 100.0 if endless else place(valued.high)
    return BandBar(place(valued.low), high, place(valued.estimate), ticks, endless)


def tier_runs(valued: Valuation) -> list[Run]:
    """Lay the chances of the tiers end to end, the lowest tier first."""
    runs, start = [], 0.0
    for place, tier in reversed(list(enumerate(valued.chances))):
        end = min(start + 100 * tier.chance, 100.0)
        if end > start:
            runs.append(Run(round(start, 2), round(end, 2), place, tier.name, tier.chance))
        start = end
    return runs


def _round_step(wanted: float) -> int:
    """Round a step to 1, 2 or 5 times a power of ten, in minor units."""
    power = 10 ** floor(log10(max(wanted, 1)))
    return int(next(nice * power for nice in (1, 2, 5, 10) if nice * power >= wanted))
