"""Hazardous intakes wait, harmless look-alikes mostly do not; in words that sorters write.

The tables were written before any list of words, four or more rows for each hold, in five
languages and more, with slips of the pen. They are ours: common practice, no source.
"""

from __future__ import annotations

from collections import Counter

from safety_tables import BOOK, HARMLESS, HAZARDS, MOST_HELD, inputs_of

from resale.garments.fibres.names import NAMES
from resale.safety.holds import shipped_holds
from resale.safety.raising import holds_found
from resale.safety.required_looks import missing_looks
from resale.safety.words.scan import words_that_raise


def test_the_tables_have_enough_rows_for_each_hold():
    counted = Counter(row["hold"] for row in HAZARDS)
    assert len(HAZARDS) >= 120 and len(HARMLESS) >= 120
    assert set(counted) == set(shipped_holds())
    assert min(counted.values()) >= 4
    assert len({row["lang"] for row in HAZARDS}) >= 5


def test_a_hazard_in_words_waits_although_nothing_found_was_tapped():
    passed = [f"{row['hold']}: {row['text']}" for row in HAZARDS if not holds_found(inputs_of(row))]
    assert passed == []


def test_nearly_every_hazard_waits_for_the_reason_that_it_has():
    """Another hold than the right one still keeps it off the rail, but sends to the wrong desk."""
    wrong = [row["text"] for row in HAZARDS if row["hold"] not in holds_found(inputs_of(row))]
    assert len(wrong) <= 3, wrong


def test_at_most_three_harmless_look_alikes_wait():
    held = {row["text"]: found for row in HARMLESS if (found := holds_found(inputs_of(row)))}
    assert len(held) <= MOST_HELD, held


def test_a_hazard_that_nobody_looked_at_is_not_ready_either():
    unseen = {"choices": {}, "looks": {}, "typed": {}, "note": ""}
    ready = [
        row["text"]
        for row in HAZARDS[::7]
        if not missing_looks(BOOK.kinds[row["kind"]], {**inputs_of(row), **unseen})
    ]
    assert ready == []


def test_each_name_of_fur_in_the_fibre_table_is_among_the_words():
    """Else 'faux' would be read around a name that only the fibre table knows."""
    names = [name for name, found in NAMES.items() if found.fibre_id == "fur"]
    assert names
    for name in names:
        assert "unknown_fur" in {one.hold for one in words_that_raise(name, is_label=True)}, name
