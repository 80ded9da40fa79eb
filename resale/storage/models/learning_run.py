"""Learning from a file of sales: the model, and what it gains over the rules alone."""

from __future__ import annotations

from dataclasses import dataclass
from math import expm1
from pathlib import Path

import numpy as np

from resale.errors import ItemFileError
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.evaluation.spread import spread_as_read
from resale.pricing.evaluation.spread_words import spread_words
from resale.pricing.evaluation.validation import FEWEST, Along, Validation, cross_validate
from resale.pricing.model.learn import learn
from resale.pricing.valuation.price_tables import PriceModel
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.storage.imports.cells.past_cells import Reading
from resale.storage.imports.past.own_sales import OwnSales, read_own_sales
from resale.storage.imports.tables.table_files import read_bytes
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
    own: OwnSales
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
            spread_words(self.spread, self.model.noise),
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


def learn_from(path: Path, by: Reading, terms: ShopTerms, *, along: Along = iter) -> Lesson:
    """Learn from a file of sales.

    Parameters
    ----------
    path : Path
        A file of sales, under any headings.
    by : Reading
        What the user said of it, what is remembered, and by which book.
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
    own, book = read_own_sales(read_bytes(path), path.name, by), by.book
    if not len(own.good):
        raise ItemFileError(
            "no row could be read", where=path.name, remedy=own.problems[0].sentence[:-1]
        )
    # A row that sold three things is three sales of a third.
    pieces = own.pieces.astype(int)
    rows = np.repeat(own.good, pieces[own.good])
    readings, price = own.sales.items.readings.rows(rows), (own.sales.price / pieces)[rows]
    model = learn(
        book,
        readings,
        price,
        sold_on=own.sales.sold_on[rows],
        old_wear_counts=terms.old_wear_counts,
    )
    figures = None
    if len(readings) >= FEWEST:
        figures = cross_validate(book, readings, price, terms, along=along)
    spread = spread_as_read(book, model, readings, price, terms)
    return Lesson(model, own, figures, data_fingerprint(readings, price), spread)
