"""A book with some opinions changed: valid or refused in words, and the same by any road."""

import datetime as dt

import numpy as np
import pytest
from changed_book import with_change
from hypothesis import given
from hypothesis import strategies as st

from resale.errors import RuleBookError
from resale.garments.rulebook.edits import with_edits
from resale.garments.rulebook.overlay import (
    Overlay,
    RuleChange,
    apply_overlay,
    overlay_text,
    read_overlay,
)
from resale.garments.rulebook.rule_book import load_rule_book

DAY = dt.date(2026, 11, 3)


@pytest.fixture(scope="module")
def book():
    return load_rule_book()


def option(book, kind, signal, name):
    return book.kinds[kind].by_id[signal].option(name)


def change(kind="*", signal="label_era", option="older_label", field="effect", value=1.4, **more):
    words = {"who": "Ines", "when": DAY, "why": "Collectors ask for them."} | more
    return RuleChange(kind=kind, signal=signal, option=option, field=field, value=value, **words)


def overlay(*changes):
    return Overlay(change=changes)


# --- one change ---------------------------------------------------------------------------------


def test_a_change_touches_the_one_option_and_nothing_else(book):
    changed = with_change(book, "shirt", "fibre_shell", "linen", effect=1.5, doubt=0.3)
    for kind in book.kinds.values():
        for signal in kind.signals:
            for was in signal.options:
                now = option(changed, kind.id, signal.id, was.id)
                if (kind.id, signal.id, was.id) == ("shirt", "fibre_shell", "linen"):
                    assert (now.effect, now.doubt, now.share) == (1.5, 0.3, was.share)
                else:
                    assert now == was


def test_a_change_in_every_kind_reaches_each_that_has_the_signal(book):
    changed = with_change(book, None, "label_era", "older_label", effect=1.44)
    having = [kind.id for kind in book.kinds.values() if "label_era" in kind.by_id]
    assert len(having) > 1
    assert all(option(changed, kind, "label_era", "older_label").effect == 1.44 for kind in having)


def test_other_shares_give_way_in_their_proportions(book):
    """By hand: what the others had is scaled by (1 - 0.5) / (1 - old share)."""
    signal = book.kinds["shirt"].by_id["fibre_shell"]
    old = signal.option("linen").share
    changed = with_change(book, "shirt", "fibre_shell", "linen", share=0.5)
    now = changed.kinds["shirt"].by_id["fibre_shell"]
    total = sum(one.share for one in signal.options)
    assert now.option("linen").share == 0.5
    for was in signal.options:
        if was.id != "linen":
            wanted = was.share * (total - 0.5) / (total - old)
            assert now.option(was.id).share == pytest.approx(wanted)


def test_the_doubt_of_a_finding_is_that_of_the_whole_finding(book):
    changed = with_change(book, "shirt", "hole", "seen_2", doubt=0.33)
    assert {one.doubt for one in changed.kinds["shirt"].by_id["hole"].options} == {0.33}


@pytest.mark.parametrize(
    ("kind", "signal", "name", "values", "sentence"),
    [
        ("kite", "hole", "none", {"effect": 1.0}, "the book has no kind kite; use one of bag"),
        ("shirt", "wheels", "none", {"effect": 1.0}, "kind shirt, signal wheels.*no such signal"),
        (None, "wheel", "none", {"effect": 1.0}, "every kind, signal wheel.*no such signal"),
        ("shirt", "hole", "seen_9", {"effect": 1.0}, "no such option; use one of none, hidden_1"),
        ("shirt", "fibre_shell", "linen", {"effect": 0.0}, "option linen: effect: .*greater"),
        ("shirt", "fibre_shell", "linen", {"doubt": -1.0}, "option linen: doubt: .*greater"),
        ("shirt", "fibre_shell", "linen", {"share": 1.2}, "shares that were set sum to 1.200"),
        ("shirt", "fibre_shell", "linen", {"effect": float("nan")}, "finite number"),
        ("shirt", "pilling", "grade_2", {"effect": 3.0}, "stands above .* but lowers the price"),
        ("shirt", "hole", "seen_1", {"effect": 0.1}, "is worse than .* but raises the price"),
    ],
)
def test_what_a_book_cannot_mean_is_refused_in_a_sentence(
    book, kind, signal, name, values, sentence
):
    with pytest.raises(RuleBookError, match=sentence):
        with_change(book, kind, signal, name, **values)


# --- fingerprints -------------------------------------------------------------------------------


def test_a_changed_book_has_a_fingerprint_of_its_own(book):
    prints = {
        book.fingerprint,
        with_change(book, "shirt", "fibre_shell", "linen", effect=1.5).fingerprint,
        with_change(book, "shirt", "fibre_shell", "linen", effect=1.51).fingerprint,
        with_change(book, "shirt", "fibre_shell", "linen", doubt=0.5).fingerprint,
        with_change(book, "trousers", "fibre_shell", "linen", effect=1.5).fingerprint,
    }
    assert len(prints) == 5


