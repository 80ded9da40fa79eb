"""The desk of a chain: every shop by its own records, and what cannot be opened said so."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from a_save import a_save, a_valued
from writing import add_events, save_items

from resale.config.settings import read_settings
from resale.garments.labels.label_key import label_key
from resale.garments.rulebook.readings import one_reading
from resale.services.chain.desk import ChainDesk, ChainError, Member, shop_named
from resale.services.chain.side_by_side import common_labels, figures_of, label_factors
from resale.services.shop import Shop, open_shop
from resale.storage.db.database import FILE_NAME
from resale.storage.ledger.event_checks import NewEvent

TODAY = datetime.now(UTC).date()


@pytest.fixture(scope="module")
def three(
    tmp_path_factory: pytest.TempPathFactory,
    copy_of_demo: Callable[[Path], Path],
    empty_records: Path,
) -> Path:
    """Harbour, which sees two others: Mill, with as much history, and Quay, just opened."""
    place = tmp_path_factory.mktemp("chain")
    for name in ("harbour", "mill"):
        copy_of_demo(place / name)
        written = place / name / "shop.toml"
        lines = [x for x in written.read_text("utf-8").splitlines() if not x.startswith("name ")]
        others = ['other_shops = ["../mill", "../quay", "../gone"]'] * (name == "harbour")
        written.write_text("\n".join([f'name = "{name.title()}"', *others, *lines, ""]), "utf-8")
    (place / "quay").mkdir()
    (place / "quay" / FILE_NAME).write_bytes(empty_records.read_bytes())
    (place / "quay" / "shop.toml").write_text('name = "Quay"\n', encoding="utf-8")
    return place


@pytest.fixture
def own(three: Path) -> Iterator[Shop]:
    shop = open_shop(read_settings(three / "harbour"))
    yield shop
    shop.records.dispose()


def asked(three: Path, name: str, query: str) -> list[tuple]:
    with closing(sqlite3.connect(three / name / FILE_NAME)) as records:
        return records.execute(query).fetchall()


def test_each_shop_is_seen_by_its_own_records(three: Path, own: Shop) -> None:
    with closing(ChainDesk()) as desk:
        members = desk.members(own)
        assert [one.name for one in members] == ["Harbour", "Mill", "Quay", "gone"]
        assert members[3].shop is None
        assert "no such folder" in members[3].trouble
        # Asked again, the same connections are used.
        assert desk.members(own)[1].shop is members[1].shop
        mill, quay = members[1].shop, members[2].shop
        assert mill is not None
        assert quay is not None
        found = figures_of(mill, TODAY, 365)
        empty = figures_of(quay, TODAY, 365)
    # By plain SQL over events that nobody corrected, without a line of ours.
    sold = asked(
        three,
        "mill",
        "SELECT count(*), sum(amount) FROM event e WHERE what = 'sold' AND day > "  # noqa: S608
        f"date('{TODAY}', '-365 days') AND NOT EXISTS (SELECT 1 FROM event o WHERE "
        "o.item_id = e.item_id AND o.id > e.id AND o.what IN ('returned', 'sold', 'corrected'))",
    )
    assert [(found.sold, found.brought)] == sold
    assert found.on_hand >= found.on_rail
    assert found.sold_within is not None
    assert 0 < found.sold_within < 1
    assert sum(one.sales for one in found.labels.values()) <= found.sold
    assert (empty.on_hand, empty.sold, empty.sold_within, empty.off) == (0, 0, None, None)


def test_prices_off_and_in_band_are_those_of_the_rows(tmp_path: Path, empty_records: Path) -> None:
    """Thirty things that were valued here sold for half to double their estimate."""
    shutil.copy(empty_records, tmp_path)
    shop = open_shop(read_settings(tmp_path, environment={}))
    at = datetime.now(UTC)
    numbers = save_items(shop.records, [a_save(f"key-{place}") for place in range(30)], at)
    estimate = a_valued(cuff_buttons="working").estimate
    paid = [round(estimate * 2 ** (place / 15 - 1)) for place in range(30)]
    events = [
        NewEvent(number, "sold", at.date(), f"sold {number}", amount)
        for number, amount in zip(numbers, paid, strict=True)
    ]
    add_events(shop.records, events, currency="EUR", at=at)
    found = figures_of(shop, TODAY, 30)
    # A day is the last of thirty, and then none of them.
    late = [figures_of(shop, TODAY + timedelta(days=one), 30).sold for one in (29, 30)]
    assert late == [30, 0]
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as records:
        low, high = records.execute("SELECT low, high FROM valuation").fetchone()
    shop.records.dispose()
    ratio = np.array(paid) / estimate
    assert (found.judged, found.sold) == (30, 30)
    assert found.off == pytest.approx(100 * (np.median(np.maximum(ratio, 1 / ratio)) - 1), rel=0.02)
    assert found.in_band == np.mean([low <= one <= high for one in paid])


def test_a_labels_factor_is_what_the_valuer_makes_of_it(own: Shop) -> None:
    """Each factor lies among what single kinds make of the label, valued with it and without."""
    model = own.valuer.model
    factors = label_factors(model)
    assert len(factors) == len(model.labels) > 3
    for name in model.labels[:3]:
        ratios = []
        for kind in (kind for kind, table in model.tables.items() if table.sold):
            bare, named = (
                own.valuer.value(one_reading(own.book, kind, {}, label)).standing[0]
                for label in ("", name)
            )
            ratios.append(np.exp(named - bare))
        assert min(ratios) - 1e-9 <= factors[label_key(name)] <= max(ratios) + 1e-9


def test_labels_stand_side_by_side_however_they_are_spelt(own: Shop) -> None:
    one = figures_of(own, TODAY, 365)
    name = max(one.labels, key=lambda label: one.labels[label].sales)
    other = type(one)(1, 1, 5, 500, None, None, None, 0, {name.upper(): one.labels[name]})
    first = common_labels([("Harbour", one), ("Mill", other)])[0]
    assert first[0] == name
    assert [there.sales for there in first[1]] == [one.labels[name].sales] * 2


def test_one_shop_named_twice_or_two_of_one_name_are_refused(three: Path, own: Shop) -> None:
    def named(*folders: str) -> Shop:
        places = tuple(map(Path, folders))
        changed = own.settings.model_copy(update={"other_shops": places})
        return Shop(**{f: getattr(own, f) for f in _FIELDS} | {"settings": changed})

    with closing(ChainDesk()) as desk:
        for folders in (("../mill", "../harbour/../mill"), ("../harbour",)):
            with pytest.raises(ChainError, match=r"stands among the others twice|are called"):
                desk.members(named(*folders))
    quay = three / "quay" / "shop.toml"
    before = quay.read_text("utf-8")
    quay.write_text('name = "mill"\n', encoding="utf-8")
    with closing(ChainDesk()) as desk, pytest.raises(ChainError, match="are called mill"):
        desk.members(named("../mill", "../quay"))
    quay.write_text(before, encoding="utf-8")


_FIELDS = ("settings", "book", "changed", "valuer", "records", "model_id", "fallback", "version")


def test_a_shop_of_another_version_is_left_alone(three: Path, own: Shop) -> None:
    def step(to: str) -> str:
        with closing(sqlite3.connect(three / "quay" / FILE_NAME)) as records:
            ((was,),) = records.execute("SELECT version_num FROM alembic_version")
            records.execute("UPDATE alembic_version SET version_num = ?", [to])
            records.commit()
        return str(was)

    was = step("0001")
    with closing(ChainDesk()) as desk:
        (quay,) = (one for one in desk.members(own) if one.name.lower() == "quay")
        assert "another version of the program" in quay.trouble
    assert step(was) == "0001"


def test_a_shop_is_found_by_its_name_alone(own: Shop) -> None:
    members = (Member("Harbour", own), Member("Quay", None, "Quay: no shop lies in it; open one."))
    assert shop_named(members, " harbour ") is own
    with pytest.raises(ChainError, match="name one of Harbour, Quay"):
        shop_named(members, "Mill")
    with pytest.raises(ChainError, match="no shop lies in it"):
        shop_named(members, "quay")


def test_days_are_counted_back_from_the_day_that_is_asked(own: Shop) -> None:
    assert figures_of(own, date(1999, 1, 1), 90).sold == 0
