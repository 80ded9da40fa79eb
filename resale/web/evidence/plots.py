"""The plots of the Evidence; each has its table beside it on the page."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import FuncFormatter, NullFormatter

from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.evaluation.errors import percent_off
from resale.pricing.evaluation.report import EvidenceReport
from resale.pricing.evaluation.rule_shifts import RuleShift
from resale.web.evidence.cache import Found
from resale.web.evidence.plot_style import TEXT, Inks, drawn

# Most rows of the plot of rules, and most dots of a scatter: more would only make it grey.
RULES, DOTS = 12, 420
DASHES = ("-", (0, (6, 3)), (0, (2, 2)), (0, (9, 3, 2, 3)), (0, (1, 3)), (0, (12, 4)))

Draw = Callable[[Axes, Found, RuleBook, Inks, bool], None]


def draw(name: str, found: Found, book: RuleBook, *, lamp: bool, narrow: bool) -> bytes:
    """Draw one of `PLOTS` as SVG.

    Parameters
    ----------
    name : str
        A key of `PLOTS`.
    found : Found
        The evidence.
    book : RuleBook
        For the names of kinds and signs.
    lamp : bool
        In the colours of the dark screen.
    narrow : bool
        For a phone's width.
    """
    one, height = PLOTS[name]

    def drawer(axes: Axes, inks: Inks, small: bool) -> None:
        one(axes, found, book, inks, small)

    return drawn(drawer, lambda small: height(found, small), lamp=lamp, narrow=narrow)


def _report(found: Found) -> EvidenceReport:
    assert found.report is not None, "asked for a plot without a report"  # noqa: S101
    return found.report


def _off(axes: Axes, found: Found, book: RuleBook, inks: Inks, _: bool) -> None:
    """Median and ninetieth percentile of the error, learned and by the rules alone."""
    rows = _report(found).off
    for place, one in enumerate(rows):
        y = -place
        axes.plot([one.median, one.ninetieth], [y, y], color=inks.thread)
        axes.plot(one.median, y, "o", color=inks.thread, ms=8)
        axes.plot(one.ninetieth, y, "|", color=inks.thread, ms=13, mew=2.5)
        low = y - 0.3
        axes.plot(
            [one.rules_median, one.rules_ninetieth],
            [low, low],
            color=inks.soft,
            lw=1.5,
            ls=(0, (4, 3)),
        )
        axes.plot(one.rules_median, low, "o", mfc=inks.ground, mec=inks.soft, mew=1.5, ms=6)
        axes.plot(one.rules_ninetieth, low, "|", color=inks.soft, ms=9, mew=1.5)
    axes.set_yticks([-place - 0.1 for place in range(len(rows))])
    axes.set_yticklabels([_kind(book, one.kind) for one in rows])
    axes.set_xlim(left=0)
    axes.set_xlabel("how far off, percent either way")
    _bare_rows(axes, inks)


def _coverage(axes: Axes, found: Found, book: RuleBook, inks: Inks, narrow: bool) -> None:
    """Share of sales inside the band against what it promised."""
    rows = _report(found).coverage
    axes.plot([45, 100], [45, 100], color=inks.soft, lw=1.2, ls=(0, (1, 3)))
    for one in rows:
        if one.kind:
            axes.plot(100 * one.promised, 100 * one.inside, "o", color=inks.soft, ms=4, alpha=0.7)
    whole = [one for one in rows if not one.kind]
    promised = [100 * one.promised for one in whole]
    axes.vlines(
        promised,
        [100 * one.low for one in whole],
        [100 * one.high for one in whole],
        color=inks.thread,
        lw=2.5,
    )
    axes.plot(promised, [100 * one.inside for one in whole], "o-", color=inks.thread, ms=8, lw=1.5)
    axes.annotate(
        "word kept exactly",
        (62, 62),
        (66, 53),
        color=inks.soft,
        fontsize=TEXT - 1,
        arrowprops={"arrowstyle": "-", "color": inks.soft, "lw": 0.8},
    )
    axes.set_xlabel("promised, percent of sales")
    axes.set_ylabel("held, percent")
    axes.set_xticks(promised)
    axes.set_xticklabels([f"{one:.0f}" for one in promised])
    del book, narrow


def _taught(axes: Axes, found: Found, book: RuleBook, inks: Inks, narrow: bool) -> None:
    """Rules that moved most: from what the book says to what was learned."""
    rows = taught_rows(found)
    for place, rule in enumerate(rows):
        y = -place
        axes.plot([rule.book, rule.learned], [y, y], color=inks.thread, ls=(0, (3, 2)))
        axes.plot(rule.book, y, "o", mfc=inks.ground, mec=inks.thread, mew=2, ms=8)
        axes.plot(rule.learned, y, "o", color=inks.thread, ms=8)
        words = f"{_kind(book, rule.kind)}: {rule.name}"
        most = 44 if narrow else 96
        shown = words if len(words) <= most else words[: most - 1] + "…"
        axes.annotate(shown, (0, y + 0.24), xycoords=("axes fraction", "data"), fontsize=TEXT - 1)
    axes.axvline(1, color=inks.soft, lw=1, ls=(0, (1, 3)), zorder=0)
    axes.set_xscale("log")
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"× {value:g}"))
    axes.xaxis.set_minor_formatter(NullFormatter())
    ends = [end for rule in rows for end in (rule.book, rule.learned, 1.0)]
    marks = [
        m
        for m in (0.2, 0.3, 0.5, 0.7, 0.85, 1, 1.2, 1.5, 2, 3, 5)
        if min(ends) / 1.05 <= m <= max(ends) * 1.05
    ]
    axes.set_xticks(marks, minor=False)
    axes.set_xticks([], minor=True)
    axes.set_xlabel("factor on the price")
    axes.set_yticks([])
    axes.set_ylim(-len(rows) + 0.6, 0.75)
    _bare_rows(axes, inks)


def _actual(axes: Axes, found: Found, _: RuleBook, inks: Inks, narrow: bool) -> None:
    """Prices paid against estimates made without them."""
    report = _report(found)
    estimate, price = report.validation.model.estimate, report.validation.price
    some = np.linspace(0, len(price) - 1, min(DOTS, len(price))).astype(int)
    axes.plot(estimate[some], price[some], "o", color=inks.soft, ms=3, alpha=0.45, mew=0)
    ends = [min(estimate.min(), price.min()), max(estimate.max(), price.max())]
    axes.plot(ends, ends, color=inks.soft, lw=1.2, ls=(0, (1, 3)))
    middle = [one.estimate for one in report.bins]
    axes.vlines(
        middle,
        [one.actual_low for one in report.bins],
        [one.actual_high for one in report.bins],
        color=inks.thread,
        lw=2.5,
    )
    axes.plot(middle, [one.actual for one in report.bins], "o", color=inks.thread, ms=8)
    for scale, axis in ((axes.set_xscale, axes.xaxis), (axes.set_yscale, axes.yaxis)):
        scale("log")
        axis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
        axis.set_minor_formatter(NullFormatter())
    marks = [
        m for m in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000) if ends[0] <= m <= ends[1]
    ]
    axes.set_xticks(marks)
    axes.set_yticks(marks)
    axes.set_xlabel("estimate" if narrow else "estimate, made without knowing the sale")
    axes.set_ylabel("paid")


def _drift(axes: Axes, found: Found, _: RuleBook, inks: Inks, narrow: bool) -> None:
    """Median error month by month."""
    rows = _report(found).drift
    places = np.arange(len(rows))
    axes.axhline(0, color=inks.soft, lw=1.2, ls=(0, (1, 3)))
    known = [(at, one) for at, one in enumerate(rows) if np.isfinite([one.low, one.high]).all()]
    axes.vlines(
        [at for at, _ in known],
        [percent_off(one.low) for _, one in known],
        [percent_off(one.high) for _, one in known],
        color=inks.thread,
        lw=2,
    )
    axes.plot(places, [percent_off(one.median) for one in rows], "o", color=inks.thread, ms=6)
    every = max(1, len(rows) // (5 if narrow else 10))
    axes.set_xticks(places[::every])
    axes.set_xticklabels([str(one.first)[:7] for one in rows[::every]])
    axes.set_ylabel("paid over estimate, percent")


def _hung(axes: Axes, found: Found, book: RuleBook, inks: Inks, narrow: bool) -> None:
    """Share still on the rail after so many days, by kind."""
    far = 0.0
    for place, one in enumerate(found.hung):
        day = np.concatenate([[0.0], one.survival.day])
        left = np.concatenate([[100.0], 100 * one.survival.unsold])
        line = DASHES[place % len(DASHES)]
        name = f"{_kind(book, one.kind)} ({one.items:,})"
        axes.step(day, left, where="post", color=inks.thread, lw=1.8, ls=line, label=name)
        if one.sold:
            days = np.repeat(one.survival.day, one.survival.sold)
            far = max(far, float(np.quantile(days, 0.98)))
    axes.axhline(50, color=inks.soft, lw=1, ls=(0, (1, 3)))
    axes.set_xlim(0, far or None)
    axes.set_ylim(0, 102)
    axes.set_xlabel("days on the rail")
    axes.set_ylabel("still unsold, percent")
    axes.legend(frameon=False, fontsize=TEXT - 1, handlelength=4 if not narrow else 3)


def taught_rows(found: Found) -> tuple[RuleShift, ...]:
    """Rules of the plot: those that sales spoke of and moved most."""
    most = _report(found).moved_most(10**6)
    return tuple(rule for rule in most if rule.sales)[:RULES]


def _kind(book: RuleBook, kind: str) -> str:
    return book.kinds[kind].text.plural.capitalize() if kind else "All kinds"


def _bare_rows(axes: Axes, inks: Inks) -> None:
    axes.spines["left"].set_visible(False)
    axes.tick_params(axis="y", length=0, labelcolor=inks.ink)


PLOTS: dict[str, tuple[Draw, Callable[[Found, bool], float]]] = {
    "off": (_off, lambda found, _: 80 + 44 * len(_report(found).off)),
    "coverage": (_coverage, lambda _, narrow: 330 if narrow else 400),
    "taught": (_taught, lambda found, _: 70 + 46 * len(taught_rows(found))),
    "actual": (_actual, lambda _, narrow: 340 if narrow else 460),
    "drift": (_drift, lambda _, narrow: 260 if narrow else 280),
    "hung": (_hung, lambda _, narrow: 330 if narrow else 360),
}