def test_a_change_taken_back_leaves_no_trace(book):
    for field in ("effect", "doubt", "share"):
        was = getattr(option(book, "shirt", "fibre_shell", "linen"), field)
        there = change("shirt", "fibre_shell", "linen", field, was * 1.1)
        back = change("shirt", "fibre_shell", "linen", field, was)
        assert apply_overlay(book, overlay(there)).fingerprint != book.fingerprint
        found = apply_overlay(book, overlay(there, back))
        assert found.fingerprint == book.fingerprint
        assert found == book


def test_who_when_and_why_do_not_change_how_a_book_reads(book):
    one = apply_overlay(book, overlay(change()))
    other = apply_overlay(book, overlay(change(who="Olu", why="For a trial.")))
    assert one.fingerprint == other.fingerprint


def test_two_shares_that_were_set_both_hold(book):
    edits = [change("shirt", "fibre_shell", name, "share", 0.3) for name in ("linen", "silk")]
    for order in (edits, edits[::-1]):
        signal = with_edits(book, order).kinds["shirt"].by_id["fibre_shell"]
        assert (signal.option("linen").share, signal.option("silk").share) == (0.3, 0.3)
        assert sum(one.share for one in signal.options) == pytest.approx(1, abs=0.005)


def test_two_steps_of_a_ladder_may_change_together_though_neither_may_alone(book):
    low, high = book.kinds["shirt"].by_id["pilling"].options[-2:]
    edits = [
        change("shirt", "pilling", low.id, "effect", high.effect * 1.2),
        change("shirt", "pilling", high.id, "effect", high.effect * 1.3),
    ]
    with pytest.raises(RuleBookError):
        with_edits(book, edits[:1])
    assert option(with_edits(book, edits), "shirt", "pilling", low.id).effect > high.effect


def test_one_kind_can_be_told_apart_after_all_kinds_were_changed(book):
    changed = apply_overlay(book, overlay(change(value=1.44), change("bag", value=1.2)))
    assert option(changed, "bag", "label_era", "older_label").effect == 1.2
    assert option(changed, "shirt", "label_era", "older_label").effect == 1.44


# --- the file -----------------------------------------------------------------------------------


def test_without_a_file_nothing_is_changed(book, tmp_path):
    assert apply_overlay(book, read_overlay(tmp_path / "none.toml")) == book


WORDS = st.text(
    st.characters(blacklist_categories=["Cs", "Cc"], blacklist_characters="\x7f"),
    min_size=1,
    max_size=60,
)


@given(
    WORDS,
    WORDS,
    st.floats(0.03, 49, allow_nan=False),
    st.dates(dt.date(1, 1, 1), dt.date(9999, 12, 31)),
)
def test_any_words_and_numbers_come_back_as_they_were(tmp_path_factory, who, why, value, when):
    path = tmp_path_factory.mktemp("shop") / "changes.toml"
    said = overlay(change(who=who, why=why, value=value, when=when), change("bag", value=0.9))
    path.write_text(overlay_text(said), encoding="utf-8", newline="\n")
    assert read_overlay(path) == said


def test_the_file_is_as_its_documentation_says():
    assert overlay_text(overlay(change())).endswith(
        '[[change]]\nkind = "*"\nsignal = "label_era"\noption = "older_label"\n'
        'field = "effect"\nvalue = 1.4\nwho = "Ines"\nwhen = 2026-11-03\n'
        'why = "Collectors ask for them."\n'
    )


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("[[change]\n", "changes.toml: the file is not TOML"),
        ("[[chance]]\n", "changes.toml: chance: extra inputs"),
        ("change = 3\n", "changes.toml: change: "),
        ('[[change]]\nkind = "bag"\n', "changes.toml, change 1: signal: field required"),
        (
            overlay_text(overlay(change(), change())).replace("effect", "colour", 1),
            "changes.toml, change 1: field: input should be 'effect', .* or 'order'",
        ),
        (overlay_text(overlay(change())).replace("1.4", "nan"), "change 1: value: .*finite"),
    ],
)
def test_a_broken_file_is_refused_with_the_place(tmp_path, text, sentence):
    path = tmp_path / "changes.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(RuleBookError, match=sentence):
        read_overlay(path)


def test_a_change_to_what_the_book_no_longer_has_is_named(book):
    with pytest.raises(RuleBookError, match="every kind, signal label_era, option ancient"):
        apply_overlay(book, overlay(change(option="ancient")))


def test_control_characters_do_not_reach_the_file():
    with pytest.raises(ValueError, match="who"):
        change(who="Ines\n[[change]]")


def test_numpy_numbers_are_taken_as_numbers(book):
    changed = with_change(book, "shirt", "fibre_shell", "linen", effect=np.float64(1.5))
    assert option(changed, "shirt", "fibre_shell", "linen").effect == 1.5
