"""Records in a file and on a server: what holds for one has to hold for the other."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from servers import Place, emptied, own_schema, server_address
from sqlalchemy import Engine

# What the database itself has to do (search, refuse, let one go before the other), and a main way
# of each file of tests. All the others are asked of a file everyday, of a server in the long run.
ON_A_SERVER_EVERYDAY = {
    # backup
    "test_all_that_was_saved_is_in_the_files",
    # imports
    "test_a_load_writes_lives_and_the_sums_are_those_of_the_file",
    # items
    "test_a_stored_valuation_can_be_neither_changed_nor_removed",
    "test_each_reading_on_the_bench_has_its_reader_the_oldest_first",
    "test_filters_narrow_what_words_find",
    "test_search_takes_signs_of_the_database_as_plain_text",
    "test_the_last_step_of_the_records_is_what_the_tables_say",
    "test_two_desks_saving_at_once_get_numbers_of_their_own",
    "test_what_is_saved_comes_back_as_it_was",
    # ledger
    "test_a_kept_row_that_is_another_is_found_and_written_anew",
    "test_a_save_raises_what_its_readings_show_and_a_later_one_does_not_lift_it",
    "test_a_save_without_an_author_writes_nothing",
    "test_an_item_goes_from_the_back_room_over_the_rail_into_a_bag",
    "test_days_are_told_apart_by_price_and_the_last_ones_still_run",
    "test_rows_are_never_changed_and_never_go",
    "test_silence_is_no_hanging_until_somebody_says_that_the_shop_was_open",
    "test_the_database_refuses_a_row_without_an_author",
    "test_the_database_refuses_to_change_or_remove_an_event",
    "test_the_day_book_adds_up_to_the_cent",
    # models
    "test_the_database_refuses_to_change_what_was_fitted_or_switched_to",
    "test_what_another_machine_learned_is_fetched_from_a_server",
    "test_what_sold_and_stayed_sold_is_learned_from",
    # people
    "test_deeds_are_only_ever_added",
    "test_name_and_photos_go_and_the_accounts_stay",
    "test_of_desks_that_send_one_code_at_once_one_is_in",
    "test_only_the_right_password_with_the_right_name_gets_in",
    "test_the_database_itself_refuses_to_change_an_answer",
    "test_what_is_sent_twice_is_done_once",
    # photos
    "test_a_photo_taken_on_one_machine_is_shown_on_another",
    "test_two_who_send_the_same_photo_at_once_keep_it_once",
    # settlement
    "test_a_month_is_settled_and_a_day_closed",
}


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Leave to the long run what a file has answered; the steps of the records are all taken."""
    for item in items:
        asked = item.callspec.params.get("place") if hasattr(item, "callspec") else ""
        steps = item.path.parent.name == "db"
        if asked == "server" and not steps and item.originalname not in ON_A_SERVER_EVERYDAY:
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
