"""What holds for every drawing of every family."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import product

import pytest
from drawn_geometry import NAMESPACE, contrast, having, read
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.errors import ReadingError
from resale.garments.rulebook.rule_book import load_rule_book
from resale.training.drawings import FAMILIES, LEVELS, Exercise, make
from resale.training.drawings.exercise import Answer
from resale.training.drawings.svg import document, number, words

EVERY = sorted(product(FAMILIES, LEVELS))
SEEDS = st.integers(0, 2**32)
drawn = lru_cache(maxsize=None)(make)
some = settings(max_examples=4, deadline=None)
# Every level of every family each day, by a few drawings that all the tests share.
each_page = pytest.mark.parametrize("family", FAMILIES)
with_seeds = pytest.mark.parametrize(
    "seeds",
    [
        pytest.param(range(3), id="few"),
        pytest.param(range(3, 12), id="more", marks=pytest.mark.long),
    ],
)


def test_there_are_sixty_families_of_three_levels_each():
    assert len(FAMILIES) >= 60
    assert LEVELS == (1, 2, 3)
    assert all(
        name == family.id and family.name and family.about for name, family in FAMILIES.items()
    )


@each_page
def test_the_same_seed_gives_the_same_exercise_letter_for_letter(family):
    assert make(family, 3, 0) == drawn(family, 3, 0)


@pytest.mark.long
@with_seeds
@each_page
def test_other_seeds_give_other_drawings(family, seeds):
    for level in LEVELS:
        pages = (drawn(family, level, seed).svg for seed in seeds)
        bodies = {re.sub(r"[a-z-]+-\d-\d+-", "", page) for page in pages}
        assert len(bodies) >= len(seeds) / 2, level


def is_well_formed_and_stands_alone(made):
    for svg in (made.svg, made.reveal_svg):
        root = read(svg)
        assert root.tag == NAMESPACE + "svg"
        assert root.get("role") == "img"
        ids = [each.get("id") for each in root.iter() if each.get("id")]
        assert len(ids) == len(set(ids))
        for each in root.iter():
            assert each.tag not in {
                NAMESPACE + bad for bad in ("script", "style", "image", "use", "a")
            }
            for name, value in each.attrib.items():
                assert name != "style" and not name.startswith("on") and "href" not in name
                assert "http" not in value and "javascript" not in value
                for wanted in re.findall(r"url\(#(.+?)\)", value):
                    assert wanted in ids
        assert svg.count("http") == 1, "the namespace is the only address"
        assert not re.search(r"nan|inf[^a-z]", svg.lower().replace("information", ""))
        named = root.get("aria-labelledby", "").split()
        assert named == [root[0].get("id"), root[1].get("id")]
        assert root[0].text and root[1].text


def one_answer_is_right(made):
    if made.asks_number:
        assert made.unit
        assert made.is_right(made.truth)
        assert made.is_right(made.truth + made.tolerance)
        assert not made.is_right(made.truth + made.tolerance + 0.6)
        assert not made.is_right("there")
        return
    ids = [answer.id for answer in made.answers]
    assert len(set(ids)) == len(ids) >= 2
    assert len({answer.text for answer in made.answers}) == len(ids)
    assert [name for name in ids if made.is_right(name)] == [made.truth]


def words_keep_the_answer_to_themselves(made):
    assert made.question.endswith(("?", "."))
    assert made.question[0].isupper() and made.why[0].isupper() | made.why[0].isdigit()
    assert made.why.endswith(".") and "{" not in made.why
    before = " ".join(read(made.svg)[k].text for k in (0, 1)).lower()
    for answer in made.answers:
        if len(answer.text) > 6:
            assert answer.text.lower() not in before
    if made.asks_number:
        assert not re.search(r"\d", before)
    assert made.why in read(made.reveal_svg)[1].text


def reveal_is_the_same_with_marks_over_it(made):

    def shapes(svg):
        cleaned = re.sub(
            rf"{made.family.replace('_', '-')}-{made.level}-{made.seed}(-shown)?-", "", svg
        )
        return cleaned.split("</desc>", 1)[1].removesuffix("</svg>")

    plain, shown = shapes(made.svg), shapes(made.reveal_svg)
    assert shown.startswith(plain) and len(shown) > len(plain)
    assert having(made.reveal_svg, "shown") and not having(made.svg, "shown")


def stands_alone_and_keeps_its_answer_to_itself(made):
    """All that holds for any one drawing, as drawing is what takes the time."""
    is_well_formed_and_stands_alone(made)
    one_answer_is_right(made)
    words_keep_the_answer_to_themselves(made)
    reveal_is_the_same_with_marks_over_it(made)


@each_page
def test_a_drawing_of_each_level_stands_alone_and_keeps_its_answer_to_itself(family):
    for level in LEVELS:
        stands_alone_and_keeps_its_answer_to_itself(drawn(family, level, 0))


@pytest.mark.long
@each_page
@some
@given(level=st.sampled_from(LEVELS), seed=SEEDS)
def test_any_drawing_stands_alone_and_keeps_its_answer_to_itself(family, level, seed):
    made = make(family, level, seed)
    assert made == make(family, level, seed)
    stands_alone_and_keeps_its_answer_to_itself(made)


@with_seeds
@each_page
def test_drawings_of_one_page_share_no_id_and_their_lettering_can_be_read(family, seeds):
    for level in LEVELS:
        ids: list[str] = []
        for seed in seeds:
            made = drawn(family, level, seed)
            for root in map(read, (made.svg, made.reveal_svg)):
                ids += [each.get("id") for each in root.iter() if each.get("id")]
                lettering_is_large_enough_and_lies_on_the_sheet(root)
        assert len(ids) == len(set(ids)), level


def lettering_is_large_enough_and_lies_on_the_sheet(root):
    """The narrowest screen shows 360 units on 350 px, so 10 units are just under 10 px."""
    width, height = (float(v) for v in root.get("viewBox").split()[2:])
    assert width == 360
    for each in root.iter(NAMESPACE + "text"):
        assert float(each.get("font-size")) >= 10
        assert 0 <= float(each.get("x")) <= width
        assert 8 <= float(each.get("y")) <= height


def test_ink_and_reveal_read_on_paper():
    """WCAG 2.2: 4.5 to 1 for text."""
    for name in ("#2b2622", "#6b6055", "#a8402a"):
        assert contrast(name, "#f6f1e7") >= 4.5


def test_what_is_taught_is_in_the_rule_book():
    book = load_rule_book()
    for family in FAMILIES.values():
        assert family.zone in book.zone_names
        assert set(family.signal_ids) <= set(book.signal_ids)
        # A family of one sign has no drawing of another: a few are looked at all the same.
        for level, seed in product(LEVELS, range(6 if len(family.signal_ids) > 1 else 1)):
            assert set(family.look(level, seed).signal_ids) <= set(family.signal_ids)


OTHER_TERMS = {
    "pocket_check",
    "button_material",
    "shirt_details",
    "seam_finish",
    "zip",
    "grains",
    "fade",
    "pilling",
    "holes",
    "guests",
}
"""What is asked in them is not, or not alone, what the sign's options say."""


