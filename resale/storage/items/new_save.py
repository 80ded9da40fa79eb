"""What is handed in to be saved: an item as it was read, with its valuation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuation import Valuation
from resale.storage.ledger.hold_rows import HandRaised


@dataclass(frozen=True)
class NewSave:
    """What a bench hands in to be saved.

    Attributes
    ----------
    key : str
        Made by the page once; sending the same key with the same inputs again saves nothing new.
    number : str or None
        The item to value again; None for a new one.
    wanted : int or None
        Serial number for a new item that already has one, on paper or in another file.
    inputs : dict
        Options, texts as typed and measures, enough to open the item on the bench again.
    terms : ShopTerms or None
        The terms it was valued by, so that the ticket can be worked out again.
    decided : mapping or None
        What was decided of it beside its price, as plain values.
    hand_raised : tuple of HandRaised
        Holds that were raised by hand beside what the readings raise by themselves.
    own_number : str
        The shop's own number for a new item, on paper already; empty for one of ours.
    taken_in_on : date or None
        Day on which a new item came in, where that was not today.
    before : mapping or None
        Its life in another shop, as plain values (`resale.services.chain.parcel`).
    """

    key: str
    number: str | None
    kind: str
    label: str
    size: str
    note: str
    inputs: dict[str, Any]
    valued: Valuation
    book_version: str
    book_fingerprint: str
    model_id: str
    wanted: int | None = None
    terms: ShopTerms | None = None
    decided: Mapping[str, Any] | None = None
    hand_raised: tuple[HandRaised, ...] = ()
    own_number: str = ""
    taken_in_on: date | None = None
    before: Mapping[str, Any] | None = None
