"""A newcomer's first item has a quiet guide, which is gone when the item is saved."""

from __future__ import annotations

from bench_forms import new_form, words_of
from flask import Flask
from signed_in import signed_in

GUIDE = "Your first item."


def test_the_guide_is_there_until_the_first_item_is_saved(app: Flask) -> None:
    newcomer, lead = signed_in(app, "sorter"), signed_in(app, "lead")
    assert GUIDE in words_of(newcomer.get("/bench/jacket"))
    newcomer.post("/bench/jacket/save", data=new_form(newcomer))
    assert GUIDE not in words_of(newcomer.get("/bench/jacket"))
    # Somebody else's first is still to come; a bare bench is nobody's.
    assert GUIDE in words_of(lead.get("/bench/shirt"))
    assert GUIDE not in words_of(lead.get("/bench-shell/shirt"))
