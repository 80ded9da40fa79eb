"""One signal of the rule book: what the sorter sees, counts or feels, and what it may mean.

Three shapes of signal exist. A *choice* has options without an order (button material). A
*ladder* has options from poor to good (stitch density, pilling). A *finding* is a fault with a
place (hidden, or seen when worn) and an extent from 1 to 5; its twelve options are made here.
*Not looked at* belongs to every signal and is never an option: it is the absence of one.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from resale.garments.rulebook.field_types import (
    Doubt,
    Factor,
    Ident,
    Line,
    Paragraph,
    Route,
    Share,
    Strict,
)
from resale.garments.rulebook.gradings import Fibres, Number, Stitches

EXTENTS = 5
PLACES = ("hidden", "seen")
NONE = "none"


class Gate(Strict):
    """A rule that caps the tier or forces a route, whatever the price says."""

    tier_cap: Ident | None = None
    route: Route | None = None
    reason: Line

    @model_validator(mode="after")
    def _does_something(self) -> Self:
        if self.tier_cap is None and self.route is None:
            raise ValueError("a gate needs a tier_cap or a route")
        return self


class Option(Strict):
    """One answer to a signal.

    Attributes
    ----------
    effect : float
        Factor on the price against an item of which nothing is known (1.10 is ten percent up).
    doubt : float
        Standard deviation of that opinion in log price (0.08 is about eight percent either way).
        On a ladder it is the doubt of the step up into this option.
    share : float
        How common it is among items of the kind: a weight in the file, a part of 1 once read.
    """

    id: Ident
    name: Annotated[str, Field(min_length=1, max_length=48)]
    effect: Factor
    doubt: Doubt
    share: Share
    reason: Line
    gate: Gate | None = None


class OnlyIf(Strict):
    """The signal is asked for only where another has one of these options.

    Attributes
    ----------
    while_open : bool
        Whether it is asked, and counts, as long as nobody looked at the other one.
    """

    signal: Ident
    options: Annotated[tuple[Ident, ...], Field(min_length=1)]
    while_open: bool = False

    def met(self, answers: Mapping[str, str]) -> bool:
        """Whether these answers let the signal be asked."""
        answer = answers.get(self.signal)
        return self.while_open if answer is None else answer in self.options


Measure = Annotated[Stitches | Number | Fibres, Field(discriminator="by")]


class FindingGate(Gate):
    """A gate for a finding, from some extent on at a place."""

    place: Literal["hidden", "seen", "any"]
    from_extent: Annotated[int, Field(ge=1, le=EXTENTS)]

    def applies_to(self, place: str, extent: int) -> bool:
        """Whether a finding at this place and extent meets the gate.

        Parameters
        ----------
        place : str
            ``hidden`` or ``seen``.
        extent : int
            From 1 to 5.

        Returns
        -------
        bool
        """
        return extent >= self.from_extent and self.place in {place, "any"}


class Signal(Strict):
    """One thing that a sorter can see, count or feel.

    Attributes
    ----------
    counts : {'tell', 'worth'}
        A tell speaks of the make of the whole thing, which many signs share: its effects are what
        an answer says when it is all one knows. A worth moves the price by itself, whatever else
        is seen.
    ordered : bool
        Whether a worse answer of a ladder or a finding may never raise a price, whatever the sales
        say. A shop may free it, where its sales stand against the order.
    """

    id: Ident
    name: Annotated[str, Field(min_length=2, max_length=60)]
    zone: Ident
    seconds: Annotated[float, Field(gt=0, le=180)]
    hands: Paragraph
    see: Paragraph
    fools: Paragraph
    source: Line
    shape: Literal["choice", "ladder", "finding"]
    about: Literal["build", "wear", "label"]
    counts: Literal["tell", "worth"] = "worth"
    ordered: bool = True
    measure: Measure | None = None
    options: tuple[Option, ...]
    caution: Line | None = None
    only_if: OnlyIf | None = None

    @cached_property
    def option_ids(self) -> tuple[str, ...]:
        """Ids of the options, poor to good where there is an order."""
        return tuple(option.id for option in self.options)

    @cached_property
    def codes(self) -> dict[str, int]:
        """Place of each option among the options, by its id."""
        return {option_id: code for code, option_id in enumerate(self.option_ids)}

    @cached_property
    def named_options(self) -> tuple[tuple[str, str], ...]:
        """Id and name of each option."""
        return tuple((option.id, option.name) for option in self.options)

    def option(self, option_id: str) -> Option:
        """Return the option with this id."""
        return self.options[self.codes[option_id]]

    @model_validator(mode="after")
    def _options_make_sense(self) -> Self:
        ids = self.option_ids
        if len(set(ids)) != len(ids):
            raise ValueError("two options share an id")
        if len(ids) < 2:
            raise ValueError("a signal needs at least two options")
        total = sum(option.share for option in self.options)
        if abs(total - 1) > 0.005:
            raise ValueError(f"the shares of the options sum to {total:.3f}, not to 1")
        return self

    @model_validator(mode="after")
    def _order_is_sound(self) -> Self:
        if not self.ordered:
            return self
        if self.shape == "ladder":
            for poorer, better in pairwise(self.options):
                if better.effect < poorer.effect:
                    raise ValueError(
                        f"option {better.id} stands above {poorer.id} but lowers the price"
                    )
        if self.shape == "finding":
            _check_finding(self)
        return self

    @model_validator(mode="after")
    def _measure_fits(self) -> Self:
        if isinstance(self.measure, Stitches | Number):
            bands = self.measure.bands if isinstance(self.measure, Stitches) else ()
            for cuts in (self.measure.cuts, *(band.cuts for band in bands)):
                if len(cuts) != len(self.options) - 1 or list(cuts) != sorted(set(cuts)):
                    raise ValueError(
                        f"{len(self.options)} options need {len(self.options) - 1} rising cuts"
                    )
        if isinstance(self.measure, Fibres):
            unknown = [r.option for r in self.measure.rules if r.option not in self.option_ids]
            if unknown:
                raise ValueError(f"fibre rule names option {unknown[0]}, which is not there")
        return self


def finding_id(place: str, extent: int) -> str:
    """Id of the finding option at a place ('hidden' or 'seen') with extent 1 to 5.

    Parameters
    ----------
    place : str
        ``hidden`` or ``seen``.
    extent : int
        From 1 to 5.

    Returns
    -------
    str
        Such as ``seen_3``.
    """
    return f"{place}_{extent}"


def finding_place(option_id: str) -> tuple[str, int]:
    """Place and extent of a finding option; ('', 0) for none."""
    if option_id == NONE:
        return "", 0
    place, extent = option_id.rsplit("_", 1)
    return place, int(extent)


def _check_finding(signal: Signal) -> None:
    """More of a fault, or the same fault where it shows, never raises a price."""
    effect = {option.id: option.effect for option in signal.options}
    for place in PLACES:
        chain = [NONE, *(finding_id(place, extent) for extent in range(1, EXTENTS + 1))]
        for milder, worse in pairwise(chain):
            if effect[worse] > effect[milder]:
                raise ValueError(f"option {worse} is worse than {milder} but raises the price")
    # The core codes "how far" and "seen besides" as two ladders, so the loss for being seen must
    # itself never shrink as the fault grows.
    extra = [1.0]
    for extent in range(1, EXTENTS + 1):
        extra.append(effect[finding_id("seen", extent)] / effect[finding_id("hidden", extent)])
        if extra[-1] > extra[-2] + 1e-9:
            raise ValueError(
                f"at extent {extent} being seen costs less (seen over hidden {extra[-1]:.3f}) "
                f"than at extent {extent - 1} ({extra[-2]:.3f})"
            )
