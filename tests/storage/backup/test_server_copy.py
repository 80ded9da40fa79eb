"""A copy of a shop on a PostgreSQL server: one checked file, and the way back."""

from __future__ import annotations

import json
import shutil
import zipfile
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from ledger_shop import NOON, LedgerShop
from servers import Place, drop, own_schema, server_address
from sqlalchemy import Engine, create_engine, insert, make_url, text

from resale.storage.backup.make import make_backup
from resale.storage.backup.manifest import MANIFEST, CopyError
from resale.storage.backup.server_dump import DUMP, totals_on_server
from resale.storage.backup.server_restore import restore_to_server
from resale.storage.backup.verify import check_archive
from resale.storage.db.tables import ItemRow

needs_client = pytest.mark.skipif(
    shutil.which("pg_dump") is None, reason="the client programs of PostgreSQL are not installed"
)
pytestmark = needs_client
PHOTO = b"\xff\xd8\xff\xe0 not a real photograph " * 40


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Place]:
    server_address()
    with own_schema() as schema:
        found = Place(tmp_path / "shop", schema)
        yield found
        found.close()
        for name in asides(schema):
            drop(name)


def plain() -> Engine:
    """The server as anybody asks it, without a line of ours."""
    return create_engine(make_url(server_address()).set(drivername="postgresql+psycopg"))


def asides(schema: str) -> list[str]:
    engine = plain()
    with engine.connect() as one:
        like = text("SELECT nspname FROM pg_namespace WHERE nspname LIKE :like")
        found = list(one.scalars(like, {"like": f"{schema}%aside%"}))
    engine.dispose()
    return found


def counted(schema: str, table: str) -> int:
    engine = plain()
    with engine.connect() as one:
        found = one.scalar(text(f"SELECT count(*) FROM {schema}.{table}"))  # noqa: S608
    engine.dispose()
    return int(found or 0)


@pytest.fixture
def copy(place: Place, tmp_path: Path) -> Path:
    """Three items, two of them sold, and a photo; then one item more after the copy."""
    records = place.open()
    shop = LedgerShop(records)
    for amount in (1250, 990, None):
        number = shop.item()
        if amount is not None:
            shop.happens(number, "sold", "03-01", amount, note="tab\there, line\nthere, \\. end")
    (place.folder / "photos").mkdir()
    (place.folder / "photos" / "one.jpg").write_bytes(PHOTO)
    kept = make_backup(records, place.settings(), tmp_path / "copies", NOON)
    assert kept.manifest.counts["item"] == 3 and kept.manifest.sold == {"EUR": 2240}
    assert kept.manifest.shop_key == place.schema
    shop.item()
    (place.folder / "photos" / "one.jpg").write_bytes(b"changed")
    records.dispose()
    return kept.path


def test_it_is_one_file_that_can_be_checked_without_a_server(copy: Path) -> None:
    with zipfile.ZipFile(copy) as archive:
        assert {DUMP, MANIFEST, "photos/one.jpg"} <= set(archive.namelist())
    assert check_archive(copy).counts["item"] == 3


def test_it_brings_back_rows_and_files_and_sets_aside_what_stood_there(
    place: Place, copy: Path
) -> None:
    back = restore_to_server(copy, place.settings(), NOON + timedelta(hours=1))
    assert counted(place.schema, "item") == 3
    assert (place.folder / "photos" / "one.jpg").read_bytes() == PHOTO
    (aside,) = asides(place.schema)
    assert counted(aside, "item") == 4
    assert back.set_aside is not None
    assert (back.set_aside / "photos" / "one.jpg").read_bytes() == b"changed"
    records = place.open()
    assert totals_on_server(records).sold == {"EUR": 2240}
    # What is only ever added stays so: the triggers came back too.
    shop = LedgerShop(records)
    assert shop.item() == "Q-00004"


def test_days_of_a_server_share_their_rows_and_each_comes_back(
    place: Place, tmp_path: Path
) -> None:
    records = place.open()
    shop, made_at = LedgerShop(records), NOON.replace(tzinfo=None)
    number = shop.item()
    rows = [
        {"id": n, "number": f"Q-{n:05d}", "client_key": f"{n}", "kind": "shirt", "made_at": made_at}
        for n in range(10, 6000)
    ]
    with records.execution_options(writes=True).begin() as one:
        one.execute(insert(ItemRow), [{**row, "note": f"note {row['id'] ** 7}"} for row in rows])
    shop.happens(number, "put_out", "02-01", 1500)
    days = []
    for day in range(2):
        at = NOON + timedelta(days=day)
        days.append(make_backup(records, place.settings(), tmp_path / "copies", at, why="daily"))
        if not day:
            shop.happens(number, "sold", "03-01", 990)
    first, second = (one.manifest for one in days)
    # Where pieces are cut hangs on the schema's name too, which is another each time.
    assert second.added < 0.6 * first.added, (first.added, second.added)
    records.dispose()
    restore_to_server(days[0].path, place.settings(), NOON + timedelta(hours=1))
    assert totals_on_server(place.open()) == first.totals


def test_a_shop_that_is_open_is_not_replaced(place: Place, copy: Path) -> None:
    records = place.open()
    with records.connect(), pytest.raises(CopyError, match="open somewhere"):
        restore_to_server(copy, place.settings(), NOON)
    assert counted(place.schema, "item") == 4 and asides(place.schema) == []


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"sold": {"EUR": 2241}}, "adds up to another sum"),
        ({"counts": {"item": 4}}, "item: 3 rows, not 4"),
        ({"shop_key": "another"}, "the copy is of shop_key 'another'"),
        ({"shop_key": ""}, "are a file, and this shop keeps its own on a server"),
    ],
)
def test_a_copy_that_does_not_say_what_it_is_changes_nothing(
    place: Place, copy: Path, changes: dict[str, object], sentence: str
) -> None:
    with zipfile.ZipFile(copy) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    said = json.loads(files[MANIFEST])
    said["counts"] = {**said["counts"], **changes.pop("counts", {})}  # type: ignore[dict-item]
    files[MANIFEST] = json.dumps({**said, **changes}).encode()
    with zipfile.ZipFile(copy, "w") as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    with pytest.raises(CopyError, match=sentence):
        restore_to_server(copy, place.settings(), NOON)
    assert counted(place.schema, "item") == 4 and asides(place.schema) == []


def test_where_the_files_cannot_change_places_the_schema_is_as_it_was(
    place: Place, copy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuses(*_: object) -> None:
        raise CopyError("the folder cannot be given another name")

    monkeypatch.setattr("resale.storage.backup.server_restore.change_places", refuses)
    with pytest.raises(CopyError, match="another name"):
        restore_to_server(copy, place.settings(), NOON)
    assert counted(place.schema, "item") == 4 and asides(place.schema) == []


def test_without_the_servers_programs_a_sentence_says_what_to_install(
    place: Place, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    records = place.open()
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(CopyError, match="pg_dump is not installed on this machine; install"):
        make_backup(records, place.settings(), tmp_path / "copies", NOON)
