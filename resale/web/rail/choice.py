"""Choose for me: which items go out now, what stays and why, and what the plan is worth."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import median

from resale.errors import SettingError
from resale.garments.rulebook.unsorted import unsorted_kind
from resale.selling.rail.balance import Bound, RailItem
from resale.selling.rail.knapsack import RailPlan, plan_rail
from resale.services.on_hand.lines import Rail, RailLine
from resale.web.core.shop import Shop
from resale.web.rail.rail_to_scale import RailDrawing, drawing_of

# A size that so few items have cannot crowd the rail.
RARE = 3


@dataclass(frozen=True)
class Wishes:
    """How long the rail is and how it should be balanced.

    Attributes
    ----------
    cm : float
    kind_most, size_most : float
        Shares in percent.
    """

    cm: float
    kind_most: float
    size_most: float

    @classmethod
    def of(cls, args: Mapping[str, str], shop: Shop) -> Wishes:
        """Read what was asked, or what the shop's settings say.

        Parameters
        ----------
        args : mapping of str to str
            Of the address: cm, kind_most and size_most (percent).
        shop : Shop
            For what is not asked.
        """
        settings = shop.settings
        return cls(
            _number(args, "cm", settings.rail_cm, 1e6),
            _number(args, "kind_most", 100 * settings.kind_most, 100),
            _number(args, "size_most", 100 * settings.size_most, 100),
        )


@dataclass(frozen=True)
class Choice:
    """A proposed rail. Money in minor units.

    Attributes
    ----------
    reasons : tuple of (str, tuple of RailLine)
        Why items stay, each reason with its items.
    plan_net, habit_net : int
        Expected net for the shop of what goes out, by the plan and by the shop's habit.
    trial : str
        How such a plan did against the last sales, in words.
    """

    wishes: Wishes
    plan: RailPlan
    chosen: tuple[RailLine, ...]
    hanging: tuple[RailLine, ...]
    reasons: tuple[tuple[str, tuple[RailLine, ...]], ...]
    drawing: RailDrawing
    plan_net: int
    habit_net: int
    trial: str

    @property
    def ahead(self) -> float:
        """By how many percent the plan is ahead of the habit."""
        return 100 * (self.plan_net - self.habit_net) / self.habit_net if self.habit_net else 0.0


def choose(shop: Shop, rail: Rail, wishes: Wishes) -> Choice:
    """Choose what goes out now.

    Parameters
    ----------
    shop : Shop
    rail : Rail
        Everything on hand, with its prices and plans.
    wishes : Wishes
        Length of the rail (cm), and the largest shares of a kind and a size.

    Notes
    -----
    An item's gain is what the shop can expect of it on the rail beyond passing it on today.
    """
    # Of a thing without a kind nobody can say what it would bring: a person puts it out.
    waiting = [line for line in rail.lines if line.standing == "ready" and line.planned]
    hanging = tuple(line for line in rail.lines if line.where == "on_rail")
    floor = shop.settings.pass_on_value * 10**shop.money.decimals
    items = [_item(line, line.net - floor) for line in waiting]
    bounds = _bounds(shop, wishes, [*waiting, *hanging], [item.gain for item in items])
    plan = plan_rail(
        items,
        wishes.cm,
        bounds,
        already=[_item(line, 0.0) for line in hanging],
        show=shop.money.show,
        number=shop.money.number,
    )
    known = rail.numbered()
    chosen = tuple(known[number] for number in plan.chosen)
    plan_net, habit_net = _nets(shop, rail, chosen)
    return Choice(
        wishes,
        plan,
        chosen,
        hanging,
        _reasons(plan, known),
        drawing_of(wishes.cm, hanging, chosen),
        plan_net,
        habit_net,
        rail.outlook.trial.verdict,
    )


def _item(line: RailLine, gain: float) -> RailItem:
    return RailItem(line.number, line.kind, line.size, gain, line.width)


def _bounds(shop: Shop, wishes: Wishes, lines: list[RailLine], gains: list[float]) -> list[Bound]:
    """Wishes for balance: an item too many counts as much as a middling item brings."""
    worth = [gain for gain in gains if gain > 0]
    penalty = median(worth) if worth else 0.0
    kinds = (*shop.book.kinds.values(), unsorted_kind())
    names = {kind.id: kind.text.plural.lower() for kind in kinds}
    bounds = [
        Bound(kind, most=wishes.kind_most / 100, share=True, penalty=penalty, name=names[kind])
        for kind in dict.fromkeys(line.kind for line in lines)
    ]
    sizes = Counter((line.kind, line.size) for line in lines if line.size)
    for (kind, size), count in sizes.items():
        if count >= RARE:
            name = f"{names[kind]} of size {size}"
            most = wishes.size_most / 100
            bounds.append(Bound(kind, size, most=most, share=True, penalty=penalty, name=name))
    return bounds


def _nets(shop: Shop, rail: Rail, chosen: tuple[RailLine, ...]) -> tuple[int, int]:
    rows = [line.row for line in chosen]
    compared = rail.outlook.compared
    minor = 10**shop.money.decimals
    both = (compared.plan.shop[rows].sum(), compared.habit.shop[rows].sum())
    return round(float(both[0]) * minor), round(float(both[1]) * minor)


def _reasons(
    plan: RailPlan, known: Mapping[str, RailLine]
) -> tuple[tuple[str, tuple[RailLine, ...]], ...]:
    grouped: dict[str, list[RailLine]] = {}
    for one in plan.left_out:
        grouped.setdefault(one.why, []).append(known[one.number])
    return tuple((why, tuple(lines)) for why, lines in grouped.items())


def _number(args: Mapping[str, str], name: str, default: float, most: float) -> float:
    text = args.get(name, "").strip().replace(",", ".")
    if not text:
        return float(default)
    try:
        number = float(text)
    except ValueError:
        number = 0.0
    if not 0 < number <= most:
        raise SettingError(
            f"{text[:20]!r} is not above 0 and up to {most:g}",
            where=_WORDS[name],
            remedy="write a number",
        )
    return number


_WORDS = {
    "cm": "length of the rail",
    "kind_most": "share of one kind",
    "size_most": "share of one size",
}
