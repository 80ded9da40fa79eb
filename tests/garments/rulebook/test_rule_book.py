"""The rule book: complete for its kinds, and every fault named with its place."""

import math
import re
import shutil
import tomllib

import pytest
from tiny_rule_book import tiny_rule_book

from resale.errors import ReadingError, RuleBookError
from resale.garments.rulebook.readings import many_readings, one_reading
from resale.garments.rulebook.rule_book import SHIPPED_BOOK, load_rule_book

BOOK = load_rule_book()


@pytest.fixture
def book_copy(tmp_path):
    shutil.copytree(SHIPPED_BOOK, tmp_path / "book")
    return tmp_path / "book"


def edit(path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_the_five_kinds_of_the_intake_desk_are_there():
    assert {"shirt", "jacket", "trousers", "shoes", "bag"} <= set(BOOK.kinds)


def test_there_are_at_least_sixty_signals():
    assert len(BOOK.signal_ids) >= 60


def test_every_signal_tells_hands_eyes_and_what_fools():
    for kind in BOOK.kinds.values():
        for signal in kind.signals:
            assert min(len(signal.hands), len(signal.see), len(signal.fools)) > 10
            assert signal.source
            assert all(option.reason for option in signal.options)


def test_an_average_item_is_about_neutral_in_the_authors_own_numbers():
    """Effects are against an item of which nothing is known, so by the book's own shares the mean
    log effect of a signal is near zero; the core centres what is left."""
    for kind in BOOK.kinds.values():
        for signal in kind.signals:
            mean = sum(option.share * math.log(option.effect) for option in signal.options)
            assert abs(mean) < 0.06, f"{kind.id} {signal.id}: {mean:.3f}"


def test_adding_a_kind_is_adding_a_file(book_copy):
    (book_copy / "kinds" / "parasol.toml").write_text(
        """
        [kind]
        id = "parasol"
        name = "Parasol"
        plural = "Parasols"
        includes = ["parasol"]
        anchor = 6.0
        anchor_doubt = 0.3
        reason = "Small, and there are many."
        zones = ["hem"]
        [[signal]]
        id = "parasol_edge"
        name = "Edge"
        zone = "hem"
        shape = "ladder"
        about = "build"
        seconds = 3
        hands = "Roll the edge between two fingers."
        see = "A rolled edge is round and has small stitches."
        fools = "A machine can roll an edge as well."
        source = "common practice, no source"
        options = [
          {id = "cut", name = "Cut", effect = 0.95, doubt = 0.05, share = 0.7, reason = "Frays."},
          {id = "rolled", name = "Rolled", effect = 1.1, doubt = 0.1, share = 0.3, reason = "Kept"},
        ]
        """,
        encoding="utf-8",
    )
    assert "parasol" in load_rule_book(book_copy).kinds


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('id = "sham"', 'id = "open"', "two options share an id"),
        ('shape = "ladder"', 'shape = "staircase"', "'choice', 'ladder' or 'finding'"),
        ("seconds = ", "moments = ", "seconds: field required"),
        ('zones = ["label"', 'zones = ["moon"', "zone"),
    ],
)
def test_a_fault_in_a_kind_is_named_with_file_and_kind(book_copy, old, new, said):
    edit(book_copy / "kinds" / "jacket.toml", old, new)
    with pytest.raises(RuleBookError) as caught:
        load_rule_book(book_copy)
    assert "jacket.toml" in caught.value.sentence or "kind jacket" in caught.value.sentence
    assert said in caught.value.sentence


def shares(signal) -> dict[str, float]:
    return {option.id: option.share for option in signal.options}


def test_shares_are_weights_and_make_themselves_a_whole(book_copy):
    """By hand: elsewhere 0.62 becomes 6.2, so the four weights sum to 6.58."""
    edit(book_copy / "shared" / "1_label.toml", "share = 0.62, reason", "share = 6.2, reason")
    said = shares(load_rule_book(book_copy).kinds["shirt"].by_id["made_where"])
    assert said["elsewhere"] == pytest.approx(6.2 / 6.58)
    assert sum(said.values()) == pytest.approx(1)