@pytest.mark.parametrize("family", sorted(set(FAMILIES) - OTHER_TERMS))
def test_answers_bear_the_names_of_the_signs_options(family):
    """So that what was misread at the Drill counts as a misreading of the sign."""
    kinds = load_rule_book().kinds.values()
    signs = FAMILIES[family].signal_ids
    options = {
        o
        for kind in kinds
        for sign in signs
        if sign in kind.by_id
        for o in kind.by_id[sign].option_ids
    }
    answers = {one.id for level in LEVELS for one in FAMILIES[family].look(level, 1).answers}
    assert answers <= options or not signs


@pytest.mark.parametrize("enough", [8, pytest.param(16, marks=pytest.mark.long)])
@each_page
def test_every_answer_comes_up_and_none_is_a_safe_guess(family, enough):
    for level in LEVELS:
        offered: set[str] = set()
        came: list[str] = []
        for seed in range(36):
            made = FAMILIES[family].look(level, seed)
            offered |= {answer.id for answer in made.answers}
            came.append(made.truth)
            if len(came) >= enough and all_came_up(came, offered):
                break
        assert all_came_up(came, offered), level


def all_came_up(came, offered):
    """Of a number asked for, at least four; else each, and none of them most of the time."""
    if not offered:
        return len(set(came)) >= 4
    often = max(came.count(name) for name in offered)
    return set(came) == offered and often <= 0.75 * len(came)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("nonsense", 1, 1), "there is no family of drawings 'nonsense'; use one of"),
        (("sole", 4, 1), "there is no level 4; use 1, 2 or 3."),
        (("sole", 1, -1), "the seed -1 is below 0; use 0 or more."),
    ],
)
def test_what_cannot_be_drawn_is_refused_in_a_sentence(arguments, said):
    with pytest.raises(ReadingError, match=re.escape(said)):
        make(*arguments)


def test_lettering_and_attributes_are_escaped():
    svg = document(
        "k",
        title="a < b & c",
        description='"x"',
        size=(10, 10),
        body=[words((1, 2), "<script>&", fill='"red"')],
    )
    root = read(svg)
    assert root[0].text == "a < b & c"
    assert root[2].text == "<script>&" and root[2].get("fill") == '"red"'


@pytest.mark.parametrize(
    ("value", "text"),
    [(1.0, "1"), (-0.001, "0"), (2.345678, "2.35"), (10.5, "10.5"), (100.0, "100")],
)
def test_numbers_are_written_short(value, text):
    assert number(value) == text


def test_a_number_may_be_off_by_the_tolerance_and_no_more():
    made = Exercise("f", 1, 0, "?", "", "", (), 2.0, "w", (), "front", unit="mm", tolerance=0.3)
    assert made.is_right(2.3) and made.is_right(1.7)
    assert not made.is_right(2.31)
    assert Answer("a", "b") == Answer("a", "b")
