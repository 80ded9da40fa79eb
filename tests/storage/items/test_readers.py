"""Who read an item on the bench, and whose reading held when."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from a_save import a_save
from writing import save_item

from resale.storage.items.readers import has_read, reader_then, readers
from resale.storage.people.people import add_person
from resale.storage.people.second_looks import NewLook, save_looks

AT = datetime(2026, 3, 1, 12, 30, tzinfo=UTC)
LATER = AT + timedelta(hours=3)


def test_each_reading_on_the_bench_has_its_reader_the_oldest_first(records):
    number = save_item(records, a_save(), AT, by="Nell")
    save_item(records, a_save("key-2", number=number), LATER, by="Zora")
    other = save_item(records, a_save("key-3"), AT)
    found = readers(records, [number, other, "Q-00099"])
    assert [(one.name, one.at) for one in found[number]] == [("Nell", AT), ("Zora", LATER)]
    assert [one.name for one in found[other]] == ["Sunniva"]
    assert "Q-00099" not in found
    assert has_read(found, number, "nell") and has_read(found, number, "Zora")
    assert not has_read(found, number, "Brenn") and not has_read(found, "Q-00099", "Nell")
    assert reader_then(found, number, AT + timedelta(minutes=1)) == "Nell"
    assert reader_then(found, number, LATER) == "Zora"
    assert reader_then(found, number, AT - timedelta(minutes=1)) == ""


def test_without_numbers_it_is_about_what_was_looked_at_twice(records):
    number = save_item(records, a_save(), AT, by="Nell")
    save_item(records, a_save("key-2"), AT, by="Nell")
    zora = add_person(records, "Zora", "lead", AT)
    save_looks(records, [NewLook("k", number, zora.id, {"pilling": "grade_4"}, {}, 9.0)], AT)
    assert set(readers(records)) == {number}
