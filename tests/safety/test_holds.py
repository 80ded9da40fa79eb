"""Holds: raised by what was entered, complete in what they say, and never legal advice."""

import re
from datetime import date

import pytest

from resale.errors import ReadingError, RuleBookError
from resale.garments.fibres.names import FIBRES
from resale.garments.fibres.reader import read_fibre_label
from resale.garments.rulebook.readings import one_reading
from resale.garments.rulebook.rule_book import load_rule_book
from resale.safety.holds import (
    answers_that_raise,
    hand_holds,
    hold_called,
    load_holds,
    shipped_holds,
)

BOOK = load_rule_book()
HOLDS = shipped_holds()


def raised(kind, choices, label=None):
    seen = one_reading(BOOK, kind, choices).choices(BOOK, 0)
    return list(answers_that_raise(seen, [read_fibre_label(label)] if label else []))


@pytest.mark.parametrize(
    ("kind", "choices", "ids"),
    [
        ("jacket", {"mould": "growth"}, ["mould"]),
        ("jacket", {"mould": "musty"}, ["mould"]),
        ("jacket", {"mould": "chemical"}, ["chemical_smell"]),
        ("jacket", {"mould": "none", "pests": "none", "moth": "none"}, []),
        ("shirt", {"pests": "live"}, ["live_pests"]),
        ("shirt", {"pests": "signs"}, ["live_pests"]),
        ("trousers", {"moth": "hidden_1"}, ["moth"]),
        ("trousers", {"moth": "seen_5"}, ["moth"]),
        ("bag", {"maker_doubt": "doubt", "bag_date": "quarrels"}, ["counterfeit"]),
        ("bag", {"skin_doubt": "perhaps_real"}, ["protected_species"]),
        ("bag", {"skin_doubt": "printed", "maker_doubt": "no_claim"}, []),
        ("bag", {"lock_keys": "locked_shut"}, ["locked_case"]),
        ("shoes", {"shoe_odour": "strong"}, ["strong_odour"]),
        (
            "shoes",
            {"skin_doubt": "perhaps_real", "pests": "live", "mould": "chemical"},
            ["live_pests", "chemical_smell", "protected_species"],
        ),
        ("jacket", {}, []),
    ],
)
def test_readings_raise_their_holds_in_the_order_of_urgency(kind, choices, ids):
    assert raised(kind, choices) == ids


def test_every_gate_of_the_book_that_holds_has_a_hold_with_what_to_do():
    """An odd pair waits for its other half: a search in the back room, not a matter of safety."""
    searches = {"pair_match"}
    for kind in BOOK.kinds.values():
        for signal in kind.signals:
            for option in signal.options:
                gated = option.gate is not None and option.gate.route == "hold"
                ids = raised(kind.id, {signal.id: option.id})
                assert bool(ids) == (gated and signal.id not in searches), (kind.id, option.id)


def test_rules_name_signals_and_options_that_the_book_has():
    options = {
        signal.id: signal.option_ids for kind in BOOK.kinds.values() for signal in kind.signals
    }
    for hold in HOLDS.values():
        for rule in hold.raised_by:
            assert set(rule.options) <= set(options[rule.signal])


@pytest.mark.parametrize(
    ("label", "ids"),
    [
        ("100% fur", ["unknown_fur"]),
        ("80% wool 20% vicuna", ["protected_species"]),
        ("shahtoosh 100%", ["protected_species"]),
        ("90% cotton 10% polyester. Contains non-textile parts of animal origin", ["unknown_fur"]),
        ("100% cotton", []),
        ("70% wool 20% cotton", []),
    ],
)
def test_a_fibre_label_raises_the_holds_of_its_cautions(label, ids):
    assert raised("jacket", {}, label) == ids


def test_every_caution_about_a_fibre_is_some_hold():
    cautioned = {fibre_id for fibre_id, fibre in FIBRES.items() if fibre.caution}
    assert cautioned == {fibre for hold in HOLDS.values() for fibre in hold.fibres}


def test_a_sorter_can_raise_what_no_signal_asks_for():
    assert {hold.id for hold in hand_holds()} >= {
        "sharps",
        "live_pests",
        "mould",
        "chemical_smell",
        "child_recall",
        "child_cords",
        "child_small_parts",
        "child_sleepwear",
        "counterfeit",
        "protected_species",
        "unknown_fur",
        "personal_papers",
    }
    assert hold_called("sharps").name == "Sharp thing in it"
    with pytest.raises(ReadingError, match="there is no hold 'rain'; use one of sharps"):
        hold_called("rain")


