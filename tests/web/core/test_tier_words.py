"""The tier on the ticket and the likeliest tier: where they differ, the words say why."""

import pytest
from flask import Flask

from resale.services.items.entry import entry_of
from resale.services.shop import Shop
from resale.web.core.wording import chance_words


@pytest.mark.parametrize(
    ("kind", "seen", "differs"),
    [("jacket", {}, True), ("bag", {"label_standing": "luxury"}, False)],
)
def test_a_tier_that_is_not_the_likeliest_is_said_to_be_the_middle(
    app: Flask, kind: str, seen: dict[str, str], *, differs: bool
) -> None:
    shop: Shop = app.extensions["resale"]
    valued = shop.explain(entry_of(shop.kind(kind), seen, {}))
    likeliest = max(valued.chances, key=lambda one: one.chance)
    assert (likeliest.id != valued.tier) == differs
    said = chance_words(valued)
    assert said.startswith(f"May land in {likeliest.name} ")
    assert (f"{valued.tier_name} is the middle of these" in said) == differs
