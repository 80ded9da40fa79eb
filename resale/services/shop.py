"""A shop at work: its settings, rule book, prices and records in one value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import cached_property
from typing import Any

from sqlalchemy import Engine

from resale.config.settings import Settings
from resale.errors import ResaleError
from resale.garments.rulebook.readings import one_reading
from resale.garments.rulebook.rule_book import Kind, RuleBook, load_rule_book
from resale.garments.rulebook.unsorted import UNSORTED, unsorted_kind
from resale.money import Money
from resale.pricing.valuation.by_kind import ByKind
from resale.pricing.valuation.explanation import explain
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.striking import Striking, striking_of
from resale.pricing.valuation.valuation import Valuation
from resale.pricing.valuation.valuer import Valuer
from resale.safety.required_looks import HOLDING, STANDING
from resale.services.items.by_hand import valued_by_hand
from resale.services.items.entry import Entry
from resale.services.items.signs_in_front import signs_in_front
from resale.storage.backup.shared_before import share_what_lies_here
from resale.storage.db.database import records_of
from resale.storage.items.label_rows import label_name
from resale.storage.models.book_in_use import book_of_shop, prices_in_use
from resale.storage.models.version_in_use import Version, version_in_use


class NoSuchKindError(ResaleError):
    """The address names a kind that the rule book does not have."""


@dataclass(frozen=True)
class Shop:
    """All that a use case may ask for.

    Attributes
    ----------
    book : RuleBook
        The one that prices follow now.
    changed : RuleBook
        The one with all changes of the shop; another than `book` until prices are learned again.
    model_id : str
        Short name of the prices in use, kept with every valuation.
    fallback : str or None
        Why prices follow the rule book alone, or the book of before, where they should not.
    version : Version
        What prices and rules rested on when this shop was put together.
    memory : dict
        What was worked out over its prices and is asked for again; it goes when they change.
    """

    settings: Settings
    book: RuleBook
    changed: RuleBook
    valuer: Valuer
    records: Engine
    model_id: str
    fallback: str | None
    version: Version
    memory: dict[Any, Any] = field(init=False, default_factory=dict, repr=False, compare=False)

    @property
    def money(self) -> Money:
        """Money as this shop writes it."""
        return self.settings.money

    @cached_property
    def terms(self) -> ShopTerms:
        """What the shop's settings say of a valuation."""
        return ShopTerms.of(self.settings)

    @cached_property
    def in_front(self) -> Mapping[str, frozenset[str]]:
        """Signs that stand in front on the bench, by kind."""

        def laid_out(kind: str) -> frozenset[str]:
            if kind == UNSORTED:
                return frozenset(unsorted_kind().by_id)
            return signs_in_front(self.book.kinds[kind], self.valuer)

        return ByKind([*self.book.kinds, UNSORTED], laid_out)

    @cached_property
    def striking(self) -> Mapping[str, tuple[Striking, ...]]:
        """What strikes at a glance, by kind; what required looks hang on is asked by itself."""

        def laid_out(kind_id: str) -> tuple[Striking, ...]:
            if kind_id == UNSORTED:
                return ()
            kind = self.book.kinds[kind_id]
            return striking_of(self.valuer, kind, HOLDING | kind.holding | {STANDING})

        return ByKind([*self.book.kinds, UNSORTED], laid_out)

    def kind(self, kind_id: str) -> Kind:
        """Find a kind by the id in an address, or what stands for things without one."""
        return unsorted_kind() if kind_id == UNSORTED else self.valued_kind(kind_id)

    def kind_name(self, kind_id: str) -> str:
        """What a kind is called, as an item has it; one that the rule book lost by its id."""
        kinds = {**self.changed.kinds, UNSORTED: unsorted_kind()}
        return kinds[kind_id].text.name if kind_id in kinds else kind_id

    def valued_kind(self, kind_id: str) -> Kind:
        """Find a kind by which things are valued.

        Raises
        ------
        NoSuchKindError
            If the rule book has none of that id.
        """
        kind = self.book.kinds.get(kind_id)
        if kind is None:
            raise NoSuchKindError(
                f"the rule book has no kind {kind_id[:40]!r}", remedy="pick one of the kinds it has"
            )
        return kind

    @property
    def zone_names(self) -> Mapping[str, str]:
        """Zones by id, those of things without a kind among them."""
        return {**load_rule_book().zone_names, **self.book.zone_names}

    def label(self, text: str) -> str:
        """What the shop calls the label that is written so."""
        return label_name(self.records, text)

    def explain(self, entry: Entry) -> Valuation:
        """Value what stands on the bench."""
        label = self.label(entry.label)
        if entry.by_hand is not None:
            return valued_by_hand(entry.by_hand, entry.choices, label, self.terms)
        return explain(self.valuer, one_reading(self.book, entry.kind, entry.choices, label))

    def now(self) -> datetime:
        """The one place where the screens' side reads the clock."""
        return datetime.now(UTC)

    def here(self) -> datetime:
        """Now, in the time of the shop's machine: its day is the shop's today."""
        return self.now().astimezone()


def open_shop(settings: Settings) -> Shop:
    """Open the records of a shop, with its own prices where it has learned some."""
    records = records_of(settings)
    share_what_lies_here(records, settings)
    return shop_over(settings, records)


def shop_over(settings: Settings, records: Engine) -> Shop:
    """Follow the prices and the rule book as they are now, over records that are open.

    Parameters
    ----------
    settings : Settings
        That hold from now on.
    records : Engine
        Open already.
    """
    # Asked first: what changes while the rest is read is then followed at the next look.
    version = version_in_use(records, settings)
    changed = book_of_shop(settings, records)
    prices = prices_in_use(settings, changed, records)
    return Shop(
        settings,
        prices.book,
        changed,
        prices.valuer(ShopTerms.of(settings)),
        records,
        prices.model_id,
        prices.fallback,
        version,
    )
