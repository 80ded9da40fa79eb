"""What the API answers of the shop itself: that it is there, its rule book and its prices."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from resale.web.api.responses.base import Answer


class Health(Answer):
    """That the shop answers."""

    status: Literal["ok"] = "ok"


class Book(Answer):
    """A rule book."""

    version: str
    fingerprint: str


class Catalogue(Answer):
    """Kinds with their signs, options and how to look."""

    rule_book: str
    columns: list[str]
    looks: list[dict[str, Any]]
    not_looked_at: list[str]
    kinds: list[dict[str, Any]]


class KindSales(Answer):
    """What the prices of a kind rest on."""

    kind: str
    sales: int
    band_of_its_own: bool


class Model(Answer):
    """The prices in use."""

    model: str
    rule_book: Book
    sales: int
    kinds: list[KindSales]
    coverage: float
    currency: str
    decimals: int
    invented: bool
    fallback: str | None = Field(description="Why the expected prices are not in use.")
