"""Records in a file and on a server: what holds for one has to hold for the other."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from servers import Place, emptied, own_schema, server_address
from sqlalchemy import Engine


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