def test_each_hold_says_what_to_do_whom_to_ask_and_what_clears_it():
    for hold in HOLDS.values():
        assert hold.do_now, hold.id
        assert hold.clear, hold.id
        assert hold.sources, hold.id
        assert "lead" in {ask.who for ask in hold.ask}, hold.id
        assert all(ask.sentence.endswith(".") for ask in hold.ask), hold.id
        said = (*hold.do_now, *hold.never, *hold.clear, hold.why)
        assert [text for text in said if not text.endswith(".")] == []


# Temperatures, times and ages in what a hold says.
FIGURE = re.compile(
    r"\d[\d.,]*"
    r"|\b(?:an?|one|two|three|four|some|same|second|within|in|for|under|cold)\s+"
    r"(?:cold )?(?:seconds|minutes?|hours?|days?|weeks?|months?|three|six|twelve)\b",
    re.IGNORECASE,
)


def test_each_figure_of_a_hold_says_how_well_it_was_checked():
    for hold, text in [(one, text) for one in HOLDS.values() for text in one.texts]:
        for found in FIGURE.finditer(text):
            marked = [
                text.find(one.said) <= found.start()
                and found.end() <= text.find(one.said) + len(one.said)
                for one in hold.figures
                if one.said in text
            ]
            assert any(marked), (hold.id, found[0], text)


def test_a_figure_that_no_text_says_any_more_is_named(tmp_path):
    path = tmp_path / "holds.toml"
    more = 'by_hand = true\nfigures = [{said = "nine hours", status = "memory"}]\n'
    path.write_text(HEAD + more, encoding="utf-8")
    with pytest.raises(RuleBookError, match="no text says the figure 'nine hours'"):
        load_holds(path)


def test_each_hold_defers_to_an_authority_or_a_licensed_trade():
    theirs = {"authority", "trade"}
    assert [one.id for one in HOLDS.values() if not {ask.who for ask in one.ask} & theirs] == []


@pytest.mark.parametrize("hold", HOLDS.values(), ids=lambda hold: hold.id)
def test_no_hold_asks_for_a_flame_a_solvent_or_a_blind_hand(hold):
    assert {
        "Never burn a thread or a part of it to find out what it is.",
        "Never try a solvent on it.",
        "Never reach into a pocket, a bag or a shoe blind.",
    } <= set(hold.never)
    asked = " ".join((*hold.do_now, *hold.clear)).lower()
    assert not any(word in asked for word in ("burn", "flame", "solvent", "acetone", "singe"))
    assert "not legal advice" in hold.standing
    assert "law where the shop stands decides" in hold.standing


def test_nobody_is_told_that_a_thing_is_genuine():
    hold = hold_called("counterfeit")
    assert "Never call it genuine or false, on the ticket or to anybody." in hold.never
    assert "authentic" not in " ".join((*hold.do_now, *hold.clear)).lower()


def test_the_quarantine_clock_runs_from_the_day_the_treatment_began():
    """A week at -20 °C twice: Canadian conservation text and The Textile Museum (seen)."""
    moth = hold_called("moth")
    assert (moth.days, moth.days_status) == (14, "seen")
    assert moth.may_end_on(date(2026, 2, 20)) == date(2026, 3, 6)
    assert hold_called("counterfeit").may_end_on(date(2026, 2, 20)) is None


HEAD = """
checked_on = "2026-01-01"
standing = "Not legal advice; the law decides."
never = ["Never burn it."]
[[hold]]
id = "one"
name = "First"
why = "Because of this."
do_now = ["Put it aside."]
never = ["Never shake it."]
ask = [{who = "lead", about = "What next."}]
clear = ["Seen by the lead."]
sources = [{text = "A page", status = "seen"}]
"""


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (HEAD, "holds.toml, hold one: nothing can raise it"),
        (HEAD + "by_hand = true\ndays = 3\n", "go together"),
        (HEAD + 'by_hand = true\nraised_by = [{signal = "moth"}]\n', "either options or from_ext"),
        (HEAD + 'by_hand = true\nwing = "two"\n', "hold one: wing"),
        (HEAD + "by_hand = true\n" + HEAD[HEAD.index("[[hold]]") :] + "by_hand = true\n", "twice"),
        ("standing = [", "holds cannot be read"),
        ("standing = 'Too little'", "checked_on"),
    ],
)
def test_a_fault_in_the_file_is_named(tmp_path, text, sentence):
    path = tmp_path / "holds.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(RuleBookError, match=sentence):
        load_holds(path)


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(RuleBookError, match="restore the file"):
        load_holds(tmp_path / "holds.toml")
