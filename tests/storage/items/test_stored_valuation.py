"""A valuation is read as it was stored, in whatever form the version of its day wrote it."""

from __future__ import annotations

import json

import pytest
from a_save import a_valued

from resale.storage.items.stored_valuation import (
    FORM,
    NEWEST,
    NewerFormError,
    from_stored,
    to_stored,
)

OF_MAKE = ("make", "make_doubt", "make_looked", "make_tells", "make_factor")
BESIDE = ("speaks_of", "alone_factor", "alone_money", "beside")


def in_form_one(stored: dict[str, object]) -> dict[str, object]:
    """The same as the versions before wrote it: no form, and shares under another name."""
    plain = {name: value for name, value in stored.items() if name != FORM}
    return {**plain, "rows": plain.pop("contributions")}


def test_what_is_stored_is_read_back_through_json() -> None:
    valued = a_valued(cuff_buttons="working", hole="seen_3")
    stored = json.loads(json.dumps(to_stored(valued)))
    assert stored[FORM] == NEWEST
    assert from_stored(stored) == valued


def test_what_versions_before_stored_says_the_same() -> None:
    valued = a_valued(cuff_buttons="working", fibre_shell="wool")
    assert from_stored(in_form_one(to_stored(valued))) == valued


def test_the_oldest_rows_say_nothing_of_make() -> None:
    """Rows of before make was told from worth have neither the gauge nor what a sign says alone."""
    valued = a_valued(cuff_buttons="working")
    old = in_form_one(to_stored(valued))
    old = {name: value for name, value in old.items() if name not in OF_MAKE}
    old["rows"] = [{n: v for n, v in row.items() if n not in BESIDE} for row in old["rows"]]
    read = from_stored(old)
    assert [getattr(read, name) for name in OF_MAKE] == [0.0, 1.0, 0, 0, 1.0]
    assert [getattr(read.contributions[0], name) for name in BESIDE] == ["", 1.0, 0, 0]
    assert (read.estimate, read.factors()) == (valued.estimate, valued.factors())


def test_a_form_of_a_newer_program_is_refused_in_one_sentence() -> None:
    stored = {**to_stored(a_valued()), FORM: NEWEST + 1}
    with pytest.raises(NewerFormError, match="start the newer program"):
        from_stored(stored)
