"""When somebody may work alone: Wald's sequential test on the share of things misread.

After each thing that was read twice the count of misread ones is held against two parallel lines.
Below the lower one the share is taken to be small enough; above the upper one it is too large;
between them the next thing is read twice as well.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from math import ceil, exp, floor, log
from typing import Literal

from scipy.optimize import brentq

from resale.errors import SettingError

State = Literal["open", "passed", "stopped"]

REST = timedelta(days=7)
"""After a stop, what is read within this time counts for nothing: it is for learning."""


@dataclass(frozen=True)
class Rule:
    """The stated rule, with its two error rates.

    Attributes
    ----------
    good, bad : float
        Shares misread: with `good` somebody should work alone, with `bad` they should not.
    held_back : float
        Chance that somebody as good as `good` is stopped (the first kind of error).
    let_alone : float
        Chance that somebody as bad as `bad` passes (the second kind of error).

    References
    ----------
    Wald 1945, Sequential tests of statistical hypotheses, Annals of Mathematical Statistics 16,
    117; Wald 1947, Sequential Analysis, ch. 5.

    Examples
    --------
    >>> rule = Rule(0.05, 0.20, 0.10, 0.05)
    >>> rule.first_pass, rule.first_stop
    (17, 2)
    """

    good: float
    bad: float
    held_back: float
    let_alone: float

    def __post_init__(self) -> None:
        """Refuse shares that no test can tell apart."""
        if not 0 < self.good < self.bad < 1:
            raise SettingError(
                f"a share of {self.good:g} that is good enough and {self.bad:g} that is not "
                "cannot be told apart",
                where="working alone",
                remedy="give a first share above 0 and a second one above it, below 1",
            )

    @cached_property
    def slope(self) -> float:
        """Misread things that each further thing allows for; both lines rise by it."""
        return log((1 - self.good) / (1 - self.bad)) / self._scale

    @cached_property
    def lower(self) -> float:
        """How far the lower line lies below the origin."""
        return log((1 - self.held_back) / self.let_alone) / self._scale

    @cached_property
    def upper(self) -> float:
        """How far the upper line lies above the origin."""
        return log((1 - self.let_alone) / self.held_back) / self._scale

    @property
    def _scale(self) -> float:
        return log(self.bad * (1 - self.good) / (self.good * (1 - self.bad)))

    def pass_at(self, read: int) -> int:
        """Most misread things with which so many pass; -1 where none can yet."""
        return max(floor(read * self.slope - self.lower), -1)

    def stop_at(self, read: int) -> int:
        """Fewest misread things that stop the test after so many."""
        return ceil(read * self.slope + self.upper)

    @property
    def first_pass(self) -> int:
        """Things that pass without a single one misread."""
        return self.wanted(0)

    @property
    def first_stop(self) -> int:
        """Things that stop the test if all of them are misread."""
        return next(n for n in range(1, 10_000) if self.stop_at(n) <= n)

    def wanted(self, misread: int) -> int:
        """Things that have to be read twice to pass with so many misread."""
        return ceil((misread + self.lower) / self.slope)

    def after_stops(self, stops: int) -> Rule:
        """The rule of the next test: each asks for more, so that all of them keep the promise.

        Tests begun again would let somebody through by chance sooner or later. With half the
        error for the first, a quarter for the second and so on, all of them together pass
        somebody as bad as `bad` with a chance of at most `let_alone`.
        """
        return Rule(self.good, self.bad, self.held_back, self.let_alone / 2 ** (stops + 1))

    def chance_of_passing(self, share: float) -> float:
        """Chance that somebody who misreads this share passes one test, by Wald's formula.

        Parameters
        ----------
        share : float
            Above 0 and below 1.

        Notes
        -----
        ``((1-b)/a)^h - 1`` over ``((1-b)/a)^h - (b/(1-a))^h``, with h solved for the share (Wald
        1947, section 5.3). It passes over how far the last thing goes beyond a
        line, so that true errors are mostly smaller.
        """
        up = log((1 - self.let_alone) / self.held_back)
        down = log(self.let_alone / (1 - self.held_back))
        if abs(share - self.slope) < 1e-9:
            return up / (up - down)
        power = brentq(lambda h: _share_of(self, h) - share, -60.0, 60.0)
        most, least = exp(power * up), exp(power * down)
        return (most - 1) / (most - least)


def _share_of(rule: Rule, power: float) -> float:
    """The share that a power of Wald's operating characteristic stands for; it falls with it."""
    if abs(power) < 1e-12:
        return rule.slope
    kept = ((1 - rule.bad) / (1 - rule.good)) ** power
    return float((1 - kept) / ((rule.bad / rule.good) ** power - kept))


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that was read twice: when, and whether it was misread."""

    at: datetime
    misread: bool


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a test stands.

    Attributes
    ----------
    rule : Rule
        Of this test.
    path : tuple of int
        Misread things after each one of this test, from the first on.
    stops : int
        Tests before it that were stopped.
    last : datetime or None
        Of the newest thing, of whatever test.
    """

    state: State
    rule: Rule
    path: tuple[int, ...]
    stops: int
    last: datetime | None

    @property
    def read(self) -> int:
        """Things of this test that were read twice."""
        return len(self.path)

    @property
    def misread(self) -> int:
        """Those of them that were misread."""
        return self.path[-1] if self.path else 0

    @property
    def wanted(self) -> int:
        """Things still to be read twice without another misread one."""
        return max(self.rule.wanted(self.misread) - self.read, 0)


def standing(rule: Rule, steps: Sequence[Step]) -> Standing:
    """Go through things in the order in which they were read, test after test.

    Parameters
    ----------
    rule : Rule
        As the shop states it; each test shares out its error, see `Rule.after_stops`.
    steps : sequence of Step
        The oldest first.

    Returns
    -------
    Standing
        Of the test that passed, as long as none after it is stopped; else of the newest. After a
        stop the next test begins with the first thing that was read after `REST`.
    """
    stops, now, last = 0, rule.after_stops(0), steps[-1].at if steps else None
    path: list[int] = []
    passed: Standing | None = None
    stopped: datetime | None = None
    for step in steps:
        if stopped is not None:
            if step.at < stopped + REST:
                continue
            stops, path, stopped = stops + 1, [], None
            now = rule.after_stops(stops)
        path.append((path[-1] if path else 0) + step.misread)
        if path[-1] <= now.pass_at(len(path)):
            passed, path = Standing("passed", now, tuple(path), stops, last), []
        elif path[-1] >= now.stop_at(len(path)):
            passed, stopped = None, step.at
    state: State = "stopped" if stopped else "open"
    return passed or Standing(state, now, tuple(path), stops, last)