def test_a_kind_says_one_share_and_the_others_fill_up_the_whole(book_copy):
    """By hand: of the four, elsewhere is said to be 0.81, so the rest of 0.38 is halved."""
    before = shares(load_rule_book().kinds["shirt"].by_id["made_where"])
    changed = "[change.made_where.options]\nelsewhere = {share = 0.81}\n\n[change.fibre_shell"
    edit(book_copy / "kinds" / "shirt.toml", "[change.fibre_shell", changed)
    said = shares(load_rule_book(book_copy).kinds["shirt"].by_id["made_where"])
    assert said.pop("elsewhere") == 0.81
    assert said == pytest.approx({name: before[name] / 2 for name in said})


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ("{share = 1.3}", "the shares that were set sum to 1.300"),
        ("{share = -1}", "greater than or equal to 0"),
    ],
)
def test_a_share_that_no_whole_can_hold_is_named_with_its_kind(book_copy, change, said):
    changed = f"[change.made_where.options]\nelsewhere = {change}\n\n[change.fibre_shell"
    edit(book_copy / "kinds" / "shirt.toml", "[change.fibre_shell", changed)
    with pytest.raises(RuleBookError, match=said) as caught:
        load_rule_book(book_copy)
    assert "kind shirt, signal made_where" in caught.value.sentence


def test_a_kind_cannot_change_what_makes_a_signal_itself(book_copy):
    edit(book_copy / "kinds" / "bag.toml", 'zone = "handle"\nmeasure', 'shape = "choice"\nmeasure')
    with pytest.raises(RuleBookError, match="a kind cannot change shape of a shared signal"):
        load_rule_book(book_copy)


def test_a_signal_that_kinds_share_is_written_once():
    written = [
        signal["id"]
        for path in SHIPPED_BOOK.glob("*/*.toml")
        for signal in tomllib.loads(path.read_text(encoding="utf-8")).get("signal", [])
    ]
    assert len(written) == len(set(written))


@pytest.mark.parametrize("path", sorted(SHIPPED_BOOK.rglob("*.toml")), ids=lambda path: path.name)
def test_options_are_rows_in_every_file(path):
    """One way of writing: an option is a row, whether a signal has it or a kind changes it."""
    text = path.read_text(encoding="utf-8")
    assert not re.findall(r"^\[\[?(?:signal\.options|change\.\w+\.options\.\w+)", text, re.M)


def test_a_file_that_is_not_toml_is_named(book_copy):
    (book_copy / "kinds" / "bag.toml").write_text("[kind\n", encoding="utf-8")
    with pytest.raises(RuleBookError, match=r"bag\.toml: the file is not TOML"):
        load_rule_book(book_copy)


def test_a_missing_file_is_named(book_copy):
    (book_copy / "book.toml").unlink()
    with pytest.raises(RuleBookError, match=r"book\.toml: the file is missing"):
        load_rule_book(book_copy)


@pytest.mark.parametrize(
    ("kind", "choices", "said"),
    [
        ("hovercraft", {}, "kind 'hovercraft' is not in the rule book"),
        ("shirt", {"wings": "two"}, "shirt has no signal 'wings'"),
        ("shirt", {"sole_attach": "cemented"}, "shirt has no signal 'sole_attach'"),
        ("shirt", {"shirt_yoke": "golden"}, "'golden' is not an option of shirt_yoke"),
    ],
)
def test_words_that_the_book_does_not_know_are_refused_with_a_mend(kind, choices, said):
    with pytest.raises(ReadingError) as caught:
        one_reading(BOOK, kind, choices)
    assert said in caught.value.sentence
    assert ";" in caught.value.sentence


def test_readings_give_back_what_was_chosen():
    chosen = [{"fibre_shell": "wool", "hole": "hidden_2"}, {}]
    readings = many_readings(BOOK, ["jacket", "bag"], chosen, ["", "Maker One"])
    assert [readings.choices(BOOK, row) for row in range(2)] == chosen
    assert readings.labels == ("", "Maker One")


def test_only_if_and_warmth_may_name_every_option(tmp_path):
    tiny_rule_book(tmp_path / "first")
    book_folder = shutil.copytree(tmp_path / "first", tmp_path / "changed")
    edit(
        book_folder / "kinds" / "shirt.toml",
        'no source"\noptions',
        'no source"\nonly_if = {signal = "wear", options = ["worn", "good"]}\noptions',
    )
    edit(book_folder / "book.toml", 'options = ["thick"]', 'options = ["thin", "thick"]')
    book = load_rule_book(book_folder)
    assert book.kinds["shirt"].by_id["button"].only_if.options == ("worn", "good")
    assert book.book.warmth[0].options == ("thin", "thick")
