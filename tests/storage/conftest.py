"""Records in a file and on a server: what holds for one has to hold for the other."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from servers import Place, emptied, own_schema, server_address
from sqlalchemy import Engine

# Searches and fits that take seconds: every day in a file, on a server with the long ones.
SLOW_ON_A_SERVER = (
    "test_whatever_is_tried_the_two_roads_to_what_holds_agree",
    "test_a_hold_is_open_if_and_only_if_it_was_raised_after_it_was_last_cleared",
    "test_an_old_valuation_is_worked_out_again_to_the_cent",
    "test_a_fit_is_a_new_model_that_prices_follow_and_one_action_leads_back",
    "test_older_sales_count_less_by_the_shop_s_own_half_life",
)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Leave to the long run what takes seconds on a server."""
    for item in items:
        if item.name.endswith("[server]") and item.name.startswith(SLOW_ON_A_SERVER):
            item.add_marker(pytest.mark.long)


@pytest.fixture(scope="session")
def schema() -> Iterator[str]:
    server_address()
    with own_schema() as name:
        yield name


@pytest.fixture(params=["file", "server"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Place]:
    """Records without a row; a test that asks for it runs once in each place."""
    folder = tmp_path / "shop"
    folder.mkdir()
    schema = request.getfixturevalue("schema") if request.param == "server" else ""
    if schema:
        emptied(schema)
    found = Place(folder, schema)
    yield found
    found.close()


@pytest.fixture
def records(place: Place) -> Engine:
    return place.open()
