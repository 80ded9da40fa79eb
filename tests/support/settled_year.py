"""A seeded year of an invented consignment shop, and what it owes, counted by brute force.

The count knows nothing of accounts: it keeps, for each thing, what it sold for and came back for,
at which share, and adds up in fractions. Rounding is a half up, as it is agreed on paper.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from math import floor
from random import Random

from consigned_shop import LEAD, ConsignedShop

from resale.services.settlement.consigned import agree_share, bring_items
from resale.services.settlement.owed import NewPayments, dues_now, pay
from resale.services.settlement.papers import statement_closed, statement_file, statement_paper
from resale.services.settlement.statements import close_all

PAYMENTS = ("cash", "card", "transfer", "other")


def part(price: int, share: str) -> int:
    return floor(Fraction(price) * Fraction(share) + Fraction(1, 2))


@dataclass
class Sale:
    """One sale of a thing, as it stands after corrections."""

    event: int
    day: date
    price: int
    share: str
    back: int = 0
    back_event: int = 0


@dataclass
class Thing:
    number: str
    consignor: str
    share: str
    sales: list[Sale] = field(default_factory=list)

    @property
    def out(self) -> bool:
        """Whether a buyer has it."""
        return bool(self.sales) and not self.sales[-1].back_event

    def owed(self) -> int:
        return sum(part(one.price - one.back, one.share) for one in self.sales)


class SettledYear:
    """A year month by month; `settle` closes each and gives what every statement printed."""

    def __init__(
        self, shop: ConsignedShop, seed: int, items: int, consignors: int, papers: int
    ) -> None:
        self.shop, self.rng, self.each = shop, Random(seed), items // 12  # noqa: S311 - a seeded year, no secret
        self.papers = papers
        self.shares = {f"C-{n:04d}": "0.5" for n in range(1, consignors + 1)}
        self.things: list[Thing] = []
        self.moved: defaultdict[str, int] = defaultdict(int)
        self.printed: dict[tuple[str, int], tuple[bytes, bytes]] = {}
        self.closing: defaultdict[str, int] = defaultdict(int)
        for number in self.shares:
            shop.consignor(number, date(2026, 1, 1))

    def month(self, first: date) -> None:
        """Take in, sell, take back, correct, pay and take off, all on days of one month."""
        rng, days = self.rng, [first + timedelta(n) for n in range(28)]
        self._bring(days[0])
        for day in days:
            for thing in rng.sample(self.things, min(len(self.things), self.each // 12 + 1)):
                self._happens(thing, day)
            if rng.random() < 0.3:
                self._move(day)

    def settle(self, end: date, on: date) -> None:
        for closed in close_all(self.shop.shop, LEAD, end, self.shop.at(on)):
            serial = closed.serial
            self.printed[closed.consignor.number, serial] = self.print(closed)
            assert closed.opening == self.closing[closed.consignor.number]
            self.closing[closed.consignor.number] = closed.closing
        # Most are paid what their statement says, some are not, and some are paid twice by mistake.
        due = [one.number for one in dues_now(self.shop.shop) if one.to_pay]
        some = [number for number in due if self.rng.random() < 0.8]
        if some:
            new = NewPayments(some, self.rng.choice(PAYMENTS), on, f"pay-{on}")
            for _ in range(2):
                for number, amount in pay(self.shop.shop, LEAD, new, self.shop.at(on)).items():
                    self.moved[number] -= amount

    def print(self, statement) -> tuple[bytes, bytes]:
        """Its file, and of some its paper, which takes longer to draw than all the rest."""
        drawn = (statement.serial + int(statement.consignor.number[2:])) % self.papers == 0
        return statement_file(statement), statement_paper(statement) if drawn else b""

    def printed_again(self) -> dict[tuple[str, int], tuple[bytes, bytes]]:
        return {key: self.print(statement_closed(self.shop.shop, *key)) for key in self.printed}

    def owed(self) -> dict[str, int]:
        """What each is owed, by brute force."""
        sums = {number: self.moved[number] for number in self.shares}
        for thing in self.things:
            if thing.consignor:
                sums[thing.consignor] += thing.owed()
        return sums

    def till(self) -> int:
        """Sales less returns, by brute force."""
        return sum(one.price - one.back for thing in self.things for one in thing.sales)

    # ------------------------------------------------------------ what happens
    def _bring(self, day: date) -> None:
        rng = self.rng
        for number in rng.sample(sorted(self.shares), 2):
            share = rng.choice(["0.4", "0.55", "0.6", "0.333333"])
            agree_share(self.shop.shop, LEAD, number, Decimal(share), self.shop.at(day))
            self.shares[number] = share
        fresh = [self.shop.ledger.item("01-01") for _ in range(self.each)]
        theirs: defaultdict[str, list[str]] = defaultdict(list)
        for item in fresh:
            theirs[rng.choice([*self.shares, *self.shares, ""])].append(item)
        for number, items in theirs.items():
            own = rng.choice(["", "", "0.7"])
            if number:
                agreed = Decimal(own) if own else None
                bring_items(self.shop.shop, LEAD, number, items, self.shop.at(day), agreed)
            share = own or self.shares.get(number, "0")
            self.things += [Thing(item, number, share) for item in items]

    def _happens(self, thing: Thing, day: date) -> None:
        chance = self.rng.random()
        if not thing.out:
            price = self.rng.randint(100, 20_000)
            paid = {"payment": self.rng.choice(PAYMENTS)}
            event = self.shop.sells(thing.number, day, price, data=paid)
            thing.sales.append(Sale(event, day, price, thing.share))
        elif chance < 0.5:
            sale = thing.sales[-1]
            sale.back = sale.price if chance < 0.4 else self.rng.randint(1, sale.price)
            sale.back_event = self.shop.happens(thing.number, "returned", day, sale.back)
        elif chance < 0.7:
            sale = thing.sales[-1]
            sale.price = self.rng.randint(100, 20_000)
            self._correct(thing, sale, day, sale.price)
        elif chance < 0.8:
            self._correct(thing, thing.sales.pop(), day, None)

    def _correct(self, thing: Thing, sale: Sale, on: date, price: int | None) -> None:
        said = f"{sale.day:%m-%d}"
        never = {"strikes": True} if price is None else {}
        self.shop.corrects(thing.number, sale.event, f"{on:%m-%d}", said, price, **never)

    def _move(self, day: date) -> None:
        number, amount = self.rng.choice(sorted(self.shares)), self.rng.randint(50, 3000)
        what = self.rng.choice(["payout", "deduction", "deposit"])
        more = {"note": "a repair", "in_advance": True}
        self.shop.moves(number, what, day, amount, **more)
        self.moved[number] += amount if what == "deposit" else -amount


def settled(
    shop: ConsignedShop, *, seed: int, items: int, consignors: int, papers: int, months: int = 11
) -> SettledYear:
    """Live through a year and look at the books after each closing; one in `papers` is drawn."""
    year = SettledYear(shop, seed, items, consignors, papers)
    for month in range(1, months + 1):
        first, following = date(2026, month, 1), date(2026, month + 1, 1)
        year.month(first)
        year.settle(following - timedelta(1), following)
        books = {number: due for number, due in _books(shop).items() if due}
        assert books == {number: due for number, due in year.owed().items() if due}, month
        shop.accounts()
    return year


def _books(shop: ConsignedShop) -> dict[str, int]:
    return {one.number: one.owed for one in dues_now(shop.shop)}
