"""Learning from a file of sales: the model, and what it gains over the rules alone."""

from __future__ import annotations

from dataclasses import dataclass
from math import expm1
from pathlib import Path

from resale.errors import ItemFileError
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.evaluation.spread import spread_as_read
from resale.pricing.evaluation.validation import FEWEST, Along, Validation, cross_validate
from resale.pricing.model.learn import learn
from resale.pricing.valuation.price_tables import PriceModel
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.storage.imports.items.item_files import ItemFile
from resale.storage.imports.past.sale_files import read_sales
from resale.storage.models.model_files import data_fingerprint


@dataclass(frozen=True)
class Lesson:
    """What one file of sales taught.

    Attributes
    ----------
    figures : Validation or None
        None where there are too few sales to say.
    data : str
        Fingerprint of the sales.
    spread : float
        How far they lie from their prices as they were read; see `spread_as_read`.
    """

    model: PriceModel
    items: ItemFile
    figures: Validation | None
    data: str
    spread: float

    def summary(self, book: RuleBook) -> list[str]:
        """Say it in sentences."""
        sold = ", ".join(
            f"{table.sold:,} {book.kinds[kind].text.plural.lower()}"
            for kind, table in self.model.tables.items()
            if table.sold
        )
        lines = [
            f"Learned from {int(self.model.sales):,} sales: {sold}.",
            f"As they were read, they spread by about {self.spread:.0%} around their prices; with "
            f"every sign looked at, about {self.model.noise:.0%} would be left.",
        ]
        if self.figures is None:
            lines.append(f"Fewer than {FEWEST} sales: too few to say how well this does.")
            return lines
        found = self.figures
        lines += [
            "Tried on sales that were left out of the learning, half of them lay within:",
            f"  {expm1(found.learned):.1%} of the learned estimate",
            f"  {expm1(found.levelled):.1%} of the rule book's, moved to this shop's level",
            f"  {expm1(found.rules):.1%} of the rule book's alone",
            f"and {found.inside:.1%} lay in their price band, which promises {found.coverage:.0%}.",
        ]
        return lines


def learn_from(path: Path, book: RuleBook, terms: ShopTerms, *, along: Along = iter) -> Lesson:
    """Learn from a file of sales.

    Parameters
    ----------
    path : Path
        A file of sales with our headings.
    book : RuleBook
    terms : ShopTerms
    along : callable, optional
        Wraps the parts of the work, to show how far it is.

    Returns
    -------
    Lesson
        The model, how it was judged, and the rows that could not be read.

    Raises
    ------
    ItemFileError
        If the file cannot be read, or has no row that can.
    """
    sales = read_sales(path, book)
    readings = sales.items.readings
    if not len(readings):
        raise ItemFileError(
            "no row could be read", where=path.name, remedy=sales.items.problems[0].sentence[:-1]
        )
    model = learn(book, readings, sales.price, sold_on=sales.sold_on)
    figures = None
    if len(readings) >= FEWEST:
        figures = cross_validate(book, readings, sales.price, terms, along=along)
    spread = spread_as_read(book, model, readings, sales.price)
    return Lesson(model, sales.items, figures, data_fingerprint(readings, sales.price), spread)
